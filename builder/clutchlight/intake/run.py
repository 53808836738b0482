"""From a file to new records: reads, asks, tries, and only then writes; what it wrote and left is told in one value."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from clutchlight.desk.season import TypedFigure
from clutchlight.editing.writing import WrittenFile, create
from clutchlight.intake.again import Differs, compared, news
from clutchlight.intake.asking import Ask, Dialogue, ToAsk, answers_from, as_file
from clutchlight.intake.columns import confirmed, guess, lists_clutches, plain
from clutchlight.intake.genes import trait_file
from clutchlight.intake.records import NewFiles, free_name, stem_of
from clutchlight.intake.report import (
    asked_text,
    differences_text,
    figures_of,
    figures_text,
    left_file,
    left_text,
)
from clutchlight.intake.rows import Draft, Left, SheetReader
from clutchlight.intake.sheets import Rows, sheets_in
from clutchlight.intake.taking import Entry, Taken, take, take_clutches
from clutchlight.intake.trial import files_in, tried
from clutchlight.pipeline import Book
from clutchlight.problems import COMMAND_LINE, RecordsError
from clutchlight.wording import words

FOLDER = "intake"
"""Where answers and what was left are kept, in the collection: private, and no record."""


@dataclass(slots=True)
class TakenIn:
    """What became of a sheet. `placed`: how many of its rows stand in a record, or in the file of what was left, with the reason."""

    rows: int
    animals: int
    clutches: int
    sales: int
    weights: int
    known: int
    placed: int
    questions: Dialogue
    left: list[Left] = field(default_factory=list)
    differences: tuple[Differs, ...] = ()
    figures: tuple[TypedFigure, ...] = ()
    typed: int = 0
    files: tuple[WrittenFile, ...] = ()
    answers_file: str | None = None
    left_in: str = ""
    book: Book | None = None

    def as_text(self) -> Iterator[str]:
        """The one screen."""
        counted = [
            words.plural(count, one, several)
            for count, one, several in (
                (self.animals, "animal", "animals"),
                (self.clutches, "clutch", "clutches"),
                (self.sales, "sale", "sales"),
                (self.weights, "weight", "weights"),
            )
            if count
        ]
        known = (
            f"; {words.plural(self.known, 'animal')} of the sheet {'are' if self.known > 1 else 'is'} on record already"
            if self.known
            else ""
        )
        yield f"Taken: {words.join_and(counted) if counted else 'nothing new'}{known}."
        yield from (f"  made {written.file}" for written in self.files)
        yield asked_text(self.questions, self.answers_file)
        for key, said in self.questions.misfits.items():
            yield f"  '{said}' is no answer to '{key}'; the answer that takes least for granted stands"
        yield from left_text(self.left, self.rows, self.left_in)
        yield from differences_text(self.differences)
        if self.book is not None:
            yield from figures_text(self.book, self.figures, self.typed)


def take_in(book: Book, raw: bytes, name: str, given: Mapping[str, str], ask: Ask, today: date) -> TakenIn:
    """Takes a sheet into a collection. Raises RecordsError, and writes nothing, when the file cannot be read as a list of animals."""
    questions = Dialogue({**remembered(book.folder), **given}, ask)
    sheet = _chosen(sheets_in(raw, name), questions)
    guessed = guess(sheet)
    questions.scope = "/".join(plain(cell) for cell in guessed.header if cell)[:40] or "no names"
    columns = confirmed(guessed, name, questions)
    if not {"id", "name", "genes", "shows", "hets", "parents", "sire"} & set(columns.roles.values()):
        raise RecordsError.at(
            COMMAND_LINE, "not-a-sheet", f"no column of '{name}' holds an id, a name or genes; nothing was written"
        )
    reader = SheetReader(columns, book.collection, questions)
    reader.read()
    drafts = list(reader.drafts.values())
    known = [draft for draft in drafts if reader.register.known_animal(draft.id)]
    new = [draft for draft in drafts if draft not in known and not _clutch_of_that_id(reader, draft.id)]
    taken = take_clutches(reader, new) if lists_clutches(columns) else take(reader, new, questions, today)
    sold, weighed = news(reader, known, book.private, questions)
    _add_news(taken, sold, weighed, today)
    taken.traits = {
        species: lines for species, vocabulary in reader.words.items() if (lines := list(trait_file(vocabulary)))
    }
    made, after = tried(book.folder, taken, name, today)
    taken.left = [_by_column(one, reader) for one in taken.left]
    taken.left.sort(key=lambda one: (one.line, one.what))
    differences = compared(reader, known)
    return _written(book.folder, name, made, after, taken, questions, today, sheet, reader, len(known), differences)


def remembered(folder: Path) -> Mapping[str, str]:
    """The answers of earlier intakes that hold for other sheets too."""
    found: dict[str, str] = {}
    place = folder / FOLDER
    of_one_time = ("day of weights", "clutches", "siblings", "new in the sheet")
    for path in sorted(place.glob("*.yaml")) if place.is_dir() else ():
        answers = answers_from(path.read_text(encoding="utf-8"), f"{FOLDER}/{path.name}")
        found.update({key: answer for key, answer in answers.items() if not key.startswith(of_one_time)})
    return found


def _chosen(sheets: tuple[Rows, ...], questions: Dialogue) -> Rows:
    """The sheet of a workbook that is a list of animals, asked where there are several."""
    if len(sheets) == 1:
        return sheets[0]
    largest = max(sheets, key=lambda one: len(one.rows))
    choices = tuple((one.name, words.plural(len(one.rows), "row")) for one in sheets)
    answer = questions.answer(
        ToAsk("sheet", "The file has several sheets. Which one lists the animals?", choices, largest.name)
    )
    return next((one for one in sheets if one.name == answer), largest)


_COLUMN_OF_KEY: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(("shows", "claims", "stated"), ("genes", "shows", "hets")),
    **{role: (role, "parents") for role in ("sire", "dam")},
    **dict.fromkeys(("left", "came"), ("status",)),
}


def _by_column(one: Left, reader: SheetReader) -> Left:
    """What was left of a record, by the column of the sheet that it came from."""
    roles = _COLUMN_OF_KEY.get(one.what, (one.what,))
    found = next((role for role in roles if reader.columns.column(role) is not None), None)
    return one if found is None else replace(one, what=reader.called(found))


def _clutch_of_that_id(reader: SheetReader, name: str) -> bool:
    entry = reader.register.entries.get(name.casefold())
    return entry is not None and entry.kind == "clutch"


def _add_news(taken: Taken, sold: Sequence[Draft], weighed: Sequence[Draft], today: date) -> None:
    for draft in sold:
        entry: Entry = {"animals": [draft.id]}
        if draft.buyer:
            entry["buyer"] = draft.buyer
        asked = draft.price.amount if draft.price is not None and draft.price.amount != "ask" else ""
        if draft.paid or asked:
            entry["agreed"] = draft.paid or asked
        entry["handed_over"] = draft.sold or f"before {today.isoformat()}"
        taken.sales[draft.id] = entry
        taken.lines[draft.id.casefold()] = draft.line
    taken.log += [(draft.weighed, draft.id, draft.weight) for draft in weighed]


def _written(
    folder: Path,
    name: str,
    made: NewFiles,
    after: Book,
    taken: Taken,
    questions: Dialogue,
    today: date,
    sheet: Rows,
    reader: SheetReader,
    known: int,
    differences: tuple[Differs, ...],
) -> TakenIn:
    """Writes the files, that of the answers first, so that a run that is broken off can be repeated."""
    stem, held = stem_of(name), files_in(folder)
    answers, left = free_name(f"{FOLDER}/{stem}.yaml", held), free_name(f"{FOLDER}/left-{stem}.csv", held)
    files = []
    if questions.asked:
        head = f"Answers given when {name} was taken in, {today.isoformat()}. They are used again; private."
        files.append(create(folder, answers, as_file(questions, head)))
    if taken.left:
        files.append(create(folder, left, left_file(taken.left, name)))
    order = ("traits", "animals", "clutches", "sales", "log")
    files += [
        create(folder, file, made.texts[file])
        for file in sorted(made.texts, key=lambda file: order.index(file.split("/")[0]))
    ]
    young = sum(len(young) for _, young in taken.clutches.values())
    written = {name.casefold() for name in (*taken.animals, *taken.clutches)} | {
        str(one["id"]).casefold() for _, some in taken.clutches.values() for one in some
    }
    lines = {reader.drafts[key].line for key in written if key in reader.drafts} | {one.line for one in taken.left}
    lines |= {draft.line for draft in reader.drafts.values() if reader.register.known_animal(draft.id)}
    ids = {draft.id for draft in reader.drafts.values()}
    below = {next(cell.line for cell in row if cell) for row in reader.columns.rows}
    return TakenIn(
        rows=len(below),
        animals=len(taken.animals) + young,
        clutches=len(taken.clutches),
        sales=len(taken.sales),
        weights=len(taken.log),
        known=known,
        placed=len(below & lines),
        questions=questions,
        left=taken.left,
        differences=differences,
        figures=figures_of(after, ids),
        typed=sum(len(after.collection.animals[name].stated) for name in ids if name in after.collection.animals),
        book=after,
        files=tuple(files),
        answers_file=answers if questions.asked else None,
        left_in=left,
    )
