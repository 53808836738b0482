"""Dates as breeders write them: a day, a month, a year, "about 2019", "before 2022-03", a span of days.

Convention: a date that is not a full day counts as its last day wherever dates are put in order.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from typing import Literal

from msgspec import Struct, field
from msgspec.structs import replace

from clutchlight.model.traits import Genotype, Locus, Species
from clutchlight.problems import Place


def id_in_words(name: str) -> str:
    """An id as a reader sees it: "F-01", and "the unnamed dam of F-01" for "F-01:dam"."""
    whose, colon, role = name.partition(":")
    return f"the unnamed {role} of {whose}" if colon else name


class When(Struct, frozen=True, order=True):
    """A day or a span of days. `last` orders it; `text` is what the breeder wrote, in plain form."""

    last: date
    first: date
    text: str
    vague: bool = False

    @classmethod
    def day(cls, value: date) -> When:
        return cls(value, value, value.isoformat())

    @classmethod
    def span(cls, first: date, last: date) -> When:
        """A day, or the days from one to another: "2024-07-14..16"."""
        alike = (first.year, first.month) == (last.year, last.month)
        return cls.day(first) if first == last else cls(last, first, f"{first}..{f'{last:%d}' if alike else last}")

    @property
    def exact(self) -> bool:
        """True when it is one known day."""
        return self.first == self.last and not self.vague

    def by(self, day: date) -> bool:
        """Whether it may have been by the end of a day."""
        return self.first <= day

    def meets(self, other: When) -> bool:
        """Whether both may be one day."""
        return self.first <= other.last and other.first <= self.last

    @property
    def open(self) -> bool:
        """True of "before ...": no first day is known."""
        return self.first == date.min

    @property
    def month_text(self) -> str:
        """Year and month where both are known ("2024-07"), else what was written."""
        if not self.vague and (self.first.year, self.first.month) == (self.last.year, self.last.month):
            return f"{self.last.year:04d}-{self.last.month:02d}"
        return self.text

    def __str__(self) -> str:
        return self.text


Sex = Literal["male", "female", "unknown"]
Status = Literal["breeder", "holdback", "growing on", "available", "on hold", "sold", "not for sale", "elsewhere"]
Publish = Literal["page", "name only", "no"]
Role = Literal["sire", "dam"]


class Reading(Struct, frozen=True):
    """One reading of an animal's looks.

    `shows`: canonical look names (combos already taken apart), () for a normal look, None for never looked at.
    `loose`: looks shown whose line is not known ("Axanthic"); shown to the reader, evidence at no locus.
    `without`: subtle looks searched for and not seen. `cannot_tell`: look names whose locus or double dose is undecided.
    """

    shows: tuple[str, ...] | None
    place: Place
    on: When | None = None
    loose: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    cannot_tell: tuple[str, ...] = ()


class Claim(Struct, frozen=True):
    """What somebody else said of a founder: it carries one copy of `trait` with this chance (1 = certain).

    `two_copies`: the claim is about a second copy of a trait that the founder shows.
    `came_from`: which parent gave a sex-linked copy.
    """

    locus: str
    trait: str
    chance: Fraction | None
    place: Place
    said_by: str | None = None
    on: When | None = None
    withdrawn: When | None = None
    two_copies: Fraction | None = None
    came_from: Role | None = None


Word = tuple[Claim, ...]
"""What is claimed for certain: a copy of one allele or, by chances that sum to 1, of one of several; two copies of one."""


def words_of_certainty(claims: Iterable[Claim]) -> Iterator[Word]:
    """What is claimed for certain of a founder at one locus."""
    claims = tuple(claims)
    chances = tuple(claim for claim in claims if claim.chance is not None)
    if sum(claim.chance or 0 for claim in chances) == 1:
        yield chances
    yield from ((claim,) for claim in claims if claim.two_copies == 1)


def trusted(claims: Sequence[Claim], trust: Fraction) -> list[Claim]:
    """The claims of a founder at one locus, those of certainty with this chance of being true in the place of 1."""
    sure = [claim for word in words_of_certainty(claims) for claim in word]
    return [
        replace(claim, chance=claim.chance and claim.chance * trust, two_copies=claim.two_copies and trust)
        if claim in sure
        else claim
        for claim in claims
    ]


class Stated(Struct, frozen=True):
    """A seller's figure for an animal with recorded parents: compared and shown, never counted."""

    locus: str
    trait: str
    chance: Fraction
    place: Place


