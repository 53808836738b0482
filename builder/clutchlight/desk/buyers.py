"""People to tell: buyers whose animal's figure, sex or look changed since they were last told, with a message to paste.

A buyer knows what was said on the day of the hand-over, or when they were told since. What the records say on that day and today
is put into words, compared, and written to them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from clutchlight.genetics.values import Figure
from clutchlight.model import Animal, Collection, Locus, When
from clutchlight.model.private import Private, Sale
from clutchlight.site import addresses
from clutchlight.statements.answers import Answers
from clutchlight.statements.notes import cause_words
from clutchlight.wording import day_words, words
from clutchlight.wording.text import Name, Text


@dataclass(frozen=True, slots=True)
class ToldFigure:
    """The chance that an animal carries a trait, and our words for it ("33% possible het Piebald")."""

    chance: Fraction
    words: str


@dataclass(frozen=True, slots=True)
class ToldAnimal:
    """What the records say of an animal on one day. `looks`: None when nobody has looked. `figures`: by trait."""

    sex: str
    looks: tuple[str, ...] | None
    figures: Mapping[str, ToldFigure] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ToldChange:
    """One thing that reads otherwise now. `about`: sex, look, or a trait."""

    about: str
    before: str
    now: str


@dataclass(frozen=True, slots=True)
class ToTell:
    """One buyer, one animal. `since`: the day that they know of. `message`: plain text to paste."""

    sale: Sale
    animal: str
    since: date
    changes: tuple[ToldChange, ...]
    message: str


Moments = tuple[tuple[str, date], ...]


def moments(private: Private, day: date) -> Moments:
    """(animal, day) of every buyer's knowledge: the days on which the caller must say what the records said."""
    return tuple(
        sorted({(name, since) for sale in private.sales if (since := knows_since(sale, day)) for name in sale.animals})
    )


def knows_since(sale: Sale, day: date) -> date | None:
    """The day up to which the buyer was told; None when nothing was handed over, or it came back."""
    if sale.handed_over is None or sale.handed_over.last > day:
        return None
    if sale.returned is not None and sale.returned.first <= day:
        return None
    return max((told.on.last for told in sale.told if told.on.last <= day), default=sale.handed_over.last)


def people_to_tell(
    collection: Collection,
    private: Private,
    day: date,
    then: Mapping[tuple[str, date], ToldAnimal],
    now: Mapping[str, ToldAnimal],
    because: Mapping[str, str] | None = None,
    page: Mapping[str, str] | None = None,
) -> tuple[ToTell, ...]:
    """The buyers to tell, by the day they know of, oldest first.

    `because`: for an animal, what changed it, in a sentence. `page`: its address on the web, where it has one.
    """
    found = []
    for sale in private.sales:
        since = knows_since(sale, day)
        for name in sale.animals if since is not None else ():
            before, today = then.get((name, since)) if since is not None else None, now.get(name)
            animal = collection.animals.get(name)
            if since is None or before is None or today is None or animal is None:
                continue
            changes = changes_between(before, today)
            if changes:
                reason = (because or {}).get(name)
                message = _message(collection, sale, animal, since, changes, reason, (page or {}).get(name))
                found.append(ToTell(sale, name, since, changes, message))
    return tuple(sorted(found, key=lambda one: (one.since, one.animal)))


def changes_between(before: ToldAnimal, now: ToldAnimal) -> tuple[ToldChange, ...]:
    """Sex, look, then figures in the order of the trait's name."""
    found = []
    if before.sex != now.sex:
        found.append(ToldChange("sex", _sex(before.sex), _sex(now.sex)))
    if before.looks != now.looks:
        found.append(ToldChange("look", _looks(before.looks), _looks(now.looks)))
    for trait in sorted({*before.figures, *now.figures}):
        old, new = before.figures.get(trait), now.figures.get(trait)
        old_chance = old.chance if old is not None else Fraction(0)
        new_chance = new.chance if new is not None else Fraction(0)
        if old_chance != new_chance:
            nothing = f"nothing said about {trait}"
            found.append(ToldChange(trait, old.words if old else nothing, new.words if new else nothing))
    return tuple(found)


def sex_on(animal: Animal, day: date) -> str:
    """The sex that the record gave on a day, by its corrections: what was corrected later was not known then."""
    later = [one for one in animal.corrections if one.key == "sex" and one.on.last > day]
    return min(later, key=lambda one: one.on).was if later else animal.sex


def looks_on(animal: Animal, day: date) -> tuple[str, ...] | None:
    """The looks read last on or before a day; an undated reading counts as read at hatching."""
    read = [one for one in animal.readings if one.on is None or one.on.last <= day]
    return read[-1].shows if read else None


def _sex(word: str) -> str:
    return "sex not known" if word == "unknown" else word


def _looks(looks: Sequence[str] | None) -> str:
    return "not looked at" if looks is None else " ".join(looks) or "normal"


def _message(
    collection: Collection,
    sale: Sale,
    animal: Animal,
    since: date,
    changes: Sequence[ToldChange],
    because: str | None,
    page: str | None,
) -> str:
    species = collection.species[animal.species].name if animal.species in collection.species else "snake"
    name = animal.called
    bought = f" {day_words.on(sale.handed_over)}" if isinstance(sale.handed_over, When) else ""
    told = any(one.on.last == since for one in sale.told)
    lines = [
        f"Hello {sale.buyer}," if sale.buyer else "Hello,",
        "",
        f"you took over {name}, {_article(species)}, from us{bought}.",
        f"Our records have learned something since {'we last wrote' if told else 'then'}:",
        "",
        *(f"- {_line(change)}" for change in changes),
        "",
    ]
    if because:
        lines += [because, ""]
    if page:
        lines += [f"Its page says why, and always says what we know: {page}", ""]
    lines += [
        "Nothing about the animal itself has changed, and nothing is asked of you; we only want you to know what we know.",
        "If you have bred it, or plan to, we would be glad to hear of it.",
        "",
        collection.settings.name,
    ]
    return "\n".join(lines)


