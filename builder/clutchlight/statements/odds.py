"""The odds of a pairing in natural counts: "Of 8 eggs, expect about 2; at least one: 65 in 100." And what one mate would settle.

Convention: counts of eggs and of clutches are rounded down, harm is rounded up (see `wording.words`). Sentences come ready for
any page; `as_text` puts them into the lines that a terminal shows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set as AbstractSet
from fractions import Fraction
from itertools import combinations
from textwrap import wrap

from msgspec import Struct

from clutchlight.model import Collection, Inheritance, Locus, Recorded, Sex, Species
from clutchlight.model.animals import id_in_words
from clutchlight.model.as_published import is_unlisted
from clutchlight.model.traits import grouped
from clutchlight.planning.hatchlings import Hatchlings, UsualClutch, usual_clutch
from clutchlight.planning.odds import Answer, Backup, Compared, Odds, PerhapsAlleles, TakenAsCertain
from clutchlight.planning.outcomes import Carried, Harm, Outcome, PairHarm, harm_of_pair, harms_all
from clutchlight.planning.proofs import Proof
from clutchlight.planning.who_needs_proving import TestMating, ToProve
from clutchlight.planning.winter import OpenQuestion, Wish
from clutchlight.problems import COMMAND_LINE
from clutchlight.statements.answers import Answers, looked
from clutchlight.statements.asked import computed, how_taken
from clutchlight.statements.kinship import AS_WRITTEN, kinship_told
from clutchlight.wording import words
from clutchlight.wording.text import Name, Text, phrase

SHOWN = 24
"""The most looks that the text lists; the rest are counted, and `--json` has them all."""

WIDTH = 100
"""Columns of the text for a terminal."""

FOUR_LOCI = 4**4
"""The denominator of the shares of eggs of parents whose genotypes are known at four loci."""

NORMAL_LOOK = "normal-looking"
NONE_COUNTED = "none of the looks counted here"
UNHEARD = "The clutch that {0} hatched from is left out: what is seen of {0} says nothing of its parents or siblings."


class LookWords(Struct, frozen=True):
    """One outcome in words. `each`: its share of eggs; `eggs`: how many to expect; `carries`, `harm`: sentences, perhaps none."""

    look: str
    each: str
    eggs: str
    carries: tuple[str, ...]
    harm: tuple[str, ...]


class OddsWords(Struct, frozen=True):
    """A pairing in words: its title, how the parents are related, the looks, what it proves, and notes."""

    title: str
    kinship: str
    looks: tuple[LookWords, ...]
    rarer: str
    sums: tuple[str, ...]
    proves: tuple[str, ...]
    notes: tuple[str, ...]


def in_words(odds: Odds, answers: Answers, shown: int = SHOWN) -> OddsWords:
    """Everything that is said of a pairing."""
    collection = answers.collection
    names = [collection.animals[ident].called for ident in (odds.sire, odds.dam)]
    return OddsWords(
        f"{names[0]} with {names[1]}: {'a clutch' if odds.young is None else f'a clutch of {young_words(odds.young)}'}",
        kinship_sentences(answers, odds.sire, odds.dam, odds.inbreeding),
        tuple(_look_words(outcome, odds, collection) for outcome in odds.outcomes[:shown]),
        _rarer(odds.outcomes[shown:], odds.hatchlings),
        tuple(sum_sentence(wish, odds.hatchlings, collection.species[odds.species]) for wish in odds.sums),
        tuple(proof_sentence(proof, odds.hatchlings, collection) for proof in odds.proves if proof.says_something),
        tuple(_notes(odds, answers)),
    )


def as_text(odds: Odds, answers: Answers) -> str:
    """The lines that a terminal shows, with a line end at the end."""
    said = in_words(odds, answers)
    lines = [said.title, *wrapped(said.kinship, 2), ""]
    for look in said.looks:
        lines += wrapped(f"{look.look}: {'; '.join(part for part in (look.each, look.eggs) if part)}", 2)
        lines += [line for sentence in (*look.carries, *look.harm) for line in wrapped(sentence, 6)]
    lines += wrapped(f"{said.rarer}; --json lists them all.", 2) if said.rarer else []
    lines += section("At least these traits, whatever else it shows", said.sums)
    lines += section("What it would prove", said.proves)
    lines += section("Please note", said.notes)
    return "\n".join(lines) + "\n"


def section(heading: str, sentences: Sequence[str]) -> list[str]:
    """Lines under a heading; none where there is nothing to say."""
    return ["", heading, *(line for said in sentences for line in wrapped(said, 2))] if sentences else []


def wrapped(text: str, indent: int) -> list[str]:
    """The text in lines of at most WIDTH, all but the first two columns further in; no line for no text."""
    return wrap(
        text,
        WIDTH,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + 2),
        break_long_words=False,
        break_on_hyphens=False,
    )


# Eggs


def expected_eggs(expected: Fraction, hatchlings: Hatchlings, at_least_one: Fraction, *, harm: bool = False) -> str:
    """How many of a clutch: "Of 8 eggs, expect about 2; at least one: 65 in 100 clutches." Eggs that hatch are meant."""
    often = in_hundred(at_least_one, harm=harm)
    if expected == hatchlings.mean:
        every = f"every egg{' that hatches' if hatchlings.some_die else ''}."
        return "the one egg, for certain." if hatchlings.fixed == 1 else every
    if hatchlings.eggs is None:
        return f"expect {about(expected)} in a clutch; at least one: {often} clutches."
    return f"of {words.plural(hatchlings.eggs, 'egg')}, expect {about(expected)}; at least one: {often} clutches."


def share_of_eggs(per_egg: Fraction, of: str = "egg", *, harm: bool = False) -> str:
    """The share of eggs, exact where it is easily read: "9 in 32 eggs", "1 in 36 hatchlings"; "" for every one."""
    if per_egg == 1:
        return ""
    if not per_egg:
        return f"no {of}"
    exact = FOUR_LOCI % per_egg.denominator == 0 or (per_egg.numerator == 1 and per_egg.denominator < FOUR_LOCI)
    if exact:
        return f"{per_egg.numerator} in {per_egg.denominator} {of}s"
    return f"{in_hundred(per_egg, harm=True) if harm else words.in_count(per_egg)} {of}s"


def about(expected: Fraction) -> str:
    """How many to expect: "about 2", "2 or 3", "fewer than one"."""
    whole = int(expected)
    if expected == whole:
        return f"about {whole}"
    return "fewer than one" if not whole else f"{whole} or {whole + 1}"


def in_hundred(chance: Fraction, *, harm: bool = False) -> str:
    """A chance as clutches in a hundred, rounded down: "65 in 100", "always", "under 1 in 100"; that of harm is rounded up."""
    if chance in (0, 1):
        return "always" if chance else "never"
    return f"{of_hundred(chance, harm=harm)} in 100"


def times_in_hundred(chance: Fraction) -> str:
    """How often a clutch does something: "41 times in 100", "less than 1 time in 100"; never "every time", since any clutch can fail."""
    if chance in (0, 1):
        return "nearly every time" if chance else "never"
    often = "less than 1 time" if chance < words.ONE_PERCENT else words.plural(words.percent(chance), "time")
    return f"{often} in 100"


def of_hundred(chance: Fraction, *, harm: bool = False) -> str:
    """How many of a hundred clutches, rounded down: "65", "all", "under 1"; those with harm are rounded up."""
    if chance in (0, 1):
        return "all" if chance else "none"
    if harm:
        return f"up to {words.harm_percent(chance)}"
    return "under 1" if chance < words.ONE_PERCENT else str(words.percent(chance))


def look_name(outcome: Outcome, species: Species, normal: str = NORMAL_LOOK) -> str:
    """A look as titles have it; males and females where they differ. `normal`: what one without any is called."""
    looks = outcome.looks
    seen = any(look not in species.harmful_looks for look in looks)
    named = words.looks_words(looks, outcome.combos, species.harmful_looks) if looks else normal
    named = named if seen or not looks else f"{normal}, {named}"
    return f"{outcome.sex}, {named}" if outcome.sex else named


def _look_words(outcome: Outcome, odds: Odds, collection: Collection) -> LookWords:
    species = collection.species[odds.species]
    name = look_name(
        outcome, species, NONE_COUNTED if odds.not_computed or any(_left_out(odds, collection)) else NORMAL_LOOK
    )
    harm = harms_all(species, {*outcome.looks})
    readings = [looked(collection.animals[parent]) for parent in (odds.sire, odds.dam)]
    untold = {trait for reading in readings if reading is not None and reading.loose for trait in reading.cannot_tell}
    unwell = [key for key in odds.welfare if species.loci[key].may_trouble(outcome.looks)]
    below = tuple(f"Welfare of {words.join_or(species.loci[key].troubled)}: see below." for key in unwell)
    return LookWords(
        name[:1].upper() + name[1:],
        share_of_eggs(outcome.per_egg, harm=harm),
        expected_eggs(outcome.expected, odds.hatchlings, outcome.at_least_one, harm=harm),
        tuple(_carries(outcome, species, untold)),
        (*below, *(harm_sentence(harm) for harm in outcome.harm)),
    )


def _rarer(rest: tuple[Outcome, ...], hatchlings: Hatchlings) -> str:
    if not rest:
        return ""
    share = sum((outcome.expected for outcome in rest), Fraction(0)) / (hatchlings.eggs or hatchlings.mean)
    return f"And {words.plural(len(rest), 'other look')}, together {in_hundred(share)} eggs"


# What is behind a look


def sum_sentence(wish: Wish, hatchlings: Hatchlings, species: Species) -> str:
    """A wanted look as a sum: "Piebald Clown: 1 in 16 eggs; expect fewer than one in a clutch; at least one: 27 in 100 clutches."."""
    if not wish.any:
        return f"{' '.join(wish.looks)}: cannot come, by what is on record."
    harm = harms_all(species, {*wish.looks})
    share = share_of_eggs(wish.per_egg[0], harm=harm)
    often = expected_eggs(wish.expected, hatchlings, wish.any, harm=harm)
    return f"{' '.join(wish.looks)}: {'; '.join(part for part in (share, often) if part)}"


def _carries(outcome: Outcome, species: Species, untold: AbstractSet[str]) -> Iterator[str]:
    """What young of a look carry unseen. `untold`: traits that a parent may show, so that the young may have two copies."""
    hets, others, possible = list[str](), list[str](), list[str]()
    risks = list[Carried]()
    one_of_two = list[str]()
    twice = {*untold, *(one.trait for one in outcome.double)}
    for key, unseen in grouped((one.locus, one) for one in outcome.unseen).items():
        locus = species.loci[key]
        open_ = tuple(one for one in unseen if one.carries < 1)
        alone = _never_two(outcome, locus, open_, beside=len(open_) < len(unseen))
        for several in [
            *((one,) for one in unseen if one.carries == 1),
            *([open_] if alone else [(one,) for one in open_]),
        ]:
            if any(one.affected for one in several):
                risks += several
            elif sum(one.carries for one in several) == 1:
                if len(several) > 1:
                    one_of_two.append(f"All {'are het' if locus.called_het else 'carry'} {_each(several)}.")
                else:
                    (hets if locus.called_het and several[0].trait not in twice else others).append(_each(several))
            elif locus.affects:
                risks += several
            else:
                possible.append(_each(several))
    if hets:
        yield f"All are het {words.join_and(hets)}."
    if others:
        yield f"All carry {words.join_and(others)}."
    yield from one_of_two
    if possible:
        yield f"May carry {words.join_and(possible)}."
    for one in risks:
        yield _risk_sentence(one)
    count = sum(one.carries < 1 for one in outcome.unseen)
    if count > 1 and not risks and not one_of_two:
        yield words.sentence(words.split_words(outcome.all_possible, outcome.none_possible, count, "that look so"))
    affected = {one.trait for one in risks if one.affected}
    for one in (one for one in outcome.double if one.trait not in affected):
        often = words.in_count(one.carries)
        yield f"Two copies of {one.trait}: {often}." if one.carries < 1 else f"All have two copies of {one.trait}."
    hidden = [_traits_of(species, key) for key in outcome.hidden]
    if hidden:
        yield f"This look hides {words.join_and(hidden)}, so nothing can be seen of that."


def _risk_sentence(one: Carried) -> str:
    """How many have a disorder that their look hides, and how many carry it without having it; both are rounded up."""
    carry = words.harm_percent(one.carries - one.affected)
    if not one.affected:
        return f"Risk: up to {carry} in 100 of these carry {one.trait}."
    also = f"; up to {carry} carry it" if carry else ""
    return f"Risk: up to {words.harm_percent(one.affected)} in 100 of these are affected by {one.trait}{also}."


def _never_two(outcome: Outcome, locus: Locus, unseen: Sequence[Carried], *, beside: bool) -> bool:
    """Whether of several traits of a locus that are unseen it can have one alone: with two of them it would look otherwise, or another is
    there for certain (`beside`)."""
    if beside:
        return len(unseen) > 1
    pairs = combinations([locus.allele_number(one.trait) for one in unseen], 2)
    looks = [locus.look_of.get(pair) for pair in pairs]
    return (
        bool(looks)
        and locus.key not in outcome.hidden
        and not any(look is not None and look.issubset(outcome.looks) for look in looks)
    )


def _each(several: Sequence[Carried]) -> str:
    """ "Piebald" where it is certain; "Piebald (1 in 2)", "Albino (1 in 2) or Candy (1 in 4)"."""
    said = [one.trait if one.carries == 1 else f"{one.trait} ({words.in_count(one.carries)})" for one in several]
    return words.join_or(said)


def _traits_of(species: Species, key: str) -> str:
    return words.join_or(species.loci[key].alleles)


def harm_sentence(harm: Harm) -> str:
    """Harm said beside an outcome; its chance is rounded up."""
    often = "all of these" if harm.chance == 1 else f"up to {words.harm_percent(harm.chance)} in 100 of these"
    source = f" [{harm.source}]" if harm.source else ""
    return f"Harm: {words.harmful_together(harm.traits)}, in {often}. {words.sentence(harm.text)}{source}"


# What it proves


def proof_sentence(proof: Proof, hatchlings: Hatchlings, collection: Collection) -> str:
    """What the clutch says of one trait of one parent: the chance of a proof, and what a clutch without the trait leaves."""
    name = collection.animals[proof.animal].called
    before = (
        f"{name} is taken to carry {proof.trait}"
        if proof.now == 1
        else f"{name} may carry {proof.trait} ({words.in_count(proof.now)})"
    )
    if proof.chance is None:
        settles = "how often this would prove it is not computed"
    elif proof.chance:
        settles = f"this clutch would prove it {times_in_hundred(proof.chance)}"
    else:
        settles = "this clutch cannot prove it"
    return f"{before}; {settles}. {_if_none(proof, hatchlings.fixed)}".rstrip()


def shown_words(one: Proof | OpenQuestion) -> str:
    """A trait by every look in which the young can show it: "Amelanistic or Ultramel"."""
    return words.join_or(one.shown or (one.trait,))


def _if_none(proof: Proof, young: int | None) -> str:
    shown = shown_words(proof)
    if proof.if_none is None:
        return "" if proof.chance is None else f"There is no clutch without {shown}."
    count = "A clutch" if young is None else young_words(young)
    if proof.now == 1 and proof.chance:
        return f"{count} without {shown} would speak against that."
    if proof.if_none == proof.now:
        return f"{count} without {shown} would say nothing."
    which = "its young" if young is None else count
    return f"If none of {which} shows {shown}, a chance of {words.note_count(proof.if_none)} is left."


# Notes


def kinship_sentences(answers: Answers, sire: str, dam: str, inbreeding: Fraction) -> str:
    """How the parents are related, and what that makes of their young."""
    found = kinship_told(answers, Recorded(sire), dam, inbreeding, of="the")
    chances = AS_WRITTEN if found.by_chances else ""
    more = f" Inbreeding coefficient of their young {inbreeding}{chances}." if inbreeding else ""
    return f"{words.sentence(found.clause)}{more}"


def inbreeding_words(answers: Answers, sire: str, dam: str, inbreeding: Fraction) -> str:
    """The coefficient of the young of two; where a sire in doubt makes it, by which chances."""
    by_chances = kinship_told(answers, Recorded(sire), dam, inbreeding).by_chances
    return f"{inbreeding}{AS_WRITTEN if by_chances else ''}"


def _notes(odds: Odds, answers: Answers) -> Iterator[str]:
    collection = answers.collection
    species = collection.species[odds.species]
    if odds.hatchlings.eggs is None:
        yield hatchlings_note(usual_clutch(species), {odds.hatchlings: ""})
    yield from conditions([odds], answers)
    for problem in odds.problems:
        yield words.sentence(problem.message)
    of_all = odds.hatchlings.some_die and odds.hatchlings.eggs
    counts = "The other counts are of all eggs, those included" if of_all else "All other counts are of eggs that hatch"
    for trait, per_egg in odds.lethal:
        share = f"up to {words.harm_percent(per_egg)} in 100 eggs"
        yield f"Young with two copies of {trait} die in the egg: {share}. {counts}."
    for key in odds.background:
        traits = species.loci[key].alleles
        them = "it here but how common it is" if len(traits) == 1 else "them here but how common they are"
        yield f"{words.join_and(traits)} {words.are(len(traits))} left out: nothing speaks for {them}."
    for animal in (collection.animals[name] for name in (odds.sire, odds.dam)):
        for claim in animal.claims if animal.founder and odds.by_sex and animal.sex == species.heterogametic else ():
            if claim.came_from and not claim.withdrawn and claim.locus not in odds.sex_not_told:
                said = f"That {animal.called} has {claim.trait} from its {claim.came_from} is the seller's word"
                yield f"{said}; what is said by sex rests on it."
    for key in odds.sex_not_told:
        yield f"{_traits_of(species, key)} is sex-linked and no crossover figure is known, so no odds are given by sex."
    yield from welfare_notes([odds], species)
    apart = any(one.at_least_one != 1 - odds.hatchlings.every(1 - one.per_egg) for one in odds.outcomes)
    for parent, key in odds.phases if apart else ():
        linked = species.loci[key].sex_linked
        who, but = collection.animals[parent].called, linked.crossover if linked else None
        some = f", but for {words.in_count(but)}" if but else ""
        on = f"On which of its sex chromosomes {who} has {_traits_of(species, key)} is not certain"
        yield f"{on}: those of its young that get it are all of one sex{some}. The counts allow for that."
    if apart and odds.unsure:
        yield (
            "The eggs of one clutch share their parents: what a parent does not carry, none of them has from it. "
            "The counts allow for that."
        )


def conditions(pairs: Sequence[Odds], answers: Answers, loci: AbstractSet[str] | None = None) -> Iterator[str]:
    """What the figures of some pairs rest on and what they leave out, each said once. `loci`: those that are asked about; None: all."""
    collection = answers.collection
    parents = dict.fromkeys(name for odds in pairs for name in (odds.sire, odds.dam))
    if any(collection.animals[name].place == COMMAND_LINE for name in parents):
        yield (
            "An animal described in words is taken to be as it is described, and related to nobody here; nothing of it is written down. "
            "What a seller says is no proof."
        )
    yield from dict.fromkeys(said for odds in pairs for said in _left_out(odds, collection))
    for name in dict.fromkeys(name for odds in pairs for name in odds.apart):
        yield UNHEARD.format(collection.animals[name].called)
    for animal in (collection.animals[name] for name in parents):
        at = collection.species[animal.species].loci
        aside = [trait for key in collection.set_aside(animal) for trait in at[key].alleles]
        if aside:
            under_review = f"{words.join_and(aside)} of {animal.called} {words.are(len(aside))} under review"
            yield f"{under_review}: its look there does not count here, nor in what may harm young."
    for taken, species in dict.fromkeys((taken, odds.species) for odds in pairs for taken in odds.taken):
        at = collection.species[species].loci
        ours = {trait for key, locus in at.items() if loci is None or key in loci for trait in locus.alleles}
        rests = grouped((_how_taken(taken, trait, answers), trait) for trait in taken.traits if trait in ours)
        for how, traits in rests.items():
            yield phrase("We take {} to carry {}{}.", Name(taken.animal), words.join_and(traits), how)
    yield from _hanging(answers, tuple(parents), loci)
    for species, key, animals in dict.fromkeys((odds.species, *one) for odds in pairs for one in odds.not_computed):
        test = (
            phrase("; a test of {} would help", words.join_or([Name(animal) for animal in animals])) if animals else ""
        )
        them = _traits_of(collection.species[species], key)
        yield Text(f"{them} is {words.NOT_COMPUTED} here and takes no part", test, ".")
    for species, pair in dict.fromkeys((odds.species, pair) for odds in pairs for pair in odds.perhaps_alleles):
        if loci is None or not loci.isdisjoint(pair.loci):
            yield perhaps_alleles_sentence(pair, collection.species[species])


def kin_and_harm(odds: Odds, answers: Answers) -> str:
    """How two are related, where they are, and what is known to harm their young, each harm with its chance for one egg."""
    animals = answers.collection.animals
    related = kinship_sentences(answers, odds.sire, odds.dam, odds.inbreeding)
    harm = harm_of_pair(answers.inferred, animals[odds.sire], animals[odds.dam])
    said = [*([related] if odds.inbreeding else []), *map(pair_harm_sentence, harm)]
    return " ".join([*said, *(words.sentence(problem.message) for problem in odds.problems)])


def welfare_notes(pairs: Sequence[Odds], species: Species) -> Iterator[str]:
    for locus in (species.loci[key] for key in dict.fromkeys(key for odds in pairs for key in odds.welfare)):
        source = f" [{locus.welfare_source}]" if locus.welfare_source else ""
        yield f"Welfare of {words.join_or(locus.troubled)}: {words.sentence(locus.welfare or '')}{source}"


def _hanging(answers: Answers, parents: Sequence[str], loci: AbstractSet[str] | None) -> Iterator[str]:
    """What of them, at some loci or all, hangs on an unexpected result, or on how many snakes carry a trait unrecorded."""
    animals = answers.collection.animals
    for asked in (one for name in parents if name in animals for one in computed(answers, animals[name])):
        if not asked.carries or asked.shows or asked.background_only or not (loci is None or asked.locus.key in loci):
            continue
        who, carries = answers.named(asked.animal.id), "carries" if asked.carries == 1 else "may carry"
        if asked.unexpected():
            yield phrase("That {} {} {} rests on {}.", who, carries, asked.trait, words.UNEXPECTED)
        if asked.carries < 1 and (taking := asked.taking("now")):
            yield phrase("The chance that {} carries {} is reckoned by {}.", who, asked.trait, taking)


def _how_taken(taken: TakenAsCertain, trait: str, answers: Answers) -> Text:
    if taken.clutches:
        return Text(", ", words.no_other_male([Text("clutch ", Name(name)) for name in taken.clutches]))
    return Text(" " if taken.kind == "claim" else ", ", how_taken(answers, taken.animal, trait, taken.kind))


def perhaps_alleles_sentence(pair: PerhapsAlleles, species: Species) -> str:
    """What odds cannot know of two loci that may be one, and what clutches so far say of it."""
    one, other = (_traits_of(species, key) for key in pair.loci)
    cannot = (
        f"Whether {one} and {other} are alleles of one gene is not known. Here they count as two genes, each by itself; were they one, a "
        "young with a copy of each would show it, and these odds would differ."
    )
    if not pair.young:
        return f"{cannot} No clutch here speaks of it."
    seen = words.plural(pair.young, "hatchling")
    clutches = words.counted(pair.clutches, "clutch", "clutches")
    parents = f"{clutches} here had a parent with one and a parent with the other"
    if pair.showing:
        return f"{cannot} So far {parents}: {seen}, of which {pair.showing} {'shows' if pair.showing == 1 else 'show'} either."
    so = f"would happen {words.times(pair.none)}" if pair.none else "could not be"
    claimed = dict.fromkeys("an unlisted animal" if is_unlisted(name) else id_in_words(name) for name in pair.claimed)
    said = f", if what was said of {words.join_and(list(claimed))} is true" if claimed else ""
    return f"{cannot} So far {parents}: {seen}, none showing either; were they one gene, that {so}{said}."


def _left_out(odds: Odds, collection: Collection) -> Iterator[str]:
    """The looks of the parents that no figures are made for."""
    for name in (odds.sire, odds.dam):
        reading = looked(collection.animals[name])
        if reading is not None and reading.loose:
            loose = words.join_and(sorted(reading.loose))
            yield phrase("{} shows {}, but of which line is not known: these odds leave it out.", Name(name), loose)
    readings = [collection.animals[name].reading for name in (odds.sire, odds.dam)]
    shown = dict.fromkeys(look for reading in readings if reading is not None for look in reading.shows or ())
    for locus in collection.species[odds.species].loci.values():
        looks = [look for look in shown if look in locus.look_names]
        if looks and locus.inheritance is Inheritance.LINE_BRED:
            yield f"{words.join_and(looks)} is line-bred and comes in degrees, so no odds are given for it."
        elif looks and not locus.inheritance.computed:
            yield f"How {words.join_and(looks)} is inherited is not known, so no odds are given for it."


def mating_sentence(plan: ToProve, mating: TestMating, mate: str, below: Fraction) -> str:
    """What one mate would settle. `mate`: what it is called; `below`: the collection's `doubt_below`."""
    count = f" of {young_words(mating.young)}" if mating.young != "spread" else ""
    settles = f"settles it {times_in_hundred(mating.settles)}" if mating.settles else "cannot settle it"
    parts = [f"{mate}: a usual clutch{count} {settles}"]
    shown = words.join_or(mating.shown)
    if mating.falls_to is None:
        parts.append(f"there is no clutch without {shown}")
    elif not shown:
        parts[0] += ", by other looks alone" if mating.settles else ""
        parts = [f"{parts[0]}, since {plan.trait} cannot be told by eye in any young of this pair"]
    elif mating.falls_to == plan.now and mating.settles:
        parts = [f"{parts[0]}, by other looks too", f"a clutch without {shown} says nothing by itself"]
    elif mating.falls_to == plan.now:
        parts.append(f"a clutch without {shown} says nothing")
    else:
        parts.append(f"none {shown} would leave {words.note_count(mating.falls_to)}")
    if mating.needed is not None:
        needed = words.plural(mating.needed, "hatchling")
        they = f"that can be judged, none {shown}," if mating.hides else f"without {shown}"
        parts.append(f"{needed} {they} would bring it under {words.in_count(below)}")
    elif mating.falls_to != plan.now and shown:
        if mating.clears:
            parts[0] += ", by other looks too"
        else:
            parts.append(f"no number of hatchlings without {shown} would bring it under {words.in_count(below)}")
    misleads = []
    if 0 < mating.mate_carries < 1 and mating.misleads and shown:
        often = f"in up to {words.harm_percent(mating.misleads)} of 100 such clutches"
        misleads = [
            f"Both may carry it: {often} {plan.animal} carries {plan.trait} and none of the young shows {shown}."
        ]
    unheard = [UNHEARD.format(mating.mate)] if mating.unheard else []
    return " ".join([words.sentence("; ".join(parts)), *misleads, *unheard, *map(pair_harm_sentence, mating.harm)])


