"""One inference being put into words: its answers, each asked once, and how animals and clutches are called."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from datetime import date
from fractions import Fraction
from functools import cache, cached_property
from typing import Any, Concatenate, ParamSpec, TypeVar

from msgspec.structs import replace

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.kinship import CollectionKinship
from clutchlight.genetics.values import (
    Event,
    Figure,
    NotComputed,
    SireChances,
    Surprise,
)
from clutchlight.model import (
    NOBODY,
    Animal,
    Clutch,
    Collection,
    Locus,
    Reading,
    Recorded,
    Sire,
    Sires as CandidateSires,
    Species,
    Unrecorded,
    When,
)
from clutchlight.model.as_published import is_unlisted
from clutchlight.model.ledger import DatedRecord, Ledger
from clutchlight.model.traits import grouped
from clutchlight.problems import Place
from clutchlight.wording.text import Name, Text, phrase

History = tuple[tuple[Event | None, Figure], ...]
Sires = tuple[tuple[Sire, Fraction | None], ...]
"""Who may be a sire, each with his chance; None: not computed."""

Made = TypeVar("Made")
About = ParamSpec("About")


def kept(method: Callable[Concatenate[Answers, About], Made]) -> Callable[Concatenate[Answers, About], Made]:
    """What is asked of the answers, asked only once about the same."""

    def kept(answers: Answers, /, *about: About.args, **named: About.kwargs) -> Made:
        return answers.once((method, *about, *named.items()), lambda: method(answers, *about, **named))

    return kept


class Answers:
    """One inference being put into words. Keeps answers, changes nothing. `own`: for the breeder alone, who may be told every name."""

    def __init__(
        self,
        inferred: Inference,
        ledger: Ledger | None = None,
        *,
        own: bool = False,
    ) -> None:
        self.inferred = inferred
        self.ledger = ledger or Ledger()
        self.own = own
        self.collection: Collection = inferred.collection
        self._made: dict[Hashable, Any] = {}
        self.now, self.grounds = cache(inferred.now), cache(inferred.grounds)
        self.rules_out = cache(inferred.ruled_out)
        self.other_sires, self.if_one_sire = cache(inferred.other_sires), cache(inferred.if_one_sire)

    def once(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """What `make` gives, made once for the key; for words that are asked for from several pages. The key begins with their kind."""
        if key not in self._made:
            self._made[key] = make()
        made: Made = self._made[key]
        return made

    def like(self, animal: Animal) -> Animal:
        """The animal whose figures, and words for them, are also its own: the first of its clutch that nothing tells from it, or itself."""
        return self.collection.animals[self.inferred.like.get(animal.id, animal.id)]

    # The inference, asked once

    def loci(self, species: str) -> tuple[Locus, ...]:
        return self.inferred.loci_in_play(species)

    def spoken_of(self, species: str) -> tuple[Locus, ...]:
        """Those of them at which the record of a listed animal or clutch says something."""
        return self._listed_alone.loci_in_play(species) if self._listed_alone else self.loci(species)

    @cached_property
    def _listed_alone(self) -> Collection | None:
        """The collection without what is unlisted; None where nothing is."""
        animals = {key: animal for key, animal in self.collection.animals.items() if not is_unlisted(key)}
        clutches = {key: clutch for key, clutch in self.collection.clutches.items() if not is_unlisted(key)}
        if (len(animals), len(clutches)) == (len(self.collection.animals), len(self.collection.clutches)):
            return None
        return replace(self.collection, animals=animals, clutches=clutches)

    @kept
    def history(self, animal: str, locus: str) -> History:
        """How a figure came about, as far as it is computed."""
        rows = self.inferred.history(animal, locus)
        return _as_one(tuple((event, figure) for event, figure in rows if isinstance(figure, Figure)))

    def changed_last(self, animal: str) -> date | None:
        """The day on which evidence last changed what is told of the animal; None where that of unlisted ones alone did, or none."""
        record = self.collection.animals[animal]
        keys = (locus.key for locus in self.loci(record.species))
        told = (key for key in keys if key not in self.collection.set_aside(record))
        events = {event for key in told for event, _ in self.inferred.history(animal, key) if event is not None}
        last = max((event.on for event in events), default=None)
        return last if any(event.on == last and not is_unlisted(event.subject) for event in events) else None

    @cached_property
    def surprises(self) -> tuple[Surprise, ...]:
        """The unexpected results, but for those of parents that nobody named or wrote of, and what a founder's test had told."""
        found = (
            one for one in self.inferred.surprises if not one.clutches or not all(map(self._of_strangers, one.clutches))
        )
        return tuple(left for one in found if (left := self._untold(one)) is not None)

    def _untold(self, surprise: Surprise) -> Surprise | None:
        """A result with the founders of which no test of their own had told it; None where the tested ones are enough."""
        untold = tuple(one for one in surprise.founders if not self._tested_before(one[0], surprise))
        if len(untold) == len(surprise.founders):
            return surprise
        return replace(surprise, founders=untold) if sum(chance for _, chance in untold) >= 1 else None

    def _tested_before(self, founder: str, surprise: Surprise) -> bool:
        """Whether its last test before an unexpected result found the allele."""
        record, day = self.collection.animals.get(founder), surprise.since or date.min
        trait = self.collection.species[surprise.species].loci[surprise.locus].alleles[surprise.allele - 1]
        tests = [one for one in record.tests if one.trait == trait and one.on.last < day] if record else []
        return bool(tests) and max(tests, key=lambda test: test.on.last).copies > 0

    def _of_strangers(self, clutch: str) -> bool:
        found = self.collection.clutches[clutch]
        parents = [self.collection.animals[name] for name in found.parents]
        return all(
            parent.nameless and not (parent.readings or parent.claims or parent.tests) for parent in parents
        ) and NOBODY not in (sire for sire, _ in found.sires.candidates)

    @cached_property
    def unexpected(self) -> Mapping[tuple[str, str], date]:
        """By animal and locus, the day from which what is said there hangs on an unexpected result, the first of them."""
        days = grouped(
            ((one.animal, one.locus), one.since or date.min) for each in self.surprises for one in each.moved
        )
        return {place: min(found) for place, found in days.items()}

    def carries(self, animal: str, locus: str, allele: int) -> Fraction | None:
        """The chance now that an animal on record carries an allele; None when there is no figure."""
        figure = self.now(animal, locus)
        return figure.carries(allele) if isinstance(figure, Figure) else None

    def ever(self, animal: str, locus: str, allele: int) -> bool:
        """Whether an animal ever had a chance of carrying an allele."""
        return any(figure.carries(allele) for _, figure in self.history(animal, locus))

    def when_of(self, event: Event) -> When:
        """The date of an event as it was recorded, which may be a month or a year."""
        return self._written(event)[0]

    def place_of(self, event: Event) -> Place:
        """Where the records have an event."""
        return self._written(event)[1]

    def _written(self, event: Event) -> tuple[When, Place]:
        record = self.collection.clutches.get(event.subject) or self.collection.animals[event.subject]
        rows: list[tuple[When | None, Place]] = [(record.hatched, record.place)]
        if isinstance(record, Animal):
            match event.kind:
                case "test":
                    rows = [(test.on, test.place) for test in record.tests]
                case "look":
                    rows = [(reading.on, reading.place) for reading in record.readings]
                case "withdrawn":
                    rows = [(claim.withdrawn, claim.place) for claim in record.claims]
        fits = ((when, place) for when, place in rows if when is not None and when.last == event.on)
        return next(fits, (When.day(event.on), record.place))

    def dated_record(self, animal: Animal, day: date) -> DatedRecord | None:
        """What was stated of it and was in force on a day."""
        rows = self.ledger.of(*animal.was, animal.id)
        return next((record for record in reversed(rows) if record.on <= day), None)

    # Looks

    def species_of(self, animal: Animal) -> Species:
        return self.collection.species[animal.species]

    def looks_at(self, animal: Animal, locus: Locus) -> tuple[str, ...]:
        """The names that the latest reading shows at a locus and that count."""
        return self.looks_in(looked(animal), animal, locus)

    def looks_in(self, reading: Reading | None, animal: Animal, locus: Locus) -> tuple[str, ...]:
        """The names that a reading of the animal shows at a locus and that count."""
        at = self.species_of(animal).locus_of_look
        looks = self.collection.looks_that_count(animal, reading) or ()
        return tuple(name for name in looks if locus.key in at.get(name, ()))

    # Names

    def listed(self, name: str) -> bool:
        """Whether an animal or a clutch may be named to whoever reads this."""
        record = self.collection.animals.get(name) or self.collection.clutches.get(name)
        return record is None or self.own or record.publish != "no"

    def clutch(self, name: str) -> Text:
        """ "clutch C24-03", or "an unlisted clutch"."""
        known = name in self.collection.clutches and self.listed(name)
        return Text("clutch ", Name(name)) if known else Text("an unlisted clutch")

    def clutches(self, names: Iterable[str]) -> tuple[Text, ...]:
        """Several clutches, the unlisted ones once, whatever their number."""
        return _names_first(map(self.clutch, names))

    def all_named(self, names: Iterable[str]) -> tuple[Text, ...]:
        """Several animals, the unlisted ones once, whatever their number."""
        return _names_first(map(self.named, names))

    def males(self, clutch: Clutch) -> tuple[Text, ...]:
        """Who may have sired it, the unlisted ones once, whatever their number."""
        return tuple(dict.fromkeys(self.male(sire) for sire, _ in clutch.sires.candidates))

    def male(self, sire: Sire) -> Text:
        """How a sire, on record or not, is called in public."""
        if isinstance(sire, Recorded):
            return self.named(sire.id)
        return Text("an unrecorded male" if isinstance(sire, Unrecorded) else "no male")

    def named(self, animal: str) -> Text:
        """How an animal, on record or not, is called in public; a clutch by its id."""
        if animal in self.collection.clutches:
            return Text(Name(animal) if self.listed(animal) else "an unlisted clutch")
        record = self.collection.animals.get(animal)
        if record is None or record.nameless:
            return self._unnamed(animal, "unrecorded" if record is None else "unnamed")
        if not self.listed(animal):
            return Text("an unlisted ", "animal" if record.sex == "unknown" else record.sex)
        return Text(Name(animal))

    def _unnamed(self, animal: str, how: str) -> Text:
        young, _, role = animal.rpartition(":")
        return (
            phrase("the {} {} of {}", how, role or "parent", self.named(young)) if young else Text(f"an {how} animal")
        )

    def related(self, animal: str, role: str, whose: str = "its") -> Text:
        """A relative by role and name: "its dam F-03", "its unlisted sire"."""
        if self.collection.animals[animal].nameless:
            return Text(f"{whose} unnamed {role}")
        if not self.listed(animal):
            return Text(f"{whose} unlisted {role}")
        return phrase("{} {} {}", whose, role, Name(animal))

    # Family

    def sires_of(self, animal: Animal) -> Sires:
        """Who may be its sire, with the chances after the evidence, those left without a chance dropped; () for a founder."""
        clutch = self.collection.clutches.get(animal.clutch or "")
        return self.once(("sires of", animal.id), lambda: self._sires(self.inferred.sires_of(animal.id), clutch))

    def sires_of_clutch(self, clutch: Clutch) -> Sires:
        """The same for a clutch as a whole."""
        return self.once(("sires", clutch.id), lambda: self._sires(self.inferred.sires(clutch.id), clutch))

    def without_a_male(self, clutch: Clutch) -> bool:
        return [sire for sire, _ in self.sires_of_clutch(clutch)] == [NOBODY]

    @staticmethod
    def _sires(found: SireChances | NotComputed, clutch: Clutch | None) -> Sires:
        if isinstance(found, NotComputed):
            return tuple((name, None) for name, _ in clutch.sires.candidates) if clutch else ()
        return tuple((name, chance) for name, chance in found if chance)

    @cached_property
    def settled(self) -> Collection:
        """The collection with the sire of a clutch, or of a young of a mixed one, written down wherever what is on record leaves one."""
        collection = self.collection
        clutches, animals = dict(collection.clutches), dict(collection.animals)
        for key, clutch in clutches.items():
            if clutch.sires.kind == "one of" and len(left := self.sires_of_clutch(clutch)) == 1:
                clutches[key] = replace(clutch, sires=CandidateSires("one", ((left[0][0], Fraction(1)),)))
            for animal in (animals[name] for name in clutch.young if clutch.sires.kind == "mixed"):
                left = self.sires_of(animal)
                if len(left) == 1 and isinstance(sire := left[0][0], Recorded):
                    animals[animal.id] = replace(animal, sire=sire.id)
        return replace(collection, clutches=clutches, animals=animals)

    @cached_property
    def kinship(self) -> CollectionKinship:
        """How closely animals are related by all that is on record."""
        return CollectionKinship(self.settled, self.inferred.sires_of)

    def dam_of(self, animal: Animal) -> str | None:
        clutch = self.collection.clutches.get(animal.clutch or "")
        return clutch.dam if clutch is not None else animal.dam

    @cached_property
    def breeders(self) -> Mapping[str, Animal]:
        """The animals here that are, or are kept to be, bred from, of known sex and named in public."""
        return {
            animal.id: animal
            for animal in self.collection.animals.values()
            if animal.here
            and animal.status in ("breeder", "holdback")
            and animal.sex != "unknown"
            and animal.publish != "no"
        }

    @cached_property
    def children(self) -> Mapping[str, tuple[str, ...]]:
        """For each animal the animals that it is, or may be, a parent of."""
        return grouped(
            (parent, young) for young in self.collection.animals for parent in dict.fromkeys(self.parents(young))
        )

    @kept
    def parents(self, animal: str) -> tuple[str, ...]:
        """The animals on record that are, or may be, its parents: dam first; of one that is not on record, none."""
        return self.collection.parents_of(animal) if animal in self.collection.animals else ()

    @kept
    def forebears(self, name: str) -> frozenset[str]:
        """All that an animal or a clutch may come from; a parent that is not recorded is called by its young or their clutch."""
        record, clutch = self.collection.animals.get(name), self.collection.clutches.get(name)
        above = set(clutch.parents if clutch else self.parents(name))
        homes = (name, record.clutch if record else None)
        unrecorded = {f"{home}:{role}" for home in homes if home for role in ("sire", "dam")}
        return frozenset(above | unrecorded).union(*(self.forebears(parent) for parent in above))

    @cached_property
    def _events_by_subject(self) -> Mapping[str, tuple[Event, ...]]:
        return grouped((event.subject, event) for event in self.inferred.events)

    def events_of(self, subject: str) -> tuple[Event, ...]:
        """The events of an animal or a clutch, in order."""
        return self._events_by_subject.get(subject, ())

    def events_near(self, animal: str) -> tuple[Event, ...]:
        """The events of an animal, its parents and its young, and of the clutches that it or a parent may have bred, in order."""
        elders = (animal, *self.parents(animal))
        clutches = (clutch for one in elders for clutch in self.collection.clutches_of.get(one, ()))
        subjects = dict.fromkeys((*elders, *self.children.get(animal, ()), *clutches))
        return tuple(sorted(event for subject in subjects for event in self.events_of(subject)))

    def close_kin(self, one: str, other: str) -> bool:
        """Whether one is, or may be, a parent of the other, or both may share a parent."""
        above, beside = set(self.parents(one)), set(self.parents(other))
        return one in beside or other in above or bool(above & beside)

    def kin(self, one: str, other: str) -> bool:
        """Whether two animals on record have a forebear on record in common, themselves included."""
        animals = self.collection.animals
        return any(name in animals for name in ({one, *self.forebears(one)} & {other, *self.forebears(other)}))

    def as_parent(self, clutch: Clutch, animal: str) -> str | None:
        """ "dam" or "sire" when the animal is certainly that of the clutch."""
        if clutch.dam == animal:
            return "dam"
        left = [sire for sire, _ in self.sires_of_clutch(clutch)]
        alone = left == [Recorded(animal)] and not self.inferred.sires_left_by_claims(clutch.id)
        return "sire" if clutch.sires.certain == animal or alone else None


