"""More single functions, each asked the question that nothing else asks: orders, defaults, and limits of words."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from xml.etree.ElementTree import Element

import pytest
from msgspec.structs import replace
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, LabTest, Locus
from tests.rooms import FAMILY
from tests.unit.statement_fakes import PYTHONS, reading

from clutchlight.genetics.inference import infer
from clutchlight.genetics.terms import least_order
from clutchlight.genetics.tree import Factor, Tree, planned
from clutchlight.genetics.values import Event, Grounds, OtherSire
from clutchlight.model import When
from clutchlight.model.private import SeasonRules
from clutchlight.planning import doubt, rotation
from clutchlight.planning.hatchlings import Hatchlings, hatchlings_of_eggs
from clutchlight.planning.hiding import Hiding
from clutchlight.planning.proofs import Proof
from clutchlight.planning.readiness import OWN, Limit, is_grown, male_limits
from clutchlight.planning.rotation import Stay
from clutchlight.planning.sales import without_buyer
from clutchlight.publishing import building_again
from clutchlight.reading.dates import read_date
from clutchlight.reading.findings import or_nearest
from clutchlight.reading.log import _candidates
from clutchlight.reading.text import place_in
from clutchlight.site import files
from clutchlight.statements import (
    animals,
    clutches,
    doubt as doubt_words,
    odds as odds_words,
    reasons,
    results,
    silences,
)
from clutchlight.statements.answers import Answers
from clutchlight.wording.words import clause, harmful_together

F = Fraction
DAY = date(2026, 11, 25)


# Genetics


def test_the_widest_clique_is_the_one_of_most_entries() -> None:
    """Of a chain of 2, 2 and 5 states: 4 and 10 entries."""
    plan = planned((2, 2, 5), ((0, 1), (1, 2)))
    assert (plan.entries, plan.widest) == (14, 10)


def test_what_was_sent_once_is_not_looked_at_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Until a factor changes: then at what lies between the two."""
    tree = Tree((2, 2, 2), (Factor((0, 1), [1, 2, 3, 4]), Factor((1, 2), [1, 5, 2, 7])))
    looked: list[int] = []
    last = tree._last_change

    def noted(clique: int, without: int) -> int:
        looked.append(without)
        return last(clique, without)

    monkeypatch.setattr(tree, "_last_change", noted)
    counts = []
    for scope, change in (((0,), False), ((0, 1), False), ((0,), True), ((0, 1), False)):
        if change:
            tree.change(1, [1, 5, 2, 8])
        looked.clear()
        tree.belief(scope)
        counts.append(sum(without >= 0 for without in looked))
    assert counts == [1, 0, 1, 0]


def test_a_test_counts_from_its_own_moment_on() -> None:
    """The first event is the first moment."""
    tested = Animal("A", "male", tests=(LabTest("P", 0, date(2025, 1, 1)),))
    locus = Locus("at", "recessive", ("P",), background=(("P", F(1, 10)),))
    world = infer(as_collection(Case((locus,), (tested,), ()))).figures_of("A").world
    evidence, egg = world.evidence[0], world.pedigree.eggs[0]
    assert [evidence.was_tested(egg, moment) for moment in (0, 1, 2)] == [False, True, True]


def test_nothing_has_the_least_order() -> None:
    assert (least_order([]), least_order([0, 0])) == (0, 0)


# Planning


def test_those_near_are_asked_before_all() -> None:
    left: Any = SimpleNamespace(figures=SimpleNamespace(certainty="near"), _of_all="all")
    assert list[Any](doubt._Left._certainties(left)) == ["near", "all"]


def test_rests_are_those_before_stays_of_the_last_thirty_days() -> None:
    """Exactly thirty days ago is not among them, today is; the same female by the next day stayed, and by the day after came back."""

    def rests(*stays: tuple[str, int, int]) -> list[int]:
        found = [Stay(who, DAY - timedelta(first), DAY - timedelta(last), open_=False) for who, first, last in stays]
        return rotation._rests(found, {(stay.female, stay.first) for stay in found}, DAY)

    assert rests(("A", 40, 35), ("B", 30, 29), ("A", 29, 20), ("B", 0, 0)) == [0, 20]
    assert rests(("A", 20, 15), ("A", 14, 10), ("A", 8, 8), ("B", 7, 7)) == [2, 1]


