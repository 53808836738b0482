"""The page of one animal, in the order in which a buyer asks: photo and price, statement, why, contact, then the rest. And its card.

A card goes with an animal at hand-over: looks, statement, grounds, pedigree, date, short code, cautions; one printed page. There is one for
each animal that may still change hands: one that left has got its own. The card of an animal that hatched here stands with its clutch,
that of another animal, where it is for sale, with itself; the square code holds the link of the animal. The chain's digest on a card is
that of the line of its own dated record: it stands for every line up to there, and a card does not change when other animals are dated
later.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate

from markupsafe import Markup

from clutchlight.drawing.markup import Drawn
from clutchlight.model import Animal, Clutch
from clutchlight.model.animals import SOLD
from clutchlight.model.private import plain_amount, plain_number
from clutchlight.model.traits import grouped
from clutchlight.site import addresses, labels, statement_part
from clutchlight.site.context import Context, Framing, for_sale, latest_first
from clutchlight.site.corrections import corrections_in_words
from clutchlight.site.drawings import CARD_GENERATIONS, animal_pedigree, card_pedigree, outline, unshown
from clutchlight.site.labels import (
    card_link,
    has_card,
    parent_links,
    standing_record,
    welfare_of,
    when_bred,
    young_with_cards,
)
from clutchlight.site.pages import AnimalPage, CardPage, Product
from clutchlight.site.parts import Ask, CardSheet, Drawing, Fact, Link, PedigreeView, Reason
from clutchlight.site.prose import prose_of
from clutchlight.site.statement_part import Explained, dated_lines, timeline_of_animal
from clutchlight.statements.animals import inbreeding_sentence, kind_of, with_link
from clutchlight.statements.values import AnimalStatement, Certainty
from clutchlight.wording import day_words
from clutchlight.wording.words import clause, join_and, sentence

_CAME = {
    "bought": "from elsewhere",
    "trade": "in a trade",
    "loan": "on loan",
    "returned": "back",
}


def animal_page(framing: Framing, animal: Animal) -> AnimalPage:
    context = framing.context
    page = addresses.animal(animal.id)
    stated = context.statement(animal.id)
    species = context.species(animal.species)
    pictures = context.pictures(page, latest_first(animal.photos), animal.called)
    explained = Explained()
    kind = kind_of(stated, species.name)
    welfare = welfare_of(context, page, stated)
    return AnimalPage(
        frame=framing.frame(
            page,
            kind,
            _in_short(context, page, animal, stated),
            key=animal.called,
            picture=framing.picture(
                kind, _on_the_picture(stated), _offer(context, animal), pictures[0] if pictures else None
            ),
            rests_on=context.rests_on((animal.id,), bred=context.bred(animal.id)),
        ),
        key=animal.id,
        name=animal.name,
        kind=kind,
        words=explained.looks(context, stated),
        scientific_name=species.scientific_name,
        pictures=pictures,
        state=labels.state_of(animal),
        status=labels.status_words(animal, labels.hold_until(context, animal)),
        price=context.price(animal),
        product=_product(context, animal),
        facts=tuple(_facts(context, page, animal, explained)),
        statement=statement_part.statement_part(context, page, stated, explained),
        reasons=statement_part.reasons(context, page, stated),
        notes=statement_part.notes(context, page, stated),
        unexpected=context.all_linked(page, (sentence(surprise.text) for surprise in stated.surprises)),
        ask=_ask(context, animal, stated),
        history=statement_part.history(context, page, stated),
        pedigree=_pedigree(context, animal, stated, explained),
        origin=tuple(_origin(animal, stated, explained)),
        impressions=animal.impressions,
        corrections=corrections_in_words(context, animal),
        welfare=(*welfare, *(when_bred(context, page, stated, welfare) if for_sale(animal) else ())),
        clutches=tuple(context.clutch_link(page, key) for key in context.bred(animal.id)),
        clutches_intro=labels.clutches_intro(context, animal),
        prose=prose_of(context, page, animal.prose),
        statement_json=Link("statement.json", addresses.link(page, addresses.animal_statement(animal.id))),
        timeline=timeline_of_animal(context, page, animal.id),
        dated=dated_lines(context, animal.id),
        card=card_link(context, page, animal),
    )


def _facts(context: Context, page: str, animal: Animal, explained: Explained) -> Iterator[Fact]:
    yield Fact("Hatched", day_words.when(animal.hatched) if animal.hatched else "date not recorded")
    parents = parent_links(context, page, animal)
    if parents:
        yield _parents_fact(context, page, context.statement(animal.id), context.joined(parents, " × "))
    if animal.clutch is not None and animal.clutch in context.collection.clutches:
        yield Fact("Clutch", context.joined([context.clutch_link(page, animal.clutch)]), explained.first("clutch"))
    sexed_on = f" {day_words.on(animal.sexed.on)}" if animal.sexed and animal.sexed.on else ""
    yield Fact("Sex", labels.sexed_words(animal) + sexed_on)
    yield from _from_log(context, animal)


def _from_log(context: Context, animal: Animal) -> Iterator[Fact]:
    log = context.told_of_log(animal.id)
    if log.weight_g is not None and log.weighed_on is not None:
        yield Fact("Weight", f"{plain_number(log.weight_g)} g {day_words.on(log.weighed_on)}")
    for what, last in (("meal", log.last_meal), ("shed", log.last_shed)):
        if last is not None:
            yield Fact(f"Last {what} noted", day_words.when(last))


def _on_the_picture(stated: AnimalStatement) -> Iterator[tuple[str, str]]:
    """What is certain, taken as certain and possible, each heading once."""
    for heading in labels.HEADINGS:
        for place, label in enumerate(statement_part.words_under(heading, stated)):
            yield "" if place else heading.capitalize(), label


def _offer(context: Context, animal: Animal) -> str:
    """ "Available, €130"; "" for one that is not for sale, of which a picture that stays in a chat says nothing."""
    price = context.price(animal)
    return f"{animal.status.capitalize()}{f', {price}' if price else ''}" if for_sale(animal) else ""


def _in_short(context: Context, page: str, animal: Animal, stated: AnimalStatement) -> str:
    """For link previews and search results, under the heading: "Certain: het Piebald. Available, €130."."""
    price = context.price(animal)
    said = [
        *(
            f"{heading.capitalize()}: {join_and(found)}"
            for heading in labels.HEADINGS
            if (found := [label.in_brackets for label in statement_part.words_under(heading, stated)])
        ),
        labels.status_words(animal, labels.hold_until(context, animal)) + (f", {price}" if price else ""),
        *([f"Hatched {day_words.month_or_less(animal.hatched)}"] if animal.hatched else []),
        clause(" × ".join(link.text for link in parent_links(context, page, animal))),
    ]
    return "".join(f"{part}. " for part in said if part).strip()


def _product(context: Context, animal: Animal) -> Product | None:
    """Offers with a number for a price and a currency can be read by machines; a price on request cannot."""
    number = day_words.amount(animal.price)
    currency = context.collection.settings.currency
    if number is None or currency is None or not for_sale(animal):
        return None
    where = "InStock" if animal.status == "available" else "LimitedAvailability"
    return Product(plain_amount(number), currency, f"https://schema.org/{where}")


def _ask(context: Context, animal: Animal, stated: AnimalStatement) -> Ask | None:
    title = animal.called
    if for_sale(animal):
        what = f"{kind_of(stated, context.species(animal.species).name)}, {title}"
        held = animal.status == "on hold"
        here = "A photo of today, the feeding record, a look at the parents: ask for whatever helps you to decide."
        return context.ask(
            "Ask to be told if the hold ends" if held else f"Ask about {animal.name or 'this snake'}",
            "It is on hold for somebody else. Ask to be told if the hold ends." if held else here,
            context.mail(f"Write to us about {title}", what, tuple(_letter(context, animal, what))),
            with_link(stated.advert, _address(context, animal)),
        )
    given = labels.state_of(animal) == "sold" or (animal.away is not None and animal.away.how in SOLD)
    if given and not animal.dead:
        return Ask(
            heading="Bred this animal? Tell us",
            mail=context.mail(f"Tell us about {title}", f"A clutch from {title}"),
            telephone=None,
            text="Every clutch says something about its parents, and about their brothers and sisters. "
            "If this animal has had young, tell us what hatched, normal ones too. This page will say what it means.",
        )
    return None


def _letter(context: Context, animal: Animal, what: str) -> Iterator[str]:
    """A letter begun: which animal, and what a careful buyer asks; of one on hold, to be told if the hold ends."""
    held = animal.status == "on hold"
    yield "Hello,\n"
    yield f"This snake is on hold: {what}." if held else f"I would like to ask about this snake: {what}."
    if address := _address(context, animal):
        yield address
    if held:
        yield "\nPlease tell me if the hold ends.\n"
        return
    yield "\n1. How does it eat: what, how often, and when last?"
    yield "2. May I see a photo of today, and its parents?"
    yield "3. When and how could it come to me, and what would that cost?\n"


def _address(context: Context, animal: Animal) -> str | None:
    """The whole address of its page, where the site has one."""
    web = context.collection.settings.web_address
    return addresses.absolute(web, addresses.animal(animal.id)) if web else None


def _pedigree(context: Context, animal: Animal, stated: AnimalStatement, explained: Explained) -> PedigreeView | None:
    drawing = animal_pedigree(context, animal)
    if drawing is None:
        return None
    return PedigreeView(
        drawing=drawing,
        heading=f"Pedigree of {animal.called}",
        intro="Up to three generations back.",
        kinship=sentence(stated.relation) if stated.relation else None,
        coefficient=inbreeding_sentence(stated, [trait for _, trait in context.kept_alone({animal.species})]),
        outline=outline(drawing),
        unshown=unshown(context, drawing, [animal.id]),
        words=explained.in_pedigree(context, drawing),
    )


def _origin(animal: Animal, stated: AnimalStatement, explained: Explained) -> Iterator[Fact]:
    if animal.origin:
        yield Fact("Origin", animal.origin)
    if animal.came:
        came = _CAME.get(animal.came.how, animal.came.how)
        yield Fact("Came", f"{came} {day_words.on(animal.came.on)}" if animal.came.on else came)
    if stated.proven_breeder:
        yield Fact("Bred", clause(stated.proven_breeder), explained.first("proven breeder"))
    yield from labels.earlier_ids(animal)
    if stated.maker:
        yield Fact("Sex of young", stated.maker, explained.first("maker"))


# Cards

SHEET = "card.css"
DRAWN = "behind"
MOST_GROUNDS = 1000
"""The most characters of grounds on a card, so that it stays on one page; the rest stands on the animal's page."""
FEW = 4
"""The most certain and possible traits that stand in one column."""
ROOMY = 1700
"""The most characters of a card in type of full size, a line of the statement counting as LINE."""
LINE = 60

