"""Pedigrees: levels, lines, symbols, words. The geometry is read back from the drawing, not from the code that made it."""

import itertools
import os
import re
from collections.abc import Collection, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings, strategies as st
from msgspec import Struct
from msgspec.structs import replace

from clutchlight.drawing import graphviz_layout as laying_out
from clutchlight.drawing.arrangement import Arrangement, Item, arrange
from clutchlight.drawing.graphviz_layout import lay_out
from clutchlight.drawing.lines import DrawnLine, Lines, Segment, draw_lines
from clutchlight.drawing.markup import Drawn
from clutchlight.drawing.pedigree import (
    PedigreeAnimal,
    PedigreeChart,
    PedigreeFamily,
    Sire,
    State,
    TraitMark,
    described,
)
from clutchlight.drawing.svg import draw
from clutchlight.model import Sex

EXAMPLES = 30 * int(os.environ.get("CLUTCHLIGHT_LONG", "1"))
SVG = "{http://www.w3.org/2000/svg}"
SYMBOL = 40
LABEL = (-48, 48, 30, 47)  # left, right, top, bottom about the symbol's centre


def animal(name: str, sex: Sex = "unknown", state: State = "none", born: str = "", **more: object) -> PedigreeAnimal:
    """An animal with one mark at Piebald."""
    return replace(PedigreeAnimal(name, name, sex, born, marks=(TraitMark("Piebald", state),)), **more)


def family(sire: str | None, dam: str | None, *young: str, related: bool = False) -> PedigreeFamily:
    """A family with one sire or none."""
    return PedigreeFamily((Sire(sire),) if sire else (), dam, young, related, parthenogenesis=sire is None)


def pedigree(animals: Sequence[PedigreeAnimal], families: Sequence[PedigreeFamily]) -> PedigreeChart:
    """A pedigree for one trait."""
    return PedigreeChart("A pedigree", "", tuple(animals), tuple(families), ("Piebald",))


FATHER_X_DAUGHTER = pedigree(
    [animal("sire", "male"), animal("dam", "female"), animal("daughter", "female"), animal("young")],
    [family("sire", "dam", "daughter"), family("sire", "daughter", "young", related=True)],
)
SIBS = pedigree(
    [
        animal("sire", "male"),
        animal("dam", "female"),
        animal("son", "male"),
        animal("daughter", "female"),
        animal("young"),
    ],
    [family("sire", "dam", "son", "daughter"), family("son", "daughter", "young", related=True)],
)
ONE_SIRE = pedigree(
    [
        animal(name, "male" if name == "sire" else "female")
        for name in ("sire", "f1", "f2", "d1", "d2", "g1", "g2", "y1", "y2")
    ],
    [
        family("sire", "f1", "d1"),
        family("sire", "f2", "d2"),
        family("sire", "d1", "g1", related=True),
        family("sire", "d2", "g2", related=True),
        family("sire", "g1", "y1", related=True),
        family("sire", "g2", "y2", related=True),
    ],
)


# --- levels -----------------------------------------------------------------------------------------------------------


def test_a_daughter_bred_back_to_her_sire_stands_between_him_and_their_young() -> None:
    """Father x daughter: the sire is drawn once, on his own level; the young are below the daughter."""
    assert FATHER_X_DAUGHTER.levels == {"dam": 0, "daughter": 1, "sire": 0, "young": 2}


def test_mated_sibs_share_a_level() -> None:
    """Full sibs are of one generation, and their young of the next."""
    assert SIBS.levels == {"dam": 0, "daughter": 1, "sire": 0, "son": 1, "young": 2}


def test_one_sire_over_three_generations_keeps_his_level() -> None:
    """Daughters and granddaughters by him go down, he does not."""
    assert ONE_SIRE.levels == {
        "d1": 1, "d2": 1, "f1": 0, "f2": 0, "g1": 2, "g2": 2, "sire": 0, "y1": 3, "y2": 3,
    }  # fmt: skip


def test_young_stand_below_every_possible_sire() -> None:
    """A sire in doubt counts as a parent for the level, however unlikely he is."""
    doubtful = pedigree(
        [animal("old", "male"), animal("dam", "female"), animal("son", "male"), animal("young")],
        [family("old", "dam", "son"), PedigreeFamily((Sire("old"), Sire("son")), "dam", ("young",))],
    )
    assert doubtful.levels["young"] == 2