def _line(change: ToldChange) -> str:
    if change.about in ("sex", "look"):
        return f"{change.about}: we said {change.before}; it is {change.now}."
    return f"{change.about}: then {change.before}; now {change.now}."


def _article(species: str) -> str:
    name = species[0].lower() + species[1:] if species else "snake"
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


# What the records say


def buyers_to_tell(telling: Answers, private: Private, day: date) -> tuple[ToTell, ...]:
    """The buyers whose animal reads otherwise now than on the day that they know of, each with a message to paste.

    A change of figure counts where the trait is mentioned on either day: not for small chances, nor for background alone.
    """
    known = [(name, since) for name, since in moments(private, day) if name in telling.collection.animals]
    spoken = {key: _spoken(telling, *key) for key in known}
    then = {key: _known(telling, *key, spoken[key]) for key in known}
    now: dict[str, ToldAnimal] = {}
    because: dict[str, str] = {}
    found: list[ToTell] = []
    for (name, since), loci in spoken.items():
        now[name] = _known(telling, name, None, loci)
        because[name] = _because(telling, name, since, loci)
        before = {(name, since): then[name, since]}
        told = people_to_tell(telling.collection, private, day, before, now, because, _pages(telling, name))
        found += [one for one in told if (one.animal, one.since) == (name, since)]
    return tuple(sorted(dict.fromkeys(found), key=lambda one: (one.since, one.animal)))


def _pages(telling: Answers, name: str) -> dict[str, str]:
    web, animal = telling.collection.settings.web_address, telling.collection.animals[name]
    return {name: addresses.absolute(web, addresses.animal(name))} if web and animal.publish == "page" else {}


Spoken = tuple[tuple[Locus, int], ...]
"""The traits to compare: a locus and the number of an allele."""


def _spoken(telling: Answers, name: str, since: date) -> Spoken:
    threshold = telling.collection.settings.mention_from
    found = []
    for locus in telling.loci(telling.collection.animals[name].species):
        before, now = telling.inferred.at(name, locus.key, since), telling.now(name, locus.key)
        if isinstance(before, Figure) and isinstance(now, Figure):
            for allele in range(1, len(locus.alleles) + 1):
                chances = (before.carries(allele), now.carries(allele))
                if max(chances) >= threshold and not (
                    chances[1] and telling.inferred.background_only(name, locus.key, allele)
                ):
                    found.append((locus, allele))
    return tuple(found)


def _known(telling: Answers, name: str, day: date | None, spoken: Spoken) -> ToldAnimal:
    """What the records say of an animal on a day; None: now."""
    animal = telling.collection.animals[name]
    figures: dict[str, ToldFigure] = {}
    for locus, allele in spoken:
        figure = telling.now(name, locus.key) if day is None else telling.inferred.at(name, locus.key, day)
        if isinstance(figure, Figure) and (day is None or figure.carries(allele)):
            figures[locus.alleles[allele - 1]] = _carried(telling, animal, locus, allele, figure, today=day is None)
    if day is None:
        return ToldAnimal(animal.sex, animal.reading.shows if animal.reading else None, figures)
    return ToldAnimal(sex_on(animal, day), looks_on(animal, day), figures)


def _carried(telling: Answers, animal: Animal, locus: Locus, allele: int, figure: Figure, *, today: bool) -> ToldFigure:
    """A chance in the words of a statement; today's say as well on what a certainty rests."""
    trait = locus.alleles[allele - 1]
    carries = figure.carries(allele)
    if not carries:
        out = telling.rules_out(animal.id, locus, allele)
        return ToldFigure(carries, "ruled out" if out else f"nothing said of {trait}")
    shown = telling.shows(animal.id, locus, allele) and all(
        locus.shows_allele(pair, allele) for pair, _ in figure.genotypes
    )
    if today and carries == 1 and not shown:
        grounds = telling.grounds(animal.id, locus.key, allele)
        founders = telling.unrecorded_for(animal.id, locus, allele) if grounds.kind == "assumption" else ()
        return ToldFigure(carries, words.label_of(locus, trait, figure, grounds=grounds, unrecorded=founders))
    count = f" ({words.in_count(carries)})" if carries < 1 and carries.denominator <= words.PLAIN_UP_TO else ""
    return ToldFigure(carries, words.label_of(locus, trait, figure, shows=shown) + count)


def _because(telling: Answers, name: str, since: date, spoken: Spoken) -> str:
    """What was recorded since that changed a figure, in a sentence; "" where nothing did."""
    causes: dict[Text, None] = {}
    animal = telling.collection.animals[name]
    for locus, allele in spoken:
        before = None
        for event, figure in telling.history(name, locus.key):
            carries = figure.carries(allele)
            if event is not None and event.on > since and carries != before:
                causes[cause_words(telling, animal, event, locus, allele)] = None
            before = carries
    return f"What taught us: {_with_names(telling, words.join_and(list(causes)))}." if causes else ""


def _with_names(telling: Answers, text: Text) -> str:
    """The sentence with the names of animals beside their ids, for somebody who knows no ids."""
    animals = telling.collection.animals

    def called(part: str) -> str:
        record = animals.get(part) if isinstance(part, Name) else None
        return record.called if record and record.publish != "no" else part

    return "".join(called(part) for part in text.parts)
