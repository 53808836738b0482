"""A newer sheet beside a collection that has most of it already: what is new and what differs, and what of it may be written.

Written is only what adds to the records and what the breeder confirms: sales and weights. A value that stands in a record is the breeder's;
where the sheet says otherwise, both are shown, with the place to change.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from clutchlight.intake.asking import Dialogue, ToAsk
from clutchlight.intake.rows import Draft, SheetReader
from clutchlight.model import Animal
from clutchlight.model.private import Private
from clutchlight.problems import Place
from clutchlight.reading.dates import read_date


@dataclass(frozen=True, slots=True)
class Differs:
    """A value of a record that the sheet has otherwise. `recorded`: "" where the record says nothing of it."""

    animal: str
    key: str
    recorded: str
    sheet: str
    place: Place

    def __str__(self) -> str:
        where = f"{self.place.file}:{self.place.line}"
        if not self.recorded:
            return f"{self.animal}: the sheet has {self.key}: {self.sheet}, the record nothing; to keep it, add that line at {where}"
        said = f"{self.animal}: {self.key} is {self.recorded} in {where}, and {self.sheet} in the sheet"
        return f"{said}; change it there if the sheet is right"


def compared(reader: SheetReader, drafts: Sequence[Draft]) -> tuple[Differs, ...]:
    """What a sheet says otherwise, or more, of animals on record."""
    found: list[Differs] = []
    for draft in drafts:
        found.extend(
            _differences(reader, draft, reader.collection.animals[reader.register.entries[draft.id.casefold()].now])
        )
    return tuple(found)


def _differences(reader: SheetReader, draft: Draft, animal: Animal) -> Iterator[Differs]:
    looks = None if animal.reading is None else animal.reading.shows
    said = ", ".join(sorted(draft.genes.looks)) or ("normal" if draft.genes.normal else "")
    pairs = (
        ("name", animal.name or "", draft.name),
        (
            "sex",
            "" if animal.sex == "unknown" else animal.sex,
            "" if draft.sex in (None, "unknown") else str(draft.sex),
        ),
        ("shows", "" if looks is None else ", ".join(sorted(looks)) or "normal", "" if draft.genes.unread else said),
        ("sire", animal.sire or "", draft.sire),
        ("dam", animal.dam or "", draft.dam),
    )
    for key, recorded, sheet in pairs:
        if sheet and sheet.casefold() != recorded.casefold():
            yield Differs(animal.id, key, recorded, sheet, animal.place_of(key))
    when = read_date(draft.hatched) if draft.hatched else None
    if when is not None and not isinstance(when, str):
        held = animal.hatched
        if held is None or held.last < when.first or when.last < held.first:
            yield Differs(animal.id, "hatched", str(held or ""), draft.hatched, animal.place_of("hatched"))
    gone = animal.sold or animal.away is not None
    if draft.status == "died" and not gone:
        yield Differs(animal.id, "left", "", "{how: died}", animal.place)
    elif draft.status and draft.status not in ("sold", "died") and (gone or draft.status != animal.status):
        yield Differs(animal.id, "status", animal.status, draft.status, animal.place_of("status"))
    if (
        draft.price is not None
        and draft.status in ("available", "on hold")
        and draft.price.amount != (animal.price or "")
    ):
        yield Differs(animal.id, "price", animal.price or "", draft.price.amount, animal.place_of("price"))


def news(
    reader: SheetReader, drafts: Sequence[Draft], private: Private, questions: Dialogue
) -> tuple[list[Draft], list[Draft]]:
    """The animals whose sale, and those whose weight, is new and is to be written."""
    animals = reader.collection.animals
    sold_before = {name for sale in private.sales for name in sale.animals}
    weighed = {(row.animal, str(row.on)) for row in private.log if row.event == "weight"}

    def record(draft: Draft) -> Animal:
        return animals[reader.register.entries[draft.id.casefold()].now]

    sales = [
        draft
        for draft in drafts
        if draft.status == "sold"
        and not draft.returned
        and not record(draft).sold
        and record(draft).id not in sold_before
    ]
    weights = [
        draft for draft in drafts if draft.weight and draft.weighed and (record(draft).id, draft.weighed) not in weighed
    ]
    if not sales and not weights:
        return [], []
    lines = [
        f"  {one.id}: sold {one.sold or 'on a day not said'}{f' to {one.buyer}' if one.buyer else ''}" for one in sales
    ]
    lines += [f"  {one.id}: {one.weight} g on {one.weighed}" for one in weights]
    answer = questions.answer(
        ToAsk(
            f"new in the sheet {', '.join(dict.fromkeys(one.id for one in (*sales, *weights)))}",
            "\n".join(["The sheet says more of animals on record:", *lines, "Is this to be written?"]),
            (("all", "the sales go to sales/, the weights to log/"), ("none", "nothing of it")),
            "none",
            "the ids of those to be written, with commas",
        )
    )
    if answer == "all":
        return sales, weights
    chosen = {name.strip().casefold() for name in answer.split(",")}
    return [one for one in sales if one.id.casefold() in chosen], [
        one for one in weights if one.id.casefold() in chosen
    ]
