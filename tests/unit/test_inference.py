"""Small worked examples of inference, each with its derivation, and the limit on tables."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from msgspec.structs import replace
from tests.oracle.as_collection import as_collection
from tests.oracle.case import NONE, Animal, Case, Claim, Clutch, LabTest, Locus, Look, Reading
from tests.rooms import BARE, md

from clutchlight.genetics.inference import Inference, infer
from clutchlight.genetics.values import Figure, Grounds, NotComputed
from clutchlight.model import Recorded
from clutchlight.planning.odds import odds

F = Fraction
PIED = Locus("piebald", "recessive", ("Piebald",))
NORMAL, VISUAL = Reading(Look(())), Reading(Look(("Piebald",)))


def pair(sire: Animal, dam: Animal, *young: Animal, day: date = date(2020, 7, 1), locus: Locus = PIED) -> Case:
    """Two parents and one clutch."""
    return Case((locus,), (sire, dam, *young), (Clutch("C", ((sire.id, F(1)),), dam.id, day),))


def said(name: str, sex: str, chance: Fraction | None = None, look: Reading = NORMAL) -> Animal:
    claims = () if chance is None else (Claim("Piebald", chance),)
    return Animal(name, "male" if sex == "male" else "female", (look,), claims)


def hatchling(name: str, look: Reading = NORMAL) -> Animal:
    return Animal(name, "female", (look,), clutch="C")


def carries(inference: Inference, animal: str) -> Fraction:
    found = inference.now(animal, "piebald")
    assert isinstance(found, Figure)
    return found.carries(1)


def test_three_animals() -> None:
    """Het x het gives 1:2:1; a normal-looking young is one of the first three: 2 in 3, by claims and by chance."""
    inference = infer(as_collection(pair(said("S", "male", F(1)), said("D", "female", F(1)), hatchling("Y"))))
    assert inference.now("Y", "piebald") == Figure((((0, 0), F(1, 3)), ((0, 1), F(2, 3))))
    assert inference.grounds("S", "piebald", 1) == Grounds("claim")
    assert inference.grounds("Y", "piebald", 1) == Grounds("chance")
    assert inference.rests_on("Y", "piebald") == ("D", "S")
    assert (inference.conflicts, inference.surprises) == ((), ())


def test_a_visual_young_proves_both_parents() -> None:
    """A visual had one copy from each: forced by the clutch, whatever was claimed."""
    case = pair(said("S", "male", F(1, 2)), said("D", "female", F(1, 3)), hatchling("Y", VISUAL))
    inference = infer(as_collection(case))
    assert [carries(inference, name) for name in "SD"] == [F(1), F(1)]
    assert inference.grounds("S", "piebald", 1) == Grounds("proven", "C")
    assert inference.grounds("Y", "piebald", 1) == Grounds("look")


def test_what_is_proven_rests_on_no_claim() -> None:
    """The same with a normal-looking sibling: its 2 in 3 follows from parents that are proven, not from what was said of them."""
    case = pair(said("S", "male", F(1, 2)), said("D", "female", F(1, 3)), hatchling("Y", VISUAL), hatchling("Z"))
    inference = infer(as_collection(case))
    assert carries(inference, "Z") == F(2, 3)
    assert [inference.rests_on(name, "piebald") for name in "SDYZ"] == [(), (), (), ()]
    unproven = infer(as_collection(pair(said("S", "male", F(1, 2)), said("D", "female", F(1, 3)), hatchling("Z"))))
    assert [unproven.rests_on(name, "piebald") for name in "SDZ"] == [("D", "S")] * 3


APART = {
    "animals/a.yaml": "- {id: F-1, sex: female, hatched: 2021, shows: normal, claims: {Piebald: 50%}}\n"
    "- {id: M-1, sex: male, hatched: 2021, shows: normal, claims: {Piebald: 50%}}\n",
    "clutches/C26-01.md": md(
        "id: C26-01\nsire: M-1\ndam: F-1\nlaid: 2026-05-06\neggs: 4\nhatched: 2026-07-04\ncounts: no\n"
        "young: [1 f Piebald, 2 m normal, 3 unknown, 4 m Pastel]"
    ),
}


def test_young_of_a_clutch_that_does_not_count_go_by_their_own_looks(tmp_path: Path) -> None:
    """Of two 1 in 2 hets 3/8 of all young are het and 1/16 visual: of the normal ones (3/8)/(15/16) = 2/5 are het.

    Both parents stay at 1 in 2, and what neither of them can have shown, Pastel, is the young's alone.
    """
    inference = BARE.book(tmp_path, APART).inference
    found = {name: inference.now(name, "piebald") for name in inference.collection.animals}
    assert {name: figure.carries(1) for name, figure in found.items() if isinstance(figure, Figure)} == {
        "F-1": F(1, 2),
        "M-1": F(1, 2),
        "C26-01-1": F(1),
        "C26-01-2": F(2, 5),
        "C26-01-3": F(7, 16),
        "C26-01-4": F(2, 5),
    }
    assert found["C26-01-1"] == Figure((((1, 1), F(1)),))
    assert inference.grounds("C26-01-1", "piebald", 1) == Grounds("look")
    assert [inference.now(name, "pastel") for name in ("F-1", "C26-01-4")] == [
        Figure((((0, 0), F(1)),)),
        Figure((((0, 1), F(1)),)),
    ]
    assert inference.ruled_out("C26-01-2", "pastel", 1)
    assert (inference.conflicts, inference.surprises) == ((), ())


def test_what_a_test_tells_of_young_that_stand_apart_is_in_their_history(tmp_path: Path) -> None:
    """2/5 by its look, and 1 once a test of its own has found a copy; its siblings and parents stay as they were."""
    tested = "{id: C26-01-2, sex: male, shows: normal, tests: [{trait: Piebald, copies: 1, on: 2026-09-01}]}"
    files = {key: text.replace("2 m normal", tested) for key, text in APART.items()}
    assert files != APART
    inference = BARE.book(tmp_path, files).inference
    found = {
        name: [figure.carries(1) for _, figure in inference.history(name, "piebald") if isinstance(figure, Figure)]
        for name in ("C26-01-2", "C26-01-4", "F-1")
    }
    assert found == {"C26-01-2": [F(2, 5), F(1)], "C26-01-4": [F(2, 5)], "F-1": [F(1, 2)]}
    assert inference.grounds("C26-01-2", "piebald", 1) == Grounds("test", "C26-01-2")


def test_the_young_of_a_proven_parent_have_family_evidence(tmp_path: Path) -> None:
    """A sire that looks normal, proven by a visual with one dam, makes his young with another possible hets, and not background only."""
    files = {
        "traits/own.yaml": "species: ball-python\nloci: [{locus: piebald, background: 1/50}]\n",
        "animals/all.yaml": "\n".join(
            f"- {{id: {name}, sex: {sex}, hatched: 2021, shows: normal}}"
            for name, sex in [("F-1", "female"), ("F-2", "female"), ("M-1", "male")]
        ),
        "clutches/all.yaml": "\n".join(
            f"- {{id: {name}, sire: M-1, dam: {dam}, eggs: 1, hatched: 2025-07-01, young: [1 f {look}]}}"
            for name, dam, look in [("C25-1", "F-1", "normal"), ("C25-2", "F-2", "Piebald")]
        ),
    }
    inference = infer(BARE.collection(tmp_path, files))
    assert inference.grounds("M-1", "piebald", 1).kind == "proven"
    assert inference.grounds("C25-1-1", "piebald", 1).kind == "chance"
    assert inference.grounds("F-1", "piebald", 1).kind == "background"


def test_a_mate_from_a_clutch_that_does_not_count_leaves_its_dam_alone(tmp_path: Path) -> None:
    """A visual son with his dam, 1 in 2 het: half of the young of a het are visual, so an egg is one 1 time in 4."""
    son = {key: text.replace("1 f Piebald", "1 m Piebald") for key, text in APART.items()}
    found = odds(BARE.book(tmp_path, son).inference, "C26-01-1", "F-1", 1)
    assert sum(one.per_egg for one in found.outcomes if "Piebald" in one.looks) == F(1, 4)


def test_the_young_of_a_visual_carries_by_parentage() -> None:
    """A visual gives a copy to each young: forced by what was known when it hatched."""
    inference = infer(as_collection(pair(said("S", "male", look=VISUAL), said("D", "female"), hatchling("Y"))))
    assert carries(inference, "Y") == 1
    assert inference.grounds("Y", "piebald", 1) == Grounds("parentage")


def test_two_figures() -> None:
    """When hatched 1/2 of a claimed het's; now 1, by a sure test of its own: the history names the test."""
    young = replace(hatchling("Y"), tests=(LabTest("Piebald", 1, date(2021, 3, 1)),))
    inference = infer(as_collection(pair(said("S", "male", F(1)), said("D", "female"), young)))
    then = inference.when_hatched("Y", "piebald")
    assert isinstance(then, Figure)
    assert (then.carries(1), carries(inference, "Y")) == (F(1, 2), F(1))
    assert [event.kind for event, _ in inference.history("Y", "piebald") if event] == ["hatching", "test"]
    assert inference.grounds("Y", "piebald", 1) == Grounds("test", "Y")


