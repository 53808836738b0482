"""Counts, steps, the selection of what is drawn, the routing of lines, and the measure of texts."""

import re
from collections.abc import Mapping
from xml.etree import ElementTree

import pytest
from hypothesis import given, strategies as st
from msgspec.structs import replace

from clutchlight import drawing
from clutchlight.drawing.chances import CountKind, CountPart, StepPoint, counts, steps
from clutchlight.drawing.lines import LOWER_EDGE, UPPER_EDGE, Net, Piece, route
from clutchlight.drawing.markup import Drawn, shortened, text_width
from clutchlight.drawing.pedigree import (
    PedigreeAnimal,
    PedigreeChart,
    PedigreeFamily,
    Sire,
    TraitMark,
    ancestors,
    in_few_symbols,
)
from clutchlight.drawing.svg import draw, small


def parsed(svg: str) -> ElementTree.Element:
    """A drawing's elements: fails when it is not well-formed."""
    return ElementTree.fromstring(svg)  # noqa: S314 - our own output


def classes(figure: Drawn) -> list[str]:
    """Every class of a figure, in order of drawing."""
    return [node.get("class", "") for node in parsed(figure.svg).iter()]


def everything_drawn() -> list[str]:
    """Drawings that together hold every mark there is."""
    marks = (TraitMark("A", "shows"), TraitMark("B", "carries"), TraitMark("C", "may carry"), TraitMark("D", "one of"))
    everything = PedigreeChart(
        "",
        "",
        (
            PedigreeAnimal("sire", "sire", "male", marks=marks, href="../sire/", dead=True),
            PedigreeAnimal("rival", "rival", "male", nameless=True),
            PedigreeAnimal("dam", "dam", "female", marks=marks[:1], count=3),
            PedigreeAnimal("t1", "t1", twin_group="egg", focus=True),
            PedigreeAnimal("t2", "t2", twin_group="egg"),
        ),
        (PedigreeFamily((Sire("sire", "80%"), Sire("rival", "20%")), "dam", ("t1", "t2"), related=True),),
        ("A", "B", "C", "D"),
    )
    return [
        draw(everything).svg,
        draw(replace(everything, to_follow=True), "line").svg,
        counts("egg", 4, tuple(CountPart(state, 1, "") for state in ("shows", "carries", "part")), "", "e").svg,
        counts("counter", 1, (), "", "s").svg,
        steps((StepPoint("2024", 50, ""),), "", "t").svg,
    ]


# --- counts -----------------------------------------------------------------------------------------------------------


@pytest.mark.slow
@given(st.integers(1, 60), st.data())
def test_a_count_draws_exactly_what_it_says(total: int, data: st.DataObject) -> None:
    """As many eggs as the total, filled and striped as the parts say, all others empty."""
    filled = data.draw(st.integers(0, total))
    striped = data.draw(st.integers(0, total - filled))
    parts = (CountPart("shows", filled, "shows it"), CountPart("part", striped, "carries it"))
    found = [name for name in classes(counts("egg", total, parts, "Of the eggs", "e")) if name.startswith("count-egg")]
    assert found == (
        ["count-egg count-shows"] * filled
        + ["count-egg count-part"] * striped
        + ["count-egg count-empty"] * (total - filled - striped)
    )


@pytest.mark.parametrize("kind", ["egg", "counter"])
def test_each_member_of_a_count_stands_apart_and_is_drawn_from_a_shape_that_is_there(kind: CountKind) -> None:
    """Eleven in two rows: no two in one place, all inside the drawing, each the one shape of the figure by its id."""
    root = parsed(counts(kind, 11, (CountPart("part", 2, "carry it"),), "Of eleven", "n").svg)
    members = [node for node in root.iter() if node.tag.endswith("use")]
    places = {(int(node.attrib["x"]), int(node.attrib["y"])) for node in members}
    assert len(places) == len(members) == 11
    assert {y for _, y in places} == {2, max(y for _, y in places)}
    assert all(x < int(root.attrib["width"]) and y < int(root.attrib["height"]) for x, y in places)
    assert {node.attrib["href"] for node in members} == {"#n-shape"}
    assert [node.tag.rsplit("}")[-1] for node in root.iter() if node.get("id") == "n-shape"] == ["path"]
    assert {node.attrib["fill"] for node in members} == {"url(#n-stripes)", "Canvas"}


