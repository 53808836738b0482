"""The private desk: the season's lists as pages for the screen, a file for the phone and a sheet for the wall.

`desk_files(book, theme, day)` makes every file; the command `season` shows what `season_lists(book, day)` gives. Nothing here is part of
the public site, and no public page links here. Pure: the day is an argument; same records, same bytes. What makes pages is imported
where they are made: the terminal needs none of it.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from clutchlight.desk.season import Season, Sources, season_lists

if TYPE_CHECKING:
    from clutchlight.desk.pages import DeskPage
    from clutchlight.site.theme import Theme

__all__ = ["Season", "desk_files", "season_lists"]


def desk_files(sources: Sources, theme: Theme, day: date) -> dict[str, bytes]:
    """The desk of `day`, by address. `sources`: a `Book`.

    Publish it into a folder of its own: `publish(desk_files(book, theme, day), desk, desk=out, collection=folder, kind="desk")`.
    Raises RecordsError when a theme of the collection's own has a mistake.
    """
    from clutchlight.desk.charts import weights_page
    from clutchlight.desk.framing import (
        GUIDE,
        PAIRINGS,
        PEOPLE,
        PHONE,
        PROVING,
        SHEET,
        TODAY,
        WEIGHTS,
        YEAR,
        DeskFraming,
        DeskTheme,
    )
    from clutchlight.desk.guide import guide_page
    from clutchlight.desk.pairings import pairings_page, proving_page
    from clutchlight.desk.papers import paper_page, papers
    from clutchlight.desk.rack import phone_page, sheet_page
    from clutchlight.desk.today import people_page, today_page
    from clutchlight.desk.year_page import year_page

    desk_theme = DeskTheme(theme)
    framing = DeskFraming(season_lists(sources, day), desk_theme)
    pages: dict[str, DeskPage] = {
        TODAY: today_page(framing),
        PAIRINGS: pairings_page(framing),
        PROVING: proving_page(framing, sources.inference),
        WEIGHTS: weights_page(framing),
        PEOPLE: people_page(framing),
        YEAR: year_page(framing),
        PHONE: phone_page(framing),
        SHEET: sheet_page(framing),
        GUIDE: guide_page(framing),
    }
    pages |= {address: paper_page(framing, sale) for address, sale in papers(framing.season).items()}
    files = {f"style/{name}": content for name, content in desk_theme.sheets.items()}
    files |= {address: desk_theme.render(page) for address, page in pages.items()}
    return dict(sorted(files.items()))
