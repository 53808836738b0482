"""A pedigree as an outline, for a screen too narrow for its drawing: the youngest, then their parents, each over its own.

It is made of what the drawing was given, and its symbols are those of the drawing, which stands on the same page.
"""

from __future__ import annotations

from collections.abc import Iterator

from clutchlight import drawing
from clutchlight.drawing import PedigreeAnimal, PedigreeChart, PedigreeFamily
from clutchlight.site.parts import Ancestor, Drawing, Link


def outline(drawn: Drawing) -> tuple[Ancestor, ...]:
    """`drawn`: by `drawing.draw`. One whose young several animals are has these first; their parents stand beside the last."""
    chart, prefix = drawn.given
    if not isinstance(chart, PedigreeChart) or not isinstance(prefix, str):
        raise TypeError("not the drawing of a pedigree")
    of_young = {young: family for family in chart.families for young in family.young}
    parents = {parent for family in chart.families for parent in family.parents}
    youngest = [animal for key, animal in chart.by_id.items() if key not in parents]

    def above(family: PedigreeFamily | None) -> Iterator[Ancestor]:
        for sire in family.sires if family else ():
            yield one(chart.by_id[sire.id], f"sire, {sire.chance}" if sire.chance else "sire")
        if family and family.dam is not None:
            yield one(chart.by_id[family.dam], "dam")

    def one(animal: PedigreeAnimal, role: str = "", *, alone: bool = False) -> Ancestor:
        told = drawing.told(animal, chart.traits)
        said = ", ".join((role, *told[1:]) if role else told)  # a sire is a male
        symbol = Drawing(drawing.small, (animal, chart.traits, prefix))
        return Ancestor(
            Link(animal.label, animal.href), said, symbol, () if alone else tuple(above(of_young.get(animal.id)))
        )

    *others, last = [animal.id for animal in youngest]
    return tuple(one(chart.by_id[key], alone=key in others) for key in (*others, last))