CAUTIONS = (
    "This card says what our records say of this animal. It is no health check, and promises nothing that it does not name.",
    "A reptile veterinarian is the one to ask when it does not eat, loses weight, wheezes or holds its head oddly.",
    (
        "Reptiles can carry Salmonella: wash your hands after handling, keep it out of kitchens, and keep it away from children under "
        "five, people over 65 and people with weak immunity (advice of the US Centers for Disease Control and Prevention)."
    ),
    "Keeping, selling or moving this animal may need papers or a licence where you live: please ask your local authority.",
)


def clutch_cards(framing: Framing, clutch: Clutch) -> CardPage | None:
    """The cards of the young that have one; None when there are none."""
    context = framing.context
    young = young_with_cards(context, clutch)
    if not young:
        return None
    name = f"{clutch.name} ({clutch.id})" if clutch.name else f"clutch {clutch.id}"
    target = addresses.clutch(clutch.id)
    page = addresses.clutch_cards(clutch.id)
    drawing = card_pedigree(context, clutch, page, DRAWN)
    return _cards_page(framing, page, f"Cards of {name}", target, name, young, drawing)


def own_card(framing: Framing, animal: Animal) -> CardPage:
    """The card of an animal from no clutch with a page."""
    title = animal.called
    page, target = addresses.animal_card(animal.id), addresses.animal(animal.id)
    drawing = animal_pedigree(framing.context, animal, page=page, generations=CARD_GENERATIONS, prefix=DRAWN)
    return _cards_page(framing, page, f"Card of {title}", target, title, [animal], drawing)


