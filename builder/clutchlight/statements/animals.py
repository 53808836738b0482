"""From the figures of one animal to its statement."""

from __future__ import annotations

from collections.abc import Collection as Collected, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from functools import partial
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.values import Figure, Grounds, NotComputed
from clutchlight.model import Animal, Clutch, Locus, Nobody, Recorded, Sire, Species, When
from clutchlight.model.animals import Coming, Leaving, id_in_words
from clutchlight.model.ledger import DatedRecord
from clutchlight.model.traits import grouped
from clutchlight.planning.outcomes import Harm, harms_of
from clutchlight.statements.answers import Answers, Sires, looked, looks_told
from clutchlight.statements.asked import Asked, asked_at, claim_words, computed, stated_in, stated_traits
from clutchlight.statements.changes import label_on, of_no_trait, said_in
from clutchlight.statements.family import claimed_of, in_force, single_parents, sole_sire
from clutchlight.statements.kinship import AS_WRITTEN, Relation, kinship_told
from clutchlight.statements.notes import notes_of
from clutchlight.statements.reasons import cause_of, proved_by_test, reasons
from clutchlight.statements.silences import overlooked, silences
from clutchlight.statements.values import (
    NO_GROUNDS,
    AllOf,
    AnimalStatement,
    Comparison,
    NotComputedTrait,
    Note,
    Parents,
    SireChance,
    TraitAtTime,
    TraitStatement,
    certainty_on,
)
from clutchlight.statements.why import moves
from clutchlight.wording import day_words, words
from clutchlight.wording.text import NO_WORDS, Text, phrase

BOUGHT = ("bought", "trade")


def state_animal(answers: Answers, animal: Animal, surprises: Mapping[str, tuple[Note, ...]]) -> AnimalStatement:
    """Everything that is said of one animal. `surprises`: notes on unexpected results by animal."""
    species = answers.species_of(animal)
    like = answers.like(animal)
    traits: list[TraitStatement] = []
    ruled_out: list[TraitStatement] = []
    not_computed: list[NotComputedTrait] = []
    sold = animal.passed_on.on if animal.passed_on is not None else None
    for locus in answers.loci(animal.species):
        figure = answers.now(animal.id, locus.key)
        if isinstance(figure, NotComputed):
            not_computed += [NotComputedTrait(locus.key, trait, figure) for trait in locus.alleles]
            continue
        for trait in _traits(answers, animal, like, locus, figure, sold):
            (traits if trait.carries else ruled_out).append(trait)
    if sold:
        ruled_out += _said_once(answers, animal, sold)
    reading = looked(animal)
    looks = looks_told(answers.collection, animal, reading)
    combos = combos_shown(looks or (), species)
    aside = {key: species.loci[key].alleles for key in answers.collection.set_aside(animal)}
    seen = words.looks_words(_told_apart(species, looks, traits), combos, species.harmful_looks)
    look = words.with_doubt(seen, looks, [trait for found in aside.values() for trait in found])
    inbreeding = answers.inferred.kinship.inbreeding.get(animal.id, Fraction(0))
    parents = parents_of(answers, animal)
    related = _relation(answers, animal, inbreeding, by_claim=bool(parents.by_said))
    notes = notes_of(answers, animal, surprises)
    return AnimalStatement(
        id=animal.id,
        name=animal.name,
        species=animal.species,
        sex=animal.sex,
        hatched=animal.hatched,
        since=answers.changed_last(like.id),
        looks=looks,
        looks_words=look,
        affected=tuple(name for name in looks or () if name in species.harmful_looks),
        combos=combos,
        parents=parents,
        inbreeding=inbreeding,
        relation=related.clause,
        kinship=related.brief,
        by_chances=related.by_chances,
        traits=tuple(traits),
        ruled_out=tuple(ruled_out),
        not_computed=tuple(not_computed),
        all_of=all_of(answers, like, traits),
        together=together(answers, like, traits),
        title=title_of(look, traits),
        advert=advert_of(animal, look, traits),
        maker=_maker(answers, animal, traits),
        notes=notes,
        reviews=(reviews := _reviews(answers, animal, (*traits, *ruled_out))),
        under_review=aside,
        compared=compared(answers, animal, traits),
        silences=tuple(silences(answers, animal, reading, traits, not_computed, under_review=bool(reviews))),
        overlooked=overlooked(answers, animal, reading),
        proven_breeder=_proven_breeder(answers, animal),
        sold_on=sold,
        harms=tuple(_harms(answers, animal, traits)),
    )