class LabTest(Struct, frozen=True):
    """A test result: the number of copies of `trait`; `error`: the chance that the result is wrong (0 = taken as sure).

    `by`: the method; `lab`: the laboratory.
    """

    locus: str
    trait: str
    copies: int
    on: When
    place: Place
    error: Fraction = Fraction(0)
    by: str | None = None
    lab: str | None = None

    @property
    def laboratory(self) -> str:
        """The laboratory, whatever the case and spacing of its name; where none is given that is one laboratory too."""
        return " ".join((self.lab or "").casefold().split())

    @property
    def repeats(self) -> tuple[str, str]:
        """Of the fallible tests of an animal that have the same here the last counts: the trait, and the laboratory."""
        return self.trait, self.laboratory


def counting(tests: Iterable[LabTest]) -> list[LabTest]:
    """The tests that count, of those given in order of time."""
    found: dict[object, LabTest] = {}
    for number, test in enumerate(tests):
        one = test.repeats if test.error else number
        found.pop(one, None)
        found[one] = test
    return list(found.values())


class Photo(Struct, frozen=True):
    file: str
    place: Place
    on: When | None = None
    alt: str | None = None


class Coming(Struct, frozen=True):
    """How and when an animal came or left."""

    how: str
    on: When | None = None


SOLD = ("sold", "traded", "re-homed")
"""Ways to leave for a new owner."""
TO_STAY = (*SOLD, "returned")
"""Ways to leave for somebody who keeps the animal."""
STATUS_BEFORE = ("died", "escaped", "loan", "returned")
"""Ways to leave before which a status may stand: with a day, it is what held until then."""


class Leaving(Coming, frozen=True):
    """How and when an animal left. `until`: when it is to come back; `back`: when it did. `before`: how it had left before that."""

    until: When | None = None
    back: When | None = None
    before: Leaving | None = None


def out_of_here(left: Leaving | None, came: Coming | None) -> Leaving | None:
    """How an animal left this room; what befell it at a new owner's, such as its death, is no second leaving."""
    while (was := left and left.before) and was.how in TO_STAY and was.back is None and not _came_since(was, came):
        left = was
    return left


def gone(left: Leaving | None, came: Coming | None) -> Leaving | None:
    """How an animal left this room; None where it never did, or came back since."""
    left = out_of_here(left, came)
    return None if left is None or left.back is not None or _came_since(left, came) else left


def _came_since(left: Leaving, came: Coming | None) -> bool:
    if left.how == "died" or left.on is None or came is None or came.on is None:
        return False
    return came.on.last > left.on.last or (came.how == "returned" and came.on.last == left.on.last)


class Sexed(Struct, frozen=True):
    how: str
    on: When | None = None


FACTS = frozenset(
    (
        *("id", "name", "species", "sex", "sexed", "hatched", "sire", "dam", "clutch", "origin", "impressions"),
        *("shows", "without", "cannot_tell", "looks", "claims", "stated", "tests"),
        *("not_by", "laid", "ended", "eggs", "slugs", "went_bad", "unseen", "young", "tally", "to_sort", "complete"),
        *("counts", "set_aside", "checked"),
    )
)
"""Keys of what pages say that animals and clutches are. A correction of any other key is told to nobody: what is private stays so, and
for how much, or how, an animal was offered tells nothing of it."""


