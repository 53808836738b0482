"""People to tell: buyers whose animal's figure, sex or look changed since they were last told, with a message to paste.

A buyer knows what was said on the day of the hand-over, or when they were told since. The caller computes what the records
say on that day and today (`moments` lists the days needed) and puts both into words; this module compares and writes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from clutchlight.model import Animal, Collection, When
from clutchlight.model.private import Private, Sale
from clutchlight.wording import day_words


@dataclass(frozen=True, slots=True)
class Carried:
    """The chance that an animal carries a trait, and our words for it ("33% possible het Piebald")."""

    chance: Fraction
    words: str


@dataclass(frozen=True, slots=True)
class Known:
    """What the records say of an animal on one day. `looks`: None when nobody has looked. `figures`: by trait."""

    sex: str
    looks: tuple[str, ...] | None
    figures: Mapping[str, Carried] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Change:
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
    changes: tuple[Change, ...]
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
    then: Mapping[tuple[str, date], Known],
    now: Mapping[str, Known],
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


def changes_between(before: Known, now: Known) -> tuple[Change, ...]:
    """Sex, look, then figures in the order of the trait's name."""
    found = []
    if before.sex != now.sex:
        found.append(Change("sex", _sex(before.sex), _sex(now.sex)))
    if before.looks != now.looks:
        found.append(Change("look", _looks(before.looks), _looks(now.looks)))
    for trait in sorted({*before.figures, *now.figures}):
        old, new = before.figures.get(trait), now.figures.get(trait)
        old_chance = old.chance if old is not None else Fraction(0)
        new_chance = new.chance if new is not None else Fraction(0)
        if old_chance != new_chance:
            nothing = f"nothing said about {trait}"
            found.append(Change(trait, old.words if old else nothing, new.words if new else nothing))
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
    changes: Sequence[Change],
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


def _line(change: Change) -> str:
    if change.about in ("sex", "look"):
        return f"{change.about}: we said {change.before}; it is {change.now}."
    return f"{change.about}: then {change.before}; now {change.now}."


def _article(species: str) -> str:
    name = species[0].lower() + species[1:] if species else "snake"
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"
