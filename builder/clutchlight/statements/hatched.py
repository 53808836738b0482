"""What a clutch showed of a trait, by which mate, and whether that tells its sires apart; and the words for it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.terms import gathered
from clutchlight.genetics.values import NORMAL_FIGURE, Event, Figure, NotComputed
from clutchlight.model import NOBODY, Clutch, Genotype, Locus, Reading, Recorded, Sire
from clutchlight.model.animals import genotypes_left
from clutchlight.model.traits import reached
from clutchlight.statements.answers import Answers, kept, looked
from clutchlight.statements.asked import Asked, shown_by
from clutchlight.wording import words

HALF = Fraction(1, 2)
THREE_QUARTERS = Fraction(3, 4)


class Hatch(Struct, frozen=True):
    """What a clutch showed of one allele: eggs whose look tells at the locus (twins once), how many of them show it, and as what.

    `look`: the one name under which all of them show it ("Candino" for Albino with Candy), else the trait. `looks`: how many under each
    name, where there are several; of a locus with several alleles, every look of it, whichever alleles it needs. `read`: eggs of which a
    look there was seen. `others`: eggs that hatched but whose look says nothing there: still to be looked at, or hidden by another look.
    `twins`: hatchlings beyond one for each egg. `whole`: all of the clutch is on record. `unread`: of the `others`, those at which nobody
    has looked; `read_since`: some of them were looked at later. `of_both`: of those that show it, how many have two copies of it by
    their look alone.
    """

    seen: int
    showing: int
    look: str
    others: int = 0
    twins: int = 0
    looks: tuple[tuple[str, int], ...] = ()
    also_read: int = 0
    whole: bool = True
    unread: int = 0
    read_since: bool = False
    of_both: int = 0

    @property
    def read(self) -> int:
        return self.seen + self.also_read

    @property
    def hatched(self) -> int:
        return self.read + self.others

    @property
    def named(self) -> tuple[str, ...]:
        """The looks that its words name."""
        return tuple(look for look, _ in self.looks) or ((self.look,) if self.read else ())

    @property
    def told(self) -> tuple[str, int]:
        """Its one name and how many have it; the trait and how many show it where names differ."""
        return self.looks[0] if len(self.looks) == 1 else (self.look, self.showing)

    @property
    def noun(self) -> str:
        """What is counted: eggs where there are twins, which are one of evidence."""
        return "egg" if self.twins else "hatchling"


def hatch_of(asked: Asked, clutch: Clutch, day: date = date.max) -> Hatch:
    """Counts young and tallied hatchlings whose look was read there by a day and counts."""
    return _hatch_of(asked.answers, clutch.id, asked.locus.key, asked.allele, day)


def proof_of(asked: Asked, clutch: Clutch) -> Hatch:
    """The same as the ground of a proof: of several looks that alone which takes two copies, where it is among them."""
    hatch, (own, trait) = hatch_of(asked, clutch), (asked.allele, asked.trait)
    showing = dict(hatch.looks).get(trait, 0) if len(hatch.looks) > 1 else 0
    alone = asked.plain and asked.locus.looks.get(frozenset((trait,)), ()) == ((own, own),)
    return replace(hatch, look=trait, looks=(), showing=showing) if showing and alone else hatch


@kept
def _hatch_of(answers: Answers, clutch_id: str, key: str, allele: int, day: date) -> Hatch:
    clutch = answers.collection.clutches[clutch_id]
    species = answers.collection.species[clutch.species]
    locus = species.loci[key]
    trait = locus.alleles[allele - 1]
    if not clutch.counts_at(locus.key):
        return Hatch(0, 0, trait)
    readings: dict[str, Reading | None] = {}
    young = [answers.collection.animals[name] for name in clutch.young]
    for record in young:
        egg = record.egg or record.id
        readings[egg] = readings.get(egg) or looked(record, day)
    counted = [(reading, 1) for reading in readings.values()] + [(tally.reading, tally.count) for tally in clutch.tally]
    several = len(locus.alleles) > 1
    seen = read = showing = of_both = 0
    own, looks = Counter[str](), Counter[str]()
    for reading, count in counted:
        left = genotypes_left(reading, locus, species)
        shows = shown_by(left, locus, allele)
        common = frozenset.intersection(*(locus.look_of[pair] for pair in left)) if left else frozenset()
        name = " ".join(sorted(common)) or (trait if shows else "")
        seen += count if left and shows is not None else 0
        read += count if name or (left and shows is not None) else 0
        if shows:
            showing += count
            own[name] += count
            of_both += count if left == ((allele, allele),) else 0
        if name and (shows or several):
            looks[name] += count
    others = sum(count for _, count in counted) + clutch.to_sort - read
    look = next(iter(own)) if len(own) == 1 else trait
    listed = tuple(looks.items()) if len(looks) > (0 if several else 1) else ()
    if locus.affects:
        look, listed = words.affected_words([look]), tuple((words.affected_words([one]), many) for one, many in listed)
    twins = len(clutch.young) - len(readings)
    unread = clutch.to_sort + sum(count for reading, count in counted if reading is None)
    since = any(looked(record) and not looked(record, day) for record in young)
    return Hatch(seen, showing, look, others, twins, listed, read - seen, clutch.complete, unread, since, of_both)


# The mate


def mate_in(clutch: Clutch | None, animal: str) -> str | None:
    """The other parent, when both parents are known for certain and this animal is one of them."""
    sire = clutch.sires.certain if clutch else None
    if clutch is None or sire is None:
        return None
    return {clutch.dam: sire, sire: clutch.dam}.get(animal)


def chance_of_a_miss(mate: Figure | NotComputed, allele: int) -> Fraction | None:
    """The chance that a het's egg by this mate does not show the trait: 1/2 with two copies, 3/4 with one; None when that is in doubt."""
    if not isinstance(mate, Figure) or any(0 < low < high for (low, high), _ in mate.genotypes):
        return None  # young of one with two different alleles also show both together
    _none, one, two = mate.copies(allele)
    return HALF if two == 1 else THREE_QUARTERS if one == 1 else None