def _names_first(found: Iterable[Text]) -> tuple[Text, ...]:
    """Each once, those without a name last: where they stood among the others would tell how they are called."""
    return tuple(dict.fromkeys(sorted(found, key=lambda one: not any(isinstance(part, Name) for part in one.parts))))


def _as_one(rows: History) -> History:
    """What several unlisted ones did one after the other, as one step."""
    found: list[tuple[Event | None, Figure]] = []
    for event, figure in rows:
        before = found[-1][0] if found else None
        if event and before and event.on == before.on and is_unlisted(event.subject) and is_unlisted(before.subject):
            found.pop()
        if not found or found[-1][1] != figure:
            found.append((event, figure))
    return tuple(found)


def looked(animal: Animal, day: date = date.max) -> Reading | None:
    """The latest reading that says what was seen, of those on record by a day."""
    by_then = (one for one in reversed(animal.readings) if one.on is None or one.on.last <= day)
    return next((reading for reading in by_then if reading.shows is not None), None)


def looks_in_order(shows: Sequence[str], loose: Sequence[str], species: Species) -> tuple[str, ...]:
    """The looks in order, then those whose line is not known: "Axanthic (line not known)"."""
    return (*species.in_order(shows), *(f"{name} (line not known)" for name in sorted(loose)))


def looks_told(collection: Collection, animal: Animal, reading: Reading | None) -> tuple[str, ...] | None:
    """What a reading saw that counts, in order; None where nothing was seen."""
    counted = collection.looks_that_count(animal, reading)
    if reading is None or counted is None:
        return None
    return looks_in_order(counted, reading.loose, collection.species[animal.species])