def pair_harm_sentence(harm: PairHarm) -> str:
    """Harm that young of a pair can have; its chance is rounded up."""
    often = f"up to {words.harm_percent(harm.per_egg)} in 100 eggs"
    what = f" {words.sentence(harm.text)}" if harm.text else ""
    return f"Harm in {often}: {words.harmful_together(harm.traits)}.{what}"


def bought_mate(plan: ToProve, sex: Sex) -> str:
    """What a mate that shows the trait and carries nothing else would settle, where none here settles as much; "" where one does."""
    best = plan.matings[0].settles if plan.matings else Fraction(0)
    if plan.by_a_visual is None or plan.by_a_visual <= best:
        return ""
    other = "female" if sex == "male" else "male"
    often = times_in_hundred(plan.by_a_visual)
    whom = f"a bought or borrowed {other} that shows it and carries nothing else"
    return f"with {whom}, {young_words(plan.young)} would settle it {often}"


NO_LONGER = "With both males this clutch can no longer prove it."


def backup_sentence(compared: Compared, asked: Backup, collection: Collection) -> str:
    """One trait side by side: alone, either male for the whole clutch, either male for each egg."""
    who, first = collection.animals[compared.animal].called, collection.animals[asked.male].called
    rows = [
        *([(f"if {first} sires every egg", compared.alone)] if compared.alone else []),
        ("if one of the two sires every egg", compared.one_of),
        ("if each egg may be by either", compared.mixed),
    ]
    said = "; ".join(f"{sires}, {_answer(answer)}" for sires, answer in rows)
    lost = f" {NO_LONGER}" if compared.no_longer else ""
    return f"{who}, {compared.trait}, {standing_now(compared.now)}. Of 100 clutches, how many prove it: {said}.{lost}"


