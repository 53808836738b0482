"""Functions that choose among what others work out, asked with fakes in the place of these."""

from __future__ import annotations

from fractions import Fraction
from functools import partial
from types import SimpleNamespace
from typing import Any

import pytest
from tests.unit.statement_fakes import PIEBALD, het

from clutchlight.genetics import in_question
from clutchlight.genetics.certainty import Certainty, OtherSires
from clutchlight.genetics.in_question import Alternative, OpenDoubt, Questions
from clutchlight.genetics.possible import Place, WipedOutError
from clutchlight.genetics.solving import LeastOrders, Supposed
from clutchlight.planning import outcomes
from clutchlight.planning.outcomes import Outcomes, TooManyLooksError
from clutchlight.site import files
from clutchlight.statements import reasons, silences
from clutchlight.statements.asked import Asked, taken_for_free

F = Fraction


@pytest.mark.parametrize(("open_to", "kept"), [((), 0b0011), (("Y",), 0b1011), (("X",), 0b0111), (("X", "Y"), 0b1111)])
def test_a_clutch_is_kept_open_to_its_recorded_sires_and_to_the_males_asked_for(
    open_to: tuple[str, ...], kept: int
) -> None:
    """Two on record and two others, egg by egg; a branch that is lost already stays lost."""
    asked: Any = SimpleNamespace(family_of={"C": SimpleNamespace(number=3, eggs=(7, 8))}, recorded={"C": 2})
    asked.others, asked.by_one = {"C": {"X": None, "Y": None}, "B": {"Z": None}}, ()
    asked._on_record = partial(OtherSires._on_record, asked)
    happened: list[object] = []
    domains: Any = SimpleNamespace(choices={(3, 7): 0b1111, (3, 8): 0b1101})
    domains.keep = lambda key, left: happened.append((key, left))
    domains.propagate = lambda: happened.append("propagated")
    OtherSires._keep(asked, domains, {"C": open_to})
    assert happened == [((3, 7), kept), ((3, 8), kept & 0b1101), "propagated"]


@pytest.mark.parametrize(("claims", "masks"), [(False, "now"), (True, "claimed")])
def test_one_clutch_alone_is_left_open_where_all_others_are_closed(claims: bool, masks: str) -> None:
    """By what is possible, or by that with claims taken as true; where these cannot all be, there is nothing to ask."""
    happened: list[object] = []

    def domains(name: str) -> SimpleNamespace:
        def closed(choices: object, least: object = None) -> str:
            happened.append((choices, least))
            return name

        return SimpleNamespace(choices={(1, -1): 0b11, (2, -1): 0b11, (3, -1): 0b10}, closed=closed)

    asked: Any = SimpleNamespace(others={"A": {}, "B": {}, "C": {}}, recorded={"A": 1, "B": 1, "C": 2}, by_one=())
    asked._on_record = partial(OtherSires._on_record, asked)
    asked.family_of = {
        name: SimpleNamespace(choices=(((number, -1), ()),)) for number, name in enumerate(asked.others, 1)
    }
    asked.certainty = SimpleNamespace(domains_now=domains("now"), claimed_now=domains("claimed"))
    asked._closing, asked._only_recorded = partial(OtherSires._closing, asked), partial(OtherSires._with_none, asked)
    found: Any = OtherSires._with_one(asked, "B", claims)
    assert found == masks
    assert happened == [({(1, -1): 1, (2, -1): 1, (3, -1): 2}, None), ({(1, -1): 1, (3, -1): 2}, masks)]
    asked.certainty.claimed_now = None
    assert (OtherSires._with_one(asked, "B", claims) is None) is claims


def test_since_when_something_is_forced_is_looked_for_where_the_pass_left_it_open() -> None:
    """What the pass through time noticed stands; else it is looked for, if it is forced at all."""
    looked: list[object] = []
    forced = {(0, 1, 1): True, (0, 2, 1): False}
    asked: Any = SimpleNamespace(
        _noticed=SimpleNamespace(since={(0, 0, 1): 4}),
        _late_at=lambda moment: frozenset(),
        world=SimpleNamespace(timeline=SimpleNamespace(now=9)),
    )

    def forced_now(*key: int) -> bool:
        looked.append(key)
        return forced[key[0], key[1], key[2]]

    asked.forced_now = forced_now
    asked._bisected = lambda *key: key[3] - 2
    assert [Certainty._forced_since(asked, 0, egg, 1) for egg in range(3)] == [4, 7, None]
    assert looked == [(0, 1, 1), (0, 2, 1)]