def test_what_may_be_hidden_itself_may_hide_what_comes_after() -> None:
    """The young can only show the look that hides the second locus; beside it the others may be what nobody sees."""
    looks = [frozenset({name}) for name in ("A", "B", "C", "D")]
    loci = [
        SimpleNamespace(key=key, looks=(frozenset(), look), hides=dict.fromkeys(look, hidden))
        for key, look, hidden in zip("abcd", looks, (["b"], ["c"], ["d"], []), strict=True)
    ]
    shown: list[Any] = [
        SimpleNamespace(kinds=lambda *pair, look=look: [(1, look)]) for look in (looks[0], *[frozenset()] * 3)
    ]
    together: Any = SimpleNamespace(loci=loci, states=shown, rows_at=lambda locus: [((0, 0), 1)])
    hiding = Hiding(together, [(0, 1)])
    assert [hiding.hiders(locus) for locus in range(4)] == [(), (0,), (0, 1), (0, 1, 2)]
    loci[0].hides = {}
    assert Hiding(together, [(0, 1)]).hiders(3) == ()


def test_of_two_equal_limits_the_one_for_small_males_is_named(tmp_path: Path) -> None:
    collection, _ = FAMILY.both(tmp_path, {})
    python, rules = collection.species["ball-python"], {"": SeasonRules(small_male={"refusals": F(4)})}
    assert male_limits(python, rules)["refusals"].value == 4
    assert male_limits(python, rules, small_or_first=True)["refusals"] == Limit(F(4), OWN)


def test_the_stricter_limit_holds_of_a_small_male(tmp_path: Path) -> None:
    """The longer rest and the fewer refusals, whichever of the two sets has them."""
    collection, _ = FAMILY.both(tmp_path, {})
    python = collection.species["ball-python"]
    strict, mild = {"rest_days": F(9), "refusals": F(1)}, {"rest_days": F(1), "refusals": F(9)}
    for male, small_male in ((strict, mild), (mild, strict)):
        rules = {"": SeasonRules(male=male, small_male=small_male)}
        limits = male_limits(python, rules, small_or_first=True)
        assert {name: limits[name].value for name in strict} == strict
        assert {name: male_limits(python, rules)[name].value for name in male} == male


def test_males_of_the_log_stand_in_order_of_their_first_day() -> None:
    """Whatever order the rows came in; of one day by name."""
    days = {"M-03": 2, "M-02": 1, "M-01": 2}
    rows: Any = {male: [SimpleNamespace(day=date(2026, 1, day), event="paired")] for male, day in days.items()}
    assert [one.male for one in _candidates(rows)] == ["M-02", "M-01", "M-03"]


def test_only_what_is_sold_lacks_a_buyer(tmp_path: Path) -> None:
    """Whatever for, and that only where no sale says whose it is."""
    sold = "- {id: F-08, sex: female, hatched: 2019, status: sold}\n"
    ways = ("traded", "re-homed", "escaped")
    left = "".join(f"- {{id: {way}, hatched: 2019, left: {{how: {way}, on: 2024-05-05}}}}\n" for way in ways)
    collection, private = FAMILY.both(tmp_path, {"animals/sold.yaml": sold + left})
    assert without_buyer(collection, private) == ("F-08", "re-homed", "traded")


@pytest.mark.parametrize(("hatched", "said"), [(date(2025, 12, 20), False), (date(2025, 11, 20), True)])
def test_where_the_species_file_has_no_age_one_of_a_year_is_grown(hatched: date, said: bool) -> None:
    """Eleven months are too few."""
    collection: Any = SimpleNamespace(species={"ball-python": PYTHONS})
    animal: Any = SimpleNamespace(hatched=When.day(hatched), species="ball-python", sex="male", status="growing on")
    assert is_grown(animal, collection, DAY) is said


