"""The page of one locus: what is seen, how it is inherited in plain words, welfare, sources, and who here has it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from clutchlight.model import Animal, Inheritance, Locus, Species
from clutchlight.site import addresses, statement_part
from clutchlight.site.context import Context
from clutchlight.site.frames import Framing
from clutchlight.site.pages import Bearer, Bearers, TraitPage
from clutchlight.site.parts import Fact, Link, Welfare
from clutchlight.statements import TraitStatement
from clutchlight.wording.words import join_and, join_or

_INHERITANCE = {
    Inheritance.RECESSIVE: "Recessive",
    Inheritance.INCOMPLETE_DOMINANT: "Incomplete dominant",
    Inheritance.DOMINANT: "Dominant",
    Inheritance.LINE_BRED: "Line-bred",
    Inheritance.NOT_KNOWN: "Not known",
}
_NO_WELFARE = "No welfare concern is on record for it. That is not a promise that there is none."
_LETHAL = "Embryos with two copies die. We do not pair two carriers for it."
_IN_WORDS = {
    Inheritance.RECESSIVE: (
        "It shows only with two copies, one from each parent.",
        "An animal with one copy looks like any other; the trade calls it het. It hands the copy on to about half of its young.",
        "Two hets together: of 4 eggs, expect about 1 that shows it, 2 that are het and 1 that is neither.",
        "The last two look alike, which is why a normal-looking young one of two hets is called 66% possible het.",
    ),
    Inheritance.INCOMPLETE_DOMINANT: (
        "One copy shows, and two copies show more. In much of the trade this is called codominant.",
        "An animal with one copy hands it on to about half of its young; one with two copies to all of them.",
        "An animal that does not show it does not have it, unless another look hides it.",
    ),
    Inheritance.DOMINANT: (
        "One copy shows it, and two copies look the same as one. An animal that shows it may have either; its young tell.",
        "An animal that does not show it does not have it, unless another look hides it.",
    ),
    Inheritance.LINE_BRED: (
        "It runs in the family and is kept up by choosing, but it follows no simple rule. We describe it and give no figure.",
    ),
    Inheritance.NOT_KNOWN: ("How it is inherited is not known, so we give no figure for it.",),
}


def trait_page(framing: Framing, locus: Locus) -> TraitPage:
    context = framing.context
    page = addresses.trait(locus.species, locus.key)
    species = context.species(locus.species)
    name = join_and(locus.alleles)
    inheritance = _INHERITANCE[locus.inheritance]
    bearers = tuple(_bearers(context, page, locus))
    return TraitPage(
        frame=framing.frame(
            page, f"{name}, {species.name.lower()}", locus.what or f"{name} in the {species.name.lower()}."
        ),
        name=name,
        species=species.name,
        scientific_name=species.scientific_name,
        what=locus.what,
        facts=tuple(_facts(locus)),
        inheritance=inheritance + (", on the sex chromosomes" if locus.sex_linked else ""),
        inheritance_text=tuple(_inheritance_text(locus, species)),
        welfare=tuple(_welfare(locus)),
        no_welfare=None if locus.welfare or locus.two_copies_harm or locus.dies else _NO_WELFARE,
        sources=_sources(locus),
        bearers=bearers,
        nobody=None if bearers else "No animal with a page here is known to have it.",
    )


def _facts(locus: Locus) -> Iterator[Fact]:
    for look, names in locus.also_called.items():
        yield Fact(f"{look} is also called" if len(locus.alleles) > 1 else "Also called", join_and(names))
    for allele, doubled in locus.two_copies.items():
        if allele not in locus.dies:
            yield Fact(f"Two copies of {allele}", doubled)
    for pair, look in sorted(locus.together.items(), key=lambda item: sorted(item[0])):
        yield Fact(" with ".join(sorted(pair)), look)
    if locus.gene:
        yield Fact("Gene", locus.gene)


def _inheritance_text(locus: Locus, species: Species) -> Iterator[str]:
    yield from _IN_WORDS[locus.inheritance]
    if len(locus.alleles) > 1:
        yield (
            f"{join_and(locus.alleles)} are forms of the same gene. An animal has two copies of the gene in all, "
            f"so it never carries more than two of them, and one of each shows."
        )
    if locus.sex_linked:
        crossing = locus.sex_linked.crossover
        yield f"It sits on the sex chromosomes ({species.sex_system} in this species), so it tends to go to young of one sex."
        yield (
            f"The two part ways in about {crossing} of cases, by the source given below."
            if crossing is not None
            else "How often the two part ways has not been published, so we give no odds by sex."
        )
    if locus.subtle:
        yield f"{join_and(sorted(locus.subtle))} can be hard to see. That it was not seen counts only when somebody looked for it."
    hidden = {key for keys in locus.hides.values() for key in keys}
    names = [species.loci[key].alleles[0] for key in species.loci if key in hidden]
    if names:
        yield f"Where it shows, {join_or(names)} cannot be told by eye, and its absence counts for nothing."


def _welfare(locus: Locus) -> Iterator[Welfare]:
    for allele in locus.alleles:
        if allele in locus.dies:
            yield Welfare(Link(f"Two copies of {allele}"), _LETHAL, locus.welfare_source)
    for allele, text in locus.two_copies_harm.items():
        yield Welfare(Link(f"Two copies of {allele}"), text, locus.welfare_source)
    if locus.welfare:
        yield Welfare(Link("What is known"), locus.welfare, locus.welfare_source)


def _sources(locus: Locus) -> tuple[str, ...]:
    said = (locus.source, locus.sex_linked.source if locus.sex_linked else None)
    return tuple(
        dict.fromkeys(text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".") for text in said if text)
    )


def _bearers(context: Context, page: str, locus: Locus) -> Iterator[Bearers]:
    kinds: tuple[tuple[str, str, Callable[[TraitStatement], bool]], ...] = (
        ("Shows it", "Seen on the animal.", lambda trait: trait.shows),
        (
            "Certain",
            "Carries it without showing it.",
            lambda trait: (trait.certain or trait.either) and not trait.shows,
        ),
        (
            "Possible",
            "May carry it; the figure says how likely.",
            lambda trait: trait.possible and not trait.either and not trait.shows,
        ),
    )
    here = [animal for animal in context.animals if animal.species == locus.species and animal.here]
    for heading, intro, fits in kinds:
        found = tuple(bearer for animal in here for bearer in _bearer(context, page, animal, locus, fits))
        if found:
            yield Bearers(heading, intro, found)
    if not locus.inheritance.computed:
        shown = tuple(_shown(context, page, here, locus))
        if shown:
            yield Bearers("Shows it", "Seen on the animal.", shown)


def _bearer(
    context: Context, page: str, animal: Animal, locus: Locus, fits: Callable[[TraitStatement], bool]
) -> Iterator[Bearer]:
    stated = context.statement(animal.id)
    found = [t for t in stated.traits if t.locus == locus.key and t.mentioned and fits(t)]
    if found:
        labels = join_and(tuple(dict.fromkeys(trait.label for trait in found)))
        yield Bearer(context.name(page, animal.id), f"{labels}; {statement_part.status_words(animal).lower()}")


def _shown(context: Context, page: str, here: list[Animal], locus: Locus) -> Iterator[Bearer]:
    for animal in here:
        if set(context.statement(animal.id).looks or ()) & set(locus.look_names):
            yield Bearer(context.name(page, animal.id), statement_part.status_words(animal).lower())
