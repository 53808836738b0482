"""The pedigree as an outline for a narrow screen: the same animals as in the drawing, with the drawing's own symbols."""

from __future__ import annotations

from bs4 import BeautifulSoup, Tag
from msgspec.structs import replace
from tests.site.conftest import Files

from clutchlight.drawing import svg
from clutchlight.drawing.pedigree import PedigreeAnimal, PedigreeChart, PedigreeFamily, Sire
from clutchlight.site.drawings import outline as outline_drawn
from clutchlight.site.parts import Drawing


def outline_of(files: Files, address: str) -> tuple[BeautifulSoup, Tag]:
    page = BeautifulSoup(files[address], "lxml")
    found = page.select_one("ul.outline")
    assert found is not None
    return page, found


def test_an_animal_stands_at_the_top_and_its_ancestors_below_it(demo_files: Files) -> None:
    """Sire before dam, each with its own parents inside; what is said is what the drawing says."""
    page, outline = outline_of(demo_files, "animals/C26-01-5/index.html")
    for title in outline.select("title"):
        title.decompose()
    first, *others = [row.get_text(" ", strip=True) for row in outline.select("p")]
    assert first.startswith("C26-01-5 , female, may carry Piebald")
    assert others[0].startswith("Rook , sire, ")
    drawn = [str(symbol["aria-label"]) for symbol in page.select(".pedigree-animals > *")]
    assert {row.split(",")[0].strip() for row in (first, *others)} == {said.split(",")[0] for said in drawn}
    assert len(outline.select(":scope > li > ul > li")) == 2


def test_a_symbol_of_an_outline_uses_what_the_drawing_defines(demo_files: Files) -> None:
    """Each shape and pattern that it refers to stands on the page."""
    for address in ("animals/C26-01-5/index.html", "clutches/C26-01/index.html"):
        page, outline = outline_of(demo_files, address)
        ids = {str(element["id"]) for element in page.find_all(id=True)}
        used = [str(element["href"]) for element in outline.select("use")]
        assert used
        assert {name.removeprefix("#") for name in used} <= ids
        fills = {str(element["fill"]) for element in outline.select("use[fill]")}
        assert {fill.removeprefix("url(#").rstrip(")") for fill in fills} <= ids


def test_traits_without_room_in_a_symbol_are_named(demo_files: Files) -> None:
    """No symbol holds more than four."""
    told = [name for name, page in demo_files.items() if b"A symbol has room for four traits" in page]
    assert all(name.startswith(("animals/", "lineage/")) for name in told)


def test_young_whose_sires_differ_have_their_own_parents_below_them() -> None:
    """In a clutch in which each egg has its own sire; those alike that follow each other share them."""
    animals = tuple(PedigreeAnimal(key, key) for key in ("dam", "one", "two", "y1", "y2", "y3", "y4"))
    families = tuple(
        PedigreeFamily(tuple(Sire(key, None) for key in sires), "dam", young=young)
        for sires, young in ((["one"], ("y1", "y4")), (["one", "two"], ("y2", "y3")))
    )
    drawn = Drawing(svg.draw, (PedigreeChart("A clutch", "", animals, families, ()), "p"))
    found = [(row.name.text, [parent.name.text for parent in row.parents]) for row in outline_drawn(drawn)]
    assert found == [
        ("y1", ["one", "dam"]),
        ("y2", []),
        ("y3", ["one", "two", "dam"]),
        ("y4", ["one", "dam"]),
    ]


def test_all_that_lines_of_the_drawing_say_stands_in_words() -> None:
    """A bar for twins, a double line for relatives, a broken one for a sire in doubt, and none for a young of the dam alone."""
    animals = tuple(
        replace(PedigreeAnimal(key, key, "female"), twin_group="egg" if key in ("y1", "y2") else None)
        for key in ("m1", "m2", "dam", "y1", "y2", "y3", "y4", "y5")
    )
    families = (
        PedigreeFamily((Sire("m1", "80%"), Sire("m2", "20%")), "dam", ("y1", "y2"), related=True),
        PedigreeFamily((Sire("m1", None),), "dam", ("y3",), related=True),
        PedigreeFamily((), "dam", ("y4",), parthenogenesis=True),
        PedigreeFamily((Sire("m1", "1 in 3"),), "dam", ("y5",), perhaps_alone="2 in 3"),
    )
    drawn = Drawing(svg.draw, (PedigreeChart("A clutch", "", animals, families, ()), "p"))
    assert {row.name.text: row.said for row in outline_drawn(drawn)} == {
        "y1": "female, identical twin of y2, its parents may be related",
        "y2": "female, identical twin of y1, its parents may be related",
        "y3": "female, its parents are related",
        "y4": "female, no sire",
        "y5": "female, no sire: 2 in 3",
    }