def test_claimants_against_a_sire_stand_in_order_of_id() -> None:
    """Those whose claims alone keep him out; where none does alone, all whose claims are certain; none where he is not kept out."""
    family: Any = SimpleNamespace(number=0, branches="ab")
    eggs = [SimpleNamespace(number=number, animals=(name,)) for number, name in enumerate(("Z-01", "B-02", "A-03"))]
    asked: Any = SimpleNamespace(world=SimpleNamespace(founders=eggs), _surely_claimed=lambda egg: True)
    asked.claimed_now = SimpleNamespace(allows=lambda family, key, branch: branch == 0)
    asked.domains_now = SimpleNamespace(allows=lambda family, key, branch: True)
    for needed, found in (((), ("A-03", "B-02", "Z-01")), ((0, 2), ("A-03", "Z-01"))):
        asked._with_claims = lambda but, needed=needed: SimpleNamespace(allows=lambda *_: but in needed)
        assert Certainty.claimants_against(asked, family) == found
    asked.domains_now = asked.claimed_now
    assert Certainty.claimants_against(asked, family) == ()


@pytest.mark.parametrize(
    ("sure", "found"),
    [((), "GHK"), (("Y",), "GHK"), (("Z",), "L"), (("Z", "W"), "L"), (("W",), "LM"), (("Z", "L"), "")],
)
def test_who_is_taken_to_carry_nothing_stands_behind_the_nearest_young_that_carry(
    sure: tuple[str, ...], found: str
) -> None:
    """By another way than through the animal; without such young, its own forebears. Nobody who carries for certain is among them."""
    parents = {"Y": ("S", "D"), "S": ("G", "H"), "D": ("G", "K"), "Z": ("Y", "L"), "W": ("Z", "M")}
    children = {"Y": ("Z",), "Z": ("W",), "L": ("Z",), "M": ("W",)}
    answers: Any = SimpleNamespace(
        parents=lambda name: parents.get(name, ()),
        children=children,
        now=lambda name, *_: het(F(name in sure)),
        all_named=tuple,
    )
    named = (SimpleNamespace(id=name, founder=name not in parents, clutch=None, claims=()) for name in "YSDGHKZLWM")
    answers.collection = SimpleNamespace(animals=dict(zip("YSDGHKZLWM", named, strict=True)), clutches={})
    assert "".join(taken_for_free(Asked(answers, answers.collection.animals["Y"], PIEBALD, 1))) == found


def alternative(chance: int, *, weighed: bool = True, branch: int = 1) -> Alternative:
    return Alternative(Supposed(choices=(((0, -1), branch),)), F(chance), weighed)


class World:
    """Two eggs, born at moments 3 and 5; each alternative holds what its branch says."""

    timeline = SimpleNamespace(born={0: 3, 1: 5})


@pytest.mark.parametrize(
    ("moment", "alternatives", "fits", "found"),
    [
        (2, [alternative(0)], {1}, set()),
        (3, [alternative(0)], {1}, {1}),
        (9, [alternative(1), alternative(0, branch=2)], {1, 2}, {1, 2}),
        (9, [alternative(1), alternative(0, branch=2)], {1}, set()),
        (9, [alternative(1), alternative(0, branch=2), alternative(0, branch=4)], {1, 4}, {1, 4}),
        (9, [alternative(1), alternative(1, branch=2)], {1, 2}, set()),
        (9, [alternative(0, weighed=False), alternative(1, branch=2)], {1, 2}, set()),
        (9, [alternative(0, weighed=False), alternative(0, branch=2)], {1, 2}, {1, 2}),
        (9, [], {1}, set()),
    ],
)
def test_founders_are_in_question_where_an_alternative_that_fits_has_no_chance(
    moment: int, alternatives: list[Alternative], fits: set[int], found: set[int]
) -> None:
    """From the first hatching on; then those of every alternative that fits, those with a chance too."""

    def holding(at: int, supposed: Supposed, *_: object) -> set[int] | None:
        branch = supposed.choices[0][1]
        return {branch} if branch in fits else None

    asked: Any = SimpleNamespace(world=World(), _alternatives=lambda *_: alternatives, _kept=lambda moment: (False, 0))
    asked._holding_more = holding
    assert set[Any](Questions._of(asked, OpenDoubt((0, 1), (0, -1)), moment)) == found


@pytest.mark.parametrize("fits", [True, False])
def test_domains_that_hold_together_are_searched_before_they_count_as_fitting(fits: bool) -> None:
    """Consistent domains may still leave no assignment, as of three alleles in a loop."""
    placed = SimpleNamespace(satisfiable=lambda: fits)
    priors = SimpleNamespace(forced=lambda *_: 0, up_to=lambda *_: 1, more=lambda *_: 2)
    asked: Any = SimpleNamespace(priors=priors, free=SimpleNamespace(masks=[[3]]), placed=lambda freed: placed)
    asked.world = SimpleNamespace(loci=["at"], founders=[SimpleNamespace(number=0)])
    asked.singles = lambda: [[(0, 0)]]
    assert vars(LeastOrders)["need_nothing"].fget(asked) is fits
    assert LeastOrders.holding_more(asked) == (frozenset() if fits else None)