# Traits


def _traits(
    answers: Answers, animal: Animal, like: Animal, locus: Locus, figure: Figure, sold: When | None
) -> Iterator[TraitStatement]:
    """Its traits at a locus; but for the day of its sale they are also those of the first of its like.

    What was said at its sale stands in the dated record that was in force then; where there is none, or something moved it in between, it
    is worked out again.
    """
    hatched = answers.inferred.when_hatched(like.id, locus.key)
    then = sold.last if sold else date.max
    dated = answers.dated_record(animal, then) if sold else None
    record = dated if dated and in_force(answers, animal, locus.key, dated, then) else None
    at_sale = answers.inferred.at(like.id, locus.key, then) if sold else None
    for asked in asked_at(answers, like, locus):
        stated = stated_in(record, asked)[0] if record else at_sale
        if not any(isinstance(one, Figure) and one.carries(asked.allele) for one in (figure, hatched, stated)):
            continue
        when_sold = _as_recorded(asked, record, then) if record else _standing(asked, at_sale, then)
        if record and locus.key in record.figures.under_review:
            when_sold = None
        elif dated and not record and when_sold and isinstance(at_sale, Figure):
            when_sold = replace(when_sold, label=label_on(asked, at_sale, then))
        trait = answers.once(("trait", *asked.key), partial(_trait, asked, figure, hatched))
        yield replace(trait, when_sold=when_sold) if when_sold else trait


def _trait(asked: Asked, figure: Figure, hatched: Figure | NotComputed) -> TraitStatement:
    answers, locus = asked.answers, asked.locus
    copies, carries, shows = figure.copies(asked.allele), figure.carries(asked.allele), asked.shows
    grounds = asked.grounds if carries else NO_GROUNDS
    reviewed, several = asked.under_review, asked.one_of_several
    threshold = answers.collection.settings.mention_from
    because = reasons(asked, figure) if carries else ()
    assumed = grounds.kind == "assumption"
    taking = asked.taking("now") if carries and not (assumed or locus.affects) else ""
    label = asked.label_now
    return TraitStatement(
        locus=locus.key,
        trait=asked.trait,
        shows=shows,
        copies=copies,
        carries=carries,
        percent=_percent(asked, figure),
        label=words.Label(name=f"{asked.trait}: {words.UNDER_REVIEW}") if reviewed and carries else label,
        count=_count(asked, figure, taking, assumed=assumed),
        leans=assumed or (carries < 1 and bool(taking) and not several),
        snakes="" if locus.affects or label.lead == words.POSSIBLE_VISUAL else words.carry_sentence(carries),
        grounds=_public(answers, grounds),
        rests_on=tuple(name for name in asked.rests_on if answers.listed(name)),
        when_hatched=_standing(asked, hatched, "hatched"),
        small=0 < carries < threshold and not (locus.affects or several),
        background_only=bool(carries) and asked.background_only,
        under_review=reviewed,
        either=_public(answers, asked.certain_by) if several else None,
        excluded=carries == 0 and asked.ruled_out,
        second_copy=words.second_copy(locus, asked.trait, copies[2], condition=asked.two_copies_if)
        if shows and copies[2] >= threshold
        else "",
        because=because,
        harmful=locus.affects is not None,
        cause=cause_of(asked),
        derived=moves(asked, label) if carries and not (shows or reviewed) else (),
        other_sires=asked.other_sires(),
        one_sire=bool(asked.one_sire()),
        by_test=(by := asked.certain_by.proven_by) in answers.collection.animals and proved_by_test(asked, by or ""),
    )


def _public(answers: Answers, grounds: Grounds) -> Grounds:
    hidden = grounds.proven_by is not None and not answers.listed(grounds.proven_by)
    return Grounds(grounds.kind) if hidden else grounds


def _count(asked: Asked, figure: Figure, taking: str, *, assumed: bool) -> str:
    """What stands beside the percentage, with the share of unrecorded carriers where that moves it."""
    carries = figure.carries(asked.allele)
    if assumed:
        carries, share = asked.beside_assumption or (carries, None)
        taking = words.taking_unrecorded(share, asked.locus, asked.locus) if share else ""
    elif asked.locus.affects:
        return words.harm_count(asked.locus, asked.trait, figure)
    return f"{words.in_count(carries)}, {taking}" if taking else words.in_count(carries)