# --- reading a drawing back -------------------------------------------------------------------------------------------


class Seen(Struct, frozen=True):
    """A drawing as a reader's program sees it."""

    root: ElementTree.Element
    centres: dict[str, tuple[int, int]]
    """By the first words of each text alternative: the label."""


def groups(root: ElementTree.Element) -> list[ElementTree.Element]:
    """The group of each animal: its symbol and its label."""
    (found,) = (node for node in root if node.get("class") == "pedigree-animals")
    return list(found)


def seen(svg: str) -> Seen:
    """Parse a drawing: fails when it is not well-formed."""
    root = ElementTree.fromstring(svg)  # noqa: S314 - our own output
    centres = {}
    for node in groups(root):
        x, y = re.fullmatch(r"translate\((\d+) (\d+)\)", node.attrib["transform"]).groups()  # type: ignore[union-attr]
        label = node.attrib["aria-label"].split(",")[0]
        assert label not in centres
        centres[label] = (int(x), int(y))
    return Seen(root, centres)


def shapes(root: ElementTree.Element, group: ElementTree.Element) -> list[ElementTree.Element]:
    """The shapes that a group shows by reference, in order."""
    by_id = {node.attrib["id"]: node for node in root.iter() if "id" in node.attrib}
    return [by_id[node.attrib["href"].removeprefix("#")] for node in group.iter(f"{SVG}use")]


def key_texts(drawing: Drawn) -> list[str]:
    """The words of the key; each mark with them is a drawing that parses."""
    assert all(seen_alone(swatch) is not None for swatch, _ in drawing.key)
    return [meaning for _, meaning in drawing.key]


