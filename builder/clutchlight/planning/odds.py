"""Questions about a pairing, checked: known animals, of one species, of two sexes. Its odds, those of public plans, and what a backup male
would cost the proof.

Two loci of which nobody knows whether they are one (`PerhapsAlleles`): over the clutches of a parent that surely carries one trait and a
parent that surely carries the other, how many hatchlings show either. Were they alleles, a young with one copy of each would show it: of
parents that pass them on with p and q (1/2 for one copy, 1 for two), each with p q, so that none of n shows it with (1 - p q)^n; clutches
multiply. Source: derived; complementation as a test of allelism: any genetics text.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction
from itertools import combinations

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.pairs import Together, TooManyPartsError
from clutchlight.genetics.values import NORMAL_FIGURE, Figure, GroundsKind
from clutchlight.model import (
    Animal,
    Clutch,
    Collection,
    Genotype,
    Inheritance,
    Locus,
    Reading,
    Recorded,
    Sex,
    Species,
)
from clutchlight.model.animals import hidden_loci
from clutchlight.model.private import Plan
from clutchlight.model.traits import grouped
from clutchlight.planning.hatchlings import Hatchlings, hatchlings_of, usual_clutch
from clutchlight.planning.outcomes import (
    LIMIT,
    Outcome,
    Outcomes,
    PairHarm,
    TooManyLooksError,
    deaths,
    harm_of_pair,
    hatching,
)
from clutchlight.planning.proofs import TWO_SIRES, MixedProofs, Proof, Proofs
from clutchlight.planning.room import may_be_shown, may_come_of
from clutchlight.planning.winter import ComingClutch, Wish, on_condition, wish_of
from clutchlight.problems import COMMAND_LINE, Problem, RecordsError
from clutchlight.reading.ids import animal_called

MOST_SUMS = 12
"""The most sums of looks that are made of a pairing."""


class TakenAsCertain(Struct, frozen=True):
    """Traits that a parent is taken to carry for certain. `kind`: on what grounds; `clutches`: those that no other male may have sired."""

    animal: str
    traits: tuple[str, ...]
    kind: GroundsKind
    clutches: tuple[str, ...]


class Odds(Struct, frozen=True):
    """One pairing, a clutch of `hatchlings`. Outcomes most likely first.

    `by_sex`: whether outcomes are told apart by sex. `sex_not_told`: loci (keys) known to be sex-linked for which no crossover is
    known, so that nothing is said by sex. `not_computed`: loci whose figures were too wide, with the animals whose test would split
    them; they take no part. `background`: loci of which only background frequencies speak; nor do they. `sums`: looks that several outcomes
    show, whatever else. `lethal`: traits of which two copies die in the egg, with the chance for one egg; `welfare`: loci with a trait of
    which harm is known that the young can have. `problems`: warnings, such as too many looks to list (then `outcomes` is empty).
    `unsure`: it is open what a parent has at a locus; `phases`: of which parent, at which locus, it is open only on which of its sex
    chromosomes. `apart`: parents whose own look counts for nothing in what is said of the other, to which they are related by their own
    parents.
    """

    species: str
    sire: str
    dam: str
    hatchlings: Hatchlings
    inbreeding: Fraction
    outcomes: tuple[Outcome, ...]
    proves: tuple[Proof, ...]
    sums: tuple[Wish, ...]
    by_sex: bool
    sex_not_told: tuple[str, ...]
    lethal: tuple[tuple[str, Fraction], ...]
    welfare: tuple[str, ...]
    not_computed: tuple[tuple[str, tuple[str, ...]], ...]
    perhaps_alleles: tuple[PerhapsAlleles, ...]
    problems: tuple[Problem, ...]
    background: tuple[str, ...]
    taken: tuple[TakenAsCertain, ...]
    unsure: bool
    phases: tuple[tuple[str, str], ...]
    apart: tuple[str, ...]

    @property
    def proves_taken(self) -> tuple[Proof, ...]:
        """What it can prove of what is taken as certain."""
        return tuple(proof for proof in self.proves if proof.now == 1 and proof.chance)

    @property
    def young(self) -> int | None:
        """How many hatchlings are asked about; None where it is a spread."""
        return self.hatchlings.fixed

    @property
    def drawn(self) -> int:
        """How many eggs a drawing of the clutch has: those asked about, or those to expect."""
        return self.hatchlings.eggs or max(1, round(self.hatchlings.mean))


def checked_pair(collection: Collection, one: str, other: str) -> tuple[Animal, Animal]:
    """The sire and the dam among two animals, in whichever order they are named. Raises RecordsError when they cannot be a pair.

    An animal that was never sexed is taken for the role it is named in.
    """
    sire, dam = animal_called(collection, one), animal_called(collection, other)
    if sire.sex == "female" or dam.sex == "male":
        sire, dam = dam, sire
    if sire.species != dam.species:
        his, hers = (collection.species[animal.species].name for animal in (sire, dam))
        said = f"'{sire.id}' is of the species {his}, '{dam.id}' of {hers}; name two of one species"
        raise RecordsError.at(COMMAND_LINE, "two-species-pair", said)
    said = f"'{sire.id}' is named as both sire and dam; name two animals" if sire.id == dam.id else ""
    for animal, role in ((sire, "female"), (dam, "male")):
        if animal.sex == role and not said:
            said = f"'{sire.id}' and '{dam.id}' are both {role}; name a male and a female"
    if said:
        raise RecordsError.at(COMMAND_LINE, "same-sex-pair", said)
    return sire, dam


def checked_backup(collection: Collection, female: str, male: str, backup: str) -> tuple[Animal, Animal, Animal]:
    """The female, the male and the backup. Raises RecordsError as `checked_pair` does, and when the backup is the same male."""
    sire, dam = checked_pair(collection, male, female)
    second, again = checked_pair(collection, backup, dam.id)
    if again.id != dam.id:
        said = f"'{backup}' and '{dam.id}' are both female; name a male as the backup"
        raise RecordsError.at(COMMAND_LINE, "same-sex-pair", said)
    if second.id == sire.id:
        said = f"'{backup}' is the first male already; name another as the backup"
        raise RecordsError.at(COMMAND_LINE, "same-male-twice", said)
    return dam, sire, second


def odds(inference: Inference, sire: str, dam: str, young: int | None = None, *, eggs: int | None = None) -> Odds:
    """The odds of two animals for a clutch of `young` hatchlings (left out: the spread of the species), or of `eggs`, each of which hatches
    unless a double dose kills it.

    `inference.conflicts` must be empty. Raises RecordsError when the two cannot be a pair (`unknown-animal`, `same-sex-pair`,
    `two-species-pair`), the clutch is of no size (`young-out-of-range`), or more doubts hang together than can be summed
    (`too-much-doubt`).
    """
    father, mother = checked_pair(inference.collection, sire, dam)
    species = inference.collection.species[father.species]
    together = pair_together(inference, father, mother, heard=None)
    laid = hatchlings_of(species, young) if eggs is None else replace(hatchlings_of(species, eggs), fixed=None)
    try:
        number = hatching(inference, [(father.id, Fraction(1))], mother.id, laid)
        table = Outcomes(together, number)
    except TooManyPartsError as many:
        raise too_much_doubt(father, mother, many) from many
    outcomes, problems = _listed(table)
    proofs = Proofs(together, number)
    figures = inference.figures_of(father.id, mother.id)
    apart = [parent for parent in (father, mother) if figures.stands_apart(parent.id)]
    heard = [[one] if one in apart else [] for one in (father, mother)]
    asked = [Proofs(pair_together(inference, father, mother, heard=one), number) if apart else proofs for one in heard]
    return Odds(
        species.key,
        father.id,
        mother.id,
        number,
        inference.kinship.of_pair(father.id, mother.id),
        outcomes,
        tuple(proof for member in (0, 1) for proof in proofs_of(inference, asked[member], member)),
        tuple(_sums(inference, species, ComingClutch.of(father.id, mother.id, number), outcomes)),
        table.by_sex,
        tuple(
            locus.key
            for locus in together.loci
            if locus.sex_linked and locus.sex_linked.crossover is None and _can_matter(proofs, locus)
        ),
        tuple(death for position in range(len(together.loci)) for death in deaths(together, position)),
        tuple(one.key for one in together.loci if one.welfare and _can_matter(proofs, one, one.troubled)),
        tuple((key, missing.animals) for key, missing in together.not_computed.items()),
        tuple(perhaps_alleles(inference, species, _meeting(proofs))),
        problems,
        tuple(
            key
            for key in _background(inference, father, mother)
            if any(inference.now(member, key) != NORMAL_FIGURE for member in together.members)
        ),
        tuple(_taken(inference, together.loci, [one for one in (father, mother) if one.place != COMMAND_LINE])),
        any(len(pairs) > 1 for _, _, pairs, _ in _held(together)),
        tuple((member, key) for member, key, pairs, states in _held(together) if len(pairs) == 1 < len(states)),
        tuple(one.id for one in apart),
    )


def _held(together: Together) -> Iterator[tuple[str, str, frozenset[Genotype], frozenset[int]]]:
    """For each parent and locus the genotypes that it may have, and its states, which hold the sex chromosome of each copy too."""
    for position, locus in enumerate(together.loci):
        for number, member in enumerate(together.members):
            states = frozenset(members[number] for members, chance in together.rows_at(position) if chance)
            yield member, locus.key, frozenset(together.states[position].pairs[state] for state in states), states


def _taken(inference: Inference, loci: Sequence[Locus], parents: Sequence[Animal]) -> Iterator[TakenAsCertain]:
    found = (
        ((parent.id, *how), trait)
        for parent in parents
        for locus in loci
        for allele, trait in enumerate(locus.alleles, 1)
        if (how := on_condition(inference, parent.id, locus, allele)) is not None
    )
    for (animal, kind, clutches), traits in grouped(found).items():
        yield TakenAsCertain(animal, traits, kind, clutches)


def _sums(inference: Inference, species: Species, clutch: ComingClutch, outcomes: Sequence[Outcome]) -> Iterator[Wish]:
    """Recessive looks, each and together, that more than one outcome shows; the likeliest first."""
    recessive = {
        look: None
        for outcome in outcomes
        for look in outcome.looks
        for key in species.locus_of_look[look]
        if species.loci[key].inheritance is Inheritance.RECESSIVE and not species.loci[key].affects
    }
    wanted = [
        looks
        for size in (1, 2, 3)
        for looks in combinations(recessive, size)
        if sum(set(looks) <= set(outcome.looks) for outcome in outcomes) > 1
    ]
    found = [wish for looks in wanted[:MOST_SUMS] if (wish := wish_of(inference, [clutch], [0], looks)) is not None]
    yield from sorted(found, key=lambda wish: (len(wish.looks), -wish.per_egg[0], wish.looks))


def pair_together(
    inference: Inference, sire: Animal, dam: Animal, *others: Animal, heard: Sequence[Animal] | None = ()
) -> Together:
    """The animals at the loci in play, without those of which only background frequencies speak. Other animals are further sires.

    As the figures of their young will take them; those `heard` as they are themselves; None: all of them.
    """
    members = (sire, dam, *others)
    background = _background(inference, *members)
    loci = [locus.key for locus in inference.loci_in_play(sire.species) if locus.key not in background]
    figures = inference.figures_of(*(member.id for member in members))
    roles: list[Sex] = ["male", "female"]
    roles += ["male" for _ in others]
    asked = None if heard is None else [one.id for one in heard]
    return Together(figures, [member.id for member in members], roles, loci, asked)


def too_much_doubt(sire: Animal, dam: Animal, many: TooManyPartsError) -> RecordsError:
    """What is said when the loci of a pair hang together in too many ways: it is mended in the records."""
    message = (
        f"the odds of '{sire.id}' and '{dam.id}' are not computed: doubts about sires make {', '.join(many.loci)} hang together in too "
        "many ways; name the sire of a clutch in doubt, or test one of the two"
    )
    return RecordsError.at(sire.place, "too-much-doubt", message)


def _listed(table: Outcomes) -> tuple[tuple[Outcome, ...], tuple[Problem, ...]]:
    try:
        return table.all(), ()
    except TooManyLooksError:
        message = (
            f"the young of this pair can look in more than {LIMIT:,} ways, too many to list; what the clutch would prove is given all "
            "the same"
        )
        return (), (Problem.at(COMMAND_LINE, "too-many-looks", message, "warning"),)


def _background(inference: Inference, *members: Animal) -> tuple[str, ...]:
    """The loci at which only background frequencies speak of these animals."""

    def alone_speaks(member: Animal, locus: Locus) -> bool:
        figure, alleles = inference.now(member.id, locus.key), range(1, len(locus.alleles) + 1)
        return isinstance(figure, Figure) and all(
            inference.background_only(member.id, locus.key, allele) for allele in alleles if figure.carries(allele)
        )

    loci = inference.loci_in_play(members[0].species)
    return tuple(locus.key for locus in loci if all(alone_speaks(member, locus) for member in members))


def _open_traits(inference: Inference, proofs: Proofs, member: int) -> Iterator[tuple[Fraction, int, int]]:
    """As `Proofs.open_traits`, without what is seen, or tested, of a member whose clutch is left out."""
    for now, position, allele in proofs.open_traits(member):
        about = proofs.together.members[member], proofs.together.loci[position].key, allele
        if now < 1 or inference.grounds(*about).kind not in ("look", "test"):
            yield now, position, allele


def proofs_of(inference: Inference, proofs: Proofs, member: int) -> Iterator[Proof]:
    """What the clutch says of each trait that a member may carry and that is not certain whatever anybody claimed."""
    for now, position, allele in _open_traits(inference, proofs, member):
        locus, at = proofs.together.loci[position], (member, position, allele)
        animal, trait = proofs.together.members[member], locus.alleles[allele - 1]
        shown = proofs.shown(*at)
        yield Proof(animal, locus.key, trait, now, proofs.forced(*at), proofs.if_none(*at), shown)


def _can_matter(proofs: Proofs, locus: Locus, traits: Sequence[str] = ()) -> bool:
    """Whether a parent may carry something at the locus, or one of some traits of it."""
    return any(_may_carry(proofs, member, locus, traits) for member in (0, 1))


def _may_carry(proofs: Proofs, member: int, locus: Locus, traits: Sequence[str] = ()) -> bool:
    position = proofs.together.loci.index(locus)
    return any(proofs.now(member, position, locus.allele_number(trait)) for trait in traits or locus.alleles)


def _meeting(proofs: Proofs) -> Iterator[tuple[str, str]]:
    """Loci that may be one, of which a parent may carry the one and its mate the other."""
    loci = proofs.together.loci
    may = [{locus.key for locus in loci if _may_carry(proofs, member, locus)} for member in (0, 1)]
    for locus in loci:
        for other in locus.may_be_alleles:
            if (locus.key in may[0] and other in may[1]) or (locus.key in may[1] and other in may[0]):
                yield locus.key, other


# What is public


class PublicPlan(Struct, frozen=True):
    """One female, one male. `season`: "2026/27" or "". `last`: the last day planned for. `odds`: None where the pairing is over, or they
    cannot be had. `clutches`: of the two; `instead`: those that she laid since by others. `away`: her other males that are not here now."""

    female: str
    male: str
    season: str
    odds: Odds | None
    clutches: tuple[str, ...]
    over: bool
    last: date
    instead: tuple[str, ...]
    away: tuple[str, ...] = ()


def public_plans(inference: Inference, plans: Iterable[Plan]) -> tuple[PublicPlan, ...]:
    """The public ones of two animals that may be named, by female and male; of those to come, where both are here.

    A pair stands once: with the first plan that is still to come, else with the last.
    """
    found: dict[tuple[str, str], PublicPlan] = {}
    for plan in sorted(plans, key=lambda plan: plan.start.first if plan.start else date.min):
        for male in plan.males if plan.public else ():
            if may_be_shown(inference.collection, plan, male, over=True):
                shown, pair = _public(inference, plan, male), (plan.female, male)
                known = found.get(pair)
                if may_be_shown(inference.collection, plan, male, over=shown.over) and (known is None or known.over):
                    found[pair] = shown
    return tuple(found[pair] for pair in sorted(found))


def expected_of(inference: Inference) -> Mapping[str, Odds]:
    """The odds of clutches that lie in the incubator, of their good eggs by the record (the log is private), where one male sired them."""
    found: dict[str, Odds] = {}
    for clutch in inference.collection.clutches.values():
        sire = clutch.sires.certain
        if clutch.publish == "no" or clutch.laid is None or clutch.over or sire is None:
            continue
        usual = usual_clutch(inference.collection.species[clutch.species]).hatchlings
        eggs = usual if clutch.good_eggs is None else clutch.good_eggs
        pairing = _odds_or_none(inference, clutch.dam, sire, eggs) if eggs > 0 else None
        if pairing is not None:
            found[clutch.id] = pairing
    return found


def _public(inference: Inference, plan: Plan, male: str) -> PublicPlan:
    collection = inference.collection
    clutches = tuple(_clutches(inference, plan, male))
    instead = () if clutches or plan.start is None else tuple(_clutches(inference, plan, None))
    over = bool(clutches or instead) or plan.result is not None
    usual = usual_clutch(collection.species[collection.animals[plan.female].species]).hatchlings
    expected = None if over else _odds_or_none(inference, plan.female, male, usual)
    others = (name for name in plan.males if name != male and may_be_shown(collection, plan, name, over=True))
    away = tuple(name for name in others if not over and not collection.animals[name].here)
    return PublicPlan(plan.female, male, _season_of(plan), expected, clutches, over, plan.last, instead, away)


def _odds_or_none(inference: Inference, female: str, male: str, eggs: int) -> Odds | None:
    try:
        return odds(inference, male, female, eggs=eggs)
    except RecordsError:
        return None


def _clutches(inference: Inference, plan: Plan, male: str | None) -> Iterable[str]:
    """Listed clutches of the two, of hers by whomever without a male, that may be of the plan; without a beginning, any that was laid.

    None that what hatched shows to be by another male.
    """
    for clutch in inference.collection.clutches.values():
        by = male is None or (male in clutch.sires.ids and Recorded(male) in inference.possible_sires(clutch.id))
        ours = clutch.publish != "no" and clutch.dam == plan.female and by
        if ours and clutch.laid is not None and may_come_of(plan, clutch.laid.last):
            yield clutch.id


def _season_of(plan: Plan) -> str:
    years = sorted({when.last.year for when in (plan.start, plan.until) if when is not None})
    if len(years) == 2 and years[1] == years[0] + 1:
        return f"{years[0]}/{years[1] % 100:02d}"
    return str(years[0]) if len(years) == 1 else ""


# Two loci that may be one


class PerhapsAlleles(Struct, frozen=True):
    """Two loci that may be one. `none`: how likely no young would show either, were they one, if what was said of `claimed` is true."""

    loci: tuple[str, str]
    clutches: int
    young: int
    showing: int
    none: Fraction
    claimed: tuple[str, ...] = ()


def perhaps_alleles(
    inference: Inference, species: Species, keys: Iterator[tuple[str, str]]
) -> Iterator[PerhapsAlleles]:
    """What is known of each pair of loci."""
    for one, other in sorted({(min(pair), max(pair)) for pair in keys}):
        yield _told_by_clutches(inference, species, species.loci[one], species.loci[other])


def _told_by_clutches(inference: Inference, species: Species, one: Locus, other: Locus) -> PerhapsAlleles:
    clutches = young = showing = 0
    none, claimed = Fraction(1), dict[str, None]()
    for clutch in inference.collection.clutches.values():
        counts = clutch.species == species.key and clutch.counts_at(one.key) and clutch.counts_at(other.key)
        together = _gets_both(inference, clutch, one, other) if counts else Fraction(0)
        seen = [reading for reading in _readings(inference, clutch) if _can_be_told(reading, species, one, other)]
        if together and seen:
            clutches += 1
            young += len(seen)
            looks = {*one.look_names, *other.look_names}
            showing += sum(not looks.isdisjoint(reading.shows or ()) for reading in seen)
            none *= (1 - together) ** len(seen)
            claimed.update(dict.fromkeys(name for name in clutch.parents if _by_claim(inference, name, one, other)))
    return PerhapsAlleles((one.key, other.key), clutches, young, showing, none, tuple(claimed))


def _by_claim(inference: Inference, animal: str, *loci: Locus) -> bool:
    """Whether it has an allele of one of these loci by somebody's word."""
    return any(
        inference.grounds(animal, locus.key, allele).kind == "claim"
        for locus in loci
        for allele in range(1, len(locus.alleles) + 1)
    )