# Records


def test_a_range_is_a_date_only_where_one_is_asked_for() -> None:
    assert isinstance(read_date("2024-05-01..03"), str)
    assert not isinstance(read_date("2024-05-01..03", spans=True), str)


def test_the_end_of_a_message_names_the_nearest_or_says_nothing() -> None:
    assert or_nearest("Pastl", ["Pastel"]) == "; the nearest is 'Pastel'"
    assert or_nearest("Zzyzx", ["Pastel"], "look it up") == "; look it up"
    assert or_nearest("Zzyzx", ["Pastel"]) == ""


def test_a_character_has_its_column_from_the_line_that_it_stands_in() -> None:
    found = [place_in("ab\ncd\n", index, "f") for index in (0, 1, 3, 4)]
    assert [(one.line, one.column) for one in found] == [(1, 1), (1, 2), (2, 1), (2, 2)]


# Statements


def test_the_relation_of_parents_is_told_of_a_clutch_without_a_coefficient(tmp_path: Path) -> None:
    """Where none was worked out, none is taken."""
    answers = Answers(FAMILY.book(tmp_path, {}).inference)
    said = clutches._relation(answers, answers.collection.clutches["C26-01"], by_claim=False).clause
    assert said == "the parents are not related, as far as is recorded"


@pytest.mark.parametrize(("dam", "sires", "told"), [(None, [("M", F(1))], "its dam is not recorded"), ("F", [], "")])
def test_of_one_parent_alone_no_relation_is_told(dam: str | None, sires: list[tuple[str, Fraction]], told: str) -> None:
    answers: Any = SimpleNamespace(dam_of=lambda animal: dam, sires_of=lambda animal: sires)
    animal: Any = None
    assert animals._relation(answers, animal, F(0), by_claim=False)[:2] == (told, "")


