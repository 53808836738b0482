"""The title and the advert line of an animal, in the trade's order.

Sex count, visible genes, recessive visuals, certain hets, possible hets, hatched, link. "Double het" is said only when both are certain and
neither is only taken as certain. What is taken as certain says so in brackets. Small, background-only and reviewed traits stay out.
"""

from __future__ import annotations

from collections.abc import Collection as Collected, Sequence

from clutchlight.model import Animal, Collection, Reading, Species
from clutchlight.statements.values import AnimalStatement, TraitStatement
from clutchlight.wording import day_words, words

LOOSE = "line not known"


def looks_in_order(shows: Sequence[str], loose: Sequence[str], species: Species) -> tuple[str, ...]:
    """The looks in order, then those whose line is not known."""
    return (*species.in_order(shows), *loose_words(loose))


def looks_told(collection: Collection, animal: Animal, reading: Reading | None) -> tuple[str, ...] | None:
    """What a reading saw that counts, in order; None where nothing was seen."""
    counted = collection.looks_that_count(animal, reading)
    if reading is None or counted is None:
        return None
    return looks_in_order(counted, reading.loose, collection.species[animal.species])


def loose_words(loose: Sequence[str]) -> tuple[str, ...]:
    """Looks whose line is not known: "Axanthic (line not known)"."""
    return tuple(f"{name} ({LOOSE})" for name in sorted(loose))


def combos_shown(shows: Sequence[str], species: Species) -> tuple[str, ...]:
    """The combos whose every part is shown, without those that are part of a larger one."""
    seen = frozenset(shows)
    whole = {name: frozenset(parts) for name, parts in species.combos.items() if parts and frozenset(parts) <= seen}
    return tuple(sorted(name for name, parts in whole.items() if not any(parts < other for other in whole.values())))


def looks_words(looks: Sequence[str] | None, combos: Sequence[str] = (), harmful: Collected[str] = ()) -> str:
    """ "Pastel Piebald", "Amelanistic Anerythristic (Snow)", "normal", "look not recorded"; "Sunkissed, affected by Stargazer"."""
    if looks is None:
        return "look not recorded"
    seen = " ".join(look for look in looks if look not in harmful) + (f" ({', '.join(combos)})" if combos else "")
    affected = words.affected_words([look for look in looks if look in harmful])
    return ", ".join(filter(None, (seen, affected))) or "normal"


def with_doubt(look: str, looks: Sequence[str] | None, aside: Sequence[str]) -> str:
    """The look in words, with the traits of which it is set aside until it has been checked."""
    if not aside or looks is None:
        return look
    review = f"{words.join_or(aside)} under review"
    return f"{look} ({review})" if looks else review


def kind_of(stated: AnimalStatement, species: str = "") -> str:
    """What it is, before anything that cannot be seen: "Pastel male ball python", "Normal-looking female", "Male, look not recorded"."""
    affected = words.affected_words(stated.affected)
    coloured = stated.looks_words.removesuffix(affected).removesuffix(", ")
    seen = (
        coloured if stated.looks else "normal-looking" if stated.looks is not None and not stated.under_review else ""
    )
    sex = "" if stated.sex == "unknown" else stated.sex
    apart = [*([] if species or sex else ["sex not known"]), *([] if seen else [coloured]), affected]
    kind = ", ".join([*filter(None, (" ".join(filter(None, (seen, sex, species))),)), *filter(None, apart)])
    return kind[:1].upper() + kind[1:]


def title_of(look: str, traits: Sequence[TraitStatement]) -> str:
    """What the animal is, without its sex and its birth: "Pastel, 66% possible het Piebald"."""
    return ", ".join([look, *_certain(traits), *_possible(traits)])


def advert_of(animal: Animal, look: str, traits: Sequence[TraitStatement]) -> str:
    """The advert line, without the link (see `with_link`): "1.0 Pastel, 66% possible het Piebald, hatched 2024-07"."""
    hatched = [f"hatched {day_words.in_figures(animal.hatched)}"] if animal.hatched else []
    return ", ".join([f"{words.sex_count(animal.sex)} {title_of(look, traits)}", *hatched])


def with_link(advert: str, address: str | None) -> str:
    """The advert with its link last, where the site has an address."""
    return f"{advert}, {address}" if address else advert


def _certain(traits: Sequence[TraitStatement]) -> list[str]:
    mentioned = [trait for trait in traits if trait.advertised and not trait.shows and trait.certainty != "possible"]
    sure = [trait for trait in mentioned if trait.certainty == "certain"]
    hets = [trait for trait in sure if trait.label.lead == words.HET and not trait.label.condition]
    rest = [trait.label.in_brackets for trait in mentioned if trait not in hets]
    either = dict.fromkeys(trait.label.in_brackets for trait in traits if trait.advertised and trait.either)
    double = [trait.second_copy for trait in traits if trait.advertised and trait.second_copy and trait.copies[2] == 1]
    return [*double, *([words.het_group([trait.trait for trait in hets])] if hets else []), *rest, *either]


def _possible(traits: Sequence[TraitStatement]) -> list[str]:
    mentioned = [trait for trait in traits if trait.advertised and not trait.either]
    return [
        *(trait.label.in_brackets for trait in mentioned if trait.possible),
        *(trait.second_copy for trait in mentioned if trait.second_copy and trait.copies[2] < 1),
    ]
