"""What stands on the label of an animal, wherever it is shown: where it stands, its parents, its welfare, its card."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from clutchlight.model import NOBODY, Animal, Clutch, Locus, Species, When
from clutchlight.model.ledger import DatedRecord
from clutchlight.model.private import plain_amount
from clutchlight.model.traits import grouped
from clutchlight.site import addresses
from clutchlight.site.context import Context
from clutchlight.site.parts import Card, Fact, Link, Parent, SaidOnCard, State, Welfare, Word
from clutchlight.site.statement_part import Explained, said_lines, trait_line, words_of, words_under
from clutchlight.statements.animals import kind_of
from clutchlight.statements.values import AnimalStatement, Certainty, SireChance, TraitStatement, digest_of
from clutchlight.wording import day_words
from clutchlight.wording.words import Label, clause, harmful_together, join_and, join_or, number, sentence, sex_words

HEADINGS: tuple[Certainty, ...] = ("certain", "taken as certain", "possible")
NOT_ON_LABELS = ("proven", "background")
"""Words that a label leaves out."""
MOST_POSSIBLE = 4
_STATES: dict[str, State] = {"available": "available", "on hold": "on-hold", "sold": "sold"}
_STATUS = {
    "breeder": "Breeds here, not for sale",
    "holdback": "Stays here, not for sale",
    "growing on": "Still growing, not for sale yet",
    "not for sale": "Not for sale",
    "elsewhere": "Known from papers or reports, never here",
}
_LEFT = {"loan": "Out on loan", "returned": "Returned to its owner"}


def card(context: Context, page: str, animal: Animal, explained: Explained, *, offered: bool = False) -> Card:
    """The label of an animal that has a page or at least a name.

    `explained`: what the page has explained before it. `offered`: in a list of what is available, with what its filter compares.
    """
    stated = context.statement(animal.id)
    linked = context.has_page(animal.id)
    return Card(
        key=animal.id,
        name=animal.name,
        href=context.name(page, animal.id).href,
        picture=context.first_picture(page, animal) if linked else None,
        hatched=f"hatched {day_words.month_or_less(animal.hatched)}" if animal.hatched and offered else None,
        state=state_of(animal),
        price=context.price(animal),
        said=tuple(_said(stated, explained)),
        filter_keys=filter_keys(animal, stated, several=len(context.collection.species) > 1) if offered else (),
        what=kind_of(stated),
        words=explained.looks(context, stated),
        apart=None if offered and animal.status == "available" else status_words(animal, hold_until(context, animal)),
        to_page=_to_page(context, animal) if linked else "",
    )


def _to_page(context: Context, animal: Animal) -> str:
    """What one finds on the page of an animal for sale; where nobody can be asked, nothing is promised."""
    can_be_asked = context.telephone or context.mail("")
    if state_of(animal) == "on-hold":
        return "Ask to be told if the hold ends" if can_be_asked else ""
    return ("See it and ask" if can_be_asked else "See it") if state_of(animal) == "available" else ""


def _likeliest(labels: tuple[Label, ...], stated: AnimalStatement) -> tuple[str, ...]:
    """As many as a list has room for, the likeliest of many, and the number of the others."""
    if len(labels) <= MOST_POSSIBLE + 1:
        return labels
    chance = {line.label: line.traits[0].carries for line in stated.lines}
    first = sorted(labels, key=lambda label: -chance[label])[:MOST_POSSIBLE]
    return *first, f"and {number(len(labels) - MOST_POSSIBLE)} more"


def _said(stated: AnimalStatement, explained: Explained) -> Iterator[SaidOnCard]:
    for heading in HEADINGS:
        if labels := words_under(heading, stated):
            items = _likeliest(labels, stated) if heading == "possible" else labels
            yield SaidOnCard(heading.capitalize(), items, label_words(stated, explained, heading))


def label_words(stated: AnimalStatement, explained: Explained, *headings: Certainty) -> tuple[Word, ...]:
    """The trade words under these headings of a label that stand there for the first time."""
    lines = (line for line in said_lines(stated) if line.certainty in headings)
    return explained.first(*(word for line in lines for word in words_of(line) if word not in NOT_ON_LABELS))


def filter_keys(animal: Animal, stated: AnimalStatement, *, several: bool) -> tuple[tuple[str, str], ...]:
    """What the filter compares, by name: features as slugs, by how sure we are of them; possible ones with their percentage."""
    lines = [trait for trait in stated.traits if trait.advertised]
    found = {
        "species": animal.species if several else "",
        "sex": animal.sex,
        "price": plain_amount(amount) if (amount := day_words.amount(animal.price)) is not None else "",
        "shows": _keys(slug(trait.trait) for trait in lines if trait.shows),
        "certain": _keys(slug(trait.trait) for trait in stated.certain),
        "taken": _keys(slug(trait.trait) for trait in stated.taken),
        "possible": _keys(f"{slug(trait.trait)}={trait.percent}" for trait in lines if trait.certainty == "possible"),
    }
    return tuple((name, keys) for name, keys in found.items() if keys)


def slug(trait: str) -> str:
    """A trait's name as a key without spaces."""
    return "-".join("".join(char if char.isalnum() else " " for char in trait.lower()).split())