def own_cards(context: Context) -> Iterator[Animal]:
    """The animals whose card stands with themselves."""
    return (animal for animal in context.animals if not context.has_clutch_page(animal.clutch) and has_card(animal))


def _cards_page(
    framing: Framing, page: str, heading: str, target: str, name: str, animals: list[Animal], drawing: Drawing | None
) -> CardPage:
    context = framing.context
    several = len(animals) > 1
    return CardPage(
        frame=framing.frame(
            page,
            heading,
            f"{heading}: what goes with the animal at hand-over, on one printed page{' each' if several else ''}.",
            same_as=target,
            sheets=(SHEET,),
        ),
        intro="Each card prints on one page, A4 or Letter. Follow a card's own link from the animal's page to print that one alone."
        if several
        else "The card prints on one page, A4 or Letter.",
        back=Link(f"Back to {name}", addresses.link(page, target)),
        drawing=drawing,
        sheets=tuple(_sheet(context, page, animal, drawing) for animal in animals),
    )


def _sheet(context: Context, page: str, animal: Animal, drawing: Drawing | None) -> CardSheet:
    stated = context.statement(animal.id)
    species = context.species(animal.species)
    unexpected = statement_part.unexpected(context, page, stated.surprises)
    grounds, more = _grounds((*unexpected, *statement_part.reasons(context, page, stated)))
    record = standing_record(context, animal.id)
    certain, taken, possible = (_with_counts(stated, heading) for heading in labels.HEADINGS)
    welfare = tuple(f"{item.trait.text}: {item.text}" for item in welfare_of(context, page, stated))
    cautions = (*CAUTIONS, *context.collection.settings.law)
    told = sum(len(text) for reason in grounds for text in reason.sentences) + sum(map(len, (*welfare, *cautions)))
    address = _address(context, animal)
    link = Link(address, addresses.link(page, addresses.animal(animal.id))) if address else None
    lines = len(certain) + len(taken) + len(possible)
    return CardSheet(
        key=animal.id,
        name=animal.name,
        scientific_name=species.scientific_name,
        facts=tuple(_facts_on_card(context, page, animal, stated)),
        shows=" ".join(stated.look_sentences),
        certain=certain,
        taken=taken,
        possible=possible,
        together=tuple(statement_part.together(stated)),
        nothing_more=" ".join((*stated.overlooked, "We say nothing about any other trait.")),
        grounds=grounds,
        more=more,
        pedigree=drawing.again("pedigree") if drawing else None,
        dated=f"Statement of {day_words.day(record.on)}" if record else _not_dated(context, animal),
        code=record.short_code if record else None,
        chain=_in_eights(record.line) if record else None,
        link=link,
        qr=Drawing(_code, (link.text, f"code-{animal.id}")) if link else None,
        picture=context.first_picture(page, animal),
        what=kind_of(stated, species.name),
        welfare=welfare,
        cautions=cautions,
        many=lines > FEW,
        crowded=told + LINE * lines > ROOMY,
    )