def _standing(
    asked: Asked, figure: Figure | NotComputed | None, moment: Literal["hatched"] | date
) -> TraitAtTime | None:
    if isinstance(figure, NotComputed):
        hatched = asked.animal.hatched.last if asked.animal.hatched else date.min
        seen = asked.figure  # what it showed then it has had from the beginning
        known = isinstance(seen, Figure) and asked.showed(seen, hatched if moment == "hatched" else moment)
        figure = seen if known else None
    if not isinstance(figure, Figure):
        return None
    label = asked.label(figure).on_condition(asked.taking(moment) if figure.carries(asked.allele) else "")
    return TraitAtTime(figure.carries(asked.allele), _percent(asked, figure), label)


def _percent(asked: Asked, figure: Figure) -> int:
    carries = figure.carries(asked.allele)
    return words.harm_percent(carries) if asked.locus.affects else words.percent(carries)


def _as_recorded(asked: Asked, record: DatedRecord, day: date) -> TraitAtTime:
    """What a dated record states of the trait, in force on a day."""
    figure, label = said_in(record, asked, day)
    return TraitAtTime(figure.carries(asked.allele), _percent(asked, figure), label)


def _said_once(answers: Answers, animal: Animal, sold: When) -> Iterator[TraitStatement]:
    """Traits that its dated record at the sale speaks of, and no record does now."""
    record, in_play = answers.dated_record(animal, sold.last), {locus.key for locus in answers.loci(animal.species)}
    if record is None:
        return
    nothing = TraitAtTime(Fraction(0), 0, words.NO_LABEL)
    for asked in stated_traits(record, answers, animal):
        if asked.locus.key not in in_play:
            then = _as_recorded(asked, record, sold.last)
            yield TraitStatement(asked.locus.key, asked.trait, when_hatched=nothing, when_sold=then)
    for row, label in of_no_trait(record, answers.species_of(animal)):
        then = TraitAtTime(row.carries, words.percent(row.carries), label)
        yield TraitStatement(row.locus, row.trait, when_hatched=nothing, when_sold=then)


# The animal as a whole


def _told_apart(
    species: Species, looks: tuple[str, ...] | None, traits: Sequence[TraitStatement]
) -> tuple[str, ...] | None:
    """The looks, that of several pairs of alleles with those that stand by records: "Blue-eyed Leucistic (Mojave)"."""
    if looks is None:
        return None
    found: dict[str, str] = {}
    for key, here in grouped(
        (trait.locus, trait) for trait in traits if trait.shows and not (trait.under_review or trait.harmful)
    ).items():
        two = {trait.trait: trait.copies[2] for trait in here if certainty_on(trait.grounds.kind) == "certain"}
        shared = (look for look in looks if two and look in species.loci[key].look_names)
        found |= {look: words.with_alleles(look, two) for look in shared if species.loci[key].of_several_pairs(look)}
    return tuple(found.get(look, look) for look in looks)


def parents_of(answers: Answers, animal: Animal) -> Parents:
    dam, clutch = answers.dam_of(animal), animal.clutch
    record = answers.collection.clutches.get(clutch or "")
    sires = answers.sires_of(animal)
    said = claimed_of(answers, record, sires, animal.id) if record else NO_WORDS
    alone = record if record and record.sires.kind == "one of" and len(sires) == 1 else None
    forced = alone and answers.inferred.possible_sires(alone.id) == (sires[0][0],)
    shared = alone and forced and answers.inferred.perhaps_by_several(alone.id, animal.id)
    return Parents(
        sire_chances(answers, sires, by_claim=bool(said)),
        dam if dam and answers.listed(dam) else None,
        clutch if clutch and answers.listed(clutch) else None,
        phrase("by what was said of {}", said) if said else NO_WORDS,
        words.one_sire(()) if shared else NO_WORDS,
    )


def sire_chances(answers: Answers, sires: Sires, *, by_claim: bool = False) -> tuple[SireChance, ...]:
    """Who may be the sire; those that are not listed as one. `by_claim`: claims alone leave the one."""
    found: dict[Text, tuple[Sire | None, Fraction | None]] = {}
    for sire, chance in sires:
        shown = answers.male(sire)
        before = found[shown][1] if shown in found else Fraction(0)
        together = None if chance is None or before is None else before + chance
        listed = not isinstance(sire, Recorded) or answers.listed(sire.id)
        found[shown] = sire if listed else None, together
    return tuple(SireChance(sire, shown, chance, by_claim) for shown, (sire, chance) in found.items())


