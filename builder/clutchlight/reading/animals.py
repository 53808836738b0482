"""What is written of one animal → an animal: parents looked up, looks, claims and tests read, whereabouts settled.

Evidence is checked against the species' loci here, where the line it was written in is at hand: a look that no genotype can
have, a look hidden by another one, a claim on a trait that the animal shows, claims that add up to more than 1.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from pathlib import PurePosixPath

from msgspec import Struct, field

from clutchlight.model import Animal, Claim, LabTest, Locus, Photo, Reading, Role, Sex, Species, Stated, Status, When
from clutchlight.model.animals import STATUS_BEFORE, Coming, Leaving, genotypes_left, gone, out_of_here, surely_hidden
from clutchlight.problems import Problem
from clutchlight.reading.findings import Findings, in_words
from clutchlight.reading.ids import AnimalDraft, Register, joined, refuse_shows_and_looks
from clutchlight.reading.names import Names
from clutchlight.reading.shapes import (
    AnimalFacts,
    ClaimRecord,
    ClutchRecord,
    Looks,
    ParentRecord,
    PhotoRecord,
    SeenRecord,
    SireRecord,
    StatedRecord,
    TestRecord,
)
from clutchlight.reading.text import WrittenText

MAX_TEST_ERROR = Fraction(1, 2)
SEX_OF_ROLE: Mapping[Role, Sex] = {"sire": "male", "dam": "female"}


class Surroundings(Struct):
    """What a record is read against."""

    findings: Findings
    register: Register
    names: Mapping[str, Names]
    photos: frozenset[str]
    animals: dict[str, Animal] = field(default_factory=dict)

    def names_of(self, species: str) -> Names:
        """The names of a species. Of one that is not known, which is told elsewhere, there are none and none is missed."""
        nothing = Species(species, name=species, scientific_name="", sex_system="ZW", loci={})
        return self.names.get(species) or Names(nothing, quiet=True)


def parent_in_place(
    record: ParentRecord | SireRecord, child: str, role: Role, species: str, around: Surroundings
) -> str:
    """Enters a nameless parent that was written in its child's record; returns its id."""
    parent = f"{child}:{role}"
    names = around.names_of(species)
    refuse_shows_and_looks(record, around.findings)
    readings = readings_from(record, names, around.findings)
    around.animals[parent] = Animal(
        id=parent,
        species=species,
        place=record.place,
        sex=SEX_OF_ROLE[role],
        egg=parent,
        readings=readings,
        claims=claims_from(record.claims, readings, names, around.findings),
        status="elsewhere",
        publish="no",
        described_in=child,
    )
    return parent


def add_animal(
    draft: AnimalDraft, species: str, around: Surroundings, *, sire: str | None, dam: str | None, egg: str
) -> None:
    """Enters the animal of a draft. `sire`, `dam`: as its clutch has them, or None: as its own record has them."""
    findings, names = around.findings, around.names_of(species)
    facts = joined(draft, findings)
    own, clutch = draft.own, draft.clutch
    birth = draft.birth
    if clutch is None and own is not None:
        sire = parent_of(own.sire, draft.id, "sire", species, around)
        dam = parent_of(own.dam, draft.id, "dam", species, around)
    has_parents = clutch is not None or (own is not None and (own.sire is not None or own.dam is not None))
    if facts.claims and has_parents:
        _refuse_claims(facts, draft, findings)
    if facts.stated and not has_parents:
        said = "`stated` is for an animal with recorded parents; what was said of a founder goes into `claims`"
        findings.report(facts.at.value("stated"), "stated-on-founder", said)
    _check_whereabouts(facts, findings)
    readings = readings_from(facts, names, findings)
    places = {key: facts.at.value(key) for key in facts.written}
    if birth is not None:
        places |= {key: birth.at.value(key) for key in ("hatched", "sire", "dam") if key in birth.written}
    around.animals[draft.id] = facts.as_value(
        Animal,
        id=draft.id,
        species=species,
        place=draft.place,
        sex=facts.sex or "unknown",
        was=draft.was,
        hatched=None if birth is None else birth.hatched,
        sire=sire,
        dam=dam,
        clutch=None if clutch is None else str(clutch.id),
        egg=egg,
        readings=readings,
        claims=() if has_parents else claims_from(facts.claims, readings, names, findings),
        stated=tuple(stated_from(facts.stated, names, findings)),
        tests=tuple(tests_from(facts.tests, names, findings)),
        left=_latest(facts),
        status=_status(facts, clutch),
        photos=tuple(photos_from(facts.photos, around.photos, findings)),
        prose=draft.prose,
        places=places,
    )


