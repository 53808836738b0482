"""What an animal and a clutch may say: keys, and the kind of each value.

Short forms (`photos: [bramble.jpg]`, `3 f Pastel Piebald; holdback`, `claims: {Piebald: 66%}`) are turned into the long
form first, so that everything after sees one form.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, ClassVar, Literal, Self, get_args

from clutchlight.model import Coming, Correction, Leaving, Publish, Recorded, Role, Sexed, Status, sire_called
from clutchlight.reading.fields import (
    EMPTY,
    SEXES,
    Called,
    Chance,
    Count,
    Day,
    DayAhead,
    Id,
    Ids,
    Names,
    PerhapsTextsByName,
    Placed,
    Price,
    Sentences,
    SexWord,
    Slug,
    Span,
    Words,
    YesNo,
    entries,
    one_of,
    parse_called,
    parse_chance,
    parse_names,
    text_of,
)
from clutchlight.reading.findings import Findings
from clutchlight.reading.strict import RecordShape, UnfitError, listed, wrong_shape
from clutchlight.reading.text import Items, Table, Written, WrittenText, by_word, is_empty

_MAX_LENGTH = 300

_YOUNG = re.compile(r"(?P<number>[0-9]{1,4})\s+(?P<rest>[^;]*)(?:;(?P<after>.*))?")
_TALLY = re.compile(r"(?P<count>[0-9]{1,4})\s*[xX×]\s+(?P<rest>[^;]*)")
_SEX = re.compile(r"(\S+)(?:\s+|$)")
_STATUS_PRICE = re.compile(r"\s*(?P<status>[a-z][a-z ]*?)??[\s,]*(?P<price>[^\w\s]?\d\S*|\bask)?\s*", re.IGNORECASE)
_PRICE_STATUS = re.compile(r"\s*(?P<price>[^\w\s]?\d\S*|ask\b)[\s,]+(?P<status>[a-z][a-z ]*?)\s*", re.IGNORECASE)

_YOUNG_FORM = "write number, sex, looks; status and price, such as `3 f Pastel Piebald; available 250`"
_TALLY_FORM = "write how many, an x, the sex if known, and the looks, such as `2 x normal`"


def _sex_and_looks(written: WrittenText) -> dict[str, WrittenText]:
    found: dict[str, WrittenText] = {}
    first = _SEX.match(written)
    if first is not None and first[1].casefold() in SEXES:
        found["sex"] = written.group(first, 1)
        written = written.part(written[first.end() :], first.end())
    if looks := written.trimmed():
        found["shows"] = looks
    return found


def _status_and_price(written: WrittenText) -> dict[str, WrittenText]:
    found = _PRICE_STATUS.fullmatch(written) or _STATUS_PRICE.fullmatch(written)
    if found is None:
        said = f"'{written.strip()}' is not a status and price; {_YOUNG_FORM}"
        raise UnfitError("bad-short-form", said, written.place)
    return {key: written.group(found, key).trimmed() for key in ("status", "price") if found[key]}


_DIED = "write `left: {how: died}`, with `on` if the day is known"
MEANT_BY_STATUS = by_word(
    {
        "available": "for sale|on sale",
        "on hold": "reserved|hold",
        "holdback": "kept|keeper",
        _DIED: "died|dead|deceased",
    }
)
MEANT_BY_COMING = by_word({"bought": "purchased|purchase", "hatched here": "hatched|bred here", "trade": "traded"})
MEANT_BY_LEAVING = by_word({"died": "dead", "traded": "trade", "re-homed": "gave away|given away|rehomed"})
MEANT_BY_ORIGIN = by_word({"captive bred": "cb|cbb", "wild": "wc|wild caught"})
WAYS_TO_COME = ("bought", "hatched here", "trade", "loan", "returned")
WAYS_TO_LEAVE = ("sold", "traded", "died", "loan", "returned", "re-homed", "escaped")
ORIGINS = ("bred here", "captive bred", "farmed", "wild")


def _by_trait(value: Written) -> tuple[Written, ...]:
    """`{Piebald: 66%}` → `[{trait: Piebald, chance: 66%}]`; a trait may also have a group of keys or a list of them."""
    if not isinstance(value, Table):
        return listed(value)
    return tuple(
        _of_trait(trait, one) for trait, item in entries(value) for one in (item if isinstance(item, Items) else [item])
    )


def _of_trait(trait: WrittenText, said: Written) -> Table:
    if is_empty(said):
        raise UnfitError("wrong-shape", f"no chance stands behind '{trait}'; write one, such as 66%", trait.place)
    if not isinstance(said, Table):
        return Table.of(trait.place, trait=trait, chance=said)
    table = Table({**said, "trait": trait})
    table.mark = said.mark
    return table


def _candidate(value: Written) -> WrittenText:
    text = text_of(value, "one id or name")
    word = text.casefold()  # phones begin a line with a capital
    return parse_called(text) if isinstance(sire_called(word), Recorded) else text.part(word, 0)


def _candidates(value: Written, findings: Findings) -> tuple[tuple[WrittenText, Fraction], ...]:
    """A list (equal chances) or a table of chances that add up to 1."""
    if isinstance(value, Table):
        found = [(_candidate(name), parse_chance(chance, findings)) for name, chance in entries(value)]
    else:
        names = [_candidate(item) for item in (value if isinstance(value, Items) else [value])]
        found = [(name, Fraction(1, len(names))) for name in names]
    if not found:
        raise wrong_shape(value, "at least one male, or `sire: unknown`")
    if none := next((name for name, chance in found if chance == 0), None):
        raise UnfitError("sire-chances", f"'{none}' has no chance; leave it out", none.place)
    seen: set[str] = set()
    for name, _ in found:
        if name.casefold() in seen:
            raise UnfitError("sire-chances", f"'{name}' stands here twice; keep one", name.place)
        seen.add(name.casefold())
    total = sum((chance for _, chance in found), Fraction(0))
    if total != 1:
        said = f"these chances add up to {total}, not to 1 (66% and 67% are read as 2/3, 33% as 1/3)"
        raise UnfitError("sire-chances", f"{said}; write them as fractions", found[0][0].place)
    return tuple(found)


class Looks(RecordShape):
    """What was seen, and what was looked for and not seen."""

    shows: Names
    without: Names = ()
    cannot_tell: Names = ()


class LookRecord(Looks, noun="a reading"):
    """One dated reading of an animal's looks."""

    on: Day | None = None