class Correction(Struct, frozen=True):
    on: When
    key: str
    was: str
    because: str
    place: Place

    @property
    def told(self) -> bool:
        """Whether readers and buyers are told of it."""
        return self.key in FACTS


class Animal(Struct, frozen=True):
    """One animal.

    `sire` and `dam` are ids of animals; for young of a clutch with sires in doubt `sire` is None: `clutch` says more.
    `described_in`: the animal or clutch in whose record a parent without an id is described; its own id ("F-03:dam") is none
    that anybody can write.
    `readings` are in order of date, undated first. `egg`: the id of the twin whose egg it shared, else its own id.
    """

    id: str
    species: str
    place: Place
    sex: Sex = "unknown"
    name: str | None = None
    was: tuple[str, ...] = ()
    sexed: Sexed | None = None
    hatched: When | None = None
    sire: str | None = None
    dam: str | None = None
    clutch: str | None = None
    egg: str = ""
    readings: tuple[Reading, ...] = ()
    claims: tuple[Claim, ...] = ()
    stated: tuple[Stated, ...] = ()
    tests: tuple[LabTest, ...] = ()
    impressions: tuple[str, ...] = ()
    status: Status = "not for sale"
    came: Coming | None = None
    left: Leaving | None = None
    origin: str | None = None
    price: str | None = None
    photos: tuple[Photo, ...] = ()
    publish: Publish = "page"
    corrections: tuple[Correction, ...] = ()
    prose: str = ""
    described_in: str | None = None
    places: Mapping[str, Place] = field(default_factory=dict)

    def place_of(self, key: str) -> Place:
        """Where the value of a key stands; the record itself when the key was not written."""
        return self.places.get(key, self.place)

    @property
    def founder(self) -> bool:
        """No recorded parent: neither a sire, nor a dam, nor a clutch."""
        return self.sire is None and self.dam is None and self.clutch is None

    @property
    def nameless(self) -> bool:
        return self.described_in is not None

    @property
    def shown_name(self) -> str:
        return self.name or self.id

    @property
    def called(self) -> str:
        """ "Rook (M-05)", or the id alone."""
        return f"{self.name} ({self.id})" if self.name else id_in_words(self.id)

    @property
    def reading(self) -> Reading | None:
        """The latest reading of its looks."""
        return self.readings[-1] if self.readings else None

    def reading_on(self, day: date | None) -> Reading | None:
        """The reading in force on a day, or at the beginning (None); an undated one counts from there."""
        return next((one for one in reversed(self.readings) if one.on is None or (day and one.on.last <= day)), None)

    @property
    def away(self) -> Leaving | None:
        """How and when it left; None where it never did, or came back since."""
        return gone(self.left, self.came)

    @property
    def passed_on(self) -> Leaving | None:
        """How and when it went to its new owner; also of one that is here on loan from that one, or went back there."""
        left = self.away
        if left is None and self.came is not None and self.came.how == "loan":
            left = self.left
        elif left is not None and left.how == "returned":
            left = left.before
        return left if left is not None and left.how in SOLD and left.back is None else None

    @property
    def way_out(self) -> str | None:
        """How it went to its new owner: sold, traded or re-homed; None where it did not."""
        return self.passed_on.how if self.passed_on is not None else "sold" if self.sold else None

    @property
    def loans(self) -> tuple[tuple[When, When], ...]:
        """From when to when it was out on loan, the last first; without a loan that is not over, or whose days are not known."""
        found, left = [], self.left
        while left is not None:
            if left.how == "loan" and left.on is not None and left.back is not None:
                found.append((left.on, left.back))
            left = left.before
        return tuple(found)

    @property
    def dead(self) -> bool:
        """Whether it died, here or at its new owner's."""
        return self.left is not None and self.left.how == "died"

    @property
    def sold(self) -> bool:
        return self.status == "sold" or (self.away is not None and self.away.how == "sold")

    @property
    def here(self) -> bool:
        """In the breeder's room: not sold, not gone, not known from paperwork only."""
        return self.away is None and self.status not in ("sold", "elsewhere") and not self.nameless