def _gets_both(inference: Inference, clutch: Clutch, one: Locus, other: Locus) -> Fraction:
    """The chance that a young got a copy of each from different parents; 0 where it is not certain that either could."""
    sire = clutch.sires.certain
    parents = ((sire, clutch.dam), (clutch.dam, sire)) if sire is not None else ()
    both = (_passes(inference, first, one) * _passes(inference, second, other) for first, second in parents)
    return max(both, default=Fraction(0))


def _passes(inference: Inference, animal: str, locus: Locus) -> Fraction:
    """The chance that it passes on a mutant allele, where its copies are certain; else 0."""
    figure = inference.now(animal, locus.key)
    if not isinstance(figure, Figure) or len(figure.genotypes) != 1:
        return Fraction(0)
    ((pair, _),) = figure.genotypes
    return Fraction(sum(map(bool, pair)), 2)


def _readings(inference: Inference, clutch: Clutch) -> Iterator[Reading]:
    for name in clutch.young:
        reading = inference.collection.animals[name].reading
        if reading is not None:
            yield reading
    for row in clutch.tally:
        yield from [row.reading] * row.count


def _can_be_told(reading: Reading, species: Species, one: Locus, other: Locus) -> bool:
    """Whether its look can be told at both loci."""
    told = {key for name in reading.cannot_tell for key in species.locus_of_look.get(name, ())}
    return reading.shows is not None and (told | hidden_loci(reading, species)).isdisjoint((one.key, other.key))