def test_a_surprise_names_its_founders() -> None:
    """A visual young of two founders of whom nothing is said needs one unrecorded copy in each: both certain."""
    inference = infer(as_collection(pair(said("S", "male"), said("D", "female"), hatchling("Y", VISUAL))))
    (surprise,) = inference.surprises
    assert surprise.founders == (("D", F(1)), ("S", F(1)))
    assert (surprise.shown_by, surprise.clutches, surprise.since) == (("Y",), ("C",), date(2020, 7, 1))


def test_who_is_the_unrecorded_carrier() -> None:
    """Two visuals need a carrier on each side of the grandparents: one of the dam's two parents, 1 in 2 each."""
    case = Case(
        (PIED,),
        (
            said("G", "male"),
            said("H", "female"),
            Animal("D", "female", (NORMAL,), clutch="P"),
            said("S", "male", look=VISUAL),
            Animal("Y", None, (VISUAL,), clutch="C"),
        ),
        (
            Clutch("P", (("G", F(1)),), "H", date(2016, 7, 1)),
            Clutch("C", (("S", F(1)),), "D", date(2020, 7, 1)),
        ),
    )
    inference = infer(as_collection(case))
    (surprise,) = inference.surprises
    assert surprise.founders == (("G", F(1, 2)), ("H", F(1, 2)))
    assert inference.grounds("D", "piebald", 1) == Grounds("proven", "C")


