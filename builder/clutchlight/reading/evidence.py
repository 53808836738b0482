"""What was seen, said or tested, as written → readings, claims, stated figures and tests as values.

Each is checked against the species' loci here, where the line it was written in is at hand: a look that no genotype can
have, a look hidden by another one, a claim on a trait that the animal shows, claims that add up to more than 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from clutchlight.model import Claim, LabTest, Locus, Reading, Stated, When
from clutchlight.model.animals import genotypes_left, surely_hidden
from clutchlight.problems import Problem
from clutchlight.reading.findings import Findings, in_words
from clutchlight.reading.names import Names
from clutchlight.reading.shapes import ClaimRecord, LookRecord, SeenRecord, StatedRecord, TallyRecord, TestRecord
from clutchlight.reading.text import WrittenText

MAX_TEST_ERROR = Fraction(1, 2)


def refuse_shows_and_looks(record: SeenRecord, findings: Findings) -> None:
    if {"shows", "looks"} <= record.written:
        findings.report(
            record.at.key("looks"),
            "shows-and-looks",
            "`shows` and `looks` stand side by side; put every reading into `looks`",
        )


def readings_from(seen: SeenRecord, names: Names | None, findings: Findings) -> tuple[Reading, ...]:
    """The readings of an animal's looks, undated first, then by date."""
    if names is None:
        return ()
    found: list[Reading] = []
    if seen.shows is not None:
        found.append(reading_from(seen, None, names, findings))
    else:
        for key in sorted({"without", "cannot_tell"} & seen.written):
            findings.report(
                seen.at.value(key),
                "needs-shows",
                f"`{key}` says that somebody looked; say in `shows` what was seen, or `normal`",
            )
    found += [reading_from(record, record.on, names, findings) for record in seen.looks]
    return tuple(sorted(found, key=lambda reading: (reading.on is not None, reading.on and reading.on.last)))


def reading_from(
    record: SeenRecord | LookRecord | TallyRecord, on: When | None, names: Names, findings: Findings
) -> Reading:
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
        _check_reading(reading, record.without, names, findings)
    return reading


def _check_reading(reading: Reading, without: Sequence[WrittenText], names: Names, findings: Findings) -> None:
    species = names.species
    shows = reading.shows or ()
    for look in reading.without:
        if look in shows:
            place = without[0].place if without else reading.place
            findings.report(
                place, "shown-and-without", f"'{look}' is both seen and not seen; keep it in one of the two"
            )
            return
    hidden = surely_hidden(reading, species)
    for look in shows:
        for key in species.locus_of_look[look]:
            if key in hidden:
                mask = next(
                    name for name in shows if any(key in species.loci[k].hides.get(name, ()) for k in species.loci)
                )
                findings.report(
                    reading.place,
                    "hidden-look",
                    f"'{mask}' hides '{look}', so the two cannot be seen together; take the one that was not seen out of the looks",
                )
                return
    for key in dict.fromkeys(key for look in shows for key in species.locus_of_look[look]):
        locus = species.loci[key]
        if locus.inheritance.computed and genotypes_left(reading, locus, species) == ():
            here = [look for look in shows if look in locus.look_names]
            findings.report(
                reading.place,
                "impossible-look",
                f"no snake can look like {in_words(here, 'and')} at once, because they are looks of one locus;"
                f" write one of {in_words(locus.look_names)}",
            )


def claims_from(
    records: Sequence[ClaimRecord], reading: Reading | None, names: Names | None, findings: Findings
) -> tuple[Claim, ...]:
    """The claims about a founder."""
    if names is None:
        return ()
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
    _check_sums(found, findings)
    return tuple(found)


def _fault_of_claim(
    claim: Claim, record: ClaimRecord, locus: Locus, reading: Reading | None, names: Names
) -> Problem | None:
    trait, place = claim.trait, claim.place
    if claim.chance is None and claim.two_copies is None and claim.came_from is None:
        return Problem.at(
            record.at.place, "missing-key", f"the claim of '{trait}' has no `chance`; add one, such as 66%"
        )
    if claim.chance == 0 or claim.two_copies == 0:
        return Problem.at(place, "claim-of-zero", f"0% of '{trait}' says nothing; leave the claim out")
    allele = locus.allele_number(trait)
    left = genotypes_left(reading, locus, names.species) or ()
    shown = bool(left) and all(allele in pair for pair in left)
    if shown and claim.chance is not None:
        said = f"the animal shows '{trait}', so a chance of carrying it says nothing; leave the claim out"
        return Problem.at(place, "claim-on-shown", f"{said} (`two_copies: 50%` is for a possible second copy)")
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


def _check_sums(claims: Sequence[Claim], findings: Findings) -> None:
    sums: dict[str, Fraction] = {}
    for claim in claims:
        if claim.chance is None:
            continue
        sums[claim.locus] = sums.get(claim.locus, Fraction(0)) + claim.chance
        if sums[claim.locus] > 1:
            traits = [other.trait for other in claims if other.locus == claim.locus]
            findings.report(
                claim.place,
                "claims-over-one",
                f"the claims of {in_words(traits, 'and')} exclude each other but add up to {sums[claim.locus]}; lower one of them",
            )
            return


def stated_from(records: Sequence[StatedRecord], names: Names | None, findings: Findings) -> tuple[Stated, ...]:
    """A seller's figures for an animal with recorded parents."""
    if names is None:
        return ()
    found: list[Stated] = []
    for record in records:
        if named := _with_figures(record.trait, names, findings):
            locus, trait = named
            found.append(record.as_value(Stated, locus=locus.key, trait=trait, place=record.at.value("chance")))
    return tuple(found)


def tests_from(records: Sequence[TestRecord], names: Names | None, findings: Findings) -> tuple[LabTest, ...]:
    """Results of laboratory tests."""
    if names is None:
        return ()
    found: list[LabTest] = []
    for record in records:
        if record.copies > 2:
            findings.report(
                record.at.value("copies"),
                "bad-number",
                f"{record.copies} copies cannot be; an animal has 0, 1 or 2 of an allele",
            )
            continue
        if record.error >= MAX_TEST_ERROR:
            findings.report(
                record.at.value("error"),
                "test-error-too-large",
                f"a test that is wrong with a chance of {record.error} says nothing to go by; its error is under {MAX_TEST_ERROR}",
            )
            continue
        if named := _with_figures(record.trait, names, findings):
            locus, trait = named
            place = record.at.value("trait")
            found.append(record.as_value(LabTest, locus=locus.key, trait=trait, place=place))
    return tuple(found)


def _with_figures(trait: WrittenText, names: Names, findings: Findings) -> tuple[Locus, str] | None:
    """The locus and allele of a trait for which chances can be counted; None, with a problem, when there is none."""
    named = names.trait(trait, findings)
    if named is None or named[0].inheritance.computed:
        return named
    findings.report(
        trait.place,
        "no-figures",
        f"'{trait}' is {named[0].inheritance.value}, so no chance can be counted for it; say it in prose or in `impressions`",
    )
    return None
