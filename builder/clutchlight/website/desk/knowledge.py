"""What a buyer was told and what we know now: the figures, sex and look of a sold animal on two days, and what changed them."""

from __future__ import annotations

import re
from datetime import date

from clutchlight.genetics.values import Figure
from clutchlight.model import Animal, Locus
from clutchlight.model.season import Private
from clutchlight.planning.season.tell import (
    Carried,
    Known,
    ToTell,
    looks_on,
    moments,
    people_to_tell,
    sex_on,
)
from clutchlight.statements import words
from clutchlight.statements.notes import cause_words
from clutchlight.statements.telling import Telling
from clutchlight.website import addresses
from clutchlight.website.context import MAY_BE_ID


def buyers_to_tell(telling: Telling, private: Private, day: date) -> tuple[ToTell, ...]:
    """The buyers whose animal reads otherwise now than on the day that they know of, each with a message to paste.

    A change of figure counts where the trait is mentioned on either day: not for small chances, nor for background alone.
    """
    known = [(name, since) for name, since in moments(private, day) if name in telling.collection.animals]
    spoken = {key: _spoken(telling, *key) for key in known}
    then = {key: _known(telling, *key, spoken[key]) for key in known}
    now: dict[str, Known] = {}
    because: dict[str, str] = {}
    found: list[ToTell] = []
    for (name, since), loci in spoken.items():
        now[name] = _known(telling, name, None, loci)
        because[name] = _because(telling, name, since, loci)
        before = {(name, since): then[name, since]}
        told = people_to_tell(telling.collection, private, day, before, now, because, _pages(telling, name))
        found += [one for one in told if (one.animal, one.since) == (name, since)]
    return tuple(sorted(dict.fromkeys(found), key=lambda one: (one.since, one.animal)))


def _pages(telling: Telling, name: str) -> dict[str, str]:
    web, animal = telling.collection.settings.web_address, telling.collection.animals[name]
    return {name: addresses.absolute(web, addresses.animal(name))} if web and animal.publish == "page" else {}


Spoken = tuple[tuple[Locus, int], ...]
"""The traits to compare: a locus and the number of an allele."""


def _spoken(telling: Telling, name: str, since: date) -> Spoken:
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


def _known(telling: Telling, name: str, day: date | None, spoken: Spoken) -> Known:
    """What the records say of an animal on a day; None: now."""
    animal = telling.collection.animals[name]
    figures: dict[str, Carried] = {}
    for locus, allele in spoken:
        figure = telling.now(name, locus.key) if day is None else telling.inferred.at(name, locus.key, day)
        if isinstance(figure, Figure) and (day is None or figure.carries(allele)):
            figures[locus.alleles[allele - 1]] = _carried(telling, animal, locus, allele, figure, today=day is None)
    if day is None:
        return Known(animal.sex, animal.reading.shows if animal.reading else None, figures)
    return Known(sex_on(animal, day), looks_on(animal, day), figures)


def _carried(telling: Telling, animal: Animal, locus: Locus, allele: int, figure: Figure, *, today: bool) -> Carried:
    """A chance in the words of a statement; today's say as well on what a certainty rests."""
    trait = locus.alleles[allele - 1]
    carries = figure.carries(allele)
    if not carries:
        out = telling.rules_out(animal.id, locus, allele)
        return Carried(carries, "ruled out" if out else f"nothing said of {trait}")
    shown = telling.shows(animal.id, locus, allele) and all(
        locus.shows_allele(pair, allele) for pair, _ in figure.genotypes
    )
    if today and carries == 1 and not shown:
        grounds = telling.grounds(animal.id, locus.key, allele)
        founders = telling.unrecorded_for(animal.id, locus, allele) if grounds.kind == "assumption" else ()
        return Carried(carries, words.label_of(locus, trait, figure, grounds=grounds, unrecorded=founders))
    count = f" ({words.in_count(carries)})" if carries < 1 and carries.denominator <= words.PLAIN_UP_TO else ""
    return Carried(carries, words.label_of(locus, trait, figure, shows=shown) + count)


def _because(telling: Telling, name: str, since: date, spoken: Spoken) -> str:
    """What was recorded since that changed a figure, in a sentence; "" where nothing did."""
    causes: dict[str, None] = {}
    animal = telling.collection.animals[name]
    for locus, allele in spoken:
        before = None
        for event, figure in telling.history(name, locus.key):
            carries = figure.carries(allele)
            if event is not None and event.on > since and carries != before:
                causes[cause_words(telling, animal, event, locus, allele)] = None
            before = carries
    return f"What taught us: {_with_names(telling, words.join_and(list(causes)))}." if causes else ""


def _with_names(telling: Telling, text: str) -> str:
    """The sentence with the names of animals beside their ids, for somebody who knows no ids."""
    animals = telling.collection.animals

    def named(match: re.Match[str]) -> str:
        record = animals.get(match[0])
        return record.called if record and record.publish != "no" else match[0]

    return MAY_BE_ID.sub(named, text)