def mate_words(mate: Asked, figure: Figure | None, day: date = date.max) -> str:
    """A mate by its look of a day, or by what it carried then: "a Candino mate", "a mate that was said to be het Piebald"; else ""."""
    if figure and mate.showed(figure, day):
        return f"{words.an(' '.join(mate.answers.looks_in(looked(mate.animal, day), mate.animal, mate.locus)))} mate"
    if figure is None or not (carries := figure.carries(mate.allele)):
        return ""
    het = mate.het and not figure.copies(mate.allele)[2]
    if carries < 1:
        return words.Label("", "a mate that may be het", mate.trait) if het else f"a mate that may carry {mate.trait}"
    if mate.carries != 1 or mate.on_trust or mate.shows:
        taken = "said" if mate.every_claim else "taken"
        return f"a mate that was {taken} to {'be het' if het else 'carry'} {mate.trait}"
    return f"a het {mate.trait} mate" if het else f"a mate that carries {mate.trait}"


# What tells sires apart


def telling(asked: Asked, clutch: Clutch | None, day: date = date.max) -> tuple[Asked, ...]:
    """What the looks by a day of a clutch with sires in doubt say that bears on a trait, each asked of the same animal.

    The trait itself, where its looks weigh at all, and those of other loci that tell the males apart. () where the sire is no doubt.
    A locus tells where a look that was seen there is more to be expected of the young of one male than of another's, by what was known of
    the parents before they hatched. Copies handed on are taken one by one, off the sex chromosomes: it orders reasons, no more.
    """
    if clutch is None or len(clutch.sires.candidates) == 1 or clutch.hatched is None:
        return ()
    answers = asked.answers
    return tuple(
        Asked(answers, asked.animal, locus, allele)
        for locus, allele, apart in _looks_that_weigh(answers, clutch, day)
        if (allele == asked.allele if locus.key == asked.locus.key else apart)
    )


def telling_of_others(asked: Asked, clutch: Clutch, event: Event) -> tuple[tuple[Asked, ...], tuple[str, ...]]:
    """The same of a clutch whose looks say nothing of the trait itself: by what it tells who sired clutches of their kin, and which."""
    answers, animal = asked.answers, asked.animal
    homes = sorted({home for name in (animal.id, *clutch.parents) for home in _of_several_sires(answers, name)})
    weigh = _looks_that_weigh(answers, clutch, event.on) if homes else ()
    if any(locus.key == asked.locus.key for locus, _, _ in weigh):
        return (), ()
    found = [
        (locus, allele, [home for home in homes if _sires_apart(answers, home, locus.key, event)])
        for locus, allele, _ in weigh
    ]
    told = tuple(Asked(answers, animal, locus, allele) for locus, allele, whose in found if whose)
    return told, tuple(dict.fromkeys(home for _, _, whose in found for home in whose))