@pytest.mark.parametrize(("kept", "found"), [((True, 1), {(0, 1)}), ((True, 2), None), (None, {(0, 1)})])
def test_no_alternative_fits_by_which_other_numbers_of_young_kept_what_is_never_kept(
    monkeypatch: pytest.MonkeyPatch, kept: tuple[bool, int] | None, found: set[Place] | None
) -> None:
    def nothing_fits(*_: object) -> None:
        raise WipedOutError(0, 0)

    monkeypatch.setattr(in_question, "LeastOrders", nothing_fits)
    monkeypatch.setattr(in_question, "Priors", lambda *_: None)
    monkeypatch.setattr(in_question, "Solved", lambda *_: SimpleNamespace(network="there", spared=True, kept=1))
    asked: Any = SimpleNamespace(limit=SimpleNamespace(world_for=lambda *_: World()), related=lambda one, other: True)
    asked._holding_by_weight = lambda *_: [(0, 1)]
    assert Questions._holding_more(asked, 3, Supposed(), 0, kept) == found


def test_outcomes_stand_by_chance_then_by_looks_then_by_sex(monkeypatch: pytest.MonkeyPatch) -> None:
    """The likeliest first; of equal ones those of fewer looks, then in their order, males before females. So many and no more."""
    walks = [((), 2), (("Pastel",), 3), (("Albino",), 3), (("Albino", "Pastel"), 3)]
    asked: Any = SimpleNamespace(by_sex=True, most=2)
    asked._outcome = lambda sex, looks, _: SimpleNamespace(looks=looks, sex=sex)
    asked._walk = lambda *_: [(looks, SimpleNamespace(moments=(chance,))) for looks, chance in walks]
    found = [(one.looks, one.sex) for one in Outcomes.all(asked)]
    order = [("Albino",), ("Pastel",), ("Albino", "Pastel"), ()]
    assert found == [(looks, sex) for looks in order for sex in ("male", "female")]
    asked.by_sex = False
    assert [(one.looks, one.sex) for one in Outcomes.all(asked)] == [(looks, None) for looks in order]
    monkeypatch.setattr(outcomes, "LIMIT", 4)
    assert len(Outcomes.all(asked)) == 4
    monkeypatch.setattr(outcomes, "LIMIT", 3)
    with pytest.raises(TooManyLooksError):
        Outcomes.all(asked)


@pytest.mark.parametrize("linked", [("Banana",), ("Banana", "Coral"), ()])
def test_two_traits_on_the_sex_chromosomes_are_taken_as_independent(linked: tuple[str, ...]) -> None:
    """Nothing is said of one alone, nor of those at other loci."""
    loci = {name: SimpleNamespace(key=name, sex_linked=name in linked or None) for name in ("Banana", "Coral", "Clown")}
    answers: Any = SimpleNamespace(
        species_of=lambda animal: SimpleNamespace(loci=loci),
        loci=lambda species: (),
        once=lambda key, make: make(),
        like=lambda animal: animal,
        forebears=lambda name: frozenset(),
        children={},
        parents=lambda name: (),
        all_named=tuple,
    )
    answers.collection, answers.sires_of = SimpleNamespace(eggs={}, animals={}), lambda animal: ()
    animal: Any = SimpleNamespace(id="A-01", egg="A-01", species="s", claims=())
    traits: Any = [SimpleNamespace(trait=name, locus=name, shows=True, possible=False) for name in loci]
    said = [str(one) for one in silences.silences(answers, animal, None, traits, [], under_review=False)]
    independent = "Banana and Coral are taken as independent of each other once the sex is known."
    assert [one for one in said if "independent" in one] == [independent] * (len(linked) == 2)


def test_nothing_is_said_of_parents_where_there_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reasons, "single_parents", lambda asked: ())
    monkeypatch.setattr(reasons, "_sires_clauses", lambda asked: ())
    asked: Any = None
    assert reasons._parents_sentence(asked) == ()


def test_files_of_a_site_stand_in_order_of_address(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever came first of pictures, styles, pages and data."""
    made = {"z.css": b"", "animals/index.html": b"page", "b.json": b"", "a.jpg": b""}
    page = SimpleNamespace(frame=SimpleNamespace(drawn=None))
    for name, given in {
        "is_published": lambda collection: True,
        "Framing": lambda *_: None,
        "templates_of": lambda theme, part: None,
        "printed": lambda *_: b"page",
        "rendering_digest": lambda templates: "",
        "digest_of": lambda page: "",
        "pages_of": lambda framing: [("animals/index.html", page)],
        "_data": lambda context: [("b.json", b"")],
        "addresses": SimpleNamespace(style=lambda name: name),
    }.items():
        monkeypatch.setattr(files, name, given)
    collection = SimpleNamespace(settings=SimpleNamespace(web_address=None))
    context: Any = SimpleNamespace(collection=collection, photos=SimpleNamespace(files={"a.jpg": b""}))
    theme: Any = SimpleNamespace(name="", published={"z.css": b""}, templates={})
    found = files.site_files(context, theme).made
    assert list(found.items()) == sorted(made.items())