def inbreeding_sentence(stated: AnimalStatement, kept_alone: Sequence[str]) -> str:
    """Its coefficient. `kept_alone`: the traits of which some young without a male keep one copy."""
    sires = stated.parents.sires
    chances = AS_WRITTEN if stated.inbreeding and (len(sires) > 1 or stated.by_chances) else ""
    alone = kept_alone and any(isinstance(one.sire, Nobody) for one in sires)
    less = f"; less at {words.join_and(kept_alone)}, where some young without a male keep one copy" if alone else ""
    return f"Inbreeding coefficient after Wright{chances}: {words.fraction_text(stated.inbreeding)}{less}."


def _relation(answers: Answers, animal: Animal, inbreeding: Fraction, *, by_claim: bool) -> Relation:
    dam, sires = answers.dam_of(animal), [sire for sire, _ in answers.sires_of(animal)]
    if dam is None and sires:
        return Relation("its dam is not recorded")
    if dam is None or not sires:
        return Relation("")
    if len(sires) > 1:
        males = [sire.id for sire in sires if isinstance(sire, Recorded)]
        related = inbreeding and any(answers.kin(name, dam) for name in males)
        return Relation("its parents may be related, depending on the sire" if related else "")
    return kinship_told(answers, sires[0], dam, inbreeding, by_claim=by_claim)


def _maker(answers: Answers, animal: Animal, traits: list[TraitStatement]) -> str | None:
    """Which sex most of its showing young will be, where a sex-linked copy is known to lie on one sex chromosome.

    A heterogametic animal has its sex-limited chromosome from the parent of its own sex, so the giver fixes the chromosome
    (Mallery & Carrillo 2016, Phyllomedusa 15:29-42, for Python regius).
    """
    species = answers.species_of(animal)
    if animal.sex != species.heterogametic:
        return None
    other = "female" if animal.sex == "male" else "male"
    found = []
    for trait in traits:
        locus = species.loci[trait.locus]
        if locus.sex_linked is None or locus.sex_linked.crossover == Fraction(1, 2) or trait.copies[1] != 1:
            continue
        asked = Asked(answers, animal, locus, locus.allele_number(trait.trait))
        by_parents = _giver(asked)
        giver = by_parents or next((claim.came_from for claim in asked.claims if claim.came_from), None)
        if giver:
            same = (giver == "sire") == (animal.sex == "male")
            word = "" if by_parents else ", on the seller's word"
            if by_parents and answers.inferred.others.get(animal.clutch or ""):
                word = f", {words.no_other_male([])}"
            found.append(f"{animal.sex if same else other}-maker for {trait.trait}{word}")
    return words.join_and(found) or None


def _giver(asked: Asked) -> str | None:
    """From which parent it has its only copy of the trait, by its parents' figures."""
    parents = single_parents(asked)
    for role, parent in parents:
        if parent.has_two:
            return role
    givers = [role for role, parent in parents if parent.carries]
    return givers[0] if givers and any(parent.carries == 0 for _, parent in parents) else None


def _reviews(answers: Answers, animal: Animal, traits: Sequence[TraitStatement]) -> tuple[Text, ...]:
    """Looks set aside that concern it: of its own clutch, of those that it may be a parent of, and of its parents' others what is open."""
    names = dict.fromkeys(filter(None, (animal.clutch, *answers.collection.clutches_of.get(animal.id, ()))))
    clutches = (answers.collection.clutches[name] for name in names)
    own = (review for clutch in clutches for review in reviews_of(answers, clutch))
    return (
        *own,
        *reviews_near(answers, animal, [trait.locus for trait in traits if not trait.shows and trait.carries < 1]),
    )


def reviews_near(answers: Answers, animal: Animal, loci: Collected[str]) -> Iterator[Text]:
    """The looks at some loci that are set aside in other listed clutches of its parents."""
    of = answers.collection.clutches_of
    for name in dict.fromkeys(one for parent in answers.parents(animal.id) for one in of.get(parent, ())):
        if name != animal.clutch and answers.listed(name):
            yield from reviews_of(answers, answers.collection.clutches[name], loci)