@kept
def _of_several_sires(answers: Answers, animal: str) -> tuple[str, ...]:
    """The clutches in which it or a forebear hatched, or that one of them bred, with several sires on record."""
    animals, clutches, bred = answers.collection.animals, answers.collection.clutches, answers.collection.clutches_of
    kin = reached((animal,), answers.parents)
    homes = {home for name in kin for home in (animals[name].clutch, *bred.get(name, ())) if home}
    return tuple(home for home in homes if len(clutches[home].sires.candidates) > 1)


@kept
def _sires_apart(answers: Answers, clutch: str, key: str, event: Event) -> bool:
    """Whether those who may have sired a clutch do not all hand on the same, by what was known before an event."""
    record = answers.collection.clutches[clutch]
    locus = answers.collection.species[record.species].loci[key]
    sires = (sire for sire, _ in record.sires.candidates)
    return len({sire == NOBODY or frozenset(_handed_on(answers, sire, locus, event).items()) for sire in sires}) > 1


def _looks_that_weigh(answers: Answers, clutch: Clutch, day: date) -> tuple[tuple[Locus, int, bool], ...]:
    return answers.once(("telling", clutch.id, day), lambda: tuple(_each_that_weighs(answers, clutch, day)))


def _each_that_weighs(answers: Answers, clutch: Clutch, day: date) -> Iterator[tuple[Locus, int, bool]]:
    """The alleles whose looks were seen and not certain beforehand, and whether they are likelier by one male than by another."""
    event = next((event for event in answers.events_of(clutch.id) if event.kind == "hatching"), None)
    readings = [
        *(looked(answers.collection.animals[name], day) for name in clutch.young),
        *(tally.reading for tally in clutch.tally),
    ]
    species = answers.collection.species[clutch.species]
    for locus in answers.loci(clutch.species):
        if event is None or not clutch.counts_at(locus.key):
            continue
        dam = _handed_on(answers, Recorded(clutch.dam), locus, event)
        males = [
            None if sire == NOBODY else _handed_on(answers, sire, locus, event) for sire, _ in clutch.sires.candidates
        ]
        expected = [_of_young(dam, male) for male in males]
        seen = {left for reading in readings if (left := genotypes_left(reading, locus, species))}
        chances = [[sum(one.get(pair, Fraction(0)) for pair in left) for one in expected] for left in sorted(seen)]
        if all(chance == 1 for row in chances for chance in row):
            continue
        apart = any(len(set(row)) > 1 for row in chances)
        for allele in range(1, len(locus.alleles) + 1):
            known = any(allele in pair for one in expected for pair in one)
            if known or any(shown_by(left, locus, allele) for left in seen):
                yield locus, allele, apart


def _handed_on(answers: Answers, parent: Sire, locus: Locus, event: Event) -> Mapping[int, Fraction]:
    """What a parent hands on, by what was known of it before an event; one that is not on record nothing but the normal allele."""
    figure: Figure | None = None
    if isinstance(parent, Recorded):
        figure = Asked(answers, answers.collection.animals[parent.id], locus, 1).figure_before(event)
    genotypes = (figure or NORMAL_FIGURE).genotypes
    return gathered((allele, chance / 2) for pair, chance in genotypes for allele in pair)


def _of_young(by_dam: Mapping[int, Fraction], by_sire: Mapping[int, Fraction] | None) -> Mapping[Genotype, Fraction]:
    """The genotypes of a young that gets these, with their chances; without a male both copies are the same."""
    return gathered(
        ((min(allele, other), max(allele, other)), chance * beside)
        for allele, chance in by_dam.items()
        for other, beside in ({allele: Fraction(1)} if by_sire is None else by_sire).items()
    )


# In words


def showing_words(hatch: Hatch, of: str = "") -> str:
    """ "none Piebald", "two Piebald", "both Piebald", after the number of hatchlings; "Piebald" for the only one.

    `of`: " of them" after their number.
    """
    look, showing = hatch.told
    if len(hatch.looks) > 1:
        return words.join_and(each_look(hatch, of))
    if hatch.read == 1:
        return look if showing else f"not {look}"
    if showing == hatch.read:
        return f"{'both' if showing == 2 else 'all'}{of} {look}"
    none = "neither" if hatch.read == 2 else "none"
    return f"{words.number(showing) if showing else none}{of} {look}"


