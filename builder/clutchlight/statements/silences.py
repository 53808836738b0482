"""What the site does not say of an animal, and why not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec.structs import replace

from clutchlight.genetics.values import Figure
from clutchlight.model import NOBODY, Animal, Locus, Reading, Species
from clutchlight.model.animals import hidden_loci, loci_undecided
from clutchlight.statements.answers import Answers, looked
from clutchlight.statements.asked import Asked, looked_for, tested_free, told
from clutchlight.statements.family import parent_named, relative_words, single_parents, twins_of
from clutchlight.statements.values import NotComputedTrait, TraitStatement
from clutchlight.wording import words
from clutchlight.wording.text import phrase


def silences(
    answers: Answers,
    animal: Animal,
    reading: Reading | None,
    traits: list[TraitStatement],
    not_computed: list[NotComputedTrait],
    *,
    under_review: bool,
) -> Iterator[str]:
    """Looks that are not on record, that hide something, or that do not tell; figures that are not computed."""
    species = answers.species_of(animal)
    if twins := words.join_and(answers.all_named(twins_of(answers, animal))):
        yield phrase("It hatched from one egg with {}: identical twins share one set of genes.", twins)
    if reading is None:
        twin = "; what is known comes from its identical twin" if twins else ""
        yield f"Its look is not on record, so we say nothing about what it shows{twin}."
    else:
        yield from _untold(answers, animal, reading)
    for locus, missing in {item.locus: item.found for item in not_computed}.items():
        help_ = words.join_or([answers.named(name) for name in missing.animals if answers.listed(name)])
        ask = f" A test of {help_} would make it possible." if help_ else ""
        why = "its family is too entangled"
        if missing.because == "alone":
            why = (
                "it is sex-linked, and we do not work that out where a young of the family has no sire, or perhaps none"
            )
        yield f"{words.join_or(species.loci[locus].alleles)}: {words.NOT_COMPUTED}; {why}.{ask}"
    like = answers.like(animal)
    found = answers.once(("ruled out", like.id), lambda: tuple(_ruled_out(answers, like)))
    if found:
        yield f"Ruled out by what is on record: {words.join_and(found)}."
    without = tuple(_without_a_male(answers, animal))
    yield from without
    kin = _kin_of_a_line_not_known(answers, animal)
    nearest = _nearest_of_a_line_not_known(answers, animal, kin)
    for name, looks in nearest.items():
        who, loose = relative_words(answers, name, animal.id), words.join_and(looks)
        yield words.sentence(phrase("{} shows {}; the line is not known, so we make no figure from it", who, loose))
    linked = [trait.trait for trait in traits if species.loci[trait.locus].sex_linked is not None]
    if len({trait.locus for trait in traits if trait.trait in linked}) > 1:
        yield f"{words.join_and(linked)} are taken as independent of each other once the sex is known."
    for trait in traits:
        where = species.loci[trait.locus].sex_linked
        if trait.possible and where is not None and where.crossover is None:
            crossing = f"How often {trait.trait} crosses over to the other sex chromosome is not known to us"
            yield f"{crossing}, so its chance leaves sex out of account."
    hidden = any(not trait.shows and trait.grounds.kind != "background" for trait in traits)
    claimed = any(claim.chance is not None for claim in animal.claims)
    named = found or without or not_computed or claimed or hidden or nearest or under_review
    if nearest.keys() == kin.keys():
        yield f"No record speaks of any {'other ' if named else ''}hidden gene."


def _ruled_out(answers: Answers, animal: Animal) -> Iterator[str]:
    """The traits that it cannot carry and of which there was a chance, a test or a look for them."""
    for asked in told(answers, animal):
        spoken_of = tested_free(animal, asked.trait) or looked_for(animal, asked.trait) or answers.ever(*asked.key)
        if spoken_of and asked.ruled_out:
            yield asked.trait


def _without_a_male(answers: Answers, animal: Animal) -> Iterator[str]:
    """What its dam may carry and it is taken to lack, since it has no sire and does not show it, or could not live with two copies."""
    if [sire for sire, _ in answers.sires_of(animal)] != [NOBODY]:
        return
    for asked in told(answers, animal):
        for role, parent in () if asked.carries or asked.ruled_out else single_parents(asked):
            if parent.carries and isinstance(parent.figure, Figure):
                has = parent.label(parent.figure, parent.grounds).as_verb
                alone = f"her young without a male are taken to have two copies of {asked.trait} or none"
                dies = asked.trait in asked.locus.dies
                why = "those with two die in the egg" if dies else "this one does not show it"
                yield words.sentence(phrase("{} {}; {}, and {}", parent_named(asked, role, parent), has, alone, why))


def _spoken(answers: Answers, animal: Animal) -> tuple[Locus, ...]:
    """The loci that a listed record speaks of, and those at which it has a figure because of an unlisted one."""
    spoken = answers.spoken_of(animal.species)
    return tuple(
        locus
        for locus in answers.loci(animal.species)
        if locus in spoken
        or any(answers.ever(animal.id, locus.key, allele + 1) for allele in range(len(locus.alleles)))
    )


def _untold(answers: Answers, animal: Animal, reading: Reading) -> Iterator[str]:
    species = answers.species_of(animal)
    spoken = _spoken(answers, animal)
    known = {locus.key for locus in spoken}
    open_ = [
        name
        for name in reading.cannot_tell
        if any(answers.inferred.may_show(animal.id, key, name) for key in species.locus_of_look.get(name, ()))
    ]
    if open_:
        yield f"Its look does not settle {words.join_or(open_)}."
    named = species.loci_of_looks(reading.cannot_tell)
    hidden = [key for key in sorted(hidden_loci(reading, species)) if key in known and key not in named]
    shown = species.loci_of_looks(reading.shows or ())
    names = [name for key in hidden if key not in shown for name in species.loci[key].alleles]
    if names:
        seen = replace(reading, shows=answers.collection.looks_that_count(animal, reading))
        causes = _hiding(seen, species, set(hidden))
        perhaps = " is not ruled out and" if causes and not set(causes) & set(reading.shows or ()) else ""
        hiding = f"{words.join_or(causes) or 'What it shows'}{perhaps} can hide {words.join_and(names)}"
        yield f"{hiding}, so its look says nothing there."


def _nearest_of_a_line_not_known(
    answers: Answers, animal: Animal, kin: Mapping[str, tuple[str, ...]]
) -> Mapping[str, tuple[str, ...]]:
    """Of these looks each once, by who shows it: itself, else a parent, a young or a sibling."""
    found: dict[str, tuple[str, ...]] = {}
    parents = answers.parents(animal.id)
    young = (name for parent in (animal.id, *parents) for name in answers.children.get(parent, ()))
    for name in dict.fromkeys((animal.id, *parents, *young)):
        told = {look for looks in found.values() for look in looks}
        if new := tuple(look for look in kin.get(name, ()) if look not in told):
            found[name] = new
    return found


def _kin_of_a_line_not_known(answers: Answers, animal: Animal) -> Mapping[str, tuple[str, ...]]:
    """The looks whose line is not known of itself and of all that share a forebear with it, or are one."""
    every = answers.once(
        ("loose",),
        lambda: {
            one.id: seen.loose for one in answers.collection.animals.values() if (seen := looked(one)) and seen.loose
        },
    )
    line = {animal.id, *answers.forebears(animal.id)}
    return {
        name: loose for name, loose in every.items() if name in line or not line.isdisjoint(answers.forebears(name))
    }


def _hiding(reading: Reading, species: Species, hidden: set[str]) -> tuple[str, ...]:
    """The looks that it shows, or that cannot be told of it, and that hide some of these loci."""
    told = (*(reading.shows or ()), *reading.cannot_tell)
    loci = [species.loci[key] for name in told for key in species.locus_of_look.get(name, ())]
    untold = species.loci_of_looks(reading.cannot_tell)
    looks = (
        look
        for locus in loci
        for look, keys in locus.hides.items()
        if hidden & set(keys) and (look in told or (locus.key in untold and look in locus.alleles))
    )
    return tuple(dict.fromkeys(looks))


def overlooked(answers: Answers, animal: Animal, reading: Reading | None) -> tuple[str, ...]:
    """On traits that are hard to see and were not looked for."""
    if reading is None:
        return ()
    species = answers.species_of(animal)
    told = species.loci_of_looks(reading.cannot_tell) | hidden_loci(reading, species)
    quiet = (told - loci_undecided(reading, species)) | species.loci_of_looks(reading.shows or ())
    missed = [
        (locus, name)
        for locus in _spoken(answers, animal)
        for allele, name in enumerate(locus.alleles, start=1)
        if name in locus.subtle and name not in (*reading.without, *reading.cannot_tell) and locus.key not in quiet
        if not answers.rules_out(animal.id, locus.key, allele)
    ]
    unchecked = tuple(
        f"It has not been checked by eye for {name}, {locus.affects}. {_not_checked(answers, animal, locus, name)}"
        for locus, name in missed
        if locus.affects
    )
    subtle = [name for locus, name in missed if not locus.affects and not _told(answers, animal, locus)]
    if not subtle:
        return unchecked
    are, one = ("is", "it") if len(subtle) == 1 else ("are", "one of them")
    said = f"{words.join_and(subtle)} {are} hard to see: this snake may have {one} without our knowing, and hand it on to its young."
    return (*unchecked, said)


def _told(answers: Answers, animal: Animal, locus: Locus) -> bool:
    """Whether it is known to carry a trait of the locus, so that a second would show as another look."""
    figure = answers.now(animal.id, locus.key)
    return isinstance(figure, Figure) and not figure.chance(lambda pair: pair == (0, 0))


def _not_checked(answers: Answers, animal: Animal, locus: Locus, trait: str) -> str:
    """What follows where nobody looked for a trait that is harm."""
    asked = Asked(answers, answers.like(animal), locus, locus.allele_number(trait))
    figure = asked.figure
    affected = words.affected_and_carrying(locus, trait, figure)[0] if isinstance(figure, Figure) else None
    if affected == 0 and asked.carries:
        return "Nothing in our figures speaks for two copies."
    return "It may be affected, though nothing was seen."