def _keys(found: Iterable[str]) -> str:
    return " ".join(dict.fromkeys(found))


def sexed_words(animal: Animal) -> str:
    """Its sex, and how that was found: "male, probed"."""
    sex = sex_words(animal.sex) if animal.sex != "unknown" else "not known"
    return sex + (f", {animal.sexed.how}" if animal.sexed else "")


def state_of(animal: Animal) -> State:
    if animal.away is not None:
        return "sold" if animal.away.how == "sold" else "other"
    return _STATES.get(animal.status, "other")


def hold_until(context: Context, animal: Animal) -> When | None:
    """None also where that day has passed by the newest record: the hold has ended, or was not written on."""
    until = animal.away.until if animal.away is not None else context.holds.get(animal.id)
    return None if until is None or context.has_passed(until.last) else until


def status_words(animal: Animal, until: When | None = None) -> str:
    """Where the animal stands, for a buyer: "Available", "On hold until 30 November 2026", "Sold in March 2025, died in May 2026"."""
    if animal.away is not None:
        how = _LEFT.get(animal.away.how, animal.away.how.capitalize())
        if until is not None and animal.away.how == "loan":
            return f"{how} until {day_words.when(until)}"
        on = animal.away.on
        if on is not None and animal.away.how == "loan":
            return f"{how} since {day_words.when(on)}"
        died = [animal.left] if animal.dead and animal.left and animal.left != animal.away else []
        each = ((how, on), *(("died", one.on) for one in died))
        return ", ".join(f"{what} {day_words.on(day)}" if day else what for what, day in each)
    words = _STATUS.get(animal.status, animal.status.capitalize())
    return f"{words} until {day_words.when(until)}" if until and animal.status == "on hold" else words


def earlier_ids(record: Animal | Clutch) -> Iterator[Fact]:
    if record.was:
        yield Fact("Earlier id" if len(record.was) == 1 else "Earlier ids", join_and(record.was))


def parent_links(context: Context, page: str, animal: Animal) -> tuple[Link, ...]:
    """Sire, then dam, as links; sires in doubt are one entry in words, a nameless parent what was seen of it."""
    return pair(context, page, context.statement(animal.id).parents.sires, animal.sire, animal.dam)


def pair(
    context: Context, page: str, sires: Sequence[SireChance], sire: str | None, dam: str | None, in_doubt: str = ""
) -> tuple[Link, ...]:
    """Parents of an animal or a clutch; `sire`: the one on record; `in_doubt`: stands for several, who else are named."""
    males = [
        Link(one.probably + link.text, link.href) for one in sires for link in (context.sire(page, one, short=True),)
    ]
    first = males if len(males) < 2 else [Link(in_doubt or join_or([link.text for link in males]))]
    second = _nameless(context, dam) or ([context.name(page, dam, short=True, sex="female")] if dam else [])
    if [one.sire for one in sires] == [NOBODY]:
        return tuple(Link(f"{link.text}, {sires[0].probably}without a male", link.href) for link in second)
    first = _nameless(context, sire) or first
    return (*first, *(second or [Link("an unrecorded female")] if first else second))