class ClaimRecord(RecordShape, noun="a claim"):
    trait: Placed
    chance: Chance | None = None
    said_by: Annotated[Words | None, "from"] = None
    on: Day | None = None
    withdrawn: Day | None = None
    two_copies: Chance | None = None
    came_from: Annotated[Role, one_of(get_args(Role))] | None = None


class StatedRecord(RecordShape, noun="a stated figure"):
    trait: Placed
    chance: Chance


class TestRecord(RecordShape, noun="a test"):
    trait: Placed
    copies: Count
    on: Day
    by: Words | None = None
    lab: Words | None = None
    error: Chance = Fraction(0)


class PhotoRecord(RecordShape, noun="a photo", short="file"):
    hints: ClassVar[Mapping[str, str]] = {"name": "write `file`", "photo": "write `file`", "date": "write `on`"}
    file: Placed
    on: Day | None = None
    alt: Words | None = None


class SexedRecord(RecordShape, noun="sexed", short="how", makes=Sexed):
    how: Words
    on: Day | None = None


class CameRecord(RecordShape, noun="came", short="how", makes=Coming):
    how: Annotated[str, one_of(WAYS_TO_COME, meant=MEANT_BY_COMING)]
    on: Day | None = None


class LeftRecord(RecordShape, noun="left", short="how", makes=Leaving):
    how: Annotated[str, one_of(WAYS_TO_LEAVE, meant=MEANT_BY_LEAVING)]
    on: Day | None = None
    until: DayAhead | None = None
    back: Day | None = None
    then: LeftRecord | None = None

    def latest(self) -> Leaving:
        """How it left last, with what was before."""
        found, record = self.as_value(Leaving), self.then
        while record is not None:
            found, record = record.as_value(Leaving, before=found), record.then
        return found


