"""Checks that need more than one record: parents of the wrong sex or species, impossible ages, circles, dates out of order.

A date counts as wrong only where no reading of it could be right: partial dates get the benefit of the doubt, and "about"
is never held against anybody. A date in the future that other records deny is one mistake, told where it stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from graphlib import CycleError, TopologicalSorter

from msgspec import Struct

from clutchlight.model import NOBODY, Animal, Clutch, Role, Settings, Species, When
from clutchlight.model.traits import grouped
from clutchlight.problems import Place
from clutchlight.reading.animals import SEX_OF_ROLE
from clutchlight.reading.findings import Findings, in_words, or_nearest
from clutchlight.reading.shapes import AnimalRecord, ClutchRecord
from clutchlight.reading.species_files import ClutchFacts, SourcedDays, fact_of
from clutchlight.reading.strict import keys_of

# Under this age at laying nobody's snake has bred; a typing mistake is likelier. Common practice, no source.
YOUNG_PARENT_DAYS = 183
MAX_CIRCLES = 20


def check_all(
    animals: Mapping[str, Animal],
    clutches: Mapping[str, Clutch],
    species: Mapping[str, Species],
    settings: Settings | None,
    findings: Findings,
) -> None:
    """Reports everything that only shows when records are held side by side."""
    _Checks(animals, clutches, species, findings).run()
    if settings is not None:
        _check_currency(animals, settings, findings)


def check_future(findings: Findings) -> None:
    """Warns of dates in the future: usually slips. One that other records deny is an error."""
    for place, (when, others) in findings.denied.items():
        first = min(others)
        more = f", and {len(others) - 1} more" if len(others) > 1 else ""
        said = (
            f"{when.text} is in the future, but other records are of before it ({first.file}, line {first.line}{more})"
        )
        findings.report(place, "dates-out-of-order", f"{said}; correct the year")
    for place, when in findings.dates:
        if findings.in_future(when) and place not in findings.denied:
            said = f"{when.text} is in the future; it counts as written, so look at the year"
            findings.report(place, "future-date", said)


class _Checks(Struct):
    animals: Mapping[str, Animal]
    clutches: Mapping[str, Clutch]
    species: Mapping[str, Species]
    findings: Findings

    def run(self) -> None:
        for animal in self.animals.values():
            self._check_dates(animal)
            self._check_corrections(animal)
        for clutch in self.clutches.values():
            self._check_clutch_dates(clutch)
            self._check_corrections(clutch)
            self._check_fatherless(clutch)
            self._check_eggs(clutch)
        self._check_names()
        self._check_twice()
        self._check_parents()
        self._check_circles()
        self._check_siblings()

    def _check_names(self) -> None:
        """No name is the id that another has or had: whoever reads or writes it means that one."""
        records: list[Animal | Clutch] = [*self.animals.values(), *self.clutches.values()]
        ids = {name.casefold(): one for one in records for name in (*one.was, one.id)}
        for record in records:
            other = ids.get((record.name or "").casefold(), record)
            if other.id != record.id:
                said = f"the name '{record.name}' of {record.id} is an id of {other.id}; choose another name"
                self.findings.report(record.place_of("name"), "name-is-id", said)

    # ---- parents

    def _named_parents(self) -> Iterator[tuple[Role, Animal, Animal | Clutch]]:
        """Every parent that is named, with the record that names it: an animal's own, or that of its clutch."""
        named: list[tuple[Animal | Clutch, tuple[str | None, ...], str | None]] = [
            (animal, (animal.sire,), animal.dam) for animal in self.animals.values() if animal.clutch is None
        ]
        named += [(clutch, clutch.sires.ids, clutch.dam) for clutch in self.clutches.values()]
        for record, sires, dam in named:
            yield from (("sire", parent, record) for name in sires if (parent := self.animals.get(name or "")))
            if (parent := self.animals.get(dam or "")) is not None:
                yield "dam", parent, record

    def _check_parents(self) -> None:
        places: dict[Role, dict[str, Place]] = {"sire": {}, "dam": {}}
        for role, parent, record in self._named_parents():
            place = record.place_of(role)
            places[role].setdefault(parent.id, place)
            self._check_parent(parent, role, record.species, place)
            if isinstance(record, Animal):
                event, said = record.hatched, f"'{record.id}' hatched"
            else:
                event = record.laid or record.hatched
                said = "the clutch was laid" if record.laid else "the clutch hatched"
            self._check_age(parent, role, event, said, place)
        for name, place in places["sire"].items():
            if name in places["dam"] and self.animals[name].sex == "unknown":
                other = places["dam"][name]
                said = f"'{name}' is a sire here and a dam in {other.file}, line {other.line}; correct one of the two"
                self.findings.report(place, "sire-and-dam", said)

    def _check_parent(self, parent: Animal, role: Role, species: str, place: Place) -> None:
        if parent.sex not in ("unknown", SEX_OF_ROLE[role]):
            said = f"{role} '{parent.id}' is on record as {parent.sex} ({parent.place.file}, line {parent.place.line})"
            self.findings.report(place, "parent-sex", f"{said}; correct its sex, or name another {role}")
        if parent.species != species:
            said = f"{role} '{parent.id}' is of another species ({parent.species}, not {species}); name another {role}"
            self.findings.report(place, "parent-species", said)

    def _check_age(self, parent: Animal, role: Role, event: When | None, said: str, place: Place) -> None:
        if event is None or parent.hatched is None or event.vague or parent.hatched.vague:
            return
        days, when = (event.last - parent.hatched.first).days, f"{said} ({event.text})"
        if days <= 0 and self.findings.in_future(parent.hatched):
            self.findings.deny(parent.hatched, parent.place_of("hatched"), place)
        elif days <= 0:
            said = f"hatched {parent.hatched.text}, not before {when}; correct one of the dates or the {role}"
            self.findings.report(place, "parent-hatched-later", f"{role} '{parent.id}' {said}")
        elif days < YOUNG_PARENT_DAYS:
            said = f"was only {days} days old when {when}; look at the dates and the {role}"
            self.findings.report(place, "parent-young", f"{role} '{parent.id}' {said}")

    def _check_circles(self) -> None:
        parents = dict(
            grouped(
                (name, parent.id)
                for _, parent, record in self._named_parents()
                for name in (record.young if isinstance(record, Clutch) else (record.id,))
            )
        )
        for _ in range(MAX_CIRCLES):
            circle = _a_circle(parents)
            if not circle:
                return
            animal = self.animals[circle[0]]
            role = "dam" if circle[1 % len(circle)] == animal.dam else "sire"
            way = " ← ".join([*circle, circle[0]])
            what = "is its own parent" if len(circle) == 1 else f"is its own ancestor ({way})"
            said = f"'{circle[0]}' {what}; correct one of these parents"
            self.findings.report(animal.place_of(role), "parent-circle", said)
            for name in circle:
                parents[name] = ()

    def _check_fatherless(self, clutch: Clutch) -> None:
        """Young without a sire have one sex only: figures#parthenogenesis."""
        species = self.species.get(clutch.species)
        if species is None or clutch.sires.only != NOBODY:
            return
        impossible = "male" if species.sex_system == "XY" else "female"
        for name in clutch.young:
            animal = self.animals[name]
            if animal.sex == impossible:
                said = f"'{name}' is {impossible}, which young without a sire cannot be in this species"
                remedy = f"({species.sex_system} sex chromosomes); correct its sex or the clutch's sire"
                self.findings.report(animal.place_of("sex"), "fatherless-sex", f"{said} {remedy}")
        for line in clutch.tally:
            if line.sex == impossible:
                said = f"{impossible} young are counted here, but young without a sire cannot be {impossible} in this species"
                remedy = "correct the sex or the clutch's sire"
                self.findings.report(line.reading.place, "fatherless-sex", f"{said}; {remedy}")

    def _check_eggs(self, clutch: Clutch) -> None:
        facts = fact_of(self.species.get(clutch.species), ClutchFacts)
        usual = facts.eggs if facts is not None else None
        if usual is not None and clutch.eggs is not None and clutch.eggs > usual.last * 3 // 2:
            said = f"{clutch.eggs} eggs in one clutch, where {usual.first} to {usual.last} are usual"
            self.findings.report(clutch.place_of("eggs"), "eggs-odd", f"{said}; look at the number")

    def _check_twice(self) -> None:
        """Two clutches of one pair and one day: a female lays once."""
        days = ((clutch, clutch.hatched or clutch.laid) for clutch in self.clutches.values() if clutch.dam)
        found = grouped(
            ((clutch.dam, clutch.sires, day), clutch) for clutch, day in days if day is not None and day.exact
        )
        for (dam, _, day), (first, *others) in found.items():
            for second in others:
                said = (
                    f"'{first.id}' and '{second.id}' are of one pair (dam '{dam}') and one day ({day}); if they are one, take one"
                    " of the two away, as all that stands in both counts twice"
                )
                self.findings.report(second.place, "clutch-twice", said)

    def _check_siblings(self) -> None:
        """Young of one pair and one day that stand in no clutch."""
        found = grouped(
            ((animal.dam, animal.sire, animal.hatched), animal)
            for animal in self.animals.values()
            if animal.clutch is None and animal.sire and animal.dam and animal.hatched and animal.hatched.exact
        )
        for pair, young in found.items():
            if len(young) > 1:
                dam, sire, day = pair
                ids = [animal.id for animal in young]
                names = in_words(ids, "and") if len(ids) <= 4 else f"'{ids[0]}' and {len(ids) - 1} more"
                own = next(
                    (one for one in self.clutches.values() if (one.dam, one.sires.certain, one.hatched) == pair), None
                )
                remedy = (
                    "write their clutch in clutches/, with `complete: no` if not all of it is on record"
                    if own is None
                    else f"put their records under `young` of '{own.id}' ({own.place.file}) if they are of it"
                )
                said = (
                    f"{names} are young of '{dam}' and '{sire}' of one day ({day}) but stand in"
                    f" no clutch, so what they show says nothing of their parents; {remedy}"
                )
                self.findings.report(young[0].place, "siblings-apart", said)

    # ---- corrections

    def _check_corrections(self, record: Animal | Clutch) -> None:
        """Each is of a key that the record may have, and the value that it had is another than the one that followed."""
        shape = ClutchRecord if isinstance(record, Clutch) else AnimalRecord
        known = (*keys_of(shape), *(() if isinstance(record, Clutch) else ("clutch",)))
        ordered = sorted(record.corrections, key=lambda one: one.on)
        for number, one in enumerate(ordered):
            if one.key not in known:
                hint = shape.hints.get(one.key.casefold())
                remedy = f"; {hint}" if hint else or_nearest(one.key, known, "write the key that was corrected")
                self.findings.report(one.place, "unknown-key", f"'{one.key}' is no key of {shape.noun}{remedy}")
            elif not one.told:
                said = (
                    f"nobody is told of the correction of `{one.key}`: pages tell of corrections of what {shape.noun} is, and of nothing"
                    " private; the record holds what is true now, so take the correction out, or keep it under `private`"
                )
                self.findings.report(one.place, "correction-not-told", said)
            later = next((other.was for other in ordered[number + 1 :] if other.key == one.key), None)
            after = _written(record, one.key) if later is None else {_plain(one.key, later)}
            if after == {_plain(one.key, one.was)}:
                said = (
                    f"the correction of `{one.key}` changes nothing: it reads '{one.was}' before and after; write in `was` what it said"
                    " before, or take the correction out"
                )
                self.findings.report(one.place, "corrected-to-the-same", said)

    # ---- dates

    def _check_dates(self, animal: Animal) -> None:
        hatched = animal.hatched
        events = {"sexed": animal.sexed, "came": animal.came, "left": animal.left}
        dated: list[tuple[str, When | None, Place]] = [
            *(("a test", test.on, test.place) for test in animal.tests),
            *(("a reading of its looks", reading.on, reading.place) for reading in animal.readings),
            *(("a photo", photo.on, photo.place) for photo in animal.photos),
            *(("a correction", one.on, one.place) for one in animal.corrections),
            *((f"`{key}`", event.on, animal.place_of(key)) for key, event in events.items() if event is not None),
        ]
        for said, when, place in dated:
            if _surely_before(when, hatched):
                told = f"{said} is dated {when}, before it hatched ({hatched})"
                self._out_of_order(place, told, hatched, animal.places.get("hatched"))
        came, left, place = animal.came, animal.left, animal.place_of("left")
        if came and left and _surely_before(left.on, came.on):
            again = came.how == "loan" and left.how in ("sold", "traded", "re-homed")
            if came.how != "returned" and not again:
                self._out_of_order(place, f"it left {left.on}, before it came ({came.on})")
        while left is not None:
            if _surely_before(left.back, left.on):
                self._out_of_order(place, f"it came back {left.back}, before it left ({left.on})")
            earlier = (left.before.back or left.before.on) if left.before is not None else None
            if _surely_before(left.on, earlier):
                self._out_of_order(place, f"it left {left.on}, before it had come back ({earlier})")
            left = left.before

    def _check_clutch_dates(self, clutch: Clutch) -> None:
        laid, dam = clutch.place_of("laid"), self.animals.get(clutch.dam)
        left = dam.left if dam is not None else None
        if left is not None and left.how == "died" and _surely_before(left.on, clutch.laid):
            self._out_of_order(laid, f"it was laid {clutch.laid}, after its dam '{clutch.dam}' died ({left.on})")
        for key in ("hatched", "ended"):
            when: When | None = getattr(clutch, key)
            if _surely_before(when, clutch.laid):
                said = f"`{key}` is {when}, before it was laid ({clutch.laid})"
                self._out_of_order(clutch.place_of(key), said, clutch.laid, laid)
                return
        for photo in clutch.photos:
            if _surely_before(photo.on, clutch.laid):
                said = f"a photo is dated {photo.on}, before the clutch was laid ({clutch.laid})"
                self._out_of_order(photo.place, said, clutch.laid, laid)
        self._check_incubation(clutch)

    def _check_incubation(self, clutch: Clutch) -> None:
        usual = fact_of(self.species.get(clutch.species), SourcedDays)
        laid, hatched = clutch.laid, clutch.hatched
        if laid is None or hatched is None or self.findings.in_future(laid) or self.findings.in_future(hatched):
            return
        days = odd_incubation(usual, laid, hatched)
        if usual is not None and days is not None:
            said = f"{days} days from laying to hatching, where {usual.first} to {usual.last} are usual; look at both dates"
            self.findings.report(clutch.place_of("hatched"), "incubation-odd", said)

    def _out_of_order(
        self, place: Place, said: str, later: When | None = None, place_of_later: Place | None = None
    ) -> None:
        """`later`: the date that this one should not be before; in the future it is the one to correct."""
        if later is not None and place_of_later is not None and self.findings.in_future(later):
            self.findings.deny(later, place_of_later, place)
        else:
            self.findings.report(place, "dates-out-of-order", f"{said}; correct one of the dates")