def _status(facts: AnimalFacts, clutch: ClutchRecord | None) -> Status:
    """Young of a clutch that somebody else reported were never here, unless they came. What is told of one that died at its buyer's
    leaves it sold."""
    left = gone(_latest(facts), _came(facts))
    if left is not None and left.how == "sold" and (facts.status is None or left != _latest(facts)):
        return "sold"
    never_here = clutch is not None and clutch.reported_by and facts.came is None
    return facts.status or ("elsewhere" if never_here else "not for sale")


def _latest(facts: AnimalFacts) -> Leaving | None:
    return None if facts.left is None else facts.left.latest()


def _came(facts: AnimalFacts) -> Coming | None:
    return None if facts.came is None else facts.came.as_value(Coming)


def parent_of(record: ParentRecord | None, child: str, role: Role, species: str, around: Surroundings) -> str | None:
    """The id of a parent, by id or described in place; None when there is none, or none that is known."""
    if record is None:
        return None
    if record.id is None:
        return parent_in_place(record, child, role, species, around)
    more = sorted(record.written - {"id"})
    if more:
        said = f"this {role} has the id '{record.id}'; write `{more[0]}` in its own record, or leave the id out"
        around.findings.report(record.at.key(more[0]), "parent-twice", said)
    return around.register.parent(record.id, role, around.findings)


def _refuse_claims(facts: AnimalFacts, draft: AnimalDraft, findings: Findings) -> None:
    own = draft.own
    if draft.clutch is None and own is not None and (own.sire is None) != (own.dam is None):
        other, whose = ("dam", "her") if own.dam is None else ("sire", "him")
        trait = str(facts.claims[0].trait)
        message = (
            f"a claim is for an animal without recorded parents; write what was said of the {other}, who has no record,"
            f" where an id would stand: `{other}: {{claims: {{{trait}: 100%}}}}` with the chance that was said of {whose}, or"
            f" `{other}: {{shows: [{trait}]}}` if that was seen; or write `stated` to show the seller's figure without counting it"
        )
    else:
        message = (
            "the parents are on record, so its figures are computed; write `stated` instead of `claims` to show the"
            " seller's figure beside them without counting it"
        )
    findings.report(facts.at.value("claims"), "claim-needs-founder", message)


def _check_whereabouts(facts: AnimalFacts, findings: Findings) -> None:
    left, came, status = _latest(facts), facts.came, facts.status
    if (
        left is None
        or left.back is not None
        or (came is not None and came.on is not None and left.on is not None and came.on.last > left.on.last)
    ):
        return
    if left.on is not None and left.how in STATUS_BEFORE and status != "sold":
        return
    place, said = facts.at.value("status"), f"it left ({left.how}) but its status is '{status}'"
    if status in ("available", "on hold"):
        findings.report(place, "left-but-for-sale", f"{said}; change the status or take `left` out")
    elif status in ("breeder", "holdback", "growing on") and left.how != "loan":
        findings.report(place, "status-and-left", f"{said}; write the status that holds today")
    elif status == "sold" and (out := out_of_here(left, _came(facts))) and out.how not in ("sold", "traded"):
        said = f"its status is 'sold' but it left otherwise ({left.how})"
        findings.report(place, "status-and-left", f"{said}; keep what is true")


KINDS = (".jpg", ".jpeg", ".png", ".webp", ".gif", ".tif", ".tiff", ".bmp")


def photos_from(records: Sequence[PhotoRecord], there: frozenset[str], findings: Findings) -> Iterator[Photo]:
    """The photos that a record names; each must lie in photos/."""
    for record in records:
        name = record.file.strip()
        if fault := _fault(name):
            findings.report(record.file.place, "photo-name", f"'{name}' {fault}")
        elif name not in there:
            near = findings.nearest(name, there)
            remedy = f"; the nearest is '{near}'" if near else "; put the file there or take the line out"
            findings.report(record.file.place, "photo-missing", f"there is no '{name}' in photos/{remedy}")
        else:
            yield record.as_value(Photo, file=name, place=record.file.place)


def _fault(name: str) -> str | None:
    path = PurePosixPath(name)
    if name.startswith("photos/"):
        return "is looked for inside photos/ already; leave 'photos/' out"
    if "\\" in name or ":" in name or path.is_absolute() or ".." in path.parts or name != path.as_posix():
        return "leads out of photos/ or is not a plain name; copy the file into photos/ and write its name"
    if path.suffix.casefold() not in KINDS:
        return "is not a kind of photo that can be shown; save it as JPEG, PNG or WebP"
    return None


