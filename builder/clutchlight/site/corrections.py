"""Corrections of what public records said, as pages and feeds tell them: what was on record, what is now, and why; and reviews.

A relative that may not be named is not named in them. Besides those of its own record an animal's page tells those that bear on it, of its
clutch and of its nearest kin.
"""

from __future__ import annotations

from collections.abc import Collection as Collected, Iterable, Iterator, Mapping
from datetime import date
from itertools import pairwise

from msgspec import Struct

from clutchlight.model import Animal, Clutch, Correction, Locus, When
from clutchlight.model.ledger import DatedRecord
from clutchlight.model.traits import grouped
from clutchlight.site.context import Context
from clutchlight.statements.answers import Answers
from clutchlight.statements.asked import stated_traits
from clutchlight.statements.changes import said_in
from clutchlight.statements.family import (
    GENES,
    LOOKS,
    OF_OTHERS,
    PARENTAGE,
    corrected_near,
    corrected_words,
    named_before,
    tells_of,
)
from clutchlight.wording import day_words
from clutchlight.wording.text import Text
from clutchlight.wording.words import join_or, sentence

BearsOn = Mapping[tuple[str, str, When], tuple[str, ...]]


class Corrected(Struct, frozen=True):
    """A correction in words: what was on record, what is now, and why."""

    record: Animal | Clutch
    on: When
    key: str
    was: str
    after: str
    because: str

    @property
    def before(self) -> str:
        return f"{corrected_words(self.key)} {self.was}"


class Reviewed(Struct, frozen=True):
    """What the dated records of a day, on which a review of looks began or ended, say otherwise of an animal than those before: that it is
    among the `reviewed` itself, or a figure of it. `heading`: "Piebald: under review"."""

    on: date
    animal: str
    heading: str
    reviewed: tuple[str, ...]
    before: Text
    after: Text


def every_correction(context: Context) -> tuple[Corrected, ...]:
    """Each correction of an animal that may be named and of a clutch, newest first."""
    records: list[Animal | Clutch] = [one for one in context.collection.animals.values() if context.may_name(one.id)]
    found = [row for record in (*records, *context.clutches) for row in corrections_of(context, record)]
    return tuple(sorted(found, key=lambda row: row.on.last, reverse=True))


def every_review(context: Context) -> tuple[Reviewed, ...]:
    """Each review that began or ended by the dated records of an animal that may be named, and each figure of its kin that these state
    otherwise than before, where no other record moved it: the records themselves know no day of a review."""
    answers = context.answers
    return () if answers is None else answers.once(("reviews",), lambda: tuple(_reviews(context, answers)))


def _reviews(context: Context, answers: Answers) -> Iterator[Reviewed]:
    named = [(name, [row.record for row in rows]) for name, rows in sorted(context.past.dated.items())]
    dated = {name: rows for name, rows in named if context.may_name(name)}
    animals = context.collection.animals
    turns = grouped(((animals[name].species, turn), name) for name in dated for turn in _turns(dated[name]))
    for (species, (on, key, begun)), names in turns.items():
        locus = context.species(species).loci.get(key)
        if locus is None:
            continue
        traits = join_or(locus.alleles)
        heading = f"{traits}: {'' if begun else 'no longer '}under review"
        words = (traits, "under review") if begun else (f"{traits} under review", "no longer under review")
        yield from (Reviewed(on, name, heading, names, *map(Text, words)) for name in names)
        kin = frozenset(names).union(*map(answers.forebears, names))
        for name, rows in dated.items():
            if name not in names and not kin.isdisjoint((name, *answers.forebears(name))):
                pairs = (pair for pair in pairwise(rows) if pair[1].on == on)
                moved = (one for pair in pairs for one in _moved_between(context, answers, animals[name], locus, *pair))
                yield from (Reviewed(on, name, heading, names, *one) for one in moved)


def _turns(rows: Iterable[DatedRecord]) -> Iterator[tuple[date, str, bool]]:
    """On which days a locus came under review or no longer was, by the dated records of an animal."""
    before = frozenset[str]()
    for row in rows:
        now = frozenset(row.figures.under_review)
        yield from ((row.on, key, key in now) for key in sorted(before ^ now))
        before = now


def _moved_between(
    context: Context, answers: Answers, animal: Animal, locus: Locus, one: DatedRecord, other: DatedRecord
) -> Iterator[tuple[Text, Text]]:
    """What two dated records state otherwise at a locus, where no record in between tells why."""
    changes = [change.on for change in context.past.changes.of_animal.get(animal.id, ()) if change.locus == locus.key]
    corrected = [row.on.last for row in context.corrected_kin.get(animal.id, ())]
    if any(one.on < day <= other.on for day in (*changes, *corrected)):
        return
    stated = [asked for record in (one, other) for asked in stated_traits(record, answers, animal)]
    for asked in {asked.trait: asked for asked in stated if asked.locus.key == locus.key}.values():
        before, after = (said_in(record, asked, record.on) for record in (one, other))
        if before[0].copies(asked.allele) != after[0].copies(asked.allele):
            first, last = (label or Text(f"nothing said of {asked.trait}") for _, label in (before, after))
            yield first, last