def _nameless(context: Context, parent: str | None) -> list[Link]:
    """A parent written in place: "an unnamed Piebald female"."""
    record = context.collection.animals.get(parent or "")
    if record is None or not record.nameless:
        return []
    look = " ".join(record.reading.shows or ()) if record.reading else ""
    return [Link(" ".join(part for part in ("an unnamed", look, record.sex) if part))]


def welfare_of(context: Context, page: str, *statements: AnimalStatement) -> tuple[Welfare, ...]:
    """What is known to trouble animals of the traits that these show, certainly carry or may carry."""
    if not statements:
        return ()
    species = context.species(statements[0].species)
    shown = species.loci_of_looks(look for stated in statements for look in stated.looks or ())
    spoken = [trait for stated in statements for trait in stated.traits if trait.shows or trait.mentioned]
    named = {trait.trait for trait in spoken}
    told = {trait.locus for trait in spoken}
    alone = (
        Welfare(
            Link(join_and(spoken_of or locus.alleles[:1]), context.trait_href(page, species.key, locus.key)),
            locus.welfare,
            locus.welfare_source,
        )
        for locus in species.loci.values()
        if locus.welfare
        and ((spoken_of := [trait for trait in locus.troubled if trait in named]) or locus.key in shown - told)
    )
    found = dict.fromkeys(
        harm
        for stated in statements
        if stated.looks is not None
        for harm in species.harms_of((*stated.looks, *_hidden_looks(species, stated)))
    )
    together = (Welfare(Link(join_and(harm.looks)), harm.text, harm.source) for harm in found)
    within = dict.fromkeys(
        Welfare(
            Link(clause(harmful_together(harm.traits)), context.trait_href(page, species.key, locus)),
            harm.text,
            harm.source,
        )
        for stated in statements
        for locus, harm in stated.harms
    )
    return (*alone, *within, *together)


def _hidden_looks(species: Species, stated: AnimalStatement) -> Iterator[str]:
    """The traits that it may show where its look hides them."""
    for trait in stated.traits:
        locus = species.loci[trait.locus]
        allele = locus.allele_number(trait.trait)
        pairs = zip(trait.copies, ((0, 0), (0, allele), (allele, allele)), strict=True)
        if trait.mentioned and any(chance and locus.shows_allele(pair, allele) for chance, pair in pairs):
            yield trait.trait


def when_bred(context: Context, page: str, stated: AnimalStatement, own: Sequence[Welfare]) -> tuple[Welfare, ...]:
    """What its young would have to suffer from what it carries: of a mate that carries it, too. `own`: what is said of itself."""
    species, told = context.species(stated.species), [one.text for one in own]
    traits = [trait.trait for trait in stated.traits]
    return tuple(
        Welfare(
            Link(f"{trait.trait}, when bred", context.trait_href(page, species.key, locus.key)),
            f"{eggs} {sentence(text)}" if text and text not in told else eggs,
            locus.welfare_source,
        )
        for trait in stated.traits
        if (trait.mentioned or trait.harmful) and (locus := species.loci[trait.locus]).sex_linked is None
        for eggs, text in _expected_harm(locus, trait, traits)
    )


def _expected_harm(locus: Locus, trait: TraitStatement, traits: Sequence[str]) -> Iterator[tuple[str, str]]:
    """The share of eggs in words, and what it means for them where the trait's welfare does not say it; "expected" by Mendel's rules."""
    name, two = trait.trait, trait.copies[2] == 1
    share = f"in {50 if two else 25} of 100 eggs"
    each = f"Where both parents have one copy of {name},"
    who = f"It has two copies of {name}: with a mate that has one," if two else each
    dies = "Such an egg dies" if name in locus.dies else None
    text = locus.two_copies_harm.get(name) or dies
    if text or locus.affects:
        yield f"{who} expect two copies {share}.", text or ""
    for pair, text in locus.together_harm.items():
        if name in pair:
            (other,) = pair - {name}
            alone = f" and none of {name}" if other in traits else ""
            yield f"With a mate that has one copy of {other}{alone}, expect one copy of each {share}.", text