def seen_alone(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314 - our own output


def drawn_lines(shown: PedigreeChart) -> tuple[Arrangement, Mapping[Item, int], Lines]:
    """The lines of a drawing with their names."""
    arrangement, x = lay_out(shown)
    return arrangement, x, draw_lines(shown, arrangement, x, 0)


# --- random pedigrees -------------------------------------------------------------------------------------------------


@st.composite
def pedigrees(draw_from: st.DrawFn, most: int = 16) -> PedigreeChart:
    """Pedigrees with backcrosses, loops, many mates, sires in doubt, lone dams, twins and any order of births."""
    count = draw_from(st.integers(1, most))
    sexes = draw_from(st.lists(st.sampled_from(["male", "female"]), min_size=count, max_size=count))
    animals = [
        animal(
            f"a{number:02}",
            sex,  # type: ignore[arg-type]
            draw_from(st.sampled_from(["shows", "carries", "may carry", "none"])),
            draw_from(st.sampled_from(["", "2020-05-01", "2021-05-01"])),
            href=draw_from(st.sampled_from([None, f"../a{number:02}/"])),
        )
        for number, sex in enumerate(sexes)
    ]
    young_of: dict[tuple[tuple[str, ...], str | None], list[str]] = {}
    for number in range(1, count):
        if draw_from(st.integers(0, 3)) == 0:
            continue
        males = [other.id for other in animals[:number] if other.sex == "male"]
        females = [other.id for other in animals[:number] if other.sex == "female"]
        dam = draw_from(st.sampled_from([*females, None])) if females else None
        most_sires = draw_from(st.sampled_from([1, 1, 1, 0, 2, 3]))
        sires = draw_from(st.lists(st.sampled_from(males), max_size=most_sires, unique=True)) if males else []
        if len(sires) > 1 and dam is None:
            sires = sires[:1]
        if sires or dam:
            young_of.setdefault((tuple(sorted(sires)), dam), []).append(f"a{number:02}")
    families = [
        PedigreeFamily(
            tuple(Sire(sire, "1 in 2" if len(sires) > 1 else None) for sire in sires),
            dam,
            tuple(young),
            related=draw_from(st.booleans()),
            parthenogenesis=not sires,
        )
        for (sires, dam), young in young_of.items()
    ]
    twins = {one.young[-1]: draw_from(st.sampled_from(one.young)) for one in families if draw_from(st.booleans())}
    groups = {name: egg for young, egg in twins.items() for name in {young, egg}}
    chart = pedigree([replace(one, twin_group=groups.get(one.id)) for one in animals], families)
    return replace(chart, to_follow=draw_from(st.booleans()))


@given(pedigrees())
@settings(max_examples=EXAMPLES, deadline=None)
def test_levels_go_down_from_every_parent_and_no_further_than_they_must(shown: PedigreeChart) -> None:
    """Every young stands below each possible parent and exactly one below the lowest."""
    for one in shown.families:
        for young in one.young:
            assert shown.levels[young] == max(shown.levels[parent] for parent in one.parents) + 1
            assert shown.levels[young] == shown.generations[young]


@given(pedigrees())
@settings(max_examples=EXAMPLES, deadline=None)
def test_a_founder_stands_beside_the_eldest_of_its_mates(shown: PedigreeChart) -> None:
    """On the level of its uppermost mating, without pushing anybody down; one without young at the top."""
    young = {animal for one in shown.families for animal in one.young}
    for founder in sorted({one.id for one in shown.animals} - young):
        of = [max(shown.generations[mate] for mate in one.parents) for one in shown.families if founder in one.parents]
        assert shown.levels[founder] == min(of, default=0)


@given(pedigrees())
@settings(max_examples=EXAMPLES, deadline=None)
def test_mates_of_one_level_stand_next_to_each_other(shown: PedigreeChart) -> None:
    """Where neither has other young: the male left, nobody between. With more mates than two sides somebody must stand apart."""
    arrangement, x, _ = drawn_lines(shown)
    parents = [parent for one in shown.sibships for parent in one.parents]
    for mating in arrangement.matings:
        mates = mating.family.parents
        if len(mates) == 2 and all(parents.count(mate) == 1 for mate in mates):
            sire, dam = mates
            if arrangement.level[sire] == arrangement.level[dam]:
                assert (mating.left, mating.right) == (sire, dam)
                between = [other for other in x if isinstance(other, str) and x[sire] < x[other] < x[dam]]
                assert all(arrangement.level[other] != mating.level for other in between)


@given(pedigrees())
@settings(max_examples=EXAMPLES, deadline=None)
def test_every_animal_is_drawn_once_and_no_two_symbols_or_labels_meet(shown: PedigreeChart) -> None:
    """Symbols on a level keep a whole label's width apart; levels keep a symbol and a label apart."""
    found = seen(draw(shown).svg)
    assert sorted(found.centres) == sorted(one.id for one in shown.animals)
    for (x1, y1), (x2, y2) in itertools.combinations(found.centres.values(), 2):
        assert abs(x1 - x2) >= LABEL[1] - LABEL[0] if y1 == y2 else abs(y1 - y2) >= SYMBOL + 30
    width, height = int(found.root.attrib["width"]), int(found.root.attrib["height"])
    assert found.root.attrib["viewBox"] == f"0 0 {width} {height}"
    for x, y in found.centres.values():
        assert 48 <= x <= width - 48
        assert SYMBOL // 2 <= y <= height - 48


@given(pedigrees())
@settings(max_examples=EXAMPLES, deadline=None)
def test_no_line_runs_through_a_symbol_or_a_label(shown: PedigreeChart) -> None:
    """Lines end at symbols; only a line that leaves its own animal begins inside one."""
    arrangement, x, lines = drawn_lines(shown)
    for line, pieces in lines.pieces.items():
        for (x1, y1), (x2, y2) in pieces:
            for one in shown.animals:
                cx, cy = x[one.id], lines.middle[arrangement.level[one.id]]
                leaves_it = line.name.endswith(f"mates of {one.id}") and x1 == cx and y1 == y2
                inside = _meets((x1, y1, x2, y2), (cx - 20, cx + 20, cy - 20, cy + 20))
                assert leaves_it or not inside, (line, one.id)
                label = (cx + LABEL[0], cx + LABEL[1], cy + LABEL[2], cy + LABEL[3])
                assert not _meets((x1, y1, x2, y2), label), (line, one.id)


def _meets(segment: tuple[int, int, int, int], box: tuple[int, int, int, int]) -> bool:
    """True when an upright or level segment runs inside a box."""
    x1, y1, x2, y2 = segment
    left, right, top, bottom = box
    return min(x1, x2) < right and max(x1, x2) > left and min(y1, y2) < bottom and max(y1, y2) > top


@given(pedigrees())
@settings(max_examples=EXAMPLES, deadline=None)
def test_no_two_lines_merge(shown: PedigreeChart) -> None:
    """Lines of different names never run along each other, but for those of one mating's possible sires."""
    _, _, lines = drawn_lines(shown)
    pieces = [(line, piece) for line, found in lines.pieces.items() for piece in found]
    for (one, first), (other, second) in itertools.combinations(pieces, 2):
        if one.name == other.name or (one.doubt and other.doubt):
            continue
        assert not _along(first, second), (one, other)


def _along(first: tuple[tuple[int, int], tuple[int, int]], second: tuple[tuple[int, int], tuple[int, int]]) -> bool:
    """True when two segments share more than a point."""
    (ax, ay), (bx, by) = first
    (cx, cy), (dx, dy) = second
    if ax == bx == cx == dx:
        return min(max(ay, by), max(cy, dy)) > max(min(ay, by), min(cy, dy))
    if ay == by == cy == dy:
        return min(max(ax, bx), max(cx, dx)) > max(min(ax, bx), min(cx, dx))
    return False


@given(pedigrees())
@settings(max_examples=EXAMPLES, deadline=None)
def test_every_mating_line_joins_its_mates_and_every_descent_reaches_its_young(shown: PedigreeChart) -> None:
    """Walking along lines of a mating from its point one comes to each possible parent and to each of the young."""
    arrangement, x, lines = drawn_lines(shown)
    for mating in arrangement.matings:
        start, own = (x[mating.number], lines.middle[mating.level]), f"mating {mating.number + 1}"
        for parent in mating.family.parents:
            usable = _named(lines, (own,), f"mates of {parent}")
            goal = (x[parent], lines.middle[arrangement.level[parent]])
            assert _walk(start, usable, lambda point, goal=goal: _at_symbol(point, goal)), (parent, mating)
        twins = tuple(f"twins {young}" for young in mating.family.young)
        usable = _named(lines, (f"young of {own}", *twins))
        for young in mating.family.young:
            top = (x[young], lines.middle[arrangement.level[young]] - SYMBOL // 2)
            assert _walk(start, usable, lambda point, top=top: point == top), (young, mating)


def _named(lines: Lines, names: Collection[str], end: str = "\n") -> list[Segment]:
    """All pieces of the lines of these names, or of names with such an end."""
    found = [line for line in lines.pieces if line.name in names or line.name.endswith(end)]
    return [piece for line in found for piece in lines.pieces[line]]


def _at_symbol(point: tuple[int, int], centre: tuple[int, int]) -> bool:
    return abs(point[0] - centre[0]) <= 20 and abs(point[1] - centre[1]) <= 20


def _walk(start: tuple[int, int], pieces: Sequence[Segment], arrived: object) -> bool:
    """True when an end that satisfies `arrived` can be reached along touching pieces (a crossing's gap is stepped over)."""
    reached = [piece for piece in pieces if _touches(piece, (start, start))]
    for piece in reached:
        reached += [other for other in pieces if other not in reached and _touches(piece, other)]
    return any(arrived(end) for piece in reached for end in piece)  # type: ignore[operator]


def _touches(first: tuple[tuple[int, int], tuple[int, int]], second: tuple[tuple[int, int], tuple[int, int]]) -> bool:
    """True when two segments share a point, or continue each other across the gap of a crossing."""
    (ax, ay), (bx, by) = first
    (cx, cy), (dx, dy) = second
    slack = 8 if ax == bx == cx == dx else 0
    across = max(min(ax, bx), min(cx, dx)) <= min(max(ax, bx), max(cx, dx))
    down = max(min(ay, by), min(cy, dy)) <= min(max(ay, by), max(cy, dy)) + slack
    return across and down


@given(pedigrees(), st.randoms(use_true_random=False))
@settings(max_examples=EXAMPLES, deadline=None)
def test_the_order_of_animals_and_families_changes_nothing(shown: PedigreeChart, random: object) -> None:
    """The same pedigree, handed over in another order, gives the same bytes."""
    animals, families = list(shown.animals), list(shown.families)
    random.shuffle(animals)  # type: ignore[attr-defined]
    random.shuffle(families)  # type: ignore[attr-defined]
    families = [replace(one, sires=one.sires[::-1], young=one.young[::-1]) for one in families]
    assert draw(replace(shown, animals=tuple(animals), families=tuple(families))) == draw(shown)


@given(pedigrees())
@settings(max_examples=EXAMPLES, deadline=None)
def test_a_drawing_is_fit_for_a_strict_page(shown: PedigreeChart) -> None:
    """Well-formed, no style, no script, no handler, nothing from outside; every reference and every id is the drawing's own."""
    drawing = draw(shown, "tree-7")
    found = seen(drawing.svg)
    svg = drawing.svg + "".join(swatch for swatch, _ in drawing.key)
    ids = [node.attrib["id"] for node in found.root.iter() if "id" in node.attrib]
    assert len(ids) == len(set(ids))
    own = ("-title", "-desc", "-drawing")
    assert all(name.endswith(own) or f"#{name}" in svg for name in ids), "defined and not used"
    assert all(name.startswith("tree-7-") for name in ids)
    for node in found.root.iter():
        assert node.tag.removeprefix(SVG) in {
            "svg", "title", "desc", "defs", "pattern", "use", "g", "a", "path", "circle", "text",
        }  # fmt: skip
        if node.tag == f"{SVG}use":
            assert node.attrib["href"].removeprefix("#") in ids
        for key, value in node.attrib.items():
            assert key != "style"
            assert not key.startswith("on")
            assert all(name in ids for name in re.findall(r"url\(#([^)]*)\)", value))
    assert set(found.root.attrib["aria-labelledby"].split()) <= set(ids)
    assert not re.search(r"http(?!://www\.w3\.org/2000/svg)", svg)


@given(pedigrees())
@settings(max_examples=EXAMPLES, deadline=None)
def test_where_lines_cross_the_upright_is_interrupted(shown: PedigreeChart) -> None:
    """No upright comes near a level stretch of another line, but for the young's line at their parents' own: no false joints."""
    _, _, lines = drawn_lines(shown)
    pieces = [(line.name, piece) for line, found in lines.pieces.items() for piece in found]
    for (name, ((x, top), (x2, bottom))), (other, ((left, y), (right, y2))) in itertools.permutations(pieces, 2):
        if name != other and x == x2 and y == y2 and min(left, right) < x < max(left, right):
            at_a_mating = y in lines.middle
            near = 0 if at_a_mating else 4
            assert not min(top, bottom) - near < y < max(top, bottom) + near, (name, other)


@given(pedigrees())
@settings(max_examples=EXAMPLES, deadline=None)
def test_young_stand_by_birth_unless_mates_need_otherwise(shown: PedigreeChart) -> None:
    """Sibs stand from left to right as they were born, wherever the runs that they stand in allow it for all of them."""
    arrangement, x, _ = drawn_lines(shown)
    seat = {item: number for number, group in enumerate(arrangement.groups) for item in group.items}
    before = [
        (elder, younger)
        for mating in arrangement.matings
        for elder, younger in itertools.pairwise(mating.family.young)
        if seat[elder] != seat[younger]
    ]
    order: TopologicalSorter[int] = TopologicalSorter()
    for elder, younger in before:
        order.add(seat[younger], seat[elder])
    try:
        order.prepare()
    except CycleError:
        return
    assert all(x[elder] < x[younger] for elder, younger in before)


def test_sibs_keep_their_order_of_birth_against_the_pull_of_their_mates() -> None:
    """The elder sister's mate stands on the right by descent, the younger's on the left: births come first, lines cross."""
    shown = pedigree(
        [
            animal("s1", "male"), animal("d1", "female"), animal("s2", "male"), animal("d2", "female"),
            animal("elder", "female", born="2020"), animal("younger", "female", born="2021"),
            animal("mate1", "male", born="2020"), animal("mate2", "male", born="2021"), animal("y1"), animal("y2"),
        ],
        [
            family("s1", "d1", "elder", "younger"),
            family("s2", "d2", "mate1", "mate2"),
            family("mate2", "elder", "y1"),
            family("mate1", "younger", "y2"),
        ],
    )  # fmt: skip
    centres = seen(draw(shown).svg).centres
    assert (centres["elder"] < centres["younger"]) != (centres["mate1"] < centres["mate2"])


# --- the notation -----------------------------------------------------------------------------------------------------


def test_mates_of_one_level_stand_side_by_side_with_the_male_left() -> None:
    """Bennett et al. 1995: pair on a horizontal line, male left."""
    found = seen(draw(SIBS).svg)
    assert found.centres["sire"][1] == found.centres["dam"][1]
    assert found.centres["sire"][0] < found.centres["dam"][0]
    assert found.centres["son"][0] < found.centres["daughter"][0]


def test_a_mating_with_an_elder_stands_on_the_level_of_the_younger() -> None:
    """Father x daughter: the mating line comes down to her level and is double, and he is drawn once."""
    arrangement, x, lines = drawn_lines(FATHER_X_DAUGHTER)
    wire = DrawnLine("related mates of sire", "mating", double=True)
    ends = {point for piece in lines.pieces[wire] for point in piece}
    assert (x[1], lines.middle[arrangement.level["daughter"]]) in ends


def test_related_parents_are_joined_by_a_double_line() -> None:
    """Bennett et al. 1995: double line = related parents; the line of unrelated ones is single."""
    double = {line.name: line.double for line in drawn_lines(SIBS)[2].pieces if line.kind == "mating"}
    assert double == {"mating 1": False, "mating 2": True}


def test_a_sire_in_doubt_is_dashed_and_his_chance_is_written() -> None:
    """Both possible sires are dashed, the certain dam is not."""
    shown = pedigree(
        [animal("m1", "male"), animal("m2", "male"), animal("dam", "female"), animal("young")],
        [PedigreeFamily((Sire("m1", "80%"), Sire("m2", "20%")), "dam", ("young",))],
    )
    arrangement, _, lines = drawn_lines(shown)
    assert arrangement.matings[0].right == "dam"
    looks = sorted((line.name, line.doubt) for line in lines.pieces if line.kind == "mating")
    assert looks == [("mating 1", False), ("mating 1", True), ("possible mates of m2", True)]
    drawing = draw(shown)
    texts = [node.text for node in seen(drawing.svg).root.iter(f"{SVG}text")]
    assert {"80%", "20%"} <= set(texts)
    assert "dashed: a possible sire" in key_texts(drawing)


def test_a_sire_alone_is_dashed_where_the_dam_may_have_bred_without_him() -> None:
    """The only male of a clutch, beside the chance that it has no sire; a clutch of the two that is certain has a line of its own."""
    animals = [
        animal("male", "male"),
        animal("dam", "female"),
        animal("young", born="2026"),
        animal("first", born="2025"),
    ]
    perhaps = PedigreeFamily((Sire("male"),), "dam", ("young",), perhaps_alone="")
    drawing = draw(pedigree(animals[:3], [perhaps]))
    assert "dashed: a possible sire" in key_texts(drawing)
    _, _, lines = drawn_lines(pedigree(animals[:3], [perhaps]))
    assert sorted(line.doubt for line in lines.pieces if line.kind == "mating") == [False, True]
    both = pedigree(animals, [perhaps, PedigreeFamily((Sire("male"),), "dam", ("first",))])
    assert [one.young for one in both.sibships] == [("first",), ("young",)]


@pytest.mark.parametrize(
    ("sex", "start"), [("male", "M-20 -20H20"), ("female", "M-20 0A20 20"), ("unknown", "M-23 0L0 -23")]
)
def test_square_male_circle_female_diamond_unknown(sex: Sex, start: str) -> None:
    """Bennett et al. 1995: the outline says the sex."""
    root = seen(draw(pedigree([animal("a", sex)], [])).svg).root
    (group,) = groups(root)
    (symbol,) = shapes(root, group)
    (outline,) = symbol
    assert symbol.attrib["class"] == "pedigree-ground"
    assert outline.attrib["d"].startswith(start)


@pytest.mark.parametrize(
    ("state", "look", "words"),
    [
        ("shows", ("pedigree-shows", None), "filled: shows Piebald"),
        ("carries", (None, "url(#pedigree-dots)"), "dotted: carries Piebald (certain or taken as certain)"),
        ("may carry", (None, "url(#pedigree-stripes)"), "striped: may carry Piebald"),
        ("none", None, "plain: not said to carry Piebald"),
    ],
)
def test_each_state_has_its_mark_and_the_key_defines_it(
    state: State, look: tuple[str | None, str | None] | None, words: str
) -> None:
    """Bennett et al. 2022: a patterned part is defined in a key; the key names what is drawn and nothing else."""
    drawing = draw(pedigree([animal("a", "male", state)], []))
    (group,) = groups(seen(drawing.svg).root)
    outline, *marks, label = group
    assert (outline.attrib, label.text) == ({"href": "#pedigree-m"}, "a")
    assert [(mark.get("class"), mark.get("fill")) for mark in marks] == ([look] if look else [])
    assert key_texts(drawing) == ["square: male", words]


@pytest.mark.parametrize("count", [2, 3, 4])
def test_several_traits_are_parts_of_the_symbol_and_each_is_named(count: int) -> None:
    """One part for each trait, in the order of the pedigree's traits, and a line of the key for each."""
    traits = ("Piebald", "Clown", "Albino", "Ghost")[:count]
    shown = PedigreeChart(
        "", "", (PedigreeAnimal("a", "a", "female", marks=tuple(TraitMark(t, "shows") for t in traits)),), (), traits
    )
    drawing = draw(shown)
    root = seen(drawing.svg).root
    (group,) = groups(root)
    assert sum(node.get("class") == "pedigree-shows" for node in group.iter()) == count
    _, *parts = shapes(root, group)
    assert len({part.attrib["d"] for part in parts}) == count
    assert [text.split(": ")[1] for text in key_texts(drawing)[1 : count + 1]] == list(traits)


def test_number_slash_arrow_and_twins_are_drawn() -> None:
    """Number inside = that many; slash = dead; arrow = the animal of the page; a bar joins identical twins."""
    shown = pedigree(
        [
            animal("sire", "male", dead=True),
            animal("dam", "female"),
            animal("t1", "male", twin_group="egg"),
            animal("t2", "male", twin_group="egg", focus=True),
            animal("rest", "unknown", count=5),
        ],
        [family("sire", "dam", "t1", "t2", "rest")],
    )
    drawing = draw(shown)
    root = seen(drawing.svg).root
    classes = [node.get("class") for node in root.iter()]
    assert classes.count("pedigree-dead") == 1
    assert classes.count("pedigree-arrow") == 1
    assert classes.count("pedigree-twin") == 1
    numbers = [node.text for node in root.iter(f"{SVG}text") if node.get("class") == "pedigree-number"]
    assert numbers == ["5"]
    assert "number: how many the sign stands for" in key_texts(drawing)


@pytest.mark.parametrize(
    ("traits", "state", "grounds"), [(1, "none", 0), (1, "carries", 1), (2, "none", 1), (4, "shows", 1)]
)
def test_a_number_stands_clear_of_marks_and_lines(traits: int, state: State, grounds: int) -> None:
    """On a ground of its own, drawn before it and after the parts, wherever something would run through it."""
    names = ("Piebald", "Clown", "Albino", "Ghost")[:traits]
    several = PedigreeAnimal("a", "a", "unknown", marks=(TraitMark("Piebald", state),), count=5)
    (group,) = groups(seen(draw(PedigreeChart("", "", (several,), (), names)).svg).root)
    looks = [node.get("class") for node in group]
    assert looks[-2 - grounds :] == ["pedigree-number-ground"] * grounds + ["pedigree-number", None]
    assert looks.count("pedigree-number-ground") == grounds


@pytest.mark.parametrize(
    ("traits", "said"),
    [(("Albino", "Candy"), "one copy each of Albino and Candy"), (("Candy",), "one copy of Candy")],
)
def test_a_look_of_two_forms_of_one_gene_shows_neither_of_them(traits: tuple[str, ...], said: str) -> None:
    marks = tuple(TraitMark(trait, "shows", "albino") for trait in ("Albino", "Candy"))
    assert described(PedigreeAnimal("F-01", "F-01", "female", marks=marks), traits) == f"F-01, female, {said}"


def test_all_that_an_animal_shows_is_said_together() -> None:
    """Whether a part of its symbol is drawn for it or not, and a trait by its double look alone."""
    marks = (
        TraitMark("Pastel", "shows", look="Super Pastel"),
        TraitMark("Lesser", "shows", look="Lesser"),
        TraitMark("Piebald", "may carry"),
    )
    animal = PedigreeAnimal("M-1", "M-1", "male", marks=marks, looks=("Super Pastel", "Blue-eyed Leucistic"))
    said = "M-1, male, shows Super Pastel and Blue-eyed Leucistic, has Lesser, may carry Piebald"
    assert described(animal, ("Pastel", "Lesser", "Piebald")) == said


def test_two_copies_of_what_nobody_has_seen_it_show_are_told() -> None:
    """As on its page: "carries" alone would be read as one copy."""
    marks = (TraitMark("Lavender", "carries", twice=True), TraitMark("Anery", "carries"))
    said = "F-1, female, carries Anery and two copies of Lavender"
    assert described(PedigreeAnimal("F-1", "F-1", "female", marks=marks), ("Lavender", "Anery")) == said


def test_names_are_shortened_not_spilled_and_text_is_escaped() -> None:
    """A long name ends in an ellipsis and stands whole in the title; markup in a name stays text."""
    shown = pedigree([replace(animal("a", "male"), label='<b>"Bramble" & the Wide Wide Water</b>')], [])
    root = seen(draw(shown).svg).root
    (group,) = groups(root)
    (label,) = group.iter(f"{SVG}text")
    assert (label.text or "").endswith("…")
    assert group.attrib["aria-label"] == '<b>"Bramble" & the Wide Wide Water</b>, male'


def test_a_link_has_a_name_and_an_unlinked_drawing_is_one_picture() -> None:
    """Links are named in words; a drawing without links is an image whose description says everything."""
    linked = seen(draw(pedigree([animal("a", "male", href="../a/")], [])).svg).root
    link = next(linked.iter(f"{SVG}a"))
    assert (link.attrib["href"], link.attrib["aria-label"]) == ("../a/", "a, male")
    plain = seen(draw(pedigree([animal("a", "male")], [])).svg).root
    assert plain.attrib["role"] == "img"
    assert [node.text for node in plain.iter(f"{SVG}desc")] == ["a, male."]


def test_several_clutches_of_one_pair_are_one_sibship() -> None:
    """Two families with the same parents hang on one mating."""
    shown = pedigree(
        [animal("sire", "male"), animal("dam", "female"), animal("y1", born="2022"), animal("y2", born="2021")],
        [family("sire", "dam", "y1"), family("sire", "dam", "y2")],
    )
    assert [mating.family.young for mating in arrange(shown).matings] == [("y2", "y1")]


# --- the layout engine ------------------------------------------------------------------------------------------------


def test_a_drawing_does_not_depend_on_what_was_drawn_before() -> None:
    """The engine keeps no state from one drawing to the next, and answers that were kept are the same."""
    first = draw(ONE_SIRE)
    draw(SIBS)
    assert draw(ONE_SIRE) == first
    laying_out.places.cache_clear()
    assert draw(ONE_SIRE) == first


def test_clutch_mates_are_laid_out_once() -> None:
    """What is asked of the engine names nobody."""
    laying_out.places.cache_clear()
    for name in ("C24-03-1", "C24-03-2"):
        draw(pedigree([animal("M-02", "male"), animal("F-03", "female"), animal(name)], [family("M-02", "F-03", name)]))
    assert laying_out.places.cache_info().misses == 1


def test_a_group_that_was_laid_out_in_another_width_is_noticed() -> None:
    """A letter that is no longer one point wide would let lines and symbols meet."""
    with pytest.raises(ValueError, match="10 points was laid out as one of"):
        laying_out.places('digraph { node [shape=record margin=0 width="0.01"] 0 [label="xxxx"] }', (10,))