def test_what_is_hidden_is_named_in_the_order_of_its_loci(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(silences, "hidden_loci", lambda *_: ["piebald", "clown", "albino"])
    monkeypatch.setattr(silences, "_spoken", lambda *_: list(PYTHONS.loci.values()))
    monkeypatch.setattr(silences, "_hiding", lambda *_: ())
    collection = SimpleNamespace(looks_that_count=lambda animal, reading: reading.shows)
    answers: Any = SimpleNamespace(species_of=lambda animal: PYTHONS, collection=collection)
    animal: Any = None
    (said,) = silences._untold(answers, animal, reading("Pastel"))
    assert said == "What it shows can hide Albino, Candy, Clown and Piebald, so its look says nothing there."


def test_a_sentence_of_a_proof_ends_with_its_full_stop() -> None:
    """Where what a clutch without the trait leaves is not computed either."""
    collection: Any = SimpleNamespace(animals={"F-01": SimpleNamespace(called="F-01")})
    proof = Proof("F-01", "piebald", "Piebald", F(1, 2), None, None)
    said = odds_words.proof_sentence(proof, hatchlings_of_eggs(PYTHONS, 2), collection)
    assert said == "F-01 may carry Piebald (1 in 2); how often this would prove it is not computed."


def test_eggs_in_the_incubator_of_which_double_doses_die_are_no_fixed_number() -> None:
    """Of six eggs, a quarter of which dies, four or five hatch on average, though every other one does."""
    eggs = hatchlings_of_eggs(replace(PYTHONS, facts={}), 6)
    assert eggs.survivors({F(1, 4): F(1)}).settled.mean == F(9, 2)
    assert eggs.survivors({F(0): F(1)}).settled == Hatchlings.exactly(6)


def test_one_time_in_a_hundred_is_told_as_such() -> None:
    said = [odds_words.times_in_hundred(chance) for chance in (F(1, 100), F(1, 101), F(0), F(1))]
    assert said == ["1 time in 100", "less than 1 time in 100", "never", "nearly every time"]


def test_lines_are_broken_between_words_alone() -> None:
    """Neither within one that is too long nor at a hyphen."""
    long = "x" * 300
    assert odds_words.wrapped(long, 2) == [f"  {long}"]
    assert all("half-" not in line or "half-siblings" in line for line in odds_words.wrapped("half-siblings " * 20, 0))


def test_a_normal_look_is_named_when_it_is_left_out() -> None:
    place: Any = None
    for shows, said in (((), "normal"), (("Pastel",), "Pastel"), (None, "not seen")):
        animal = SimpleNamespace(id="F-01", species="ball-python", readings=[SimpleNamespace(shows=shows)])
        collection: Any = SimpleNamespace(animals={"F-01": animal}, species={"ball-python": PYTHONS})
        assert (
            doubt_words.record_words(doubt.LeftOut("look", "F-01", place), collection) == f"the look of F-01 ({said})"
        )


def test_of_several_looks_alike_the_first_is_left_out() -> None:
    """The figures below are told of the first: with another left out, that one's would move."""
    place: Any = None
    animals = {
        f"A-{n}": SimpleNamespace(id=f"A-{n}", species="ball-python", readings=[SimpleNamespace(shows=())])
        for n in range(1, 6)
    }
    collection: Any = SimpleNamespace(animals=animals, species={"ball-python": PYTHONS})
    for alike, said in (
        (("A-1", "A-2", "A-3"), "and likewise of A-2 or A-3"),
        (tuple(animals), "and likewise of any one of 4 like it"),
    ):
        left_out = doubt.LeftOut("look", "A-1", place, alike=alike)
        assert doubt_words.record_words(left_out, collection) == f"the look of A-1 (normal), {said}"


def test_one_trait_alone_harms_by_itself_and_twice_by_two_copies() -> None:
    found = [str(harmful_together(traits)) for traits in (["Spider"], ["Spider", "Spider"], ["Spider", "Lesser"])]
    assert found == ["Spider", "two copies of Spider", "Spider with Lesser"]


def test_a_clause_begins_with_a_capital_whatever_follows_its_first_word() -> None:
    said = [str(clause(text)) for text in ("so, it is.", "m-02 shows it.", "half-siblings; both", "3 eggs")]
    assert said == ["So, it is", "m-02 shows it", "Half-siblings; both", "3 eggs"]


def test_traits_of_one_locus_stand_apart_only_where_it_surely_carries_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """And where others are left: two of a locus that may both be missing stay, and so does one alone."""
    answers: Any = None
    animal: Any = None
    monkeypatch.setattr(animals, "all_of", lambda answers, animal, traits: [one.trait for one in traits])
    names = {"Albino": "albino", "Candy": "albino", "Clown": "clown"}
    traits: Any = [
        SimpleNamespace(trait=name, locus=locus, mentioned=True, possible=True, either="certain")
        for name, locus in names.items()
    ]
    for surely, kept in ((["albino"], ["Clown"]), ([], list(names)), (["clown"], list(names))):
        monkeypatch.setattr(
            animals, "_surely_some", lambda answers, animal, found, surely=surely: found[0].locus in surely
        )
        found: Any = animals.together(answers, animal, traits)
        assert found == (kept,)
    monkeypatch.setattr(animals, "_surely_some", lambda answers, animal, found: True)
    found = animals.together(answers, animal, traits[:2])
    assert found == (["Albino", "Candy"],)
    for trait in traits:  # where the label does not say it, it is said
        trait.either = None
    found = animals.together(answers, animal, traits)
    assert found == (["Clown"], ["Albino", "Candy"])


def test_clutches_on_which_something_hangs_stand_in_order_of_id(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whichever animal comes first of which something is certain; a male is named once."""
    males = {
        "A": OtherSire("C26-02", "M-1", None),
        "B": OtherSire("C26-01", "M-2", None),
        "C": OtherSire("C26-02", "M-1", None),
    }
    undone = {
        name: SimpleNamespace(other_sires=lambda male=male: (male,), what="Piebald") for name, male in males.items()
    }
    monkeypatch.setattr(results, "computed", lambda answers, animal: [undone[animal.id]])
    animals_ = {name: SimpleNamespace(id=name, species="ball-python") for name in males}
    collection = SimpleNamespace(animals=animals_, clutches={name: name for name in ("C26-01", "C26-02")})
    answers: Any = SimpleNamespace(
        collection=collection, inferred=SimpleNamespace(others=True), like=lambda animal: animal
    )
    found = [
        (one.clutch, [male.male for male in one.males], [name for name, _ in one.certain])
        for one in list[Any](results.hanging(answers))
    ]
    assert found == [("C26-01", ["M-2"], ["B"]), ("C26-02", ["M-1"], ["A", "C"])]


@pytest.mark.parametrize(
    ("shows", "said"),
    [((True, False), "carry"), ((False, True), "carry"), ((True, True), "carry"), ((False, False), "are het")],
)
def test_parents_of_whom_one_shows_it_carry_it(
    monkeypatch: pytest.MonkeyPatch, shows: tuple[bool, bool], said: str
) -> None:
    """Two that do not show it are het."""
    parents = [
        (
            role,
            SimpleNamespace(
                carries=1,
                one_copy=1,
                shows=shown,
                by=role,
                grounds=Grounds("look"),
                if_sired=lambda clutch: "",
            ),
        )
        for role, shown in zip(("sire", "dam"), shows, strict=True)
    ]
    monkeypatch.setattr(reasons, "single_parents", lambda asked: parents)
    monkeypatch.setattr(reasons, "parent_named", lambda asked, role, parent: role)
    monkeypatch.setattr(reasons, "standing_clause", lambda parent, **_: f"stands by its {parent.by}")
    asked: Any = SimpleNamespace(animal=SimpleNamespace(clutch="C"), trait="Piebald", het=True)
    (sentence,) = reasons._parents_sentence(asked)
    assert str(sentence) == f"Both parents {said} Piebald: sire stands by its sire; dam stands by its dam."


def test_what_an_unlisted_animal_alone_changed_is_not_dated() -> None:
    """What is of another day does not count."""
    on = date(2026, 5, 2)
    events = [Event(on, 2, "F-01", "test"), Event(on, 0, "F-01", "hatching")]
    earlier, hidden = Event(date(2026, 5, 1), 0, "F-01", "look"), Event(on, 0, "~1", "look")

    def last(*rows: Event | None) -> object:
        inferred = SimpleNamespace(history=lambda *_: [(one, None) for one in rows])
        animals = {"F-01": SimpleNamespace(species="ball-python")}
        collection = SimpleNamespace(animals=animals, set_aside=lambda _: {})
        asked: Any = SimpleNamespace(inferred=inferred, collection=collection)
        asked.loci = lambda _: [SimpleNamespace(key="piebald")]
        return Answers.changed_last(asked, "F-01")

    assert last(None, earlier, hidden, *events) == on
    assert last(None, earlier, hidden) is last(None, hidden) is last(None) is None


# Publishing


def test_the_digest_of_the_program_is_that_of_its_own_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What it carries along for a release stands in the source already."""
    monkeypatch.setattr(building_again, "_PACKAGE", tmp_path)
    (tmp_path / "_shipped").mkdir()
    found = []
    for own, carried in (("1", "1"), ("1", "2"), ("2", "2")):
        (tmp_path / "a.py").write_text(own)
        (tmp_path / "_shipped" / "b.py").write_text(carried)
        found.append(building_again._program_digest.__wrapped__())
    assert found[0] == found[1] != found[2]


def test_a_link_leads_to_the_web_address() -> None:
    """Where there is none no link is written."""
    for web, hrefs in (("https://example.org", ["https://example.org/changes/"]), (None, [])):
        settings: Any = SimpleNamespace(web_address=web)
        inside = Element("entry")
        files._link(inside, settings, "self", "text/html", "changes/index.html")
        assert [one.attrib["href"] for one in inside] == hrefs
