"""The animals behind the young: what they show and carry, what proved it, and their clutches."""

from __future__ import annotations

from clutchlight.model import Animal, Clutch
from clutchlight.statements import day_words
from clutchlight.statements.words import counted, sentence
from clutchlight.website import addresses, said
from clutchlight.website.animal_page import parent_links
from clutchlight.website.context import SEX_SIGNS, Context
from clutchlight.website.frames import Framing
from clutchlight.website.pages import ClutchEntry, Line, LineageEntry, LineagePage
from clutchlight.website.parts import Link

INTRO = "The animals behind the young: what each shows, what is certain, what is still open, and which clutches say so."


def lineage_page(framing: Framing) -> LineagePage:
    context = framing.context
    lines = tuple(_line(context, key) for key in context.collection.species if _breeding(context, key))
    return LineagePage(framing.frame(addresses.LINEAGE, "Lineage", INTRO), INTRO, lines)


def _breeding(context: Context, species: str) -> list[Animal]:
    """Animals that breed here or are behind those that do: breeders, and parents on record that may be named."""
    parents = {
        key for animal in context.collection.animals.values() for key in (animal.sire, animal.dam) if key is not None
    } | set(context.collection.clutches_of)
    return [
        animal
        for key, animal in sorted(context.collection.animals.items())
        if animal.species == species and context.may_name(key) and (animal.status == "breeder" or key in parents)
    ]


def _line(context: Context, key: str) -> Line:
    page = addresses.LINEAGE
    species = context.species(key)
    animals = _breeding(context, key)
    here = [animal for animal in animals if animal.here]
    clutches = [clutch for clutch in context.clutches if clutch.species == key]
    return Line(
        key=key,
        species=species.name,
        scientific_name=species.scientific_name,
        females=tuple(_entry(context, page, animal) for animal in here if animal.sex == "female"),
        males=tuple(_entry(context, page, animal) for animal in here if animal.sex != "female"),
        earlier=tuple(_entry(context, page, animal) for animal in animals if not animal.here),
        clutches=tuple(_clutch(context, page, clutch) for clutch in sorted(clutches, key=_newest_first)),
        traits=tuple(
            Link(", ".join(locus.alleles), context.trait_href(page, key, locus.key))
            for locus in context.trait_pages
            if locus.species == key
        ),
    )


def _entry(context: Context, page: str, animal: Animal) -> LineageEntry:
    stated = context.statement(animal.id)
    name = context.name(page, animal.id, short=True)
    return LineageEntry(
        name=name,
        key=animal.id if animal.name else "",
        sex=animal.sex,
        sex_sign=SEX_SIGNS[animal.sex],
        picture=context.first_picture(page, animal) if context.has_page(animal.id) else None,
        look=said.look_words(stated).rstrip("."),
        certain=said.certain_with_grounds(context, page, stated),
        possible=said.possible_words(stated),
        bred=sentence(stated.proven_breeder) if stated.proven_breeder else None,
        parents=parent_links(context, page, animal),
        clutches=tuple(context.clutch_link(page, key) for key in context.bred(animal.id)),
    )


def _clutch(context: Context, page: str, clutch: Clutch) -> ClutchEntry:
    stated = context.clutch_statement(clutch.id)
    sires = [context.name(page, sire.id, short=True, sex="male") for sire in stated.sires]
    day = clutch.hatched or clutch.laid
    return ClutchEntry(
        name=context.clutch_link(page, clutch.id),
        when=day_words.month_or_less(day) if day else "planned",
        parents=(
            *(sires[:1] if len(sires) == 1 else [Link("sire in doubt")]),
            context.name(page, clutch.dam, short=True, sex="female"),
        ),
        young=_young_words(clutch, stated.state),
    )


def _young_words(clutch: Clutch, state: str) -> str:
    if state == "incubating":
        return f"{counted(clutch.eggs, 'egg').capitalize()} in the incubator." if clutch.eggs else "In the incubator."
    if state in ("planned", "did not hatch"):
        return "Planned." if state == "planned" else "Did not hatch."
    hatched = len(clutch.young) + sum(tally.count for tally in clutch.tally) + clutch.to_sort
    return f"{counted(hatched, 'young', 'young').capitalize()}."


def _newest_first(clutch: Clutch) -> tuple[int, str]:
    day = clutch.hatched or clutch.laid
    return -(day.last.toordinal() if day else 10**7), clutch.id