# A backup male


class Answer(Struct, frozen=True):
    """The chance that the clutch forces the trait (None: not computed), and the trait's chance after a clutch without it."""

    chance: Fraction | None
    if_none: Fraction | None


class Compared(Struct, frozen=True):
    """One trait of one parent: with the first male alone (None for the backup himself), and with both in the two ways."""

    animal: str
    trait: str
    now: Fraction
    alone: Answer | None
    one_of: Answer
    mixed: Answer

    @property
    def no_longer(self) -> bool:
        """Whether the backup takes away every chance of the proof that the first male alone would have given."""
        return bool(self.alone and self.alone.chance and self.one_of.chance == 0 and self.mixed.chance == 0)


class Backup(Struct, frozen=True):
    """What a clutch would prove, side by side: female's traits first, then the male's, then the backup's.

    `inbreeding`: Wright's F of young by the backup; `harm`: what is known to harm them. `as_many`: whether as many hatch by either male;
    where not, the figures with both take the mean, whoever sired.
    """

    male: str
    backup: str
    hatchlings: Hatchlings
    inbreeding: Fraction
    harm: tuple[PairHarm, ...]
    as_many: bool
    compared: tuple[Compared, ...]


def backup(inference: Inference, female: str, male: str, second: str, young: int | None = None) -> Backup:
    """What a second male in rotation would cost the proof. Raises RecordsError as `odds` does.

    For each parent and trait not certain already, what a clutch would prove: with the first male alone; with a backup, when either may have
    sired all of it; and when either may have sired each egg. Both are equally likely, as `sire: [M, B]` and `sire: {mixed: [M, B]}` are
    read.
    """
    dam, sire, other = checked_backup(inference.collection, female, male, second)
    number = hatchlings_of(inference.collection.species[dam.species], young)
    together = pair_together(inference, sire, dam, other)
    try:
        together.groups  # noqa: B018 - asked for here, so that its refusal has the names of the pair
        his, others, theirs = (
            hatching(inference, [(male, Fraction(1, len(males))) for male in males], dam.id, number)
            for males in ((sire.id,), (other.id,), (sire.id, other.id))
        )
        harm = harm_of_pair(inference, other, dam)
    except TooManyPartsError as many:
        raise too_much_doubt(sire, dam, many) from many
    compared = []
    for member, animal in ((1, dam), (0, sire), (2, other)):
        apart = inference.figures_of(dam.id, sire.id, other.id).stands_apart(animal.id)
        asked = pair_together(inference, sire, dam, other, heard=[animal]) if apart else together
        alone, both = Proofs(asked, his), Proofs(asked, theirs, TWO_SIRES)
        mixed = MixedProofs(asked, theirs, TWO_SIRES)
        for now, position, allele in _open_traits(inference, alone, member):
            trait, at = together.loci[position].alleles[allele - 1], (member, position, allele)
            without = None if member == 2 else _answer(alone, *at)
            compared.append(Compared(animal.id, trait, now, without, _answer(both, *at), _answer(mixed, *at)))
    related = inference.kinship.of_pair(other.id, dam.id)
    return Backup(sire.id, other.id, number, related, harm, his == others, tuple(compared))


def _answer(proofs: Proofs, member: int, locus: int, allele: int) -> Answer:
    return Answer(proofs.forced(member, locus, allele), proofs.if_none(member, locus, allele))