def _written(record: Animal | Clutch, key: str) -> set[str]:
    """What a record gives under a key, as a correction would have it: of looks each of its readings."""
    if isinstance(record, Animal) and key == "shows":
        seen = [None if one.shows is None else (*one.shows, *one.loose) for one in record.readings]
        return {"not looked at" if looks is None else _plain(key, " ".join(looks)) for looks in seen}
    value = record.sires.certain if isinstance(record, Clutch) and key == "sire" else getattr(record, key, None)
    return {_plain(key, str(value))} if isinstance(value, str | int | When) else set()


def _plain(key: str, value: str) -> str:
    words = value.casefold().replace(",", " ").split()
    return " ".join(sorted({*words} - {"normal"}) if key == "shows" else words)


def odd_incubation(usual: SourcedDays | None, laid: When | None, hatched: When) -> int | None:
    """The days from laying to hatching where they are far from the usual ones, two thirds of the least or one and a half times the most.

    None where nothing is odd about them, or a day is not known to the month.
    """
    if usual is None or laid is None or laid.vague or hatched.vague:
        return None
    longest, shortest = (hatched.last - laid.first).days, (hatched.first - laid.last).days
    if longest < usual.first * 2 // 3:
        return longest
    return shortest if shortest > usual.last * 3 // 2 else None


def _surely_before(first: When | None, second: When | None) -> bool:
    if first is None or second is None or first.vague or second.vague:
        return False
    return first.last < second.first


def _a_circle(parents: Mapping[str, tuple[str, ...]]) -> list[str]:
    """One circle among them, each followed by its parent, beginning with the smallest id; nothing where there is none."""
    try:
        TopologicalSorter(parents).prepare()
    except CycleError as found:
        circle: list[str] = found.args[1][:0:-1]
        turn = circle.index(min(circle))
        return circle[turn:] + circle[:turn]
    return []


def _check_currency(animals: Mapping[str, Animal], settings: Settings, findings: Findings) -> None:
    priced = [animal for animal in animals.values() if animal.price not in (None, "ask")]
    if priced and settings.currency is None:
        ids = in_words([animal.id for animal in priced[:3]], "and")
        said = f"there are prices ({ids}{' and more' if len(priced) > 3 else ''}) but no `currency`; add one, such as `currency: EUR`"
        findings.report(settings.place, "price-without-currency", said)