def _not_dated(context: Context, animal: Animal) -> str:
    rows = context.past.dated.get(animal.id, ())
    last = f"; the last dated record is of {day_words.day(rows[-1].record.on)}" if rows else ""
    return f"This statement is not dated yet, and so has no code{last}."


def _parents_fact(context: Context, page: str, stated: AnimalStatement, parents: str) -> Fact:
    also = (stated.parents.if_one, stated.kinship, context.linked(page, stated.parents.by_said))
    return Fact("Parents", Markup(", ").join((parents, *(one for one in also if one))))


def _facts_on_card(context: Context, page: str, animal: Animal, stated: AnimalStatement) -> Iterator[Fact]:
    yield Fact("Sex", labels.sexed_words(animal))
    yield Fact("Hatched", day_words.when(animal.hatched) if animal.hatched else "date not recorded")
    parents = parent_links(context, page, animal)
    if parents:
        yield _parents_fact(context, page, stated, " × ".join(link.text for link in parents))
    if context.has_clutch_page(animal.clutch):
        yield Fact("Clutch", animal.clutch or "")
    if animal.origin:
        yield Fact("Origin", animal.origin)
    yield from _from_log(context, animal)


def _with_counts(stated: AnimalStatement, heading: Certainty) -> tuple[str, ...]:
    """Each, where it has a chance, with its count: "66% possible het Piebald (2 in 3)"."""
    counted = {line.label: line.traits[0] for line in stated.lines}
    labels = statement_part.words_under(heading, stated)
    return tuple(f"{label} ({counted[label].count})" for label in labels) if heading == "possible" else labels


def _grounds(reasons: tuple[Reason, ...]) -> tuple[tuple[Reason, ...], str | None]:
    """As many sentences as fit, and what to say where some do not."""
    told = (((number, one.label), text) for number, one in enumerate(reasons) for text in one.sentences)
    said = [(whose, Markup(text).striptags()) for whose, text in told]  # noqa: S704 - made here
    ends = accumulate(len(text) + 20 for _, text in said)
    kept = [one for one, end in zip(said, ends, strict=True) if end <= MOST_GROUNDS]
    found = tuple(Reason(label, texts) for (_, label), texts in grouped(kept).items())
    return found, "The other grounds stand on the animal's page." if len(kept) < len(said) else None


def _in_eights(digest: str) -> str:
    plain = digest.removeprefix("sha256:")
    return " ".join(plain[at : at + 8] for at in range(0, len(plain), 8))


def _code(link: str, ident: str) -> Drawn:
    """The square code (ISO/IEC 18004), error correction M, as SVG without a style."""
    import segno  # takes a moment, and most builds draw no code

    code, title, border = segno.make(link, error="m", micro=False), f"Square code of {link}", 4
    svg = code.svg_inline(
        dark="#000", light="#fff", svgid=ident, svgclass="qr", lineclass=None, omitsize=True, title=title, border=border
    )
    width, height = code.symbol_size(border=border)
    return Drawn(svg, (title,), ident, (int(width), int(height)), title)