def test_a_picked_sample_does_not_weigh() -> None:
    """Three normal young of a visual mate leave 1/9 of 1/2 when all are on record, and 1/2 when they are a picked sample."""
    young = tuple(hatchling(f"Y{number}") for number in range(3))
    whole = pair(said("S", "male", F(1, 2)), said("D", "female", look=VISUAL), *young)
    part = replace(whole, clutches=(replace(whole.clutches[0], complete=False),))
    assert [carries(infer(as_collection(case)), "S") for case in (whole, part)] == [F(1, 9), F(1, 2)]


def test_two_possible_hets_share_a_doubt() -> None:
    """Two normal young of a half-chance het and a clear mate carry with 1/4 each, but both with 1/8: their sire is shared."""
    young = (Animal("Y1", None, clutch="C"), Animal("Y2", None, clutch="C"))
    inference = infer(as_collection(pair(said("S", "male", F(1, 2)), said("D", "female"), *young)))
    joint = inference.joint([("Y1", "piebald"), ("Y2", "piebald")])
    assert not isinstance(joint, NotComputed)
    assert joint.chance(lambda pairs: all(1 in each for each in pairs)) == F(1, 8)
    assert carries(inference, "Y1") == F(1, 4)


def test_a_heterozygote_that_is_said_never_to_stay() -> None:
    """A dam alone whose locus keeps nothing, and a young with one copy by a sure test: it was kept all the same, so it stands."""
    young = Animal("Y", "female", clutch="C", tests=(LabTest("Piebald", 1, date(2021, 1, 1)),))
    animals = (said("D", "female", F(1)), young)
    case = Case((PIED,), animals, (Clutch("C", ((NONE, F(1)),), "D", date(2020, 7, 1)),))
    inference = infer(as_collection(case))
    assert inference.conflicts == ()
    assert inference.now("Y", "piebald") == Figure((((0, 1), F(1)),))


