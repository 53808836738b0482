"""The backup question against every clutch that may come of one male or the other."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from itertools import product

import pytest
from msgspec.structs import replace
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, Clutch, Locus, Look, Reading
from tests.oracle.enumerate_genotypes import Enumeration
from tests.unit.pairings import parent, recessive

from clutchlight.desk.sentences import backup_verdict
from clutchlight.genetics.inference import infer
from clutchlight.planning.odds import Answer, Backup, Compared, backup
from clutchlight.problems import RecordsError
from clutchlight.statements.odds import backup_sentence

F = Fraction
PIEBALD = recessive("Piebald")
PASTEL = Locus("pastel", "incomplete dominant", ("Pastel",))
DAM = parent("D", "female", {}, ("Piebald",))
MALE = parent("M", "male", {"Piebald": F(1, 2)})


def compared(case: Case, young: int, animal: str, trait: str) -> Compared:
    asked = backup(infer(as_collection(case)), "D", "M", "B", young)
    return next(one for one in asked.compared if (one.animal, one.trait) == (animal, trait))


def clutches(case: Case, young: int, mixed: bool) -> Iterator[tuple[Case, tuple[str, ...], Fraction]]:
    """Every next clutch of the two males, recorded with both as its sires, with its chance: brute force over founders' genotypes.

    Loci are recessive or incomplete dominant with one allele; a claim of a trait is of one copy.
    """
    people = {animal.id: animal for animal in case.animals}
    rows = [_genotypes(case.loci, people[name]) for name in ("M", "B", "D")]
    for (male, p), (other, q), (dam, r) in product(*rows):
        eggs = [_looks(case.loci, sire, dam) for sire in (male, other)]
        ways = [(n,) * young for n in (0, 1)] if not mixed else list(product((0, 1), repeat=young))
        for way in ways:
            for looks in product(*(eggs[n].items() for n in way)):
                chance = p * q * r / len(ways)
                for _, share in looks:
                    chance *= share
                shown = tuple(look for look, _ in looks)
                yield _recorded(case, shown, mixed), tuple(name for look in shown for name in look), chance


def _genotypes(loci: tuple[Locus, ...], animal: Animal) -> list[tuple[tuple[int, ...], Fraction]]:
    found: list[tuple[tuple[int, ...], Fraction]] = [((), F(1))]
    shown = animal.readings[0].look.shows or ()
    for locus in loci:
        trait = locus.alleles[0]
        claimed = sum((claim.chance or F(0) for claim in animal.claims if claim.trait == trait), F(0))
        if trait in shown:
            here = [(2 if locus.inheritance == "recessive" else 1, F(1))]
        else:
            here = [(copies, chance) for copies, chance in ((0, 1 - claimed), (1, claimed)) if chance]
        found = [((*copies, n), chance * share) for copies, chance in found for n, share in here]
    return found


def _looks(loci: tuple[Locus, ...], sire: tuple[int, ...], dam: tuple[int, ...]) -> dict[tuple[str, ...], Fraction]:
    found: dict[tuple[str, ...], Fraction] = {(): F(1)}
    for locus, s, d in zip(loci, sire, dam, strict=True):
        two, none = F(s * d, 4), F((2 - s) * (2 - d), 4)
        trait = locus.alleles[0]
        shares = (
            {(trait,): two, (): 1 - two}
            if locus.inheritance == "recessive"
            else {(f"Super {trait}",): two, (trait,): 1 - two - none, (): none}
        )
        found = {
            (*look, *more): chance * share for look, chance in found.items() for more, share in shares.items() if share
        }
    return found


def _recorded(case: Case, clutch: tuple[tuple[str, ...], ...], mixed: bool) -> Case:
    young = tuple(Animal(f"Y-{n}", None, (Reading(Look(look)),), clutch="C-next") for n, look in enumerate(clutch))
    sires = (("M", F(1, 2)), ("B", F(1, 2)))
    return Case(case.loci, (*case.animals, *young), (Clutch("C-next", sires, "D", date(2030, 1, 1), mixed),))


def enumerated(case: Case, young: int, animal: str, trait: str, mixed: bool) -> Answer:
    """The answer by recording every clutch and asking the enumeration what is then forced, and likely."""
    locus = next(locus.name for locus in case.loci if trait in locus.alleles)
    proved = none = carried = F(0)
    for after, looks, chance in _summed(case, young, mixed):
        people = Enumeration(after)
        proved += chance if people.forced(animal, locus, trait) else F(0)
        if trait not in looks:
            none += chance
            carried += chance * people.carries(animal, locus, trait)
    return Answer(proved, carried / none if none else None)


def _summed(case: Case, young: int, mixed: bool) -> Iterator[tuple[Case, tuple[str, ...], Fraction]]:
    chances: dict[Case, Fraction] = {}
    names: dict[Case, tuple[str, ...]] = {}
    for after, looks, chance in clutches(case, young, mixed):
        chances[after] = chances.get(after, F(0)) + chance
        names[after] = looks
    for after, chance in chances.items():
        yield after, names[after], chance


CASES = {
    "a clear backup": Case(PIEBALD, (DAM, MALE, parent("B", "male", {}))),
    "a backup that shows it": Case(PIEBALD, (DAM, MALE, parent("B", "male", {}, ("Piebald",)))),
    "a possible backup, a possible dam": Case(
        PIEBALD,
        (parent("D", "female", {"Piebald": F(2, 3)}), MALE, parent("B", "male", {"Piebald": F(1, 3)})),
    ),
    "a backup marked by Pastel": Case(
        (*PIEBALD, PASTEL), (DAM, MALE, parent("B", "male", {"Piebald": F(1, 2)}, ("Pastel",)))
    ),
}


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("young", [1, 2])
@pytest.mark.parametrize("animal", ["M", "B", "D"])
def test_both_ways_of_a_backup_agree_with_recording_every_clutch(name: str, young: int, animal: str) -> None:
    """One of the two for the whole clutch, and each egg by itself: chance of a proof and what a clutch without it leaves."""
    asked = backup(infer(as_collection(CASES[name])), "D", "M", "B", young)
    for one in asked.compared:
        if one.animal == animal and one.trait == "Piebald":
            assert one.one_of == enumerated(CASES[name], young, animal, "Piebald", mixed=False)
            assert one.mixed == enumerated(CASES[name], young, animal, "Piebald", mixed=True)


def test_a_possible_backup_takes_the_proof_away() -> None:
    """Either male may have given the copy, so a Piebald young no longer forces the one in question."""
    case = Case(PIEBALD, (DAM, MALE, parent("B", "male", {"Piebald": F(1, 2)})))
    one = compared(case, 6, "M", "Piebald")
    assert one.alone == Answer(F(1, 2) * (1 - F(1, 64)), F(1, 65))
    assert one.one_of.chance == one.mixed.chance == 0
    assert one.no_longer


def test_a_backup_whose_young_are_marked_leaves_part_of_the_proof() -> None:
    """A Super Pastel backup marks all his young: a Piebald young without Pastel is M's. One of two: half of what M alone would give."""
    marked = parent("B", "male", {"Piebald": F(1, 2)}, ("Super Pastel",))
    one = compared(Case((*PIEBALD, PASTEL), (DAM, MALE, marked)), 2, "M", "Piebald")
    assert one.alone is not None
    assert one.alone.chance == F(3, 8)
    assert one.one_of.chance == F(3, 16)
    assert one.mixed.chance == F(1, 2) * (1 - F(3, 4) ** 2)
    assert not one.no_longer