def reviews_of(answers: Answers, clutch: Clutch, only: Collected[str] | None = None) -> Iterator[Text]:
    """The looks of a clutch that are set aside; `only` those at some loci."""
    loci = answers.collection.species[clutch.species].loci
    for key, because in clutch.set_aside.items():
        if key in loci and (only is None or key in only):
            named, reason = answers.clutch(clutch.id), f" ({because.rstrip('.')})" if because else ""
            yield phrase("{}, {}: {}{}.", words.join_or(loci[key].alleles), named, words.UNDER_REVIEW, reason)


def _harms(answers: Answers, animal: Animal, traits: Sequence[TraitStatement]) -> Iterator[tuple[str, Harm]]:
    """What two copies, or one each of two alleles, are known to do that it has or may have, where its locus tells no more."""
    spoken = ((trait.locus, trait.trait) for trait in traits if trait.shows or trait.mentioned)
    for key, named in grouped(spoken).items():
        locus, figure = answers.species_of(animal).loci[key], answers.now(animal.id, key)
        if isinstance(figure, Figure) and not locus.welfare:
            found = harms_of(locus, dict(figure.genotypes))
            yield from ((key, harm) for harm in found if {*harm.traits}.issubset(named))


def _proven_breeder(answers: Answers, animal: Animal) -> str:
    """ "proven breeder: 3 clutches, the last in 2024", or ""; "if no other male sired it" where one may have. Of clutches that count."""

    def sole_sires(clutch: Clutch) -> set[str | None]:
        """Of its listed young: each egg of it may have its own."""
        return {sole_sire(answers, answers.collection.animals[name]) for name in clutch.young if answers.listed(name)}

    bred = answers.collection.bred_by(animal.id)
    listed = [
        clutch
        for clutch in bred
        if answers.listed(clutch.id)
        and clutch.hatched
        and clutch.counts
        and (answers.as_parent(clutch, animal.id) or animal.id in sole_sires(clutch))
    ]
    dates = [clutch.hatched for clutch in listed if clutch.hatched]
    if not dates:
        return ""
    doubted = [one for one in listed if one.dam != animal.id and answers.inferred.others_may_have_sired(one.id)]
    unless = words.no_other_male([f"clutch {id_in_words(one.id)}" for one in doubted]) if doubted else ""
    count, last = words.plural(len(dates), "clutch", "clutches"), max(dates).last.year
    return f"proven breeder: {count}, {'in' if len(dates) == 1 else 'the last in'} {last}{unless and f', {unless}'}"


# Several traits together


def all_of(answers: Answers, animal: Animal, traits: list[TraitStatement]) -> AllOf | None:
    """How the possible traits (neither certain nor nothing) fall out together; within one locus too."""
    possible = [
        trait
        for trait in traits
        if 0 < trait.carries < 1 and not (trait.background_only or trait.under_review or trait.harmful)
    ]
    if len(possible) < 2:
        return None
    keys = tuple(dict.fromkeys(trait.locus for trait in possible))
    joint = answers.inferred.joint([(animal.id, key) for key in keys])
    if isinstance(joint, NotComputed):
        return None
    loci = answers.species_of(animal).loci
    wanted = [(keys.index(trait.locus), loci[trait.locus].allele_number(trait.trait)) for trait in possible]
    every = joint.chance(lambda pairs: all(allele in pairs[place] for place, allele in wanted))
    none = joint.chance(lambda pairs: not any(allele in pairs[place] for place, allele in wanted))
    said = words.split_words(every, none, len(possible), "snakes like this one")
    return AllOf(tuple(trait.trait for trait in possible), every, none, said)


def together(answers: Answers, animal: Animal, traits: list[TraitStatement]) -> tuple[AllOf, ...]:
    """The same of what is not folded away: apart, of traits of one locus of which it surely carries some, if others are left.

    Where their label says so, nothing more is said of them.
    """
    shown = [trait for trait in traits if trait.mentioned]
    by_locus = grouped((trait.locus, trait) for trait in shown if trait.possible)
    settled = [key for key, found in by_locus.items() if len(found) > 1 and _surely_some(answers, animal, found)]
    groups = [shown]
    if settled and len(by_locus) > 1:
        apart = (by_locus[key] for key in settled if not by_locus[key][0].either)
        groups = [[trait for trait in shown if trait.locus not in settled], *map(list, apart)]
    return tuple(one for group in groups if (one := all_of(answers, animal, group)))