def crossed(generations: int) -> Case:
    """Four lines mated in every combination, generation after generation: no table of it is small."""
    sexes = ("male", "female")
    names = [f"G0-{number}" for number in range(6)]
    animals = [said(name, sexes[number % 2], F(1, 2)) for number, name in enumerate(names)]
    clutches = []
    for generation in range(1, generations + 1):
        young = []
        for number in range(6):
            sire, dam = names[2 * (number % 3)], names[2 * ((number + generation) % 3) + 1]
            clutch = f"C{generation}-{number}"
            young.append(f"G{generation}-{number}")
            clutches.append(Clutch(clutch, ((sire, F(1)),), dam, date(2000 + generation, 7, 1)))
            animals.append(Animal(young[-1], "male" if number % 2 == 0 else "female", (NORMAL,), clutch=clutch))
        names = young
    return Case((PIED,), tuple(animals), tuple(clutches))


def test_the_limit_names_animals() -> None:
    """A table over the limit makes no figure and says whose test would split it; with room enough the figures are there."""
    collection = as_collection(crossed(4))
    narrow, wide = infer(collection, limit=16), infer(collection)
    refused = narrow.now("G4-0", "piebald")
    assert isinstance(refused, NotComputed)
    assert refused.animals
    assert set(refused.animals) <= set(collection.animals)
    assert list(refused.animals) == sorted(refused.animals)
    assert isinstance(wide.now("G4-0", "piebald"), Figure)
    assert isinstance(narrow.when_hatched("G4-0", "piebald"), NotComputed)
    assert isinstance(narrow.joint([("G4-0", "piebald"), ("G4-1", "piebald")]), NotComputed)


def test_the_chances_of_sires_are_not_computed_either() -> None:
    """Where the doubt hangs on a table over the limit: no prior chance stands in, for the clutch or for an egg of a mixed one."""
    for mixed in (False, True):
        case = crossed(4)
        doubt = replace(case.clutches[-1], sires=(("G3-0", F(1, 3)), ("G3-2", F(2, 3))), mixed=mixed)
        collection = as_collection(replace(case, clutches=(*case.clutches[:-1], doubt)))
        narrow, wide = infer(collection, limit=16), infer(collection)
        (young,) = collection.clutches[doubt.id].young
        found = narrow.sires_of(young)
        assert isinstance(found, NotComputed)
        assert found.animals
        assert isinstance(wide.sires_of(young), tuple)
        assert isinstance(
            narrow.sires(doubt.id), tuple if mixed else NotComputed
        )  # of a mixed clutch they are the recorded ones


def test_a_test_of_the_named_animals_splits_the_question() -> None:
    """Once those animals are tested, the same limit is enough."""
    case, limit = crossed(4), 16
    for _ in range(12):
        refused = infer(as_collection(case), limit=limit).now("G4-0", "piebald")
        if not isinstance(refused, NotComputed):
            break
        asked = refused.animals[0]
        tested = LabTest("Piebald", 0, date(2030, 1, 1))
        case = replace(case, animals=tuple(replace(a, tests=(tested,)) if a.id == asked else a for a in case.animals))
    assert isinstance(infer(as_collection(case), limit=limit).now("G4-0", "piebald"), Figure)
    assert any(animal.tests for animal in case.animals)