def parent_of(
    context: Context,
    page: str,
    key: str | None,
    role: str,
    chance: str | None,
    explained: Explained,
    name: Link | None = None,
) -> Parent:
    """A parent in its role ("Sire", "Possible sire", "Dam"); who may not be named is said to be unlisted."""
    name = name or context.name(page, key, sex="female" if role == "Dam" else "male")
    words = explained.first("sire and dam")
    record = context.collection.animals.get(key or "")
    shown = record is not None and (record.nameless or context.may_name(record.id))
    if key is None or record is None or not shown:
        whom = "her" if role == "Dam" else "him"
        return Parent(role, Link(clause(name.text)), chance, None, f"Nothing more is said of {whom} here.", words=words)
    told = context.statement(key)
    name = Link(clause(name.text), name.href) if record.nameless else name
    lines = tuple(
        trait_line(context, page, told, line, explained)
        for line in told.lines
        if not line.traits[0].shows or line.traits[0].second_copy
    )
    picture = context.first_picture(page, record) if context.has_page(key) else None
    return Parent(role, name, chance, picture, told.look_sentence, lines, words, explained.looks(context, told))


def standing_record(context: Context, animal: str) -> DatedRecord | None:
    """The dated record of what is said of an animal now; None when that has not been dated."""
    rows = context.past.dated.get(animal, ())
    if rows and rows[-1].record.digest == digest_of(context.statement(animal)):
        return rows[-1].record
    return None


def has_card(animal: Animal) -> bool:
    """A card goes with an animal at hand-over: those that left have theirs, and those that stay or were never here need none."""
    if animal.away is not None or animal.status in ("breeder", "holdback", "elsewhere"):
        return False
    return animal.clutch is not None or animal.status in ("available", "on hold", "sold")


def young_with_cards(context: Context, clutch: Clutch) -> list[Animal]:
    """The young of a clutch that have a page and a card."""
    young = [context.collection.animals[key] for key in clutch.young if context.has_page(key)]
    return [animal for animal in young if has_card(animal)]


def card_page(context: Context, animal: Animal) -> str | None:
    """The page with its card: that of its clutch, or its own for one from no clutch with a page."""
    if not has_card(animal):
        return None
    with_clutch = animal.clutch and context.has_clutch_page(animal.clutch)
    return addresses.clutch_cards(animal.clutch or "") if with_clutch else addresses.animal_card(animal.id)


def card_link(context: Context, page: str, animal: Animal) -> Link | None:
    card = card_page(context, animal)
    if card is None:
        return None
    place = "" if card == addresses.animal_card(animal.id) else f"#{animal.id}"
    return Link("The card to print", addresses.link(page, card + place))


def clutches_intro(context: Context, animal: Animal) -> str:
    """What stands before the clutches of an animal: "Clutch (perhaps not his):", "Clutches (C26-02 not hatched):"."""
    clutches = [context.collection.clutches[key] for key in context.bred(animal.id)]
    told = [("not hatched", clutch.id) for clutch in clutches if not clutch.hatched]
    for clutch in clutches:
        stated = context.clutch_statement(clutch.id)
        doubted = [one.id for one in stated.sires] != [animal.id] or stated.sires[0].by_claim or stated.by_others
        if clutch.dam != animal.id and doubted:
            told.append(("perhaps not all his" if clutch.sires.kind == "mixed" else "perhaps not his", clutch.id))
    notes = [
        what if len(found) == len(clutches) else f"{join_and(found)} {what}" for what, found in grouped(told).items()
    ]
    noted = f" ({'; '.join(notes)})" if notes else ""
    return f"{'Clutch' if len(clutches) == 1 else 'Clutches'}{noted}:"