def _surely_some(answers: Answers, animal: Animal, traits: tuple[TraitStatement, ...]) -> bool:
    figure, locus = answers.now(animal.id, traits[0].locus), answers.species_of(animal).loci[traits[0].locus]
    alleles = [locus.allele_number(trait.trait) for trait in traits]
    return isinstance(figure, Figure) and figure.chance(lambda pair: any(allele in pair for allele in alleles)) == 1


# Its title and its advert line
#
# In the trade's order: sex count, visible genes, recessive visuals, certain hets, possible hets, hatched, link. "Double het" is said only
# when both are certain and neither is only taken as certain. What is taken as certain says so in brackets. Small, background-only and
# reviewed traits stay out.


def combos_shown(shows: Sequence[str], species: Species) -> tuple[str, ...]:
    """The combos whose every part is shown, without those that are part of a larger one."""
    seen = frozenset(shows)
    whole = {name: frozenset(parts) for name, parts in species.combos.items() if parts and frozenset(parts) <= seen}
    return tuple(sorted(name for name, parts in whole.items() if not any(parts < other for other in whole.values())))


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
    born = animal.hatched
    hatched = [f"hatched {day_words.when(born) if born.vague else born.month_text}"] if born else []
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


# What somebody typed of it (`stated`), beside what its records give


def compared(answers: Answers, animal: Animal, traits: Sequence[TraitStatement]) -> tuple[Comparison, ...]:
    """What was stated of it beside our figures. What is certain is said as its label has it: on a condition, or that it shows it."""
    found = []
    mine = {(trait.locus, trait.trait): trait for trait in traits}
    loci = answers.species_of(animal).loci
    for stated in animal.stated:
        trait = mine.get((stated.locus, stated.trait))
        asked = Asked(answers, animal, loci[stated.locus], loci[stated.locus].allele_number(stated.trait))
        if asked.under_review:
            continue
        ours = asked.carries
        bought = animal.came is not None and animal.came.how in BOUGHT
        label = claim_words(stated, asked.locus)
        said = f"{'Sold to us' if bought else 'Stated'} as {label}"
        certain = trait.label if trait is not None and ours == 1 else None
        now = Text("say that it ", certain.as_verb) if certain else f"give {words.percent_text(ours or Fraction(0))}"
        if ours is None:
            text = f"{said}; ours is not computed."
        elif ours == 0:
            text = f"{said}; our records {'rule it out' if asked.ruled_out else 'say nothing of it'}."
        elif certain == label if certain else ours == stated.chance:
            text = f"{said}; our records give the same."
        elif (then := _given_on(asked, animal.came)) is not None and then != ours:
            text = Text(said, "; our records gave ", words.percent_text(then), " then, and now ", now, ".")
        else:
            text = Text(said, "; our records ", now, ".")
        found.append(Comparison(f"{stated.trait}: what {'the seller said' if bought else 'was stated'}", text))
    return tuple(found)


class TypedFigure(Struct, frozen=True):
    """A figure that somebody typed for an animal (`stated`) and that does not follow from the records.

    `ours`: what they give; None where no record speaks of the trait, or the figure is not computed. `certain`: how that is said where it
    is certain, with its condition: "is het Piebald, if no other male sired it".
    """

    animal: str
    trait: str
    typed: Fraction
    ours: Fraction | None
    sold: bool
    certain: str = ""


def typed_figures(answers: Answers) -> tuple[TypedFigure, ...]:
    """The typed figures that do not follow from the records, those of sold animals first, then by id."""
    found = []
    for animal in answers.collection.animals.values():
        in_play = {asked.trait: asked for asked in computed(answers, animal)} if animal.stated else {}
        for one in animal.stated:
            asked = in_play.get(one.trait)
            ours = asked.carries if asked else None
            then = _given_on(asked, animal.away or animal.came) if asked else None
            if one.chance not in (ours, then):
                certain = str(asked.label_now.as_verb) if asked and ours == 1 else ""
                found.append(TypedFigure(animal.id, one.trait, one.chance, ours, animal.sold, certain))
    return tuple(sorted(found, key=lambda one: (not one.sold, one.animal, one.trait)))


def _given_on(asked: Asked, moved: Coming | Leaving | None) -> Fraction | None:
    """The chance by what was on record when the animal came or left; None where that day is not known."""
    if moved is None or moved.on is None:
        return None
    figure = asked.answers.inferred.at(asked.animal.id, asked.locus.key, moved.on.last)
    return figure.carries(asked.allele) if isinstance(figure, Figure) else None
