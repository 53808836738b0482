"""The card that goes with an animal at hand-over: looks, statement, grounds, pedigree, date, short code, cautions. One printed page.

There is one for each animal that may still change hands: one that left has got its own. The card of an animal that hatched here stands
with its clutch, that of another animal, where it is for sale, with itself; the square code holds the link of the animal. The chain's
digest on a card is that of the line of its own dated record: it stands for every line up to there, and a card does not change when other
animals are dated later.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import get_args

from markupsafe import Markup

from clutchlight.drawing import Drawn
from clutchlight.model import Animal, Clutch
from clutchlight.site import addresses, labels, statement_part
from clutchlight.site.context import Context
from clutchlight.site.drawings import CARD_GENERATIONS, animal_pedigree, card_pedigree
from clutchlight.site.framing import Framing
from clutchlight.site.labels import has_card, parent_links, standing_record, welfare_of, young_with_cards
from clutchlight.site.pages import CardPage
from clutchlight.site.parts import CardSheet, Drawing, Fact, Link, Reason
from clutchlight.statements import AnimalStatement
from clutchlight.statements.adverts import kind_of
from clutchlight.statements.values import Certainty
from clutchlight.wording import day_words

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
    "This card says what our records say of this animal on the day named above. It is no health check and no promise of what is not named.",
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
    return _page(framing, page, f"Cards of {name}", target, name, young, drawing)


def own_card(framing: Framing, animal: Animal) -> CardPage:
    """The card of an animal from no clutch with a page."""
    title = framing.context.title(animal)
    page, target = addresses.animal_card(animal.id), addresses.animal(animal.id)
    drawing = animal_pedigree(framing.context, animal, page=page, generations=CARD_GENERATIONS, prefix=DRAWN)
    return _page(framing, page, f"Card of {title}", target, title, [animal], drawing)


def own_cards(context: Context) -> Iterator[Animal]:
    """The animals whose card stands with themselves."""
    return (animal for animal in context.animals if not context.has_clutch_page(animal.clutch) and has_card(animal))


def _page(
    framing: Framing, page: str, heading: str, target: str, name: str, animals: list[Animal], drawing: Drawing | None
) -> CardPage:
    context = framing.context
    several = len(animals) > 1
    return CardPage(
        frame=framing.frame(
            page,
            heading,
            f"{heading}: what goes with the animal at hand-over, one printed page each.",
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
    grounds, more = _grounds(statement_part.reasons(context, page, stated))
    record = standing_record(context, animal.id)
    certain, taken, possible = (_with_counts(stated, heading) for heading in get_args(Certainty))
    welfare = tuple(f"{item.trait.text}: {item.text}" for item in welfare_of(context, page, stated))
    cautions = (*CAUTIONS, *context.collection.settings.law)
    told = sum(len(text) for reason in grounds for text in reason.sentences) + sum(map(len, (*welfare, *cautions)))
    web, own = context.collection.settings.web_address, addresses.animal(animal.id)
    link = (
        Link(addresses.absolute(web, own), addresses.link(page, own)) if web and context.has_page(animal.id) else None
    )
    lines = len(certain) + len(taken) + len(possible)
    return CardSheet(
        key=animal.id,
        name=animal.name,
        species=species.name,
        scientific_name=species.scientific_name,
        facts=tuple(_facts(context, page, animal, stated)),
        shows=stated.look_sentence,
        certain=certain,
        taken=taken,
        possible=possible,
        together=statement_part.statement_part(context, page, stated).together,
        nothing_more="We say nothing about any other trait.",
        grounds=grounds,
        more=more,
        pedigree=drawing.again("pedigree") if drawing else None,
        dated=f"Statement of {day_words.day(record.on)}"
        if record
        else "This statement has no dated record yet, and so no code.",
        code=record.short_code if record else None,
        chain=_in_eights(record.line) if record else None,
        link=link,
        qr=Drawing(_code, (link.text, f"code-{animal.id}")) if link else None,
        picture=context.first_picture(page, animal) if context.has_page(animal.id) else None,
        what=kind_of(stated, species.name),
        welfare=welfare,
        cautions=cautions,
        many=lines > FEW,
        crowded=told + LINE * lines > ROOMY,
    )


def _facts(context: Context, page: str, animal: Animal, stated: AnimalStatement) -> Iterator[Fact]:
    yield Fact("Sex", labels.sex_words(animal) + (f", {animal.sexed.how}" if animal.sexed else ""))
    yield Fact("Hatched", day_words.when(animal.hatched) if animal.hatched else "date not recorded")
    parents = parent_links(context, page, animal)
    if parents:
        yield Fact(
            "Parents", " × ".join(link.text for link in parents) + (f", {stated.kinship}" if stated.kinship else "")
        )
    if context.has_clutch_page(animal.clutch):
        yield Fact("Clutch", animal.clutch or "")
    if animal.origin:
        yield Fact("Origin", animal.origin)
    known = context.from_private.get(animal.id)
    yield from known.facts if known else ()


def _with_counts(stated: AnimalStatement, heading: Certainty) -> tuple[str, ...]:
    """Each, where it has a chance, with its count: "66% possible het Piebald (2 in 3)"."""
    counted = {line.label: line.traits[0] for line in stated.lines}
    labels = statement_part.words_under(heading, stated)
    return tuple(f"{label} ({counted[label].count})" for label in labels) if heading == "possible" else labels


def _grounds(reasons: tuple[Reason, ...]) -> tuple[tuple[Reason, ...], str | None]:
    """As many sentences as fit, and what to say where some do not."""
    found: list[Reason] = []
    room = MOST_GROUNDS
    cut = False
    for reason in reasons:
        kept = []
        for text in reason.sentences:
            plain = Markup(text).striptags()  # noqa: S704 - made here
            room -= len(plain) + 20
            if room < 0:
                cut = True
                break
            kept.append(plain)
        if kept:
            found.append(Reason(reason.label, tuple(kept)))
    return tuple(found), "The rest of the grounds stands on the animal's page." if cut else None


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