def told_of(
    context: Context, record: Animal | Clutch, at: Collected[str] | None = None
) -> tuple[tuple[str, Corrected], ...]:
    """The corrections that its page tells, each with whose record it is of; an animal's page also those of its clutch and nearest kin,
    that of a clutch those of genes that pages of its young tell.

    Of these it tells what bears on the animal. `at`: those alone that may bear on what is said of it at some loci.
    """
    told = [("our record", row) for row in corrections_of(context, record)]
    if isinstance(record, Clutch):
        each = {(row.record.id, row.key, row.on): (whose, row) for whose, row in told}
        for young in (context.collection.animals[name] for name in record.young if context.corrected_kin.get(name)):
            for whose, row in told_of(context, young) if context.may_name(young.id) else ():
                if row.key in GENES:
                    of = f"the record of {young.called}" if row.record == young else whose
                    each.setdefault((row.record.id, row.key, row.on), (of, row))
        return tuple(sorted(each.values(), key=lambda one: one[1].on))
    clutch = context.collection.clutches.get(record.clutch or "")
    if at is not None and not (clutch and len(clutch.sires.candidates) > 1):
        species = context.species(record.species)
        looks = ((whose, row, f"{row.was} {row.after}") for whose, row in told)
        told = [(whose, row) for whose, row, seen in looks if row.key not in LOOKS or tells_of(species, seen, at)]
    if clutch is not None and context.has_clutch_page(clutch.id):
        of_all = (row for row in corrections_of(context, clutch) if row.key in PARENTAGE)
        told += [("the record of its clutch", row) for row in of_all]
    if context.corrected_kin.get(record.id):
        said = context.statement(record.id)
        dated = context.past.dated.get(record.id, ())
        loci = {trait.locus for trait in (*said.traits, *said.ruled_out) if not trait.shows}
        loci |= {trait.locus for row in dated for trait in row.record.figures.traits if trait.grounds != "look"}
        bearing = loci if at is None else loci.intersection(at)
        for near, where, one in corrected_near(context.collection, record, bearing):
            of_it = (row for row in corrections_of(context, where) if (row.key, row.on) == (one.key, one.on))
            whose = near.called if where == near else f"the clutch of {near.called}"
            told += [(f"the record of {whose}", row) for row in of_it]
    return tuple(sorted(told, key=lambda one: one[1].on))


def may_bear_on(context: Context) -> BearsOn:
    """By a correction of genes, as (record, key, day), the other animals whose pages tell it."""
    told = (
        ((row.record.id, row.key, row.on), animal.id)
        for animal in context.animals
        if context.corrected_kin.get(animal.id)
        for _, row in told_of(context, animal)
        if row.key in GENES and animal.id != row.record.id
    )
    return grouped(told)


def corrections_of(context: Context, record: Animal | Clutch) -> tuple[Corrected, ...]:
    """Those that are told; a relative that may not be named is left out. What was corrected again later stood until then."""
    found, ordered = [], sorted((one for one in record.corrections if one.told), key=lambda one: one.on)
    for number, one in enumerate(ordered):
        later = [other for other in ordered[number + 1 :] if other.key == one.key]
        now = _was(context, later[0]) if later else _now(context, record, one.key)
        what = corrected_words(one.key)
        after = f"{what} {now}" if now else "what its page says"
        found.append(Corrected(record, one.on, one.key, _was(context, one), after, one.because))
    return tuple(found)


def corrections_in_words(context: Context, record: Animal | Clutch) -> tuple[str, ...]:
    """ "Until 9 January 2022 our record said “sex female”. Why we corrected it: re-probed.", oldest first as written.

    A dated record of a later day that says so still goes before the day of the correction.
    """
    found = []
    for whose, one in told_of(context, record):
        still = _dated_still(context, record, one)
        said = f"until {day_words.when(one.on)} {whose} said “{one.before}”"
        if still is not None:
            said = f"{whose} said “{one.before}”, on {day_words.day(still)} still"
        found.append(sentence(f"{said}. Why we corrected it: {one.because}"))
    return tuple(found)


def _dated_still(context: Context, record: Animal | Clutch, one: Corrected) -> date | None:
    """The last day after that of a correction of its own on which a dated record has the sex or day of hatching from before it."""
    rows = context.past.dated.get(record.id, ()) if one.record == record else ()
    found = None
    for figures, day in ((row.record.figures, row.record.on) for row in rows if row.record.on > one.on.last):
        stated = {"sex": figures.sex, "hatched": figures.hatched}.get(one.key)
        if stated and day_words.as_read(stated) == one.was:
            found = day
    return found


def _was(context: Context, one: Correction) -> str:
    """What the record said; of an animal or a clutch that may not be named, that."""
    if one.key not in OF_OTHERS:
        return day_words.as_read(one.was)
    each = named_before(context.collection, one)
    told = [
        name
        for name, ident in each
        if name.casefold() in ("unknown", "none") or context.may_name(ident) or context.has_clutch_page(ident)
    ]
    hidden = len(each) - len(told)
    more = [] if not hidden else ["one not named"] if hidden == 1 else ["others not named"]
    return join_or([*told, *more]) if told else "not named"


_OF_CLUTCH = ("name", "laid", "hatched", "ended", "eggs", "slugs", "unseen", "went_bad")
"""Keys of a clutch whose values stand in a sentence as they are."""


def _now(context: Context, record: Animal | Clutch, key: str) -> str | None:
    if isinstance(record, Clutch):
        stated = context.clutch_statement(record.id)
        sires, dam = stated.sires, stated.dam
        own = {name: getattr(record, name) for name in _OF_CLUTCH}
    else:
        said = context.statement(record.id)
        sires, dam = said.parents.sires, said.parents.dam
        own = {
            "sex": said.sex,
            "hatched": said.hatched,
            "shows": None if said.under_review else said.looks_words,
            "name": said.name,
        }
    now = {**own, "sire": join_or([sire.probably + sire.name for sire in sires]), "dam": dam}.get(key)
    return None if now is None else day_words.as_read(str(now))
