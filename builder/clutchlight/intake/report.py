"""The one screen at the end of an intake: taken, asked, left; and the figures that were typed against those that the records give.

It is private: sold animals come first, since their buyers were told the typed figure.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterator, Sequence

from clutchlight.desk.notices import typed_figure
from clutchlight.desk.season import TypedFigure, typed_figures
from clutchlight.intake.again import Differs
from clutchlight.intake.asking import Dialogue
from clutchlight.intake.rows import Left
from clutchlight.pipeline import Book
from clutchlight.reading.tables import cells_as_line, without_formula
from clutchlight.wording import words

MOST_LINES = 40


def figures_of(book: Book, animals: Container[str]) -> tuple[TypedFigure, ...]:
    """The figures typed of these animals that do not follow from the records, sold animals first."""
    return tuple(one for one in typed_figures(book.telling) if one.animal in animals)


def figures_text(book: Book, figures: Sequence[TypedFigure], typed: int) -> Iterator[str]:
    """`typed`: how many figures there were."""
    if not typed:
        return
    yield f"Your figures against ours (private): {typed} typed, {len(figures)} do not follow from the records."
    for heading, some in (
        ("  Sold animals, whose buyers may have been told otherwise:", [one for one in figures if one.sold]),
        ("  Animals that are here:", [one for one in figures if not one.sold]),
    ):
        if some:
            yield heading
            yield from (f"    {typed_figure(book.collection, one)}" for one in some[:MOST_LINES])
            if len(some) > MOST_LINES:
                yield f"    and {len(some) - MOST_LINES} more; the desk lists them all"


def left_text(left: Sequence[Left], rows: int, file: str) -> Iterator[str]:
    """What was not taken, by its reason."""
    if not left:
        yield f"Left: nothing; each of the {rows} rows was taken whole."
        return
    whole = sum(not one.what for one in left)
    yield f"Left: {whole} whole rows and {len(left) - whole} single cells, each with its reason in {file}, such as:"
    shown: Counter[str] = Counter()
    for one in left:
        reason = one.why.partition(": ")[2] or one.why
        shown[reason] += 1
        if shown[reason] == 1 and len(shown) <= 12:
            written = f" '{one.written[:40]}'" if one.written else ""
            yield f"  line {one.line}{f', {one.what}' if one.what else ''}{written}: {_short(one.why)}"


def _short(text: str) -> str:
    return text if len(text) <= 180 else f"{text[:170]} …"


def left_file(left: Sequence[Left], sheet: str) -> str:
    """The file of what was not taken."""
    rows = [("line", "column", "written", "why"), *((str(one.line), one.what, one.written, one.why) for one in left)]
    head = (
        f"# What was not taken of {sheet}, and why. Nothing here is read by the program; delete it when you are done.\n"
    )
    return head + "".join(f"{cells_as_line([without_formula(cell) for cell in row], ',')}\n" for row in rows)


def differences_text(differences: Sequence[Differs]) -> Iterator[str]:
    if differences:
        yield f"The sheet says otherwise than the records in {words.plural(len(differences), 'place')}; nothing was changed:"
        yield from (f"  {one}" for one in differences[:MOST_LINES])
        if len(differences) > MOST_LINES:
            yield f"  and {len(differences) - MOST_LINES} more"


def asked_text(questions: Dialogue, file: str | None) -> str:
    asked, still = len(questions.asked), len(questions.open)
    open_ = f", {still} of them not answered: there the answer that takes least for granted stands" if still else ""
    return f"Asked: {words.plural(asked, 'question')}{open_}." + (f" The answers stand in {file}." if file else "")