# Looks, claims and tests


def readings_from(seen: SeenRecord, names: Names, findings: Findings) -> tuple[Reading, ...]:
    """The readings of an animal's looks, undated first, then by date."""
    found = [] if seen.shows is None else [reading_from(seen, None, names, findings)]
    if seen.shows is None:
        for key in sorted({"without", "cannot_tell"} & seen.written):
            said = f"`{key}` says that somebody looked; say in `shows` what was seen, or `normal`"
            findings.report(seen.at.value(key), "needs-shows", said)
    found += [reading_from(record, record.on, names, findings) for record in seen.looks]
    return tuple(sorted(found, key=lambda reading: (reading.on is not None, reading.on and reading.on.last)))


def reading_from(record: SeenRecord | Looks, on: When | None, names: Names, findings: Findings) -> Reading:
    """One reading, with its names made canonical."""
    before = findings.errors
    shown = names.shown(record.shows or (), findings)
    missed = tuple(dict.fromkeys(look for name in record.without for look in names.one_look(name, findings)))
    untold = tuple(dict.fromkeys(look for name in record.cannot_tell for look in names.one_look(name, findings)))
    reading = Reading(
        shows=shown.looks,
        place=record.at.value("shows"),
        on=on,
        loose=shown.loose,
        without=missed,
        cannot_tell=tuple(dict.fromkeys((*untold, *shown.untold))),
    )
    if shown.sound and findings.errors == before:
        check_reading(reading, record.without, names, findings)
    return reading


def check_reading(reading: Reading, without: Sequence[WrittenText], names: Names, findings: Findings) -> None:
    """What is seen must be possible together, and not hidden by another look."""
    species = names.species
    shows = reading.shows or ()
    if twice := next((look for look in reading.without if look in shows), None):
        said = f"'{twice}' is both seen and not seen; keep it in one of the two"
        findings.report(without[0].place, "shown-and-without", said)
        return
    hidden = surely_hidden(reading, species)
    for look in shows:
        for key in species.locus_of_look[look]:
            if key in hidden:
                mask = next(
                    name for name in shows if any(key in species.loci[k].hides.get(name, ()) for k in species.loci)
                )
                said = f"'{mask}' hides '{look}', so the two cannot be seen together"
                findings.report(reading.place, "hidden-look", f"{said}; leave out the one that was not seen")
                return
    for key in dict.fromkeys(key for look in shows for key in species.locus_of_look[look]):
        locus = species.loci[key]
        if locus.inheritance.computed and genotypes_left(reading, locus, species) == ():
            here = [look for look in shows if look in locus.look_names]
            dead = next((look for look in here if not any(look in seen for seen in locus.looks)), None)
            said = (
                f"no snake can look like {in_words(here, 'and')} at once, because they are looks of one locus;"
                f" write {in_words(locus.look_names)}"
                if dead is None
                else f"no living snake shows '{dead}': it can only be carried, as a claim or `het {dead}` says"
            )
            findings.report(reading.place, "impossible-look", said)


def claims_from(
    records: Sequence[ClaimRecord], readings: Sequence[Reading], names: Names, findings: Findings
) -> tuple[Claim, ...]:
    """The claims about a founder."""
    reading = readings[-1] if readings else None
    found: list[Claim] = []
    for record in records:
        named = _with_figures(record.trait, names, findings)
        if named is None:
            continue
        locus, trait = named
        place = record.at.value("chance") if "chance" in record.written else record.trait.place
        claim = record.as_value(Claim, locus=locus.key, trait=trait, place=place)
        fault = _fault_of_claim(claim, record, locus, reading, names)
        if fault is not None:
            findings.problems.append(fault)
        elif any((other.locus, other.trait) == (claim.locus, claim.trait) for other in found):
            findings.report(record.trait.place, "claim-twice", f"'{trait}' is claimed twice; keep the one that counts")
        else:
            found.append(claim)
            _check_against_look(claim, locus, reading, names, findings)
    _check_sums(found, findings)
    return tuple(found)


