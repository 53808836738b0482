"""Pedigrees and counts for pages: chooses animals, traits and marks; `drawing` draws them.

A pedigree shows the animal, or the clutch, with three generations of ancestors, and at most four traits: those that its
statement mentions, in the order of the statement; where it mentions none, those that its ancestors show.
An animal that may not be named keeps its place under a name that tells nothing. A screen too narrow for the drawing has it as an outline,
made of what the drawing was given.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from itertools import zip_longest

from msgspec.structs import replace

from clutchlight.drawing import chances, pedigree, svg
from clutchlight.drawing.chances import CountPart
from clutchlight.drawing.pedigree import (
    MOST_TRAITS,
    PedigreeAnimal,
    PedigreeChart,
    PedigreeFamily,
    Sire,
    State,
    TraitMark,
)
from clutchlight.genetics.values import Figure
from clutchlight.model import Animal, Clutch, Nobody, Unrecorded
from clutchlight.model.as_published import UNLISTED, is_unlisted
from clutchlight.site import addresses
from clutchlight.site.context import Context
from clutchlight.site.parts import Ancestor, Drawing, Link
from clutchlight.statements.kinship import PERHAPS_RELATED
from clutchlight.statements.values import AnimalStatement, TraitStatement
from clutchlight.wording.words import PLAIN_UP_TO, counted, join_and, percent_text

GENERATIONS = 3
CARD_GENERATIONS = 2
AT_MOST_YOUNG = 8
AT_MOST_BREEDING = 60  # what can be taken in as one drawing


def chance_drawing(trait: TraitStatement, prefix: str) -> Drawing | None:
    """A chance as snakes, where its fraction is simple: "of 3 snakes like this one, 2 carry it"."""
    if trait.carries.denominator > PLAIN_UP_TO or not trait.snakes:
        return None
    parts = (CountPart("carries", trait.carries.numerator, trait.snakes),)
    return Drawing(chances.counts, ("counter", trait.carries.denominator, parts, trait.snakes, prefix))


def animal_pedigree(
    context: Context, animal: Animal, *, page: str = "", generations: int = GENERATIONS, prefix: str = "p"
) -> Drawing | None:
    """The animal with its ancestors; None for one without a recorded parent. `page`: where it stands, its own page unless said."""
    if animal.founder:
        return None
    page = page or addresses.animal(animal.id)
    selection = pedigree.ancestors([animal.id], partial(_parents_of, context), generations)
    traits = _traits(context, [animal.id], selection.ids)
    members = {key: _symbol(context, page, key, traits, focus=key == animal.id) for key in selection.ids}
    what = animal.called
    return _draw(f"Pedigree of {what}", f"{what} and its ancestors.", members, selection.families, traits, prefix)


def card_pedigree(context: Context, clutch: Clutch, page: str, prefix: str) -> Drawing:
    """What stands behind a clutch, all that hatched as one symbol: the same for the card of each of its young."""
    above = pedigree.ancestors([clutch.id], partial(_parents_of, context), CARD_GENERATIONS)
    shown = [key for key in clutch.young if context.may_name(key)]
    traits = _traits(context, shown, above.ids)
    members = {key: _symbol(context, page, key, traits) for key in above.ids if key != clutch.id}
    members[clutch.id] = PedigreeAnimal(clutch.id, clutch.id, count=max(1, clutch.hatchlings), nameless=True)
    name = clutch.name or f"clutch {clutch.id}"
    said = f"The parents of {name} and their parents; the clutch itself is one symbol."
    return _draw(f"What stands behind {name}", said, members, above.families, traits, prefix)


def clutch_pedigree(context: Context, clutch: Clutch) -> Drawing:
    """The young of a clutch that may be named, like ones in one symbol where there are many, with their parents and their ancestors."""
    page = addresses.clutch(clutch.id)
    shown = [key for key in clutch.young if context.may_name(key)]
    each_egg = clutch.sires.kind == "mixed" and len(shown) <= AT_MOST_YOUNG
    focus = shown if each_egg and shown else [clutch.id]
    above = pedigree.ancestors(focus, partial(_parents_of, context), GENERATIONS)
    traits = _traits(context, shown or [key for key in above.ids if key != clutch.id], above.ids)
    young = _young(context, page, clutch, shown, traits)
    members = {key: _symbol(context, page, key, traits) for key in above.ids if key not in (clutch.id, *shown)}
    members |= {symbol.id: symbol for symbol in young}
    families = [
        replace(family, young=tuple(symbol.id for symbol in young)) if clutch.id in family.young else family
        for family in above.families
    ]
    name = clutch.name or f"clutch {clutch.id}"
    return _draw(
        f"Pedigree of {name}", "Young of the clutch with their parents and their ancestors.", members, families, traits
    )


def breeding_pedigree(context: Context, animals: Sequence[Animal], title: str, prefix: str) -> Drawing | None:
    """How breeding animals descend from each other, and their parents; None where none does, or where they are too many for one drawing.

    Those without a parent or young in it are left out. It marks the traits that are spoken of with most of them.
    """
    page = addresses.LINEAGE
    families = pedigree.ancestors([one.id for one in animals], partial(_parents_of, context), 1).families
    joined = sorted({key for family in families for key in (*family.parents, *family.young)})
    if not 0 < len(joined) <= AT_MOST_BREEDING:
        return None
    found = Counter(one.trait for key in joined if context.may_name(key) for one in _spoken_of(context, key))
    traits = tuple(trait for trait, _ in found.most_common(MOST_TRAITS))
    members = {key: _symbol(context, page, key, traits) for key in joined}
    said = "Breeding animals with their parents and their young that breed."
    return _draw(title, said, members, families, traits, prefix, to_follow=True)


def _young(
    context: Context, page: str, clutch: Clutch, shown: list[str], traits: tuple[str, ...]
) -> tuple[PedigreeAnimal, ...]:
    symbols = [_symbol(context, page, key, traits) for key in shown]
    if symbols:
        return pedigree.in_few_symbols(symbols, AT_MOST_YOUNG)
    count, label, came = _not_listed_one_by_one(clutch)
    return (PedigreeAnimal(f"{clutch.id}:young", label, count=count, nameless=True, description=came),)


def _not_listed_one_by_one(clutch: Clutch) -> tuple[int, str, str]:
    """How many there are of what stands in one symbol for the eggs or young of a clutch, what they are, and what came of them."""
    eggs = clutch.eggs
    if eggs == 0 and clutch.slugs:
        return clutch.slugs, counted(clutch.slugs, "slug"), "no good egg"
    if clutch.hatched is None and eggs and (clutch.ended or eggs <= clutch.went_bad):
        return eggs, counted(eggs, "egg"), "none hatched"
    count = max(1, (eggs or 1) - clutch.went_bad)
    return count, counted(count, "egg") if clutch.hatched is None else counted(count, "young", "young"), ""


def _draw(
    title: str,
    description: str,
    members: dict[str, PedigreeAnimal],
    families: Iterable[PedigreeFamily],
    traits: tuple[str, ...],
    prefix: str = "p",
    *,
    to_follow: bool = False,
) -> Drawing:
    chart = PedigreeChart(title, description, *_numbered(members, families), traits, to_follow)
    return Drawing(svg.draw, (chart, prefix))


def _numbered(
    members: dict[str, PedigreeAnimal], families: Iterable[PedigreeFamily]
) -> tuple[tuple[PedigreeAnimal, ...], tuple[PedigreeFamily, ...]]:
    """With the unlisted ones numbered anew, so that a drawing does not tell of any that stand elsewhere."""
    numbers: dict[str, str] = {}

    def name(key: str) -> str:
        first, colon, role = key.partition(":")
        return numbers.setdefault(first, f"{UNLISTED}{len(numbers) + 1}") + colon + role if is_unlisted(key) else key

    animals = tuple(replace(symbol, id=name(key)) if is_unlisted(key) else symbol for key, symbol in members.items())
    joined = (
        replace(
            family,
            sires=tuple(replace(sire, id=name(sire.id)) for sire in family.sires),
            dam=family.dam and name(family.dam),
            young=tuple(name(key) for key in family.young),
        )
        for family in families
    )
    return animals, tuple(joined)


# Who


def _parents_of(context: Context, key: str) -> PedigreeFamily | None:
    """Those of an animal, or of a clutch."""
    record = context.collection.animals.get(key)
    if record is None and key in context.collection.clutches:
        return _sires_and_dam(context, context.collection.clutches[key])
    if record is None or record.founder or (is_unlisted(key) and not _listed_behind(context, key)):
        return None
    clutch = context.collection.clutches.get(record.clutch or "")
    if clutch is not None:
        return _sires_and_dam(context, clutch, key)
    sires = (Sire(record.sire),) if record.sire else ()
    return PedigreeFamily(sires, record.dam, related=context.statement(key).inbreeding > 0)


def _listed_behind(context: Context, key: str) -> bool:
    """Whether an unlisted animal comes from one that is listed; if not, nothing of its parents is drawn."""
    parents = context.collection.parents_of(key) if key in context.collection.animals else ()
    return any(context.may_name(parent) or _listed_behind(context, parent) for parent in parents)


def _sires_and_dam(context: Context, clutch: Clutch, young: str | None = None) -> PedigreeFamily:
    """The parents of a clutch; of one of its young, where each egg may have another sire."""
    each_egg = clutch.sires.kind == "mixed"
    stated = context.statement(young).parents.sires if young and each_egg else context.clutch_statement(clutch.id).sires
    several = len(stated) > 1 and not (each_egg and young is None)
    unrecorded = f"{clutch.id}:sire"  # one male for each clutch
    unnamed = iter(key for key in clutch.sires.ids if not context.may_name(key))
    sires = tuple(
        Sire(
            unrecorded if isinstance(sire.sire, Unrecorded) else sire.id or next(unnamed, unrecorded),
            percent_text(sire.chance) if several and sire.chance is not None else sire.probably.strip() or None,
        )
        for sire in stated
        if not isinstance(sire.sire, Nobody)
    )
    alone = all(isinstance(sire.sire, Nobody) for sire in stated)
    perhaps_alone = next((sire.chance for sire in stated if isinstance(sire.sire, Nobody)), None) if sires else None
    kin = [context.statement(key) for key in ((young,) if young and each_egg else clutch.young)]
    related = any(map(_of_kin, kin))
    return PedigreeFamily(
        sires,
        clutch.dam,
        parthenogenesis=alone,
        related=related,
        perhaps_related=related
        and (
            len(stated) > 1
            or any(sire.by_claim for sire in stated)
            or any(one.kinship == PERHAPS_RELATED for one in kin)
        ),
        perhaps_alone=None if perhaps_alone is None else percent_text(perhaps_alone) if several else "",
    )


def _of_kin(young: AnimalStatement) -> bool:
    """Whether a male that may be its sire is related to its dam; that she may have bred alone makes no strangers kin."""
    males = (sire for sire in young.parents.sires if not isinstance(sire.sire, Nobody))
    return young.inbreeding > 0 and bool(young.relation) and any(males)


def _symbol(context: Context, page: str, key: str, traits: tuple[str, ...], *, focus: bool = False) -> PedigreeAnimal:
    record = context.collection.animals.get(key)
    if record is None:
        return PedigreeAnimal(key, "unrecorded", "male" if key.endswith(":sire") else "unknown", nameless=True)
    stated = context.statement(key)
    named = context.may_name(key)
    twins = [key for key in context.collection.eggs.get(record.egg or record.id, ()) if context.may_name(key)]
    label = record.shown_name if named else ("unnamed" if record.nameless else "unlisted")
    return PedigreeAnimal(
        id=key,
        label=label,
        sex=record.sex,
        born=record.hatched.last.isoformat() if record.hatched else "",
        href=context.name(page, key).href if not focus else None,
        marks=tuple(_mark(context, stated, trait, traits) for trait in traits),
        dead=record.dead,
        nameless=not named,
        focus=focus,
        twin_group=record.egg if named and len(twins) > 1 else None,
        looks=stated.looks or () if named else (),
    )


# Which traits, and what is said of them


def _traits(context: Context, first: Iterable[str], then: Iterable[str]) -> tuple[str, ...]:
    """Those that the first mention, else the others; and the other alleles of their loci that stand in the same drawing."""
    own, others = ([one for key in keys for one in _spoken_of(context, key)] for keys in (first, then))
    found = dict.fromkeys(one.trait for one in own or others)
    loci = {one.locus for one in (*own, *others) if one.trait in found}
    found |= dict.fromkeys(one.trait for one in (*own, *others) if one.locus in loci)
    return tuple(found)[:MOST_TRAITS]


def unshown(context: Context, drawn: Drawing, about: Iterable[str]) -> str | None:
    """The traits for which symbols have no room: of the animals that the drawing is about, and other alleles of what is drawn."""
    chart, _ = chart_of(drawn)
    around = [one for animal in chart.animals for one in _spoken_of(context, animal.id)]
    loci = {one.locus for one in around if one.trait in chart.traits}
    spoken = [
        *(one for key in about for one in _spoken_of(context, key)),
        *(one for one in around if one.locus in loci),
    ]
    found = [trait for trait in dict.fromkeys(one.trait for one in spoken) if trait not in chart.traits]
    room = "A symbol has room for four traits. " if len(chart.traits) == MOST_TRAITS else ""
    return f"{room}Not drawn here: {join_and(found)}." if found else None


def _spoken_of(context: Context, key: str) -> Iterator[TraitStatement]:
    stated = context.statements.animals.get(key)
    return (trait for trait in (stated.traits if stated else ()) if trait.mentioned)


def _look(context: Context, stated: AnimalStatement, said: TraitStatement) -> str:
    """The look in which it shows a trait: that of two copies, where it has two."""
    locus = context.species(stated.species).loci[said.locus]
    number = locus.allele_number(said.trait)
    return next(iter(locus.look_of[number, number])) if said.copies[2] == 1 else said.trait


def _mark(context: Context, stated: AnimalStatement, trait: str, drawn: Sequence[str]) -> TraitMark:
    said = stated.trait(trait)
    state: State = "none"
    of = look = ""
    if said is not None and not said.under_review:
        if said.shows:
            state, look = "shows", _look(context, stated, said)
            beside = (one for one in stated.traits if one.shows and one.locus == said.locus and one.trait != trait)
            of = said.locus if said.copies[1] == 1 and any(beside) else ""
        elif said.either:
            all_drawn = all(one.trait in drawn for one in stated.traits if one.either and one.locus == said.locus)
            state, of = ("one of", said.locus) if all_drawn else ("may carry", "")
        elif said.carries == 1:
            state = "carries"
        elif said.possible and said.mentioned:
            others = [one.trait for one in stated.traits if one.possible and one.mentioned and one.locus == said.locus]
            state, of = "may carry", said.locus if len(others) > 1 and not _both(context, stated, said, others) else ""
    return TraitMark(trait, state, of, look, twice=state == "carries" and said is not None and said.copies[2] == 1)


def _both(context: Context, stated: AnimalStatement, said: TraitStatement, traits: Sequence[str]) -> bool:
    """Whether an animal may carry two of these traits of one locus at once."""
    figure = context.answers.now(stated.id, said.locus) if context.answers else None
    alleles = [context.collection.species[stated.species].loci[said.locus].allele_number(trait) for trait in traits]
    return isinstance(figure, Figure) and any(sum(one in pair for one in alleles) > 1 for pair, _ in figure.genotypes)


def chart_of(drawn: Drawing) -> tuple[PedigreeChart, str]:
    """What a pedigree was drawn from, and how its ids begin. `drawn`: by `svg.draw`."""
    chart, prefix = drawn.given
    if not isinstance(chart, PedigreeChart) or not isinstance(prefix, str):
        raise TypeError("not the drawing of a pedigree")
    return chart, prefix


# As an outline


def outline(drawn: Drawing) -> tuple[Ancestor, ...]:
    """The youngest, then their parents, each over its own, with symbols of the same page's drawing.

    Of youngest that follow each other and have the same parents, alike in how likely, these stand beside the last alone. Each is told
    its twins, a chance of no sire, and whether its parents are related.
    """
    chart, prefix = chart_of(drawn)
    of_young = {young: family for family in chart.families for young in family.young}
    parents = {parent for family in chart.families for parent in family.parents}
    youngest = [key for key in chart.by_id if key not in parents]

    def above(family: PedigreeFamily | None) -> Iterator[Ancestor]:
        for sire in family.sires if family else ():
            if not sire.how_likely:
                role = "sire"
            elif family and family.only_sire:
                role = f"{sire.how_likely} the sire"
            else:
                role = f"sire, {sire.how_likely}"
            yield one(chart.by_id[sire.id], role)
        if family and family.dam is not None:
            yield one(chart.by_id[family.dam], "dam")

    def kin(animal: PedigreeAnimal, family: PedigreeFamily | None) -> Iterator[str]:
        twins = [one.label for one in chart.by_id.values() if one.twin_group and one.twin_group == animal.twin_group]
        if len(twins) > 1:
            yield f"identical twin of {join_and([name for name in twins if name != animal.label])}"
        if family and family.parthenogenesis and not family.sires:
            yield "no sire"
        elif family and family.perhaps_alone is not None:
            yield f"no sire: {family.perhaps_alone}"
        if family and family.related:
            yield f"its parents {'may be' if family.in_doubt or family.perhaps_related else 'are'} related"

    def one(animal: PedigreeAnimal, role: str = "", *, alone: bool = False) -> Ancestor:
        told = pedigree.told(animal, chart.traits)
        told = (role, *told[1:]) if role else told  # a sire is a male
        said = ", ".join((*told, *kin(animal, of_young.get(animal.id))))
        symbol = Drawing(svg.small, (animal, chart.traits, prefix))
        return Ancestor(
            Link(animal.label, animal.href), said, symbol, () if alone else tuple(above(of_young.get(animal.id)))
        )

    return tuple(
        one(chart.by_id[key], alone=then is not None and of_young.get(key) is of_young.get(then))
        for key, then in zip_longest(youngest, youngest[1:])
    )