def standing_now(chance: Fraction) -> str:
    """The chance of what no record forces: "2 in 3 now", "taken as certain"."""
    return "taken as certain" if chance == 1 else f"{words.in_count(chance)} now"


def _answer(answer: Answer) -> str:
    proved = words.NOT_COMPUTED if answer.chance is None else of_hundred(answer.chance)
    left = "" if answer.if_none in (None, 1) else f" ({words.note_count(answer.if_none)} left if none shows it)"
    return f"{proved}{left}"


# Hatchlings


def young_words(young: int | str) -> str:
    """How many hatchlings a figure is about: "6 hatchlings", or "a clutch" where their number is a spread."""
    return words.plural(young, "hatchling") if isinstance(young, int) else "a clutch"


def spread_words(hatchlings: Hatchlings) -> str:
    """What hatchlings are reckoned with: "5 or 6 hatchlings on average, from none to 14", "9 hatchlings"."""
    if hatchlings.fixed is not None:
        return words.plural(hatchlings.fixed, "hatchling")
    least, mean = hatchlings.chances[0][0], hatchlings.mean
    about = f"{int(mean)}" if mean.denominator == 1 else f"{int(mean)} or {int(mean) + 1}"
    some_die = ", not counting eggs that die of two copies" if hatchlings.some_die else ""
    return f"{about} hatchlings on average, from {least or 'none'} to {hatchlings.most}{some_die}"