def test_a_test_that_splits_a_question_changes_figures_from_its_day() -> None:
    """Every animal's history tells of them, though no table that serves all moments has room for them."""
    case = crossed(4)
    refused = infer(as_collection(case), limit=16).now("G4-0", "piebald")
    assert isinstance(refused, NotComputed)
    tests = (LabTest("Piebald", 0, date(2020, 1, 1)),)
    animals = tuple(replace(one, tests=tests) if one.id in refused.animals else one for one in case.animals)
    inference = infer(as_collection(replace(case, animals=animals)), limit=16)
    for animal in animals:
        *_, (event, figure) = inference.history(animal.id, "piebald")
        assert figure == inference.now(animal.id, "piebald")
    assert isinstance(inference.at("G4-0", "piebald", date(2019, 12, 31)), NotComputed)
    *_, (event, figure) = inference.history("G4-0", "piebald")
    assert event is not None
    assert (event.on, isinstance(figure, Figure)) == (date(2020, 1, 1), True)


def test_whom_a_copy_came_from_says_nothing_of_how_common_it_is() -> None:
    """A male shows a dominant trait of frequency 1/10: two copies p^2 / (p^2 + 2p(1 - p)) = 1/19 (Hardy 1908), claimed phase or not."""
    linked = Locus("bony", "dominant", ("Bony",), crossover=F(1, 5), background=(("Bony", F(1, 10)),))
    for claims in ((), (Claim("Bony", came_from="sire"),), (Claim("Bony", came_from="dam"),)):
        male = Animal("M", "male", (Reading(Look(("Bony",))),), claims)
        figure = infer(as_collection(Case((linked,), (male,)))).now("M", "bony")
        assert isinstance(figure, Figure)
        assert figure.chance(lambda pair: pair == (1, 1)) == F(1, 19)


def test_a_claim_that_was_withdrawn_counted_until_then_beside_one_that_stands() -> None:
    """2/3 for Piebald until it was withdrawn, nothing since; the claim of another trait is as it was."""
    loci = (PIED, Locus("clown", "recessive", ("Clown",)))
    claims = (Claim("Piebald", F(2, 3), withdrawn=date(2021, 5, 1)), Claim("Clown", F(1, 2)))
    for order in (claims, claims[::-1]):
        figures = infer(as_collection(Case(loci, (Animal("F", "female", (NORMAL,), order),))))
        told = [(event and event.on, figure.carries(1)) for event, figure in figures.history("F", "piebald")]  # type: ignore[union-attr]
        assert told == [(None, F(2, 3)), (date(2021, 5, 1), F(0))]
        assert carries(figures, "F") == 0


def test_what_was_forced_from_the_beginning_is_dated_so() -> None:
    """However late it is looked for: a founder of whom a look without a date shows it."""
    tested = Animal("Y", "female", (NORMAL,), tests=(LabTest("Piebald", 1, date(2021, 5, 1)),), clutch="C")
    case = pair(said("S", "male"), said("D", "female", look=VISUAL), tested, hatchling("Z"))
    figures = infer(as_collection(case)).figures_of("D")
    egg = figures.world.pedigree.egg_of
    now = figures.world.timeline.now
    assert now > 1
    assert figures.certainty._bisected(0, egg["D"], 1, now) == 0
    assert figures.certainty._bisected(0, egg["D"], 1, 1) == 0
    assert figures.certainty._bisected(0, egg["Y"], 1, now) == figures.certainty.forced_since(0, egg["Y"], 1)


