"""The private desk: the season's lists as pages for the screen, a file for the phone and a sheet for the wall.

`desk_files(book, theme, day)` makes every file; the command `season` shows what `Season(book, day)` gives. Nothing here is part of
the public site, and no public page links here. Pure: the day is an argument; same records, same bytes. What makes pages is imported
where they are made: the terminal needs none of it.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from clutchlight.desk.season import Season, Sources

if TYPE_CHECKING:
    from clutchlight.site.theme import Theme

__all__ = ["Season", "desk_files"]


def desk_files(sources: Sources, theme: Theme, day: date) -> dict[str, bytes]:
    """The desk of `day`, by address. `sources`: a `Book`.

    Publish it into a folder of its own: `publish(desk_files(book, theme, day), desk, desk=out, collection=folder, kind="desk")`.
    Raises RecordsError when a theme of the collection's own has a mistake.
    """
    from clutchlight.desk.charts import weights_page
    from clutchlight.desk.guide import guide_page
    from clutchlight.desk.pages import DeskFraming, DeskTheme
    from clutchlight.desk.pairings import pairings_page, proving_page
    from clutchlight.desk.people import paper_page, papers, people_page
    from clutchlight.desk.rack import phone_page, sheet_page
    from clutchlight.desk.today import today_page, year_page

    desk_theme = DeskTheme(theme)
    framing = DeskFraming(Season(sources, day), desk_theme)
    made = (
        today_page,
        pairings_page,
        proving_page,
        weights_page,
        people_page,
        year_page,
        phone_page,
        sheet_page,
        guide_page,
    )
    pages = [page(framing) for page in made]
    pages += [paper_page(framing, address, sale) for address, sale in papers(framing.season).items()]
    files = {f"style/{name}": content for name, content in desk_theme.sheets.items()}
    files |= {page.address: desk_theme.render(page) for page in pages}
    return dict(sorted(files.items()))