def _was(value: Written) -> str:
    """What stood there before, be it a text or a list of texts."""
    if names := parse_names(value):
        return ", ".join(names)
    raise UnfitError("wrong-shape", "this list is empty; write what stood there, such as `normal` or `unknown`")


class CorrectionRecord(RecordShape, noun="a correction", makes=Correction):
    on: Day
    key: Words
    was: Annotated[str, _was]
    because: Words


class SeenRecord(RecordShape):
    """What was seen of an animal or said of it; shared by animals, young and parents written in place."""

    shows: Names | None = None
    without: Names = ()
    cannot_tell: Names = ()
    looks: tuple[LookRecord, ...] = ()
    claims: Annotated[tuple[ClaimRecord, ...], _by_trait] = ()


class ParentRecord(SeenRecord, noun="a parent", short="id"):
    """A parent of an animal: an id or a name, or a nameless parent written in place."""

    hints: ClassVar[Mapping[str, str]] = {
        "name": "a parent with a name gets a record of its own, with an id, named here",
        "one_of": "a sire in doubt is written in a clutch, with its young under `young:`",
        "mixed": "a sire in doubt is written in a clutch, with its young under `young:`",
    }
    id: Called | None = None


class SireRecord(SeenRecord, noun="a sire"):
    """The sire of a clutch: one, several in doubt, unknown, none, or a nameless one written in place."""

    one_of: Annotated[tuple[tuple[WrittenText, Fraction], ...], _candidates] = ()
    mixed: Annotated[tuple[tuple[WrittenText, Fraction], ...], _candidates] = ()

    @classmethod
    def from_short(cls, value: WrittenText | Items) -> Table:
        return Table.of(value.place, one_of=value)


class AnimalFacts(SeenRecord, noun="an animal"):
    """What can be said of an animal wherever it stands."""

    apart = frozenset({"status", "price", "origin", "impressions", "photos"})
    hints: ClassVar[Mapping[str, str]] = by_word(
        {
            "young are listed under `young:` in the clutch's own file": "clutch",
            "write `claims: {Piebald: 100%}` for a founder, `stated:` for an animal with recorded parents": "het|hets",
            "write what is seen in `shows`, what is said in `claims`": "genes|genetics",
            "write what is seen in `shows`": "morph",
            "write `sex`": "gender",
            "write `hatched`": "born|dob|birthday",
            "write `sire`": "father",
            "write `dam`": "mother",
            "write prose below the second `---`, or private notes under `private:`": "note|notes",
            "weights stand in log/*.csv": "weight|weights",
        }
    )

    name: Words | None = None
    sex: SexWord | None = None
    sexed: SexedRecord | None = None
    stated: Annotated[tuple[StatedRecord, ...], _by_trait] = ()
    tests: tuple[TestRecord, ...] = ()
    impressions: Sentences = ()
    status: Annotated[Status, one_of(get_args(Status), meant=MEANT_BY_STATUS)] | None = None
    came: CameRecord | None = None
    left: LeftRecord | None = None
    origin: Annotated[str, one_of(ORIGINS, meant=MEANT_BY_ORIGIN)] | None = None
    price: Price | None = None
    photos: tuple[PhotoRecord, ...] = ()
    publish: Annotated[Publish, one_of(get_args(Publish))] = "page"
    corrections: tuple[CorrectionRecord, ...] = ()
    was: Ids = ()


class AnimalRecord(AnimalFacts):
    """An animal in animals/."""

    id: Id
    species: Slug | None = None
    hatched: Day | None = None
    sire: ParentRecord | None = None
    dam: ParentRecord | None = None


