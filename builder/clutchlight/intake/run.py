"""From a file to new records: reads, asks, tries, and only then writes; what it wrote and left is told on one screen.

The figures that were typed are told against those that the records give: sold animals first, since their buyers were told the typed figure.
All of it is private.

A newer sheet may stand beside a collection that has most of it already: of that only what adds to the records and what the breeder confirms
is written, sales and weights. A value that stands in a record is the breeder's; where the sheet says otherwise, both are shown, with the
place to change.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.desk.notices import typed_figure
from clutchlight.editing.clutches import add_young
from clutchlight.editing.disk import WrittenFile
from clutchlight.editing.starting import set_currency
from clutchlight.editing.writing import create, quoted
from clutchlight.intake.animal_rows import Draft, Left
from clutchlight.intake.asking import Ask, Dialogue, answers_from, as_file
from clutchlight.intake.cells import tells_more
from clutchlight.intake.columns import (
    OF_CLUTCHES,
    OF_GENES,
    Rows,
    confirmed,
    guess,
    lists_clutches,
    plain,
    sheets_in,
    unread_in,
)
from clutchlight.intake.genes import trait_file
from clutchlight.intake.rows import SheetReader
from clutchlight.intake.taking import Taken, day_of_weights, sale_told, take, take_clutches
from clutchlight.intake.trial import NewFiles, files_in, free_name, stem_of, tried
from clutchlight.intake.words import NO, one_of
from clutchlight.model import Animal, Collection
from clutchlight.pipeline import Book
from clutchlight.planning.readiness import CONSIDERED
from clutchlight.problems import COMMAND_LINE, RecordsError
from clutchlight.reading.dates import read_date
from clutchlight.reading.findings import nearest
from clutchlight.reading.tables import cells_as_line, without_formula
from clutchlight.statements.animals import typed_figures
from clutchlight.wording import words

FOLDER = "intake"
"""Where answers and what was left are kept, in the collection: private, and no record."""


class TakenIn(Struct, frozen=True):
    """What became of a sheet. `book`: the collection with what was taken. `answers_file`, `left_file`: "" where none was made."""

    taken: Taken
    reader: SheetReader
    questions: Dialogue
    book: Book
    known: Sequence[Draft]
    files: tuple[WrittenFile, ...]
    answers_file: str
    left_file: str
    other_sheets: tuple[Rows, ...]

    @property
    def left(self) -> Sequence[Left]:
        return self.taken.left

    def as_text(self) -> Iterator[str]:
        """The one screen."""
        taken, known = self.taken, len(self.known)
        counted = [
            words.plural(count, one, several)
            for count, one, several in (
                (len(taken.animals) + len(list(taken.young())), "animal", "animals"),
                (len(taken.clutches), "clutch", "clutches"),
                (len(taken.sales), "sale", "sales"),
                (len(taken.log), "weight", "weights"),
            )
            if count
        ]
        already = f"; {words.plural(known, 'animal')} of the sheet {'are' if known > 1 else 'is'} on record already"
        yield f"Taken: {words.join_and(counted) if counted else 'nothing new'}{already if known else ''}."
        yield from (f"  {'made' if written.new else 'added to'} {written.file}" for written in self.files)
        if self.other_sheets:
            others = "other sheets" if len(self.other_sheets) > 1 else "another sheet"
            yield (
                f"Not read in this run: {words.join_and([one.name for one in self.other_sheets])}, {others} of this file."
                " To take in one that you have not, run `intake` again with the same file and choose it."
            )
        yield from asked_text(self.questions, self.answers_file)
        columns = self.reader.columns
        yield from columns.moved
        yield from left_text(self.left, len(columns.rows) + len(columns.others), self.left_file)
        if differs := list(compared(self.reader, self.known)):
            yield f"The sheet says otherwise than the records in {words.plural(len(differs), 'place')}; nothing was changed:"
            yield from _first(differs)
        yield from figures_text(self.book, {draft.id for draft in self.reader.drafts.values()})
        if taken.animals and not any(one.status in CONSIDERED for one in self.book.collection.animals.values()):
            which = f"No animal has the status {words.join_or(CONSIDERED)}"
            yield f"{which}; write it into the records of those that breed: `season` takes no other for ready."


def take_in(book: Book, raw: bytes, name: str, given: Mapping[str, str], ask: Ask, today: date) -> TakenIn:
    """Takes a sheet into a collection. Where that cannot be done, or the breeder breaks it off, only the answers so far are kept; and it
    raises RecordsError, or what broke it off, with a note that says where.
    """
    questions = Dialogue(given, ask, remembered(book.folder))
    try:
        return _taken_in(book, raw, name, questions, today)
    except BaseException as ended:
        if any(not key.startswith(("sheet", "columns")) for key in questions.said):
            file = free_name(f"{FOLDER}/answers-to-{stem_of(name)}.txt", files_in(book.folder))
            create(book.folder, file, as_file(questions, f"Answers given before the intake of {name} ended."))
            first = "mend what is told here, then " if isinstance(ended, RecordsError) else ""
            ended.add_note(
                f"Your answers are kept in {file} of the collection; to go on with them, {first}run the same line again with `--answers`"
                " and that file."
            )
        raise


def _taken_in(book: Book, raw: bytes, name: str, questions: Dialogue, today: date) -> TakenIn:
    sheets = sheets_in(raw, name)
    sheet = _chosen(sheets, questions)
    guessed = guess(sheet)
    questions.scope = "/".join(plain(cell) for cell in guessed.header if cell)[:40] or "no names"
    columns = confirmed(guessed, name, questions)
    roles = set(columns.roles.values())
    if not {"id", "name", *OF_GENES, "parents", "sire"} & roles:
        such = "`B: sire, C: dam`" if roles & OF_CLUTCHES else "`A: id`"
        raise RecordsError.at(
            COMMAND_LINE,
            "not-a-sheet",
            f"no column of '{name}' is read as an id, a name or genes, and nothing was written; run it again and say on its first screen"
            f" which column is, such as {such}",
        )
    sums = (*(one.price for one in book.collection.animals.values()), *(sale.agreed for sale in book.private.sales))
    counted = any(sums) or any(sale.payments for sale in book.private.sales)
    reader = SheetReader(columns, book.collection, questions, today, counted=counted)
    for cell, said, what in unread_in(raw):
        why = f"{what}, which is not read; write what it means into the record"
        reader.left.rows.append(Left(int(re.sub(r"\D", "", cell) or 1), f"comment {cell}".strip(), said, why))
    drafts = list(reader.drafts.values())
    known = [draft for draft in drafts if reader.is_known(draft)]
    of_clutches = lists_clutches(columns)
    clutches = () if of_clutches else {name.casefold() for name in reader.register.of_kind("clutch")}
    new = [draft for draft in drafts if draft not in known and draft.id.casefold() not in clutches]
    if not of_clutches:
        day_of_weights([draft for draft in drafts if draft not in known], reader)
    taken = take_clutches(reader, new) if of_clutches else take(reader, new)
    if not of_clutches:
        look_at_remarks(reader, drafts, book.folder)
    add_news(taken, reader, known, book)
    explained = {species: list(trait_file(vocabulary)) for species, vocabulary in reader.words.items()}
    taken.traits = {species: lines for species, lines in explained.items() if lines}
    if taken.adds and reader.money.currency != book.collection.settings.currency:
        taken.currency = reader.money.currency or ""
    made, after = tried(book.folder, taken, name, today)
    cells = {draft.line: draft.cells for draft in drafts}
    left = (_by_column(one, reader, cells.get(one.line, {})) for one in taken.left)
    taken.left = sorted(left, key=lambda one: (one.line, one.what))
    files, answers_file, left_file = _written(book.folder, name, made, taken, reader)
    others = tuple(one for one in sheets if one is not sheet)
    return TakenIn(taken, reader, questions, after, known, files, answers_file, left_file, others)


def remembered(folder: Path) -> Mapping[str, str]:
    """The answers of earlier intakes that hold for other sheets too."""
    of_one_time = (
        *("sheet", "day of weights", "prices without a status"),
        *("clutches", "young of clutches", "new in the sheet"),
    )
    files = sorted((folder / FOLDER).glob("*.yaml"))
    answers = (answers_from(path.read_text(encoding="utf-8"), f"{FOLDER}/{path.name}") for path in files)
    every = {key: answer for several in answers for key, answer in several.items()}
    return {key: answer for key, answer in every.items() if not key.startswith(of_one_time)}


def _chosen(sheets: tuple[Rows, ...], questions: Dialogue) -> Rows:
    """The sheet of a workbook that is a list of animals, asked where there are several."""
    if len(sheets) == 1:
        return sheets[0]
    largest = max(sheets, key=lambda one: len(one.rows))
    choices = tuple(
        (one.name, f"the {words.plural(len(one.rows), 'row')} of {one.name} are read now") for one in sheets
    )
    text = "The file has several sheets. Which one is to be taken in now?"
    answer = questions.put("sheet", text, choices, unanswered=largest.name)
    return next((one for one in sheets if one.name == answer), largest)


_COLUMN_OF_KEY: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(("shows", "claims", "stated"), OF_GENES),
    **{role: (role, "parents") for role in ("sire", "dam")},
    "left": ("died", "status"),
    "came": ("came", "seller", "status"),
    **dict.fromkeys(("animals", "handed_over", "buyer"), ("sold", "buyer", "status")),
    **dict.fromkeys(("agreed", "payments"), ("paid", "price")),
}


def _by_column(one: Left, reader: SheetReader, cells: Mapping[str, str]) -> Left:
    """What was left of a record, by the column of the sheet that it came from, with what stands there."""
    roles = [role for role in _COLUMN_OF_KEY.get(one.what, (one.what,)) if reader.columns.column(role) is not None]
    if not roles:
        return one
    role = next((role for role in roles if role in cells), roles[0])
    return replace(one, what=reader.columns.called(role), written=one.written or cells.get(role, ""))


def _written(
    folder: Path, name: str, made: NewFiles, taken: Taken, reader: SheetReader
) -> tuple[tuple[WrittenFile, ...], str, str]:
    """Writes the files, that of the answers first, so that a run that is broken off can be repeated. Then the names of that, and of what
    was left."""
    stem, held, questions = stem_of(name), files_in(folder), reader.questions
    files, answers, left = [], "", ""
    if questions.asked and (taken.adds or questions.said):
        answers = free_name(f"{FOLDER}/{stem}.yaml", held)
        head = f"Answers given when {name} was taken in, {reader.days.today.isoformat()}. They are used again; private."
        files.append(create(folder, answers, as_file(questions, head)))
    if taken.left:
        left = free_name(f"{FOLDER}/left-{stem}.csv", held)
        files.append(create(folder, left, left_as_file(taken.left, name)))
    if taken.currency:
        files.append(set_currency(folder, taken.currency))
    order = ("traits", "animals", "clutches", "sales", "log")
    ordered = sorted(made.texts, key=lambda file: order.index(file.split("/")[0]))
    files += [create(folder, file, made.texts[file]) for file in ordered]
    files += [add_young(folder, one.clutch, one.keys, one.young) for one in taken.joined.values()]
    return tuple(files), answers, left


def look_at_remarks(reader: SheetReader, drafts: Sequence[Draft], folder: Path) -> None:
    """Names the remarks that may tell of more than a note holds, and those that no record holds."""
    for draft in drafts:
        note = draft.cells.get("note", "")
        if not note:
            continue
        animal = reader.record_of(draft) if reader.is_known(draft) else None
        held = "" if animal is None else (folder / animal.place.file).read_text(encoding="utf-8")
        if note in held or quoted(note) in held:
            continue
        here = animal is None or animal.away is None
        told: list[str] = []
        for label, cell in draft.remarks:
            denied = plain(label) in _ALIVE and one_of(NO).fullmatch(plain(cell))
            if here and (denied or tells_more(cell)):
                told.append(cell)
                reader.left.rows.append(Left(draft.line, label or "note", cell, f"{draft.id}: {_MORE}"))
        rest = [cell for _, cell in draft.remarks if cell not in told]
        if animal is not None and (rest or not told):
            why = "a remark that its record does not hold; write what is so into the record"
            reader.left.leave(draft, "note", "; ".join(rest) if told else note, why)


_MORE = (
    "this may tell of a death, a sale, a return, a loss, a loan or a payment; if that is so of this animal, write it with `died`, `sold`,"
    " `returned`, `moved` or `paid`"
)
_ALIVE = ("alive", "living", "lebt", "vivant")
"""Names of a column in which a no says that an animal died."""


def compared(reader: SheetReader, drafts: Sequence[Draft]) -> Iterator[str]:
    """What a sheet says otherwise, or more, of animals on record."""
    for draft in drafts:
        yield from _differences(draft, reader.record_of(draft), reader.collection)


def _differences(draft: Draft, animal: Animal, collection: Collection) -> Iterator[str]:
    clutch = collection.clutches.get(animal.clutch or "")
    sire = animal.sire or (" or ".join(str(one) for one, _ in clutch.sires.candidates) if clutch is not None else "")
    looks = None if animal.reading is None else animal.reading.shows
    said = ", ".join(sorted(draft.genes.looks)) or ("normal" if draft.genes.normal else "")
    offered = (draft.status or animal.status) in ("available", "on hold")
    price = draft.price.amount if draft.price is not None and offered else ""
    when, gone = read_date(draft.hatched), animal.sold or animal.away is not None
    same_day = isinstance(when, str) or (animal.hatched is not None and animal.hatched.meets(when))
    left = draft.status in ("sold", "died") or not (gone or draft.status != animal.status)
    for key, recorded, sheet in (
        ("name", animal.name or "", draft.name),
        ("sex", animal.sex.replace("unknown", ""), (draft.sex or "").replace("unknown", "")),
        ("shows", "" if looks is None else ", ".join(sorted(looks)) or "normal", "" if draft.genes.unread else said),
        ("sire", sire, draft.sire),
        ("dam", animal.dam or "", draft.dam),
        ("hatched", str(animal.hatched or ""), "" if same_day else draft.hatched),
        ("status", animal.status, "" if left else draft.status),
        ("price", animal.price or "", price),
    ):
        where = f"{animal.place_of(key).file}:{animal.place_of(key).line}"
        if sheet and not recorded:
            yield f"{animal.id}: the sheet has {key}: {sheet}, the record nothing; to keep it, add that line at {where}"
        elif sheet and sheet.casefold() != recorded.casefold():
            said = f"{key} is {recorded} in {where}, and {sheet} in the sheet; change it there if the sheet is right"
            yield f"{animal.id}: {said}"
    if draft.status == "died" and not gone:
        yield f"{animal.id}: it died, by the sheet; the record says nothing: {draft.command_died()}"


def add_news(taken: Taken, reader: SheetReader, drafts: Sequence[Draft], book: Book) -> None:
    """The sales and weights of animals on record that are new, once the breeder says that they are to be written."""
    sold_before = {name for sale in book.private.sales for name in sale.animals}
    weighed = {(row.animal, str(row.on)) for row in book.private.log if row.event == "weight"}
    logged = {(row.animal, row.number) for row in book.private.log if row.event == "weight"}

    record = reader.record_of
    sold = [draft for draft in drafts if draft.status == "sold" and not draft.returned]
    sales = [draft for draft in sold if not record(draft).sold and record(draft).id not in sold_before]
    dated = [draft for draft in drafts if draft.weight and draft.weighed]
    weights = [draft for draft in dated if (record(draft).id, draft.weighed) not in weighed]
    for draft in drafts:
        if draft.weight and not draft.weighed and (record(draft).id, Fraction(draft.weight)) not in logged:
            reader.left.leave(draft, "weight", draft.cells["weight"], "a weight without the day it was taken")
    if not sales and not weights:
        return
    lines = [
        f"  {one.id}: sold {one.sold or 'on a day not said'}{f' to {one.buyer}' if one.buyer else ''}" for one in sales
    ]
    lines += [f"  {one.id}: {one.weight} g on {one.weighed}" for one in weights]
    wanted = reader.questions.some_of(
        "new in the sheet",
        dict.fromkeys(one.id for one in (*sales, *weights)),
        "\n".join(["The sheet says more of animals on record:", *lines, "Is this to be written?"]),
        ("the sales go to sales/, the weights to log/", "nothing of it"),
        "the ids of those to be written, with commas",
        "Is what the sheet says more of animals on record to be written?",
    )
    for draft in (one for one in sales if one.id in wanted):
        taken.sales[draft.id] = sale_told(draft, reader)
        taken.lines[draft.id.casefold()] = draft.line
    taken.log += [(one.weighed, one.id, one.weight) for one in weights if one.id in wanted]


MOST_LINES, MOST_REASONS = 40, 12


def _first(lines: Sequence[object], where: str = "") -> Iterator[str]:
    """The first of many lines; the rest are counted."""
    yield from (f"  {line}" for line in lines[:MOST_LINES])
    if len(lines) > MOST_LINES:
        yield f"  and {len(lines) - MOST_LINES} more{where}"


def figures_text(book: Book, animals: Container[str]) -> Iterator[str]:
    """The figures typed of these animals against those that the records give, sold animals first."""
    typed = sum(len(one.stated) for name, one in book.collection.animals.items() if name in animals)
    if not typed:
        return
    figures = [one for one in typed_figures(book.telling) if one.animal in animals]
    which = f"{len(figures)} of them {'does' if len(figures) == 1 else 'do'} not follow" if figures else "all follow"
    yield f"Your figures against ours (private): {typed} typed, {which} from the records."
    for heading, some in (
        ("  Sold animals, whose buyers may have been told otherwise:", [one for one in figures if one.sold]),
        ("  Animals that are here:", [one for one in figures if not one.sold]),
    ):
        if some:
            yield heading
            lines = [typed_figure(book.collection, one) for one in some]
            yield from (f"  {line}" for line in _first(lines, "; the desk lists them all"))


def left_text(left: Sequence[Left], rows: int, file: str) -> Iterator[str]:
    """What was not taken, by its reason, with how often it holds; whole rows first."""
    if not left:
        yield f"Left out: nothing; each of the {rows} rows was taken whole."
        return
    whole = sum(not one.what for one in left)
    counts = [words.plural(whole, "whole row")] if whole else []
    counts += [words.plural(len(left) - whole, "single cell")] if len(left) > whole else []
    yield (
        f"Left out: {words.join_and(counts)}, each with its reason in {file}. When every question is answered, write what"
        " you know of what was left out into the records. The first of each reason:"
    )
    reasons: dict[tuple[bool, str], list[Left]] = {}
    for one in sorted(left, key=lambda one: bool(one.what)):
        reason = re.sub("'[^']+'|`[^`]+`", "", one.why.partition(": ")[2] or one.why)
        reasons.setdefault((bool(one.what), reason), []).append(one)
    for one, *more in list(reasons.values())[:MOST_REASONS]:
        written = f" '{one.written[:40]}'" if one.written else ""
        alike = f" (and {len(more)} more for the same reason)" if more else ""
        yield f"  line {one.line}{f', {one.what}' if one.what else ''}{written}: {one.why}{alike}"
    if len(reasons) > MOST_REASONS:
        yield f"  and {words.plural(len(reasons) - MOST_REASONS, 'more reason')} in {file}"


def left_as_file(left: Sequence[Left], sheet: str) -> str:
    """The file of what was not taken."""
    head = f"# What was not taken of {sheet}, and why; its animals keep such cells under `private`. Write what you know into the records.\n"
    cells = ([str(one.line), one.what, one.written, one.why] for one in left)
    rows = (cells_as_line([without_formula(cell) for cell in row], ",") for row in cells)
    return head + "line,column,written,why\n" + "".join(f"{row}\n" for row in rows)


def asked_text(questions: Dialogue, file: str) -> Iterator[str]:
    """How much was asked; what was not answered, and how it can still be."""
    still, before = len(questions.open), len(questions.asked) - len(questions.said) - len(questions.open)
    counted = [f"{words.plural(len(questions.said), 'question')} answered"]
    counted += [f"{still} not answered"] if still else []
    counted += [f"{before} answered before, or by the file of answers"] if before else []
    yield f"Asked: {words.join_and(counted)}." + (f" The answers stand in {file}." if file else "")
    yield from (f"  {question.left_open()}" for question in questions.open.values())
    for key, said in questions.misfits.items():
        yield f"  '{said}' is no answer to '{key}': {questions.asked[key].why_not(said)}"
    put = {key.casefold(): key for key in questions.asked}
    for key in questions.of_file:
        near = nearest(key.casefold(), [other for other in put if other not in questions.given])
        if near and key.casefold() not in put:
            yield f"  '{key}' of your file of answers is the key of no question; the nearest is '{put[near]}'."
    if (still or questions.misfits) and not file:
        yield "  Nothing new was taken, and no record was written; to answer, run the same line again at a terminal."
    elif still or questions.misfits:
        yield (
            f"  You can still answer, as long as you have edited no record (`undo` refuses after that): copy {file}, write your answers"
            " into the copy, `undo`, then run the same `intake` with `--answers` and the copy."
        )