def each_look(hatch: Hatch, of: str = "") -> list[str]:
    """ "one Amelanistic" and "two Ultramel"."""
    numbered = enumerate(hatch.looks)
    return [f"{words.number(count)}{'' if place else of} {look}" for place, (look, count) in numbered]


def hatchlings_words(hatch: Hatch, paired: str = "", beside: Sequence[Hatch] = ()) -> str:
    """After a parent or a clutch: "with a Piebald mate had six hatchlings, none of them Piebald".

    `paired`: "with" and the mate and a blank, or "". `beside`: what the same clutch showed of other traits. Where twins came of one egg,
    eggs are counted.
    """
    noun = hatch.noun if hatch.whole else f"recorded {hatch.noun}"
    hatchlings = f"{paired}had {words.counted(hatch.hatched, noun)}"
    lead = ", which is " if hatch.hatched == 1 else ", "
    read = [one for one in (hatch, *beside) if one.read]
    if not read:
        return f"{hatchlings} (none {_judged(hatch, 1)})"
    if beside:
        _, *more = dict.fromkeys(said for one in read for said in _of_those_told(one))
        return f"{hatchlings}{lead}{words.join_and([_of_those_told(read[0], ' of them')[0], *more])}"
    if hatch.others:
        it_is = "it is " if hatch.read == 1 else ""
        return f"{hatchlings} ({words.number(hatch.read)} {_judged(hatch, hatch.read)}: {it_is}{showing_words(hatch)})"
    if hatch.twins:
        gave = hatch.looks if len(hatch.looks) > 1 else (hatch.told,)
        if hatch.hatched == 1:
            return f"{hatchlings}, which gave {'' if hatch.showing else 'no '}{hatch.told[0]} young"
        each = [f"{words.number(count) if count else 'none'} gave {look} young" for look, count in gave]
        return f"{hatchlings}, of which {words.join_and(each)}"
    return f"{hatchlings}{lead}{showing_words(hatch, ' of them')}"


def _judged(hatch: Hatch, count: int) -> str:
    """Why the words are about `count` of its hatchlings alone: at the others nobody has looked, or their look does not tell."""
    if hatch.unread != hatch.others:
        return "could be judged"
    return f"{'had' if hatch.read_since else 'has' if count == 1 else 'have'} been looked at"


def _of_those_told(hatch: Hatch, of: str = "") -> list[str]:
    """ "none of them Piebald", "one Piebald of the three that could be judged"; of several looks each by itself."""
    if not hatch.others:
        return each_look(hatch, of) if len(hatch.looks) > 1 else [showing_words(hatch, of)]
    told = "the one" if hatch.read == 1 else f"the {words.number(hatch.read)}"
    count = words.number(hatch.showing) if hatch.showing else "none"
    said = words.join_and(each_look(hatch)) or f"{count} {hatch.look}"
    return [f"{said} of {told} that {_judged(hatch, hatch.read)}"]


def hatched_words(hatch: Hatch) -> str:
    """ "two of the six hatchlings are Piebald", "the only hatchling is Piebald"."""
    look, showing = hatch.told
    many = words.number(showing) if showing else "none"
    recorded = "" if hatch.whole else " on record"
    hatchlings = f"{hatch.noun}s{recorded}"
    if len(hatch.looks) > 1:
        (first, count), *rest = hatch.looks
        each = [f"{words.number(count)} {words.are(count)} {first}"]
        each += [f"{words.number(others)} {other}" for other, others in rest]
        judged = f", of which {words.number(hatch.read)} {_judged(hatch, hatch.read)}" if hatch.others else ""
        return f"of the {words.number(hatch.hatched)} {hatchlings}{judged}, {words.join_and(each)}"
    if hatch.others:
        read = f"{words.number(hatch.read)} of the {words.number(hatch.hatched)} {hatchlings}"
        return f"{read} {_judged(hatch, hatch.read)}; {many} {words.are(showing or 1)} {look}"
    if hatch.read == 1:
        return f"the only {hatch.noun}{recorded} is {'' if showing else 'not '}{look}"
    if showing == hatch.read == 2:
        return f"both {hatchlings} are {look}"
    of = f"{many} of the {words.number(hatch.read)} {hatchlings}"
    return f"{of} gave {look} young" if hatch.twins else f"{of} {words.are(showing or 2)} {look}"