def test_tests_over_two_generations_that_cannot_all_be_right_are_named_together() -> None:
    """Four grandparents without a copy, a grandchild with one; whatever the names of the clutches."""
    free, one = ((LabTest("Piebald", copies, date(2022, 1, 1)),) for copies in (0, 1))
    for names in (("C-1", "C-2", "C-3"), ("C-3", "C-2", "C-1"), ("C-2", "C-1", "C-3")):
        young, first, second = names
        animals = (
            *(Animal(f"G-{n}", "male" if n % 2 else "female", (NORMAL,), tests=free) for n in range(1, 5)),
            Animal("S", "male", (NORMAL,), clutch=first),
            Animal("D", "female", (NORMAL,), clutch=second),
            Animal("Y", "female", (NORMAL,), tests=one, clutch=young),
        )
        clutches = (
            Clutch(first, (("G-1", F(1)),), "G-2", date(2018, 7, 1)),
            Clutch(second, (("G-3", F(1)),), "G-4", date(2018, 7, 1)),
            Clutch(young, (("S", F(1)),), "D", date(2021, 7, 1)),
        )
        (conflict,) = infer(as_collection(Case((PIED,), animals, clutches))).conflicts
        assert {record.subject for record in conflict.records if record.kind == "test"} == {
            "G-1",
            "G-2",
            "G-3",
            "G-4",
            "Y",
        }


def test_the_sex_that_one_trait_tells_tells_of_another() -> None:
    """A sire has Bony on his Y and Dim on his X, no crossing over: a young without Bony is a daughter, and carries Dim for certain."""
    loci = (
        Locus("bony", "incomplete dominant", ("Bony",), two_copies=(("Bony", "Super Bony"),), crossover=F(0)),
        Locus("dim", "recessive", ("Dim",), crossover=F(0)),
    )
    for order in (loci, loci[::-1]):
        animals = (
            Animal("SS", "male", (Reading(Look(("Super Bony",))),)),
            Animal("SD", "female", (Reading(Look(("Dim",))),)),
            Animal("S", "male", (Reading(Look(("Bony",))),), clutch="C-1"),
            Animal("D", "female", (NORMAL,)),
            Animal("Y", None, (NORMAL,), clutch="C-2"),
        )
        clutches = (
            Clutch("C-1", (("SS", F(1)),), "SD", date(2018, 7, 1)),
            Clutch("C-2", (("S", F(1)),), "D", date(2021, 7, 1)),
        )
        figures = infer(as_collection(Case(order, animals, clutches)))
        dim = figures.now("Y", "dim")
        assert isinstance(dim, Figure)
        assert dim.carries(1) == 1
        assert figures.grounds("Y", "dim", 1).kind == "parentage"


@pytest.mark.parametrize(
    ("sire", "look", "chances"),
    [
        ("[M-1, M-2]", "normal", {"M-1": F(1, 3), "M-2": F(2, 3)}),
        ("[M-1, M-2]", "Piebald", {"M-1": F(1), "M-2": F(0)}),
        ("{mixed: [M-1, M-2]}", "Piebald", {"M-1": F(1, 2), "M-2": F(1, 2)}),
        ("M-1", "Piebald", {"M-1": F(1)}),
        ("[M-1, M-2]", "Pastel", {"M-1": F(1, 2), "M-2": F(1, 2)}),
    ],
)
def test_the_chances_of_sires(tmp_path: Path, sire: str, look: str, chances: dict[str, Fraction]) -> None:
    """A young of a Piebald dam by a het (half are normal) or by a male that is none; of a mixed clutch, and of one that nothing can have
    bred, each male is as likely as he was."""
    animals = "".join(
        f"- {{id: {name}, sex: {sex}, hatched: 2021, shows: {shows}}}\n"
        for name, sex, shows in (
            ("F-1", "female", "[Piebald]"),
            ("M-1", "male", "normal, claims: {Piebald: 100%}"),
            ("M-2", "male", "normal, tests: [{trait: Piebald, copies: 0, on: 2022-01-01}]"),
        )
    )
    clutch = f"- {{id: C-1, sire: {sire}, dam: F-1, eggs: 1, hatched: 2025-07-01, young: [1 f {look}]}}\n"
    inference = infer(BARE.collection(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch}))
    found = inference.sires("C-1")
    assert not isinstance(found, NotComputed)
    assert {one.id: chance for one, chance in found if isinstance(one, Recorded)} == chances