def hatchlings_note(clutch: UsualClutch, reckoned: Mapping[Hatchlings, str]) -> str:
    """Says of a screen how many hatchlings it reckons with, of which clutches where they differ, and where that comes from."""
    (first, whose), *others = reckoned.items()
    spread = clutch.facts is not None and (clutch.facts.eggs or clutch.facts.spread_source)
    sources = (clutch.source, *([_spread_source(clutch)] if spread else []))
    said_from = "" if all(one.fixed is not None for one in reckoned) else f" ({'; '.join(sources)})"
    if not others:
        return f"We reckon with {spread_words(first)}{said_from or ' from ' + (whose or 'a clutch')}."
    more = "".join(f"; from {name} with {spread_words(one)}" for one, name in others)
    return f"From {whose} we reckon with {spread_words(first)}{more}{said_from}."


def clutch_basis(clutch: UsualClutch) -> str:
    """How a usual clutch was come by: "a usual clutch: 7 eggs, 81% hatch, so 6 hatchlings (source)"."""
    facts, hatchlings = clutch.facts, words.plural(clutch.hatchlings, "hatchling")
    if facts is None:
        return f"a usual clutch: {hatchlings} ({clutch.source})"
    hatch = f"{words.percent_text(facts.hatch_rate)} hatch" if facts.hatch_rate is not None else "all taken to hatch"
    usual = f"a usual clutch: {words.plural(facts.usual, 'egg')}, {hatch}"
    if facts.eggs is None:
        return f"{usual}, so {hatchlings} ({clutch.source})"
    spread = f"a spread from {facts.eggs.first} to {words.plural(facts.eggs.last, 'egg')}"
    return f"{usual} ({clutch.source}); {spread} ({_spread_source(clutch)})"


def _spread_source(clutch: UsualClutch) -> str:
    return (clutch.facts and clutch.facts.spread_source) or "set in the trait file"
