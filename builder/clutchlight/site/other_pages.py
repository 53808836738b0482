"""Traits, changes and method, free pages, moved addresses, not found. A trait's page says how it is inherited, and who here has it."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from fractions import Fraction
from functools import cache, partial
from itertools import groupby
from pathlib import Path
from typing import Any

from clutchlight import reference
from clutchlight.drawing.chances import CountPart, CountState, counts
from clutchlight.drawing.markup import Drawn
from clutchlight.genetics.values import Event, EventKind
from clutchlight.model import NOBODY, Animal, Clutch, FreePage, Inheritance, Locus, Reading, Species
from clutchlight.model.animals import hidden_loci
from clutchlight.model.as_published import NOWHERE, is_unlisted
from clutchlight.model.traits import grouped
from clutchlight.planning.outcomes import harms_of
from clutchlight.reading.species_files import SexDetermination, facts_of
from clutchlight.site import addresses, labels
from clutchlight.site.context import Context, Framing
from clutchlight.site.corrections import BearsOn, Corrected, Reviewed, every_correction, every_review, may_bear_on
from clutchlight.site.pages import (
    Bearer,
    Bearers,
    ChangesPage,
    MethodPage,
    MovedPage,
    NotFoundPage,
    ProsePage,
    TraitPage,
)
from clutchlight.site.parts import ChangeDay, ChangeEvent, ChangeItem, Drawing, Fact, Link, LookInEggs, Welfare
from clutchlight.site.prose import prose_of
from clutchlight.statements.changes import Change
from clutchlight.statements.reasons import perhaps_one_gene
from clutchlight.statements.values import TraitStatement
from clutchlight.wording import day_words
from clutchlight.wording.text import Name, Text, phrase
from clutchlight.wording.words import (
    clause,
    harmful_together,
    in_count,
    join_and,
    join_or,
    percent_text,
    plural,
    sentence,
    times,
)


def method_page(framing: Framing) -> MethodPage:
    context = framing.context
    page = addresses.METHOD
    settings = context.collection.settings

    def trait_links(fits: Callable[[Locus], bool]) -> tuple[Link, ...]:
        return tuple(
            Link(locus.alleles[0], context.trait_href(page, locus.species, locus.key))
            for locus in context.trait_pages
            if fits(locus)
        )

    return MethodPage(
        frame=framing.frame(
            page,
            "How the figures are made",
            "What certain and possible mean here, how every figure is made, and what it does not say.",
        ),
        mention_from=in_count(settings.mention_from),
        doubt_below=in_count(settings.doubt_below),
        unrecorded=_ratio(settings.unrecorded),
        claim_trust=_ratio(settings.claim_trust),
        alone=_alone(context),
        tried=assumptions_tried(),
        species_sources=tuple(
            Fact(species.heading, f"sex chromosomes {said.system}: {said.source}")
            for species in context.collection.species.values()
            for said in facts_of(species, SexDetermination)
        ),
        open_data=(
            Link("availability.json", addresses.link(page, addresses.AVAILABILITY_JSON)),
            Link("pedigree.ped", addresses.link(page, addresses.PEDIGREE_PED)),
        ),
        sex_linked=trait_links(lambda locus: locus.sex_linked is not None),
        words_only=trait_links(lambda locus: not locus.inheritance.computed),
        dated=plural(context.past.records, "dated record") if context.past.records else None,
        chain=context.past.head,
    )


def _alone(context: Context) -> str:
    """What young without a male are taken to get, where there may be such; else ""."""
    dams = {clutch.species for clutch in context.clutches if NOBODY in dict(clutch.sires.candidates)}
    if not dams:
        return ""
    kept = grouped(context.kept_alone(dams))
    some = [f"{in_count(share)} for {join_and(traits)}" for share, traits in kept.items()]
    but = f", but for a share that is taken to get one of each: {join_and(some)}" if some else ""
    return f"A young without a male gets both from its dam, two copies of one of her two alleles{but}."


def _ratio(chance: Fraction) -> str:
    return f"{chance.numerator} in {chance.denominator}"


def prose_page(framing: Framing, own: FreePage) -> ProsePage:
    page = addresses.free_page(own.slug)
    prose = partial(prose_of, framing.context, page, own.prose, first_heading=2)
    told = prose(tables=False).striptags()
    return ProsePage(framing.frame(page, own.title, told or own.title), prose())


def moved_pages(framing: Framing) -> Iterator[tuple[str, MovedPage]]:
    """The earlier addresses of animals and clutches, which point on."""
    context = framing.context
    moved: list[tuple[Animal | Clutch, str, Callable[[str], str]]] = [
        *((one, one.called, addresses.animal) for one in context.animals),
        *((one, f"Clutch {one.id}", addresses.clutch) for one in context.clutches),
    ]
    for record, name, address in moved:
        for old in context.earlier_ids(record):
            page, target = address(old), address(record.id)
            frame = framing.frame(page, f"{name}, once {old}", f"{name} has a new address.", go_to=target)
            yield page, MovedPage(frame, Link(name, addresses.link(page, target)))


def not_found_page(framing: Framing) -> NotFoundPage:
    web = framing.settings.web_address
    frame = framing.frame(addresses.NOT_FOUND, "Not found", "Nothing stands at this address.", noindex=True)
    places = (("What is available", addresses.HOME), ("The breeding animals and all clutches", addresses.LINEAGE))
    return NotFoundPage(frame, tuple(Link(text, addresses.rooted(web, target)) for text, target in places))


def changes_page(framing: Framing) -> ChangesPage:
    context = framing.context
    page = addresses.CHANGES
    changes = context.past.changes.newest_first
    rows: list[tuple[date, str, Change | Corrected | Reviewed]] = [
        (change.on, day_words.when(change.when), change) for change in changes if change.dated
    ]
    rows += [(row.on.last, day_words.when(row.on), row) for row in every_correction(context)]
    rows += [(row.on, day_words.day(row.on), row) for row in every_review(context)]
    rows.sort(key=lambda row: row[0], reverse=True)
    days = [(day, [row[2] for row in found]) for day, found in groupby(rows, key=lambda row: row[1])]
    bears_on = may_bear_on(context)
    if others := [change for change in changes if not change.dated]:
        days.append(("Without a day", [*others]))
    return ChangesPage(
        frame=framing.frame(
            page,
            "What changed",
            "Every figure on this site that a later record changed, and every record that was corrected, newest first, with the cause.",
            feed=addresses.CHANGES_FEED,
        ),
        days=tuple(_day(context, page, heading, found, bears_on) for heading, found in days),
        feed=Link("As a feed for a news reader (Atom)", addresses.link(page, addresses.CHANGES_FEED)),
    )


def _day(
    context: Context, page: str, heading: str, rows: list[Change | Corrected | Reviewed], bears_on: BearsOn
) -> ChangeDay:
    corrected = [_corrected(context, page, row, bears_on) for row in rows if isinstance(row, Corrected)]
    reviews = grouped((row.heading, _reviewed(context, page, row)) for row in rows if isinstance(row, Reviewed))
    moved = grouped(
        (row.event, change_item(context, page, row)) for row in rows if isinstance(row, Change) and not row.small
    )
    return ChangeDay(
        clause(heading),
        tuple(change_item(context, page, row) for row in rows if isinstance(row, Change) and row.small),
        (
            *(ChangeEvent(_event(context, page, event), items) for event, items in moved.items()),
            *(ChangeEvent("A correction", (item,)) for item in corrected),
            *(ChangeEvent(heading, items) for heading, items in reviews.items()),
        ),
    )


MOST_NAMED = 12
"""Of the animals on whose figures a correction may bear, so many are named."""


def _corrected(context: Context, page: str, row: Corrected, bears_on: BearsOn) -> ChangeItem:
    of_clutch = isinstance(row.record, Clutch)
    name = context.clutch_link(page, row.record.id) if of_clutch else context.name(page, row.record.id)
    why = Text(sentence(row.because))
    if others := bears_on.get((row.record.id, row.key, row.on)):
        named = [Text(Name(name)) for name in others[:MOST_NAMED]]
        more = [Text(plural(len(others) - MOST_NAMED, "other"))] if len(others) > MOST_NAMED else []
        why = phrase("{} It may bear on what is said of {}.", why, join_and([*named, *more]))
    return ChangeItem(name, row.before, row.after, "corrected", context.linked(page, why))


def _reviewed(context: Context, page: str, row: Reviewed) -> ChangeItem:
    return ChangeItem(context.name(page, row.animal), row.before, row.after, "by its dated record of that day", "")


_EVENTS: Mapping[EventKind, str] = {
    "hatching": "{} hatched",
    "look": "A look at {}",
    "test": "A test of {}",
    "withdrawn": "A claim about {} is withdrawn",
}


def _event(context: Context, page: str, event: Event) -> str:
    if is_unlisted(event.subject):
        return "A record that is not shown here"
    subject = Name(event.subject)
    clutch = event.kind == "hatching" and event.subject in context.collection.clutches
    return context.linked(page, phrase(_EVENTS[event.kind], Text("Clutch ", subject) if clutch else subject))


def change_item(context: Context, page: str, change: Change) -> ChangeItem:
    after, condition = context.all_linked(page, change.after_apart)
    return ChangeItem(
        animal=context.name(page, change.animal),
        before=change.before_words,
        after=after,
        condition=condition,
        cause=context.linked(page, change.caused),
        why=context.linked(page, change.why),
    )


MOST_HIDDEN = 8
"""The most traits that are named as hidden where few are not."""
_NO_WELFARE = "No welfare concern is on record for it. That is not a promise that there is none."
_IN_WORDS = {
    Inheritance.RECESSIVE: (
        "It shows only with two copies.",
        "An animal with one copy looks like any other. It hands the copy on to about half of its young.",
    ),
    Inheritance.INCOMPLETE_DOMINANT: (
        "One copy shows, and two copies show more. In much of the trade this is called codominant.",
        "An animal with one copy hands it on to about half of its young; one with two copies to all of them.",
    ),
    Inheritance.DOMINANT: (
        "One copy shows it, and two copies look the same as one. An animal that shows it may have either; its young tell.",
    ),
    Inheritance.LINE_BRED: (
        "It runs in the family and is kept up by choosing, but it follows no simple rule. We describe it and give no figure.",
    ),
    Inheritance.NOT_KNOWN: ("How it is inherited is not known, so we give no figure for it.",),
}
_DIES_DOUBLED = {
    Inheritance.RECESSIVE: (
        "No young with two copies live, so it never shows.",
        *_IN_WORDS[Inheritance.RECESSIVE][1:],
    ),
    **dict.fromkeys(
        (Inheritance.INCOMPLETE_DOMINANT, Inheritance.DOMINANT),
        (
            "One copy shows. No young with two copies live.",
            "An animal that shows it hands it on to about half of its young.",
        ),
    ),
}


def trait_page(framing: Framing, locus: Locus) -> TraitPage:
    context = framing.context
    page = addresses.trait(locus.species, locus.key)
    species = context.species(locus.species)
    name = join_and(locus.alleles)
    bearers = tuple(_bearers(context, page, locus))
    return TraitPage(
        frame=framing.frame(
            page,
            f"{name}, {species.name}",
            locus.what or f"{name} in the {species.name}.",
            rests_on=context.rests_on(animal.key for group in bearers for animal in group.animals),
        ),
        name=name,
        species=species.heading,
        scientific_name=species.scientific_name,
        what=locus.what,
        facts=tuple(_facts(locus)),
        inheritance=locus.inheritance.value.capitalize() + (", on the sex chromosomes" if locus.sex_linked else ""),
        inheritance_text=tuple(_inheritance_text(locus, species)),
        welfare=(welfare := tuple(_welfare(locus, species))),
        no_welfare=None if welfare else _NO_WELFARE,
        sources=_sources(locus),
        bearers=bearers,
        pairs=(pairs := tuple(_pairs(locus))),
        tested_by=TESTED_BY if pairs else None,
        nobody=None
        if bearers
        else f"No animal that is here now is known to have {'any of these' if len(locus.alleles) > 1 else 'it'}.",
    )


TESTED_BY = (
    "A possible het is told best with a mate that shows the trait: of a het, about every second young then shows it, and five "
    "normal-looking ones in a row happen 1 time in 32. With a het for a mate it takes twelve to be about as sure. A mate that carries "
    "nothing tells nothing: all young look normal."
)
_PAIRS = (
    (
        "Het × het",
        ("shows", "part", "part", "part"),
        "about 1 shows {}. The other 3 look alike: 2 are het and 1 is not, so each {}.",
        Fraction(2, 3),
    ),
    (
        "Shows it × het",
        ("shows", "shows", "carries", "carries"),
        "about 2 show {}. The other 2 are het for certain.",
        None,
    ),
    ("Het × carries nothing", ("part",) * 4, "none shows {}. Each {}, and nothing tells which.", Fraction(1, 2)),
    ("Shows it × shows it", ("shows",) * 4, "all 4 show {}.", None),
)
"""The kinds of pair of a recessive trait that is no harm: what 4 eggs bring, and how likely those are het of which nothing tells it."""


def _pairs(locus: Locus) -> Iterator[LookInEggs]:
    if not locus.called_het or locus.sex_linked or locus.dies or len(locus.alleles) > 1:
        return
    for number, (pair, states, text, chance) in enumerate(_PAIRS, 1):
        said = f"Of 4 eggs, {text.format(locus.alleles[0], chance and f'is {percent_text(chance)} possible het')}"
        yield LookInEggs(pair, said, Drawing(_four_eggs, (states, said, f"pair-{number}")), (), ())


def _four_eggs(states: tuple[CountState, ...], caption: str, prefix: str) -> Drawn:
    parts = tuple(CountPart(state, states.count(state), caption) for state in dict.fromkeys(states))
    return counts("egg", len(states), parts, caption, prefix)


def _facts(locus: Locus) -> Iterator[Fact]:
    for look, names in locus.also_called.items():
        yield Fact("Also called" if (look,) == locus.alleles else f"{look} is also called", join_and(names))
    for allele, doubled in locus.two_copies.items():
        if allele not in locus.dies:
            yield Fact(f"Two copies of {allele}", doubled)
    for pair, look in sorted(locus.together.items(), key=lambda item: sorted(item[0])):
        yield Fact(" with ".join(sorted(pair)), look)
    if locus.gene:
        yield Fact("Gene", locus.gene)


def _inheritance_text(locus: Locus, species: Species) -> Iterator[str]:
    visible = locus.inheritance in (Inheritance.DOMINANT, Inheritance.INCOMPLETE_DOMINANT)
    yield from (_DIES_DOUBLED if locus.dies.issuperset(locus.alleles) else _IN_WORDS)[locus.inheritance]
    if visible:
        overlooked = " or nobody noticed it" if locus.subtle else ""
        yield f"An animal that does not show it does not have it, unless another look hides it{overlooked}."
    if locus.called_het:
        yield "The trade calls an animal with one copy het."
    if len(locus.alleles) > 1:
        if locus.called_het and not (locus.sex_linked or locus.dies):
            yield "Two hets together: of 4 eggs, expect about 1 that shows it, 2 that are het and 1 that is neither."
            yield "The 3 that do not show it look alike, and 2 of them are het: so each is called 66% possible het."
        yield from _several_alleles(locus)
    if locus.sex_linked:
        crossing = locus.sex_linked.crossover
        one, other = ("female", "male") if species.heterogametic == "female" else ("male", "female")
        yield (
            f"It sits on the sex chromosomes ({species.sex_system} in this species), so a {one} with one copy tends to give it to young of "
            f"one sex, a {other} to both alike."
        )
        yield (
            f"It crosses over to the other sex chromosome about {times(crossing)}, by the source given below."
            if crossing is not None
            else "How often it crosses over to the other one is not known to us, so we give no odds by sex."
        )
    if locus.subtle:
        yield f"{join_and(sorted(locus.subtle))} can be hard to see. That nobody saw one counts only when somebody looked for it."
    for look in locus.hides:
        yield from _hidden_by(look, locus, species)
    if locus.may_be_alleles:
        yield perhaps_one_gene(locus, species)


def _several_alleles(locus: Locus) -> Iterator[str]:
    """That they share one gene, and what does not tell which two an animal has."""
    shared = {
        " ".join(sorted(look)): mixed
        for look, pairs in locus.looks.items()
        if len(pairs) > 1 and (mixed := [pair for pair in pairs if 0 < pair[0] < pair[1]])
    }
    tells = "." if shared else ", and an animal with two different ones shows that."
    yield (
        f"{join_and(locus.alleles)} are forms of the same gene. An animal has two copies of the gene in all, so it carries two of them"
        f" at most{tells}"
    )
    for look, mixed in shared.items():
        others = {locus.alleles[allele - 1] for pair in mixed for allele in pair} - {look}
        if look in locus.alleles:
            yield f"One copy of {look} beside one of {join_or(sorted(others))} looks {look}: a {look} may carry {join_or(sorted(others))}."
        else:
            yield f"{look} is the look of several pairs of them."


def _hidden_by(look: str, locus: Locus, species: Species) -> Iterator[str]:
    """What nobody can tell by eye where a look shows; nothing where that is nothing."""
    hidden = hidden_loci(Reading((look,), NOWHERE), species)
    others = [other for other in species.loci.values() if other.key != locus.key]
    names = [name for other in others if other.key in hidden for name in other.alleles]
    seen = [name for other in others if other.key not in hidden for name in other.alleles]
    if len(names) > MOST_HIDDEN and len(seen) < len(names):
        told = f"only {join_and(seen)} can" if seen else "no other trait can"
        yield f"Where {look} shows, {told} be told by eye; that no other was seen says nothing."
    elif names:
        unseen = "none was" if len(names) > 1 else "it was not"
        yield f"Where {look} shows, nobody can tell {join_or(names)} by eye; that {unseen} seen says nothing."


def _welfare(locus: Locus, species: Species) -> Iterator[Welfare]:
    for allele in locus.alleles:
        if allele in locus.dies:
            yield Welfare(Link(f"Two copies of {allele}"), _lethal(locus, allele), locus.welfare_source)
    for within in harms_of(locus, dict.fromkeys(locus.genotypes, Fraction(1))):
        yield Welfare(Link(clause(harmful_together(within.traits))), within.text, within.source)
    if locus.welfare:
        yield Welfare(Link("What is known"), locus.welfare, locus.welfare_source)
    for harm in species.harm_together:
        others = [look for look in harm.looks if look not in locus.look_names]
        if len(others) < len(harm.looks):
            yield Welfare(Link(f"Together with {join_and(others)}"), harm.text, harm.source)


def _lethal(locus: Locus, allele: str) -> str:
    """That its double dose dies, in the words of its file where it has some."""
    dies = locus.two_copies_harm.get(allele, "embryos with two copies die")
    return f"{sentence(dies)} Where both parents have one copy, that is about 1 egg in 4."


def _sources(locus: Locus) -> tuple[str, ...]:
    said = (locus.source, locus.sex_linked.source if locus.sex_linked else None)
    texts = dict.fromkeys(text[:1].upper() + text[1:] for text in said if text)
    return tuple(sentence(text) for text in texts if not any(text != one and one.startswith(text) for one in texts))


_BEARERS = {
    "Shows it": "Seen on the animal.",
    "Certain": "Carries it: what is on record leaves no other way.",
    "Taken as certain": "On somebody’s word, or on an assumption that is named.",
    "Possible": "May carry it; the figure says how likely.",
}


def _bearers(context: Context, page: str, locus: Locus) -> Iterator[Bearers]:
    """The animals that are here, by how sure it is that they have it."""
    found: dict[str, list[Bearer]] = {heading: [] for heading in _BEARERS}
    for animal in context.animals:
        if animal.species != locus.species or not animal.here:
            continue
        stated, name = context.statement(animal.id), context.name(page, animal.id)
        status = labels.status_words(animal).lower()
        traits = (trait for trait in stated.traits if trait.locus == locus.key and trait.mentioned)
        for heading, said in grouped((_heading(trait), trait.label) for trait in traits).items():
            found[heading].append(Bearer(name, f"{join_and(tuple(dict.fromkeys(said)))}; {status}", animal.id))
        if not locus.inheritance.computed and set(stated.looks or ()).intersection(locus.look_names):
            found["Shows it"].append(Bearer(name, status, animal.id))
    return (Bearers(heading, _BEARERS[heading], tuple(animals)) for heading, animals in found.items() if animals)


def _heading(trait: TraitStatement) -> str:
    return "Shows it" if trait.shows else trait.of_its_line.capitalize()


ASSUMPTIONS_TRIED = Path(reference.__file__).with_name("assumptions_tried.json")
"""How far figures are off where what they assume does not hold: what the trial in `tests/calibration/assumptions.py` found."""


@cache
def assumptions_tried() -> tuple[str, str, str]:
    """What the trial found, in percent and in statements of 10,000; what is false is rounded up."""
    rows = {row["world"]: row for row in json.loads(ASSUMPTIONS_TRIED.read_text(encoding="utf-8"))}
    held = rows["holds"]
    false = held["false_at_one"] + held["false_at_zero"]
    sure = held["at_one"] + held["at_zero"]
    wrong = f"{false:,} of {sure:,} certainties were" if false else f"none of {sure:,} certainties was"
    broken = [row for row in rows.values() if row is not held]
    worst = max(broken, key=lambda row: abs(row["stated"] - row["true"]))
    on_average = (
        f"We tried these assumptions on {held['collections']:,} invented collections of which the truth is known: while all of them hold, "
        f"what was possible at {held['stated']:.1f}% on average was true in {held['true']:.1f}% of cases, and {wrong} false."
    )
    furthest = (
        f"With one of them broken, the possible came true within {_points(worst)} percentage points of what was stated on average; it was "
        f"furthest off where {worst['words']} ({worst['stated']:.1f}% stated, {worst['true']:.1f}% true)."
    )
    misread, sires, carriers = (rows[world] for world in ("misread", "wrong-sires", "unrecorded-1"))
    certainties = (
        f"Certainties suffer more: of 10,000 traits that an animal was said to have or carry for certain, {_of(misread, 'one')} are false "
        f"where {misread['words']}, and {_of(sires, 'one')} where {sires['words']}; of 10,000 that an animal was taken not to carry, "
        f"{_of(carriers, 'zero')} are carried where {carriers['words']}."
    )
    return on_average, furthest, certainties


def _points(row: dict[str, Any]) -> str:
    """How far the average is off, rounded up to a tenth."""
    return f"{-int(-abs(row['stated'] - row['true']) * 10 // 1) / 10:.1f}"


def _of(row: dict[str, Any], stated: str) -> int:
    """How many of 10,000 statements of certainty are false, rounded up."""
    return -int(-10_000 * row[f"false_at_{stated}"] // row[f"at_{stated}"])