def test_a_look_that_hides_another_locus_leaves_what_tells_the_males_apart() -> None:
    """As above, with Albino, which hides Hypo, in play: what one of the two would prove is as it was."""
    hiding = Locus("albino", "recessive", ("Albino",), hides=(("Albino", ("hypo",)),))
    loci = (*PIEBALD, PASTEL, hiding, Locus("hypo", "recessive", ("Hypo",)))
    both = {"Albino": F(1), "Hypo": F(1)}
    male = parent("M", "male", {"Piebald": F(1, 2), **both})
    marked = parent("B", "male", {"Piebald": F(1, 2), **both}, ("Super Pastel",))
    one = compared(Case(loci, (parent("D", "female", both, ("Piebald",)), male, marked)), 2, "M", "Piebald")
    assert one.one_of.chance == F(3, 16)


def test_the_backup_himself_has_no_figure_alone() -> None:
    """He takes no part in the first male's own clutch."""
    case = Case(PIEBALD, (DAM, MALE, parent("B", "male", {"Piebald": F(1, 2)})))
    assert compared(case, 2, "B", "Piebald").alone is None


@pytest.mark.parametrize(
    ("second", "code"),
    [("M", "same-male-twice"), ("D", "same-sex-pair"), ("E", "same-sex-pair"), ("X", "unknown-animal")],
)
def test_what_cannot_be_a_backup_is_refused(second: str, code: str) -> None:
    """The first male again, a female, an animal that is not on record."""
    room = infer(as_collection(Case(PIEBALD, (DAM, MALE, parent("E", "female", {})))))
    with pytest.raises(RecordsError) as refused:
        backup(room, "D", "M", second, 2)
    assert [problem.code for problem in refused.value.problems] == [code]


def test_the_comparison_is_told_side_by_side() -> None:
    """One sentence: alone, one of the two, eggs of both, and that the proof is gone."""
    case = Case(PIEBALD, (DAM, MALE, parent("B", "male", {"Piebald": F(1, 2)})))
    room = infer(as_collection(case))
    asked: Backup = backup(room, "D", "M", "B", 6)
    assert backup_sentence(asked.compared[0], asked, room.collection) == (
        "M, Piebald, 1 in 2 now. Of 100 clutches, how many prove it: if M sires every egg, 49 (just under 2 in 100 left if none shows it); "
        "if one of the two sires every egg, none (just under 26 in 100 left if none shows it); "
        "if each egg may be by either, none (just over 14 in 100 left if none shows it). "
        "With both males this clutch can no longer prove it."
    )


def test_what_is_not_computed_is_not_said_to_cost_no_proof() -> None:
    room = infer(as_collection(Case(PIEBALD, (DAM, MALE, parent("B", "male", {})))))
    asked = backup(room, "D", "M", "B", 6)
    unknown = replace(asked.compared[0], one_of=Answer(None, None))
    said = backup_verdict(room.collection, replace(asked, compared=(unknown,)))
    assert said == "B as the backup: how often Piebald of M is proved is not computed"