class YoungRecord(AnimalFacts, noun="a hatchling"):
    """An animal in the file of its clutch; `number` is set by the short form."""

    hints: ClassVar[Mapping[str, str]] = {
        **AnimalFacts.hints,
        "hatched": "the date stands once, in the clutch's own `hatched`",
        "sire": "the sire stands once, in the clutch's own `sire`",
        "dam": "the dam stands once, in the clutch's own `dam`",
        "species": "young take their dam's species",
        "count": "hatchlings that are only counted stand in `tally`",
    }
    id: Id | None = None
    number: Annotated[Count | None, "#"] = None
    same_egg_as: Id | None = None

    @classmethod
    def from_short(cls, value: WrittenText | Items) -> Table:
        if not isinstance(value, WrittenText):
            return super().from_short(value)
        found = _YOUNG.fullmatch(value) if len(value) <= _MAX_LENGTH else None
        if found is None:
            what = f"is not a hatchling's line; {_YOUNG_FORM}"
            if len(value) <= _MAX_LENGTH and _TALLY.fullmatch(value):
                what = "counts hatchlings that are not kept apart; move it to `tally:`"
            raise UnfitError("bad-short-form", f"'{value}' {what}")
        values = {"#": value.part(str(int(found["number"])), 0), **_sex_and_looks(value.group(found, "rest"))}
        if found["after"] is not None and found["after"].strip():
            values |= _status_and_price(value.group(found, "after"))
        return Table.of(value.place, **values)


class TallyRecord(Looks, noun="a tally line"):
    """Hatchlings of one look counted but not kept apart."""

    count: Count
    sex: SexWord | None = None

    @classmethod
    def from_short(cls, value: WrittenText | Items) -> Table:
        if not isinstance(value, WrittenText):
            return super().from_short(value)
        found = _TALLY.fullmatch(value) if len(value) <= _MAX_LENGTH else None
        if found is None:
            raise UnfitError("bad-short-form", f"'{value}' is not a tally line; {_TALLY_FORM}")
        values = {"count": value.group(found, "count"), **_sex_and_looks(value.group(found, "rest"))}
        if "shows" not in values:
            raise UnfitError("bad-short-form", f"'{value}' names no look; {_TALLY_FORM}")
        return Table.of(value.place, **values)


class ClutchRecord(RecordShape, noun="a clutch"):
    """A clutch in clutches/."""

    apart = frozenset({"name", "laid", "slugs", "reported_by", "checked", "photos", "publish"})
    hints: ClassVar[Mapping[str, str]] = by_word(
        {
            "write `young`": "hatchlings|babies",
            "write `sire`": "father|male",
            "write `dam`": "mother|female",
            "young take their dam's species": "species",
            "write prose below the second `---`, or private notes under `private:`": "notes",
        }
    )

    id: Id
    name: Words | None = None
    was: Ids = ()
    sire: SireRecord
    not_by: Ids = ()
    dam: ParentRecord
    laid: Span | None = None
    eggs: Count | None = None
    slugs: Count = 0
    went_bad: Count = 0
    unseen: Count = 0
    hatched: Span | None = None
    ended: Day | None = None
    young: tuple[YoungRecord, ...] = ()
    tally: tuple[TallyRecord, ...] = ()
    to_sort: Count = 0
    complete: YesNo = True
    reported_by: Words | None = None
    counts: YesNo = True
    set_aside: PerhapsTextsByName = EMPTY
    checked: Names = ()
    photos: tuple[PhotoRecord, ...] = ()
    corrections: tuple[CorrectionRecord, ...] = ()
    publish: Annotated[Literal["page", "no"], one_of(("page", "no"))] = "page"

    def completed(self) -> Self:
        """The number of a hatchling's line makes its id: "3" of C24-01 is C24-01-3."""
        young = (
            one
            if one.id is not None or one.number is None
            else one.but(id=WrittenText.at(f"{self.id}-{one.number}", one.place))
            for one in self.young
        )
        return self.but(young=tuple(young)) if self.young else self
