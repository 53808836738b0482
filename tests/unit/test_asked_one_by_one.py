"""Single functions, each asked the question that nothing else asks."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from importlib.metadata import version
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from lxml import etree
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, Claim, Clutch, Locus, Look, Reading
from tests.rooms import FAMILY, problems
from tests.unit.statement_fakes import PYTHONS
from tests.unit.test_feeds import texts

from clutchlight.editing.clutches import write_hatched
from clutchlight.genetics.certainty import Certainty
from clutchlight.genetics.in_question import Questions
from clutchlight.genetics.inference import Inference, infer
from clutchlight.genetics.network import Network
from clutchlight.genetics.pairs import LocusGroup, Together
from clutchlight.genetics.values import Event, Grounds
from clutchlight.model import When
from clutchlight.planning import doubt
from clutchlight.planning.hatchlings import Hatchlings
from clutchlight.planning.keeping import TowardsGoal
from clutchlight.planning.who_needs_proving import Matings
from clutchlight.problems import Place, RecordsError
from clutchlight.publishing import building_again
from clutchlight.publishing.manifest import Manifest
from clutchlight.reading.findings import Findings, nearest
from clutchlight.reading.ids import Register
from clutchlight.reading.names import Names
from clutchlight.reading.strict import RecordShape
from clutchlight.reading.text import WrittenText
from clutchlight.site import files
from clutchlight.statements import keeping, notes
from clutchlight.statements.answers import Answers

F = Fraction
NORMAL = (Reading(Look(())),)
P = Locus("at", "recessive", ("P",))


def inferred(*animals: Animal, clutches: tuple[Clutch, ...] = (), loci: tuple[Locus, ...] = (P,)) -> Any:
    return infer(as_collection(Case(loci, animals, clutches)))


# Genetics


def test_one_claim_of_certainty_is_enough() -> None:
    """Beside one that is none, and at another locus; half a chance says nothing for certain."""
    both = (Claim("Q", F(1, 2)), Claim("P", F(1)))
    found = inferred(
        Animal("A", "male", NORMAL, claims=both),
        Animal("B", "male", NORMAL, claims=both[:1]),
        loci=(P, Locus("by", "recessive", ("Q",))),
    )
    certainty, pedigree = found.figures_of("A").certainty, found.figures_of("A").world.pedigree
    assert [certainty._surely_claimed(pedigree.eggs[pedigree.egg_of[name]]) for name in "AB"] == [True, False]


def test_a_reading_that_was_taken_back_is_in_no_conflict() -> None:
    """Of two visuals every young is one: its last look contradicts that, its first look did not."""
    visual = (Reading(Look(("P",))),)
    looks = (Reading(Look(("P",)), date(2024, 1, 1)), Reading(Look(()), date(2025, 1, 1)))
    young = Animal("Y", "male", looks, clutch="C")
    clutch = Clutch("C", (("S", F(1)),), "D", date(2023, 7, 1))
    (conflict,) = inferred(
        Animal("S", "male", visual), Animal("D", "female", visual), young, clutches=(clutch,)
    ).conflicts
    assert [(one.kind, one.subject) for one in conflict.records if one.kind == "look"] == [
        ("look", "D"),
        ("look", "S"),
        ("look", "Y"),
    ]


def test_what_a_founder_has_of_its_parents_is_not_told() -> None:
    """Nor of a young at a locus on the sex chromosomes, where both together decide."""
    clutch = Clutch("C", (("S", F(1)),), "D", date(2023, 7, 1))
    for crossover, told in ((None, True), (F(1, 10), False)):
        locus = Locus("at", "recessive", ("P",), crossover=crossover)
        animals = (
            Animal("S", "male", NORMAL, claims=(Claim("P", F(1)),)),
            Animal("D", "female", NORMAL),
            Animal("Y", "male", NORMAL, clutch="C"),
        )
        one = inferred(*animals, clutches=(clutch,), loci=(locus,)).figures_of("Y")
        network, egg_of = one.network, one.world.pedigree.egg_of
        assert network.from_parents(0, egg_of["S"]) is None
        assert (network.from_parents(0, egg_of["Y"]) is not None) is told


def test_no_founder_is_in_question_whose_figure_needs_too_wide_a_table() -> None:
    """Nor one that cannot hold more."""
    marginals = {0: (F(1, 2), F(1, 2)), 1: (F(1, 2), F(1, 2)), 2: (F(1), F(0))}
    network: Any = SimpleNamespace(unanswered=lambda locus, egg: egg == 1, marginal=lambda locus, egg: marginals[egg])
    world = SimpleNamespace(founders=[SimpleNamespace(number=number) for number in range(3)], loci=["at"])
    supposed: Any = SimpleNamespace(world=world, domains=SimpleNamespace(masks=[[3, 3, 1]]))
    supposed.priors = SimpleNamespace(more=lambda locus, egg: 2)
    assert list(Questions._holding_by_weight(supposed, network)) == [(0, 0)]


@pytest.mark.parametrize(
    ("untold", "kinds", "asked"),
    [
        ({"a": 0, "b": 0}, {"a": "x", "b": "x"}, False),
        ({"a": F(1, 2), "b": 0}, {"a": "x", "b": "x"}, True),
        ({"a": 1, "b": 1}, {"a": "x", "b": "y"}, False),
        ({"a": 0, "b": 0}, {"a": "x", "b": "y"}, True),
        ({"a": 1, "b": 0}, {"a": "y", "b": "x"}, True),
    ],
)
def test_a_mating_says_something_where_looks_differ_or_some_are_hidden(
    untold: dict[str, Fraction], kinds: dict[str, str], asked: bool
) -> None:
    """One look of all young, none of them hidden, says nothing; nor do looks that are all hidden."""
    at = SimpleNamespace(
        rows={(one, ((share,),)): F(1, 2) for one, share in untold.items()},
        if_none=lambda *_: None,
        broods=(),
        hidden=lambda: False,
    )
    at.settled = lambda *_: (SimpleNamespace(in_all=F(0), proves=F(0), clears=F(0), misleads=F(0)),)
    at.needed, at.none_shown, at.shown = lambda *_: None, lambda *_: (F(0),), lambda *_: ()
    together = SimpleNamespace(ways=(), species=SimpleNamespace(key="s"), loci=[SimpleNamespace(key="at")])
    proofs: Any = SimpleNamespace(
        before=lambda *_: at,
        of=lambda locus, state, young: {kinds[state]},
        together=together,
        hatchlings=Hatchlings.exactly(7),
    )
    proofs.now = lambda *_: F(1)
    settings = SimpleNamespace(animals={}, settings=SimpleNamespace(doubt_below=F(1, 20)))
    matings = Matings(cast("Inference", SimpleNamespace(collection=settings)))
    assert (matings._answer(proofs, 0, 0, 1) is not None) is asked


class Left(doubt._Left):
    """What is left, as those near say it, and as all do."""

    def __init__(self, near: tuple[bool, bool], every: tuple[bool, bool]) -> None:
        self._told = near, every

    def _certainties(self) -> Iterator[Certainty]:
        for forced, claimed in self._told:
            fake: Any = SimpleNamespace(
                world=SimpleNamespace(position={"at": 0}, pedigree=SimpleNamespace(egg_of={"A": 0})),
                forced_now=lambda *_, forced=forced: forced,
                forced_by_claims=lambda *_, claimed=claimed: claimed,
            )
            yield cast("Certainty", fake)


@pytest.mark.parametrize(
    ("near", "every", "kind"),
    [
        ((True, True), (True, True), "proven"),
        ((False, False), (True, True), "proven"),
        ((False, True), (False, True), "claim"),
        ((False, False), (False, True), "claim"),
        ((False, False), (False, False), "assumption"),
    ],
)
def test_what_those_near_leave_open_all_may_still_leave_certain(
    near: tuple[bool, bool], every: tuple[bool, bool], kind: str
) -> None:
    assert Left(near, every).grounds("A", "at", 1, Grounds("proven", "C")).kind == kind


class Grouped(Together):
    """Three loci whose figures are read off these trees; a group stands for its loci."""

    def __init__(self, *trees: list[int]) -> None:
        network = SimpleNamespace(trees_of=lambda position, egg: trees[position])
        figures: Any = SimpleNamespace(network=network)
        self._figures, self._egg_set, self._at = figures, (0,), list(range(len(trees)))

    def _group(self, network: Network, trees: set[int], loci: tuple[int, ...]) -> LocusGroup:
        return LocusGroup(loci, ())


@pytest.mark.parametrize(
    ("trees", "groups"),
    [
        (([1], [2], [1, 2]), [(0, 1, 2)]),
        (([1], [2], [3]), [(0,), (1,), (2,)]),
        (([1], [2], [1]), [(0, 2), (1,)]),
        (([], [2], [2]), [(0,), (1, 2)]),
    ],
)
def test_loci_stand_in_order_in_their_group_and_groups_by_their_first(
    trees: tuple[list[int], ...], groups: list[tuple[int, ...]]
) -> None:
    """Whichever locus it is that joins the others."""
    assert [one.loci for one in Grouped(*trees).groups] == groups


# Records


def test_a_word_with_a_figure_may_have_one_slip_however_long_it_is() -> None:
    """A long word without one may have two: ids are near to each other."""
    assert nearest("ABXYEFGHI", ["ABCDEFGHI"]) == "ABCDEFGHI"
    assert nearest("ABXYEFGH7", ["ABCDEFGH7"]) is None
    assert nearest("ABXDEFGH7", ["ABCDEFGH7"]) == "ABCDEFGH7"


def test_a_name_without_the_marks_on_its_letters_is_nearest() -> None:
    marked = [nearest(typed, ["Müsli", "Éclair", "Straße"]) for typed in ("Muesli", "musli", "Eclair", "Strasse")]
    assert marked == ["Müsli", "Müsli", "Éclair", "Straße"]


def test_of_two_characters_only_a_word_with_a_figure_has_a_neighbour() -> None:
    assert nearest("F1", ["F2"]) == "F2"
    assert nearest("ab", ["abc"]) is None


class Six(RecordShape):
    one: Fraction = F(0)
    two: Fraction = F(0)
    three: Fraction = F(0)
    four: Fraction = F(0)
    five: Fraction = F(0)
    six: Fraction = F(0)
    seven: str = ""


def test_numbers_of_a_record_stand_in_order_whatever_was_written_first() -> None:
    """Those that it gives itself; what is no number is none."""
    given: dict[str, Any] = {"six": F(6), "one": F(1), "two": F(2), "four": F(4), "five": F(5), "seven": "x"}
    found = Six(**given).numbers
    assert list(found.items()) == [("five", F(5)), ("four", F(4)), ("one", F(1)), ("six", F(6)), ("two", F(2))]


@pytest.mark.parametrize(
    ("key", "more"), [("hatched: 2026-07-13", "\nyoung: [1 normal, 2 normal]"), ("ended: 2026-07-01", "")]
)
def test_a_clutch_that_is_over_does_not_hatch_again(tmp_path: Path, key: str, more: str) -> None:
    """What its record says already is told, rather than that the record is in another form."""
    record = f"---\nid: C26-05\nsire: M-01\ndam: F-02\nlaid: 2026-05-16\neggs: 2\n{key}{more}\n---\n"
    collection = FAMILY.collection(tmp_path, {"clutches/C26-05.md": record})
    with pytest.raises(RecordsError, match=f"'C26-05' already {key.replace(':', '')}"):
        write_hatched(tmp_path, collection, "C26-05", on=When.day(date(2026, 8, 1)))


def test_numbers_are_young_of_a_clutch_alone() -> None:
    """In a file that could not be read: of the clutch that is named first, and of none where none is."""
    register = Register()
    register.add_broken("young:\n  - 1 f normal\n", "clutches/a.md")
    assert register.entries == {}
    register.add_broken("id: F-01\ndiet:\n  - 3 rats\n", "animals/a.md")
    assert list(register.entries) == ["f-01"]
    register.add_broken("id: C26-01\nyoung:\n  - 1 f normal\n", "clutches/b.md")
    assert list(register.entries) == ["f-01", "c26-01", "c26-01-1"]


def test_normal_beside_a_look_makes_both_unsound() -> None:
    names = Names(PYTHONS)
    for text, sound in (("normal Pastel", False), ("Pastel", True), ("normal", True)):
        assert names.shown([WrittenText.at(text, Place("a.yaml"))], Findings()).sound is sound


@pytest.mark.parametrize(
    ("hatched", "odd"),
    [("2026-06-06", []), ("2026-06-05", ["incubation-odd"]), ("2026-07-30", []), ("2026-07-31", ["incubation-odd"])],
)
def test_two_thirds_of_the_least_incubation_and_half_as_much_again_as_the_most_can_be(
    tmp_path: Path, hatched: str, odd: list[str]
) -> None:
    """55 to 60 days are usual: 36 and 90 can be."""
    records = {
        "animals/a.yaml": "[{id: F-01, sex: female, hatched: 2019}, {id: M-01, sex: male, hatched: 2019}]\n",
        "clutches/a.yaml": "- {id: C26-01, sire: M-01, dam: F-01, laid: 2026-05-01, eggs: 1, "
        f"hatched: {hatched}, young: [1 normal]}}\n",
    }
    assert [code for *_, code in problems(tmp_path, records)] == odd


# Statements


def test_a_founder_comes_of_two_that_are_called_by_it_alone(tmp_path: Path) -> None:
    """So that no two founders have one in common; a young has those of its parents too."""
    answers = Answers(FAMILY.book(tmp_path, {}).inference)
    assert answers.forebears("M-01") == {"M-01:sire", "M-01:dam"}
    own = {f"{name}:{role}" for name in ("C26-01", "C26-01-1", "M-01", "F-01") for role in ("sire", "dam")}
    assert answers.forebears("C26-01-1") == {"M-01", "F-01", *own}


def test_what_another_record_proved_is_told_by_its_name() -> None:
    """Its own test by that it is its own."""
    answers = SimpleNamespace(named=lambda name: f"<{name}>")
    asked: Any = SimpleNamespace(het=True, trait="Piebald", animal=SimpleNamespace(id="A"), answers=answers, proof=None)
    said = []
    for by in ("A", "C26-01"):
        asked.grounds = Grounds("test" if by == "A" else "proven", by)
        said.append(str(notes._how_certain(asked, Event(date(2026, 1, 1), 0, "C25-01", "hatching"))))
    assert "its own test" in said[0]
    assert "<A>" not in said[0]
    assert "<C26-01>" in said[1]


def test_what_is_not_computed_is_said_to_be() -> None:
    found = [
        keeping._chance(TowardsGoal(chance, shows, taken, ()))
        for chance, shows, taken in (
            (None, False, False),
            (None, True, False),
            (F(1), True, False),
            (F(1), False, True),
            (F(1), False, False),
            (F(1, 2), False, False),
            (F(0), False, False),
        )
    ]
    assert found == [
        "not computed",
        "shows it",
        "shows it",
        "taken as certain",
        "certain",
        "1 in 2",
        "nothing speaks for it",
    ]


# Publishing


def test_a_manifest_has_a_line_for_each_file() -> None:
    """Set in by one space for each level."""
    lines = Manifest("site", {"index.html": "0f"}).to_bytes().decode().split("\n")
    assert lines[:3] == ["{", ' "made_by": "clutchlight",', ' "format": 2,']
    assert lines[-6:] == [' "files": {', '  "index.html": "0f"', " },", ' "pages": {}', "}", ""]


def test_a_library_is_told_with_its_version() -> None:
    """Another version may print another page."""
    assert building_again._version("pyyaml") == version("pyyaml") != ""
    assert building_again._version("no-such-library-anywhere") == "unknown"


def test_a_feed_lists_so_many_of_the_newest(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for most in (1, 0):
        monkeypatch.setattr(files, "NEWEST", most)
        assert (
            len(texts(etree.fromstring(FAMILY.site(tmp_path / str(most), {})["changes/feed.xml"]), "content")) == most
        )
