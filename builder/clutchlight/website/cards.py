"""The museum label of an animal, for the availability page and a clutch's list of young."""

from __future__ import annotations

from collections.abc import Iterable

from clutchlight.model import Animal, When
from clutchlight.statements import AnimalStatement, day_words
from clutchlight.website import said
from clutchlight.website.context import SEX_SIGNS, Context
from clutchlight.website.parts import Card, FilterKeys, State

_STATES: dict[str, State] = {"available": "available", "on hold": "on-hold", "sold": "sold"}
_STATUS = {
    "available": "Available",
    "on hold": "On hold",
    "sold": "Sold",
    "breeder": "Breeds here, not for sale",
    "holdback": "Stays here",
    "growing on": "Growing on, not for sale yet",
    "not for sale": "Not for sale",
    "elsewhere": "Known from papers, never here",
}
_LEFT = {
    "sold": "Sold",
    "traded": "Traded",
    "died": "Died",
    "loan": "Out on loan",
    "returned": "Returned to its owner",
    "re-homed": "Re-homed",
    "escaped": "Escaped",
}


def card(context: Context, page: str, animal: Animal) -> Card:
    """The label of an animal that has a page or at least a name."""
    stated = context.statement(animal.id)
    species = context.species(animal.species)
    linked = context.has_page(animal.id)
    return Card(
        key=animal.id,
        name=animal.name,
        href=context.name(page, animal.id).href,
        picture=context.first_picture(page, animal) if linked else None,
        sex=sex_words(animal),
        sex_sign=SEX_SIGNS[animal.sex],
        species=species.name,
        scientific_name=species.scientific_name,
        hatched=f"hatched {day_words.month_or_less(animal.hatched)}" if animal.hatched else None,
        state=state_of(animal),
        status=status_words(animal, hold_until(context, animal)),
        price=context.price(animal),
        look=stated.looks_words,
        certain=said.certain_words(stated),
        possible=said.possible_words(stated),
        filter_keys=filter_keys(animal, stated),
    )


def filter_keys(animal: Animal, stated: AnimalStatement) -> FilterKeys:
    """What the filter compares: slugs of traits that are mentioned, by how sure we are of them."""
    lines = [trait for trait in stated.traits if trait.mentioned]
    return FilterKeys(
        sex=animal.sex,
        species=animal.species,
        shows=_keys(trait.trait for trait in lines if trait.shows),
        certain=_keys(trait.trait for trait in lines if trait.certain and not trait.shows),
        possible=_keys(trait.trait for trait in lines if trait.possible and not trait.shows),
    )


def slug(trait: str) -> str:
    """A trait's name as a key without spaces."""
    return "-".join("".join(char if char.isalnum() else " " for char in trait.lower()).split())


def _keys(traits: Iterable[str]) -> str:
    return " ".join(dict.fromkeys(slug(name) for name in traits))


def sex_words(animal: Animal) -> str:
    return "sex not known" if animal.sex == "unknown" else animal.sex


def state_of(animal: Animal) -> State:
    if animal.left is not None:
        return "sold" if animal.left.how == "sold" else "other"
    return _STATES.get(animal.status, "other")


def hold_until(context: Context, animal: Animal) -> When | None:
    known = context.from_private.get(animal.id)
    return known.hold_until if known else None


def status_words(animal: Animal, until: When | None = None) -> str:
    """Where the animal stands, for a buyer: "Available", "On hold until 30 November 2026", "Sold in March 2025"."""
    if animal.left is not None:
        how = _LEFT.get(animal.left.how, animal.left.how.capitalize())
        return f"{how} {day_words.on(animal.left.on)}" if animal.left.on else how
    words = _STATUS[animal.status]
    return f"{words} until {day_words.when(until)}" if until and animal.status == "on hold" else words