def hidden_loci(reading: Reading, species: Species) -> frozenset[str]:
    """Keys of the loci that this reading cannot speak of, unless a look is shown there."""
    return _behind_looks(reading, species) | loci_undecided(reading, species)


def loci_undecided(reading: Reading, species: Species) -> frozenset[str]:
    """Keys of the loci of looks that it leaves undecided."""
    return frozenset(key for name in reading.cannot_tell for key in _covered(name, species))


def _behind_looks(reading: Reading, species: Species) -> frozenset[str]:
    """Keys of the loci hidden by a look that is shown or undecided, and by what these may hide in turn."""
    shown = reading.shows or ()
    hidden = dict.fromkeys(key for name in (*shown, *reading.cannot_tell) for key in _hides(name, species))
    shown_at = {key for name in shown for key in species.locus_of_look.get(name, ())}
    waiting = [*hidden, *sorted(loci_undecided(reading, species))]
    while waiting:
        key = waiting.pop()
        locus = species.loci[key]
        seen = frozenset() if key in hidden else _would_be_seen(reading, locus)
        for other in (other for look, others in locus.hides.items() if look not in seen for other in others):
            if key not in shown_at and other in species.loci and other not in hidden:
                hidden[other] = None
                waiting.append(other)
    return frozenset(hidden)


def _would_be_seen(reading: Reading, locus: Locus) -> frozenset[str]:
    """The looks of two copies, or of two alleles, that hide other loci: whoever cannot tell one copy would have told these."""
    return frozenset(locus.hides).difference(locus.alleles, reading.cannot_tell)


def surely_hidden(reading: Reading, species: Species) -> frozenset[str]:
    """Keys of the loci hidden by a look that is shown: showing a look there as well is a mistake."""
    return frozenset(key for name in reading.shows or () for key in _hides(name, species))


def genotypes_left(reading: Reading | None, locus: Locus, species: Species) -> tuple[Genotype, ...] | None:
    """The genotypes of `locus` that the reading leaves open; None: it says nothing; (): no genotype looks so."""
    if reading is None or reading.shows is None:
        return None
    here = frozenset(name for name in reading.shows if locus.key in species.locus_of_look.get(name, ()))
    if not here and locus.key in _behind_looks(reading, species):
        return None
    if not here and locus.key in loci_undecided(reading, species):
        seen = _would_be_seen(reading, locus)
        undecided = tuple(pair for pair, look in locus.look_of.items() if not look & seen)
        return None if len(undecided) == len(locus.genotypes) else undecided
    without = frozenset(reading.without)
    doubled = {name for name in reading.cannot_tell if name in locus.look_names and name not in locus.alleles}
    pairs = (pair for name in doubled for pair in locus.looks.get(frozenset({name}), ()))
    here |= {locus.alleles[low - 1] for low, high in pairs if low == high}
    left = tuple(
        pair
        for pair, look in locus.look_of.items()
        if not look & without and (_fits(look, here, locus) or bool(look & doubled))
    )
    return None if len(left) == len(locus.genotypes) else left


def _fits(look: frozenset[str], here: frozenset[str], locus: Locus) -> bool:
    return here <= look and look - here <= locus.subtle


def _covered(name: str, species: Species) -> tuple[str, ...]:
    """The loci that a cannot-tell name closes; the name of a double dose closes none, it only leaves the dose open."""
    return tuple(key for key in species.locus_of_look.get(name, ()) if name in species.loci[key].alleles)


def _hides(name: str, species: Species) -> tuple[str, ...]:
    return tuple(
        other
        for key in species.locus_of_look.get(name, ())
        for other in species.loci[key].hides.get(name, ())
        if other in species.loci
    )