def test_every_shape_and_pattern_that_a_drawing_refers_to_is_in_it() -> None:
    """No reference into nothing and no id twice, whatever sexes, marks and traits a pedigree holds."""
    for svg in everything_drawn():
        root = parsed(svg)
        ids = [node.attrib["id"] for node in root.iter() if "id" in node.attrib]
        assert len(ids) == len(set(ids))
        referred = re.findall(r'href="#([^"]+)"|url\(#([^)]+)\)', svg)
        assert {one or other for one, other in referred} <= set(ids)


def test_a_count_says_in_words_what_it_draws() -> None:
    """The caption is the title; the parts stand in the description; the mark of "may carry" is the striped one."""
    figure = counts(
        "counter", 3, (CountPart("part", 2, "carry Piebald"),), "Of every 3 snakes like this one, 2 carry it", "s"
    )
    root = parsed(figure.svg)
    texts = [node.text for node in root if node.tag.endswith(("title", "desc"))]
    assert texts == ["Of every 3 snakes like this one, 2 carry it", "2: carry Piebald"]
    assert root.attrib["role"] == "img"
    assert figure.words == ("Of every 3 snakes like this one, 2 carry it",)
    part = next(node for node in root.iter() if node.get("class") == "count-counter count-part")
    assert part.attrib["fill"] == "url(#s-stripes)"


# --- steps ------------------------------------------------------------------------------------------------------------


def test_steps_go_up_and_down_with_the_chance() -> None:
    """66, then 33, then 100 in a hundred: the line is lower for the lower chance, and touches the top line for certainty."""
    figure = steps(
        (
            StepPoint("2024-07-16", 66, "hatched"),
            StepPoint("2026-07-01", 33, "normal young"),
            StepPoint("2027-08", 100, "a Piebald young"),
        ),
        "C24-03-2, Piebald",
        "t",
    )
    root = parsed(figure.svg)
    heights = [int(node.attrib["cy"]) for node in root.iter() if node.tag.endswith("circle")]
    assert heights[2] < heights[0] < heights[1]
    top = next(node for node in root.iter() if node.get("class") == "chance-grid").attrib["d"]
    assert top.split()[1].startswith(f"{heights[2]}H")
    assert (
        "2024-07-16: 66%, hatched; 2026-07-01: 33%, normal young; 2027-08: 100%, a Piebald young</desc>" in figure.svg
    )


# --- what is drawn ----------------------------------------------------------------------------------------------------

RECORDED: Mapping[str, PedigreeFamily] = {
    "focus": PedigreeFamily((Sire("sire"),), "dam", related=True),
    "sire": PedigreeFamily((Sire("grandsire"),), "granddam"),
    "dam": PedigreeFamily((Sire("grandsire"),), "other"),
    "other": PedigreeFamily((Sire("grandsire"),), "old dam", related=True),
    "grandsire": PedigreeFamily((Sire("great"),), None),
    "great": PedigreeFamily((Sire("greater"),), None),
}


def test_three_generations_of_ancestors_stop_at_the_great_grandparents() -> None:
    """An ancestor reached by several ways comes once; nobody beyond three steps up comes."""
    found = ancestors(["focus"], RECORDED.get, 3)
    assert found.ids == ("dam", "focus", "granddam", "grandsire", "great", "old dam", "other", "sire")


def test_families_join_all_that_is_selected_and_nothing_else() -> None:
    """Every recorded family whose parents are all selected is there: great's is not, for his sire is too far up."""
    found = ancestors(["focus"], RECORDED.get, 3)
    assert {family.young for family in found.families} == {("dam",), ("focus",), ("grandsire",), ("other",), ("sire",)}


def test_at_the_edge_an_animal_is_no_founder_beside_its_own_sire() -> None:
    """One step up from a dam whose sire is selected by another way: the family that joins them is drawn."""
    recorded = {"focus": PedigreeFamily((Sire("sire"),), "dam"), "dam": PedigreeFamily((Sire("sire"),), None)}
    found = ancestors(["focus"], recorded.get, 1)
    assert found.ids == ("dam", "focus", "sire")
    assert [family.young for family in found.families] == [("dam",), ("focus",)]


def test_every_possible_sire_is_an_ancestor() -> None:
    """A sire in doubt is followed like any other."""
    recorded = {
        "focus": PedigreeFamily((Sire("m1", "80%"), Sire("m2", "20%")), "dam"),
        "m2": PedigreeFamily((), "his dam"),
    }
    assert ancestors(["focus"], recorded.get).ids == ("dam", "focus", "his dam", "m1", "m2")