def _fault_of_claim(
    claim: Claim, record: ClaimRecord, locus: Locus, reading: Reading | None, names: Names
) -> Problem | None:
    trait, place = claim.trait, claim.place
    if claim.chance is None and claim.two_copies is None and claim.came_from is None:
        return Problem.at(record.place, "missing-key", f"the claim of '{trait}' has no `chance`; add one, such as 66%")
    if claim.chance == 0 or claim.two_copies == 0:
        return Problem.at(place, "claim-of-zero", f"0% of '{trait}' says nothing; leave the claim out")
    allele = locus.allele_number(trait)
    left = genotypes_left(reading, locus, names.species) or ()
    shown = bool(left) and all(allele in pair for pair in left)
    if shown and claim.chance is not None:
        said = f"the animal shows '{trait}', so a chance of carrying it says nothing; leave the claim out"
        if len({pair.count(allele) for pair in left}) > 1:
            said += " (`two_copies: 50%` is for a possible second copy)"
        return Problem.at(place, "claim-on-shown", said)
    if claim.two_copies is not None:
        at = record.at.value("two_copies")
        if not shown:
            said = f"`two_copies` is for a trait that the animal shows, but '{trait}' is not among its looks"
            return Problem.at(at, "two-copies-not-shown", f"{said}; claim a `chance` instead")
        if len({pair.count(allele) for pair in left}) == 1:
            said = f"its look already says how many copies of '{trait}' there are; leave the claim out"
            return Problem.at(at, "claim-on-shown", said)
    if claim.came_from is not None and locus.sex_linked is None:
        said = f"'{trait}' is not sex-linked, so which parent it came from changes nothing; leave `came_from` out"
        return Problem.at(record.at.value("came_from"), "came-from-not-linked", said)
    return None


def _check_against_look(claim: Claim, locus: Locus, reading: Reading | None, names: Names, findings: Findings) -> None:
    """Warns of a chance of what the look rules out; a certainty of that is a conflict."""
    left, allele = genotypes_left(reading, locus, names.species), locus.allele_number(claim.trait)
    may_be = claim.chance is not None and claim.chance < 1 and claim.withdrawn is None
    if may_be and left and not any(allele in pair for pair in left):
        said = f"the look of the animal rules out '{claim.trait}', so this claim says nothing"
        findings.report(claim.place, "claim-against-look", f"{said}; look at the animal again, and ask who said it")


def _check_sums(claims: Sequence[Claim], findings: Findings) -> None:
    sums: dict[str, Fraction] = {}
    for claim in claims:
        if claim.chance is None:
            continue
        sums[claim.locus] = sums.get(claim.locus, Fraction(0)) + claim.chance
        if sums[claim.locus] > 1:
            traits = [other.trait for other in claims if other.locus == claim.locus]
            said = f"the claims of {in_words(traits, 'and')} exclude each other but add up to {sums[claim.locus]}; lower one of them"
            findings.report(claim.place, "claims-over-one", said)
            return


def stated_from(records: Sequence[StatedRecord], names: Names, findings: Findings) -> Iterator[Stated]:
    """A seller's figures for an animal with recorded parents."""
    for record in records:
        if named := _with_figures(record.trait, names, findings):
            locus, trait = named
            yield record.as_value(Stated, locus=locus.key, trait=trait, place=record.at.value("chance"))


def tests_from(records: Sequence[TestRecord], names: Names, findings: Findings) -> Iterator[LabTest]:
    """Results of laboratory tests."""
    found: dict[object, LabTest] = {}
    for record in records:
        if record.copies > 2:
            said = f"{record.copies} copies cannot be; an animal has 0, 1 or 2 of an allele"
            findings.report(record.at.value("copies"), "bad-number", said)
        elif record.error >= MAX_TEST_ERROR:
            said = f"a test that is wrong with a chance of {record.error} says nothing to go by; its error is under {MAX_TEST_ERROR}"
            findings.report(record.at.value("error"), "test-error-too-large", said)
        elif named := _with_figures(record.trait, names, findings):
            locus, trait = named
            test = record.as_value(LabTest, locus=locus.key, trait=trait, place=record.at.value("trait"))
            other = found.setdefault((test.on, *test.repeats), test) if test.error else test
            if other.copies != test.copies:
                both = (
                    f"line {other.place.line} has {other.copies} for the copies of {trait} and this line {test.copies}"
                )
                said = f"{both}, of one laboratory and day; the one written last counts, so delete the wrong one"
                findings.report(test.place, "tests-differ", said)
            yield test


def _with_figures(trait: WrittenText, names: Names, findings: Findings) -> tuple[Locus, str] | None:
    """The locus and allele of a trait for which chances can be counted; None, with a problem, when there is none."""
    named = names.trait(trait, findings)
    if named is None or named[0].inheritance.computed:
        return named
    said = f"'{trait}' is {named[0].inheritance.value}, so no chance can be counted for it; say it in prose or in `impressions`"
    findings.report(trait.place, "no-figures", said)
    return None
