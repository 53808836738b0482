"""What was seen, said or tested, as written → readings, claims, stated figures and tests as values.

Each is checked against the species' loci here, where the line it was written in is at hand: a look that no genotype can
have, a look hidden by another one, a claim on a trait that the animal shows, claims that add up to more than 1.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any, NamedTuple

from clutchlight.model import Claim, LabTest, Locus, Reading, Stated, When
from clutchlight.model.animals import genotypes_left, surely_hidden
from clutchlight.problems import Place
from clutchlight.reading.findings import Findings, in_words
from clutchlight.reading.names import Names
from clutchlight.reading.shapes import ClaimRecord, LookRecord, StatedRecord, TestRecord
from clutchlight.reading.text import Text

MAX_TEST_ERROR = Fraction(2, 3)


class Fact(NamedTuple):
    """The value of one key and where it stands."""

    value: Any
    place: Place


Facts = Mapping[str, Fact]


def readings_from(facts: Facts, names: Names | None, findings: Findings) -> tuple[Reading, ...]:
    """The readings of an animal's looks, undated first, then by date."""
    if names is None:
        return ()
    found: list[Reading] = []
    shows = facts.get("shows")
    if shows is not None:
        without = facts["without"].value if "without" in facts else ()
        cannot_tell = facts["cannot_tell"].value if "cannot_tell" in facts else ()
        found.append(reading_from(shows.value, without, cannot_tell, shows.place, None, names, findings))
    else:
        for key in ("without", "cannot_tell"):
            if key in facts:
                findings.report(
                    facts[key].place,
                    "needs-shows",
                    f"`{key}` says that somebody looked; say in `shows` what was seen, or `normal`",
                )
    looks: Sequence[LookRecord] = facts["looks"].value if "looks" in facts else ()
    for record in looks:
        place = record.at.value("shows")
        found.append(reading_from(record.shows, record.without, record.cannot_tell, place, record.on, names, findings))
    return tuple(sorted(found, key=_by_date))


def _by_date(reading: Reading) -> tuple[bool, str]:
    return (reading.on is not None, reading.on.last.isoformat() if reading.on is not None else "")


def reading_from(
    shows: Sequence[Text],
    without: Sequence[Text],
    cannot_tell: Sequence[Text],
    place: Place,
    on: When | None,
    names: Names,
    findings: Findings,
) -> Reading:
    """One reading, with its names made canonical."""
    before = findings.errors
    shown = names.shown(shows, findings)
    missed = tuple(dict.fromkeys(look for name in without for look in names.one_look(name, findings)))
    untold = tuple(dict.fromkeys(look for name in cannot_tell for look in names.one_look(name, findings)))
    reading = Reading(
        shows=shown.looks,
        place=place,
        on=on,
        loose=shown.loose,
        without=missed,
        cannot_tell=tuple(dict.fromkeys((*untold, *shown.untold))),
    )
    if shown.sound and findings.errors == before:
        _check_reading(reading, without, names, findings)
    return reading


def _check_reading(reading: Reading, without: Sequence[Text], names: Names, findings: Findings) -> None:
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
        named = names.trait(record.trait, findings)
        if named is None:
            continue
        locus, trait = named
        place = record.at.value("chance") if "chance" in record.written else record.trait.place
        claim = Claim(
            locus=locus.key,
            trait=trait,
            chance=record.chance,
            place=place,
            said_by=_plain(record.said_by),
            on=record.on,
            withdrawn=record.withdrawn,
            two_copies=record.two_copies,
            came_from=record.came_from,  # type: ignore[arg-type]  # the shape admits these two words only
        )
        if _claim_holds(claim, record, locus, reading, names, findings):
            if any((other.locus, other.trait) == (claim.locus, claim.trait) for other in found):
                findings.report(
                    record.trait.place, "claim-twice", f"'{trait}' is claimed twice; keep the one that counts"
                )
                continue
            found.append(claim)
    _check_sums(found, findings)
    return tuple(found)


def _claim_holds(
    claim: Claim, record: ClaimRecord, locus: Locus, reading: Reading | None, names: Names, findings: Findings
) -> bool:
    trait, place = claim.trait, claim.place
    if not locus.inheritance.computed:
        _no_figures(record.trait, locus, findings)
        return False
    if claim.chance is None and claim.two_copies is None and claim.came_from is None:
        findings.report(record.at.place, "missing-key", f"the claim of '{trait}' has no `chance`; add one, such as 66%")
        return False
    if claim.chance == 0 or claim.two_copies == 0:
        findings.report(place, "claim-of-zero", f"0% of '{trait}' says nothing; leave the claim out")
        return False
    allele = locus.allele_number(trait)
    left = genotypes_left(reading, locus, names.species) if reading is not None else None
    shown = bool(left) and all(allele in pair for pair in left or ())
    if shown and claim.chance is not None:
        findings.report(
            place,
            "claim-on-shown",
            f"the animal shows '{trait}', so a chance of carrying it says nothing; leave the claim out"
            " (`two_copies: 50%` is for a possible second copy)",
        )
        return False
    if claim.two_copies is not None:
        doses = {pair.count(allele) for pair in left or ()}
        if not shown:
            findings.report(
                record.at.value("two_copies"),
                "two-copies-not-shown",
                f"`two_copies` is for a trait that the animal shows, but '{trait}' is not among its looks; claim a `chance` instead",
            )
            return False
        if len(doses) == 1:
            findings.report(
                record.at.value("two_copies"),
                "claim-on-shown",
                f"its look already says how many copies of '{trait}' there are; leave the claim out",
            )
            return False
    if claim.came_from is not None and locus.sex_linked is None:
        findings.report(
            record.at.value("came_from"),
            "came-from-not-linked",
            f"'{trait}' is not sex-linked, so which parent it came from changes nothing; leave `came_from` out",
        )
        return False
    return True


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
        named = names.trait(record.trait, findings)
        if named is None:
            continue
        locus, trait = named
        if not locus.inheritance.computed:
            _no_figures(record.trait, locus, findings)
            continue
        found.append(Stated(locus.key, trait, record.chance, record.at.value("chance")))
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
                f"a test that is wrong with a chance of {record.error} says nothing; its error is under {MAX_TEST_ERROR}",
            )
            continue
        named = names.trait(record.trait, findings)
        if named is None:
            continue
        locus, trait = named
        if not locus.inheritance.computed:
            _no_figures(record.trait, locus, findings)
            continue
        found.append(
            LabTest(
                locus.key, trait, record.copies, record.on, record.at.value("trait"), record.error, _plain(record.by)
            )
        )
    return tuple(found)


def _no_figures(trait: Text, locus: Locus, findings: Findings) -> None:
    findings.report(
        trait.place,
        "no-figures",
        f"'{trait}' is {locus.inheritance.value}, so no chance can be counted for it; say it in prose or in `impressions`",
    )


def _plain(text: Text | None) -> str | None:
    return None if text is None else str(text)