def hatchling(number: int, state: str = "none", sex: str = "male") -> PedigreeAnimal:
    """One of a clutch."""
    name = f"C24-03-{number}"
    return PedigreeAnimal(name, name, sex, "2024-07-16", f"../{name}/", (TraitMark("Piebald", state),))  # type: ignore[arg-type]


def test_up_to_eight_young_are_drawn_one_by_one() -> None:
    """In natural order."""
    young = [hatchling(number) for number in (8, 2, 10, 1, 5, 6, 7, 9)]
    assert [one.id for one in in_few_symbols(young)] == [f"C24-03-{number}" for number in (1, 2, 5, 6, 7, 8, 9, 10)]


def test_more_young_are_counted_by_sex_and_look() -> None:
    """Nine or more: one symbol for those alike, with the number and all names in words; none is lost."""
    young = [hatchling(number, "may carry") for number in range(1, 8)]
    young += [
        hatchling(8, "shows", "female"),
        replace(hatchling(9, "may carry"), focus=True),
        hatchling(10, "shows", "female"),
    ]
    found = in_few_symbols(young)
    assert [(one.label, one.count, one.href) for one in found] == [
        ("7 males", 7, None),
        ("2 females", 2, None),
        ("C24-03-9", 1, "../C24-03-9/"),
    ]
    assert found[1].description == "C24-03-8 and C24-03-10"


# --- routing ----------------------------------------------------------------------------------------------------------


def uprights(pieces: tuple[Piece, ...]) -> list[Piece]:
    """The upright pieces."""
    return [piece for piece in pieces if piece.x[0] == piece.x[1]]


def test_a_straight_net_needs_no_track() -> None:
    """From edge to edge in one piece."""
    assert route([Net("a", (5,), (5,))]) == ((Piece("a", (5, 5), (UPPER_EDGE, LOWER_EDGE)),), 0)


def test_a_pin_above_a_foreign_pin_runs_higher() -> None:
    """The upper net's stretch lies above the lower one's, so that their uprights in one column never meet."""
    pieces, tracks = route([Net("low", (0,), (50,)), Net("high", (50,), (90,))])
    column = {piece.name: piece.height for piece in uprights(pieces) if piece.x == (50, 50)}
    assert tracks == 2
    assert column == {"high": (UPPER_EDGE, 0), "low": (1, LOWER_EDGE)}


def test_nets_that_ask_for_opposite_orders_step_aside() -> None:
    """Two nets that change places: one leaves the shared column on a track of its own, and no uprights overlap."""
    pieces, tracks = route([Net("a", (0,), (50,)), Net("b", (50,), (0,))])
    assert tracks == 3
    for x in (0, 50):
        one, other = sorted(piece.height for piece in uprights(pieces) if piece.x == (x, x))
        assert one[1] < other[0]


# --- texts ------------------------------------------------------------------------------------------------------------


@given(st.text(max_size=40), st.integers(20, 200))
def test_a_shortened_text_fits(text: str, most: int) -> None:
    """Never wider than asked, and unchanged when it fits."""
    cut = shortened(text, 13, most)
    assert text_width(cut, 13) <= most
    assert cut == text or text_width(text, 13) > most


# --- the contract with the theme --------------------------------------------------------------------------------------


def test_the_documented_classes_are_the_drawn_classes() -> None:
    """A theme can rely on the list in the package's own words: nothing drawn is missing from it, nothing in it is never drawn."""
    documented = set(re.findall(r"`((?:pedigree|count|chance)[a-z-]*)`", drawing.__doc__ or ""))
    symbol = small(PedigreeAnimal("one", "one"), (), "pedigree").svg
    drawn = {
        name
        for svg in (*everything_drawn(), symbol)
        for node in parsed(svg).iter()
        for name in node.get("class", "").split()
    }
    assert drawn == documented


def test_a_chance_that_is_nearly_nothing_is_not_drawn_as_nothing() -> None:
    """The line lies at the bottom, and the figure and the words say more than that."""
    drawn = steps((StepPoint("2024", 0, "hatched", "under 1%"),), "A chance", "t")
    assert ">under 1%</text>" in drawn.svg
    assert "2024: under 1%, hatched</desc>" in drawn.svg
