"""Figures in words: the one place where a chance becomes a percentage, a count or a label.

Convention: a percentage or a count in 100 is rounded down, so that it never claims more than the exact figure; a chance of harm is
rounded up, so that it never claims less. Thresholds are never compared here. Nothing here knows a collection.

>>> percent(Fraction(2, 3)), in_count(Fraction(2, 3)), in_count(Fraction(27, 59))
(66, '2 in 3', 'about 45 in 100')
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction
from math import lcm
from typing import Final, Self

from clutchlight.genetics.values import Figure, Grounds, GroundsKind
from clutchlight.model import NORMAL, Genotype, Inheritance, Locus, Sex
from clutchlight.wording.text import Name, Text, joined, parts_of, phrase

CERTAIN: Final = Fraction(1)
NEVER: Final = Fraction(0)
ONE_PERCENT: Final = Fraction(1, 100)

PLAIN_UP_TO: Final = 20
"""The largest denominator that is said as it is beside a percentage."""

FAMILIAR_UP_TO: Final = 10
"""The largest denominator that a note says as it is; notes set a before beside an after, which compare more easily in hundreds."""

UNDER_REVIEW: Final = "records under review"
UNEXPECTED: Final = "an unexpected result: a parent carries more than was recorded, or the parentage needs checking"
BY_IT: Final = "resting on an unexpected result"
"""The condition of a figure that is another without one."""
NOT_COMPUTED: Final = "not computed"

_NUMBERS: Final = (
    *("no", "one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)
_MULTIPLE: Final = {2: "double", 3: "triple", 4: "quadruple"}


# Chances as percentages


def percent(chance: Fraction) -> int:
    """The whole percentage, rounded down: 2/3 is 66."""
    return int(chance * 100)


def percent_text(chance: Fraction) -> str:
    """The percentage as it is printed: "66%", "under 1%" for a small chance that is not nothing."""
    return "under 1%" if NEVER < chance < ONE_PERCENT else f"{percent(chance)}%"


def harm_percent(chance: Fraction) -> int:
    """The whole percentage of a chance of harm, rounded up: 1/3 is 34."""
    return -int(-chance * 100 // 1)


def harm_percent_text(chance: Fraction) -> str:
    """A chance of harm as it is printed; "over 99%" for one that is nearly, not quite, certain."""
    return "over 99%" if 1 - ONE_PERCENT < chance < CERTAIN else f"{harm_percent(chance)}%"


def fraction_text(chance: Fraction) -> str:
    """The exact fraction where a reader can take it in, else about how much it is: "1/8", "about 46 in 100"."""
    return str(chance) if chance.denominator < 1_000_000 else in_count(chance)


# Chances as counts


def in_count(chance: Fraction) -> str:
    """What stands beside a percentage: "2 in 3" while the denominator is at most 20, else "about 46 in 100"."""
    if chance in (NEVER, CERTAIN):
        return "certain" if chance else "none"
    if chance.denominator <= PLAIN_UP_TO:
        return f"{chance.numerator} in {chance.denominator}"
    return f"about {percent(chance)} in 100" if chance >= ONE_PERCENT else "under 1 in 100"


def note_count(chance: Fraction) -> str:
    """A chance as notes say it: "2 in 3", "just under 6 in 100", "just over 46 in 100", "7 in 100"."""
    if chance.denominator <= FAMILIAR_UP_TO or chance < ONE_PERCENT:
        return in_count(chance)
    if chance > 1 - ONE_PERCENT:
        return "over 99 in 100"
    whole, rest = divmod(chance * 100, 1)
    if not rest:
        return f"{whole} in 100"
    return f"just over {whole} in 100" if rest < Fraction(1, 2) else f"just under {whole + 1} in 100"


def times(chance: Fraction) -> str:
    """How often something happens: "1 time in 32", "3 times in 4", "about 42 times in 100"."""
    if chance.numerator == 1 and chance.denominator > 1:
        return f"1 time in {chance.denominator:,}"
    if chance.denominator <= PLAIN_UP_TO:
        return f"{chance.numerator} times in {chance.denominator}" if chance < CERTAIN else "every time"
    whole = percent(chance)
    return f"about {plural(whole, 'time')} in 100" if whole else "under 1 time in 100"


def carry_sentence(chance: Fraction) -> str:
    """The chance of carrying as snakes: "Of every 3 snakes like this one, 2 carry it." Empty for certain and for nothing."""
    if chance in (NEVER, CERTAIN):
        return ""
    if chance.denominator <= PLAIN_UP_TO:
        return f"Of every {chance.denominator} snakes like this one, {chance.numerator} {_carry(chance.numerator)} it."
    if chance < ONE_PERCENT:
        return "Fewer than 1 in 100 snakes like this one carries it."
    whole = percent(chance)
    return f"Of every 100 snakes like this one, about {whole} {_carry(whole)} it."


def _carry(count: int) -> str:
    return "carries" if count == 1 else "carry"


def split_words(every: Fraction, none: Fraction, of: int, whom: str) -> str:
    """How several possible traits fall out together: "of every 9 snakes like this one, 4 carry both, 4 only one, 1 neither".

    What cannot be is left out.
    """
    some = 1 - every - none
    if some == CERTAIN:
        return f"all {whom} carry {'exactly one of the two' if of == 2 else f'at least one, and none of them all {number(of)}'}"
    whole = lcm(every.denominator, some.denominator, none.denominator)
    whole = whole if whole <= PLAIN_UP_TO else 100
    one = "only one" if every else "one of the two"
    names = ("both", one, "neither") if of == 2 else ("all", "some", "none")
    said = [(chance * whole, name) for name, chance in zip(names, (every, some, none), strict=True) if chance]
    shares = [
        f"{_share(share)}{'' if place else f' {_carry(max(1, int(share)))}'} {name}"
        for place, (share, name) in enumerate(said)
    ]
    if len(said) > 1 and any(share.denominator > 1 for share, _ in said) and said[-1][0] > 1:
        shares[-1] = f"the rest {said[-1][1]}"  # rounded down, they would not come to the whole
    return f"of every {whole} {whom}, {', '.join(shares)}"


def _share(share: Fraction) -> str:
    if share < 1:
        return "fewer than 1"
    return str(share) if share.denominator == 1 else f"about {int(share)}"


# Labels, as figures#labels has them

HET: Final = "het"
POSSIBLE_HET: Final = "possible het"
POSSIBLE_HET_OR_VISUAL: Final = "possible het or visual"
POSSIBLE_VISUAL: Final = "possible visual"
CARRIES: Final = "carries"
CARRIES_TWO: Final = "carries two copies of"
AFFECTED: Final = "affected by"
MAY_BE_AFFECTED: Final = "chance that it is affected by"
MAY_CARRY: Final = "chance that it carries"


_BESIDE: Final = {
    "": "shows it",
    CARRIES: "carries it",
    CARRIES_TWO: "carries two copies",
    AFFECTED: "affected",
    MAY_BE_AFFECTED: "chance that it is affected",
    MAY_CARRY: "chance that it carries it",
}


class Label(Text):
    """What is said of one trait, in its parts: "66%", "possible het", "Piebald", then what comes after a comma."""

    __slots__ = ("condition", "figure", "lead", "name")
    figure: str
    lead: str
    name: str
    condition: str

    def __new__(cls, figure: str = "", lead: str = "", name: str = "", condition: str = "") -> Self:
        words = " ".join(part for part in (figure, lead, name) if part)
        self = super().__new__(cls, words, *((", ", condition) if condition else ()))
        self.figure, self.lead, self.name, self.condition = figure, lead, name, condition
        return self

    @property
    def without_figure(self) -> Label:
        return Label("", self.lead, self.name, self.condition)

    def on_condition(self, condition: str) -> Label:
        """The same with one condition more; as it is where that is none."""
        if not condition:
            return self
        return self.only_on(Text(self.condition, ", ", condition) if self.condition else condition)

    def only_on(self, condition: str = "") -> Label:
        """The same with this condition in place of its own."""
        return Label(self.figure, self.lead, self.name, condition)

    def of_two_copies(self, condition: str) -> Label:
        """The same of a look that does not tell its second copy, which hangs on a condition; as it is where that is none."""
        return self.only_on("two copies").on_condition(condition) if condition else self

    @property
    def in_brackets(self) -> str:
        """With the condition in brackets, for a list: "het Piebald (on the seller's word)"."""
        if not self.condition:
            return self
        if self.endswith(f"), {self.condition}"):
            return Text(self.only_on().removesuffix(")"), ", ", self.condition, ")")
        return Text(self.only_on(), " (", self.condition, ")")

    @property
    def as_verb(self) -> Text:
        """After the name of an animal: "is het Piebald", "carries Pastel"."""
        if self.lead in (MAY_BE_AFFECTED, MAY_CARRY):
            return Text("has: ", self)
        return self if self.lead in (CARRIES, CARRIES_TWO) else Text("is ", self)

    @property
    def of_several(self) -> Text:
        """After the names of several animals: "are het Piebald", "carry Pastel"."""
        if self.lead in (MAY_BE_AFFECTED, MAY_CARRY):
            return Text("have: ", self)
        many = {CARRIES: "carry", CARRIES_TWO: "carry two copies of"}.get(self.lead)
        return Label(self.figure, many, self.name, self.condition) if many else Text("are ", self)

    def beside(self, trait: str) -> str:
        """In a row that names the trait already: "66% possible het", "shows it", "carries it, 25% chance of two copies"."""
        if self.name != trait:
            return self or "nothing said"
        return Label(self.figure, _BESIDE.get(self.lead, self.lead), "", self.condition)


NO_LABEL: Final = Label()


def label_of(
    locus: Locus,
    trait: str,
    figure: Figure,
    *,
    shows: bool = False,
    grounds: Grounds | None = None,
    unrecorded: Sequence[str] = (),
) -> Label:
    """What the site says of one trait of one animal, in one line; "" when the chance is nothing.

    One copy beside one of another allele may be a look of its own, and is no het then. `shows`: it was seen to show the trait. `grounds`
    add how a certainty was come by; `unrecorded` names, in words, the founders that are taken to carry nothing.
    """
    allele = locus.allele_number(trait)
    _none, one, two = figure.copies(allele)
    carries = figure.carries(allele)
    if carries == NEVER:
        return NO_LABEL
    if shows and not locus.affects:
        return _shown_label(locus, trait, figure, two)
    how = how_certain(grounds.kind if grounds else None, unrecorded)
    recessive = locus.inheritance is Inheritance.RECESSIVE
    if locus.affects:
        return _risk_label(locus, trait, figure, how)
    either = one_of_these(locus, figure)
    if trait in either:
        name = f"{join_or(either)} (one of the {number(len(either))})"
        return Label(lead=HET if recessive else CARRIES, name=name, condition=how)
    beside = any(_shows_beside(locus, allele, pair) for pair, _ in figure.genotypes)
    if carries == CERTAIN:
        return _certain_label(trait, two, recessive and not beside, how)
    both = POSSIBLE_HET_OR_VISUAL if one else POSSIBLE_VISUAL
    lead = "possible" if not recessive else both if two or beside else POSSIBLE_HET
    return Label(percent_text(carries), lead, trait)


def _shows_beside(locus: Locus, allele: int, pair: Genotype) -> bool:
    """Whether one copy beside one of another allele is seen: not where that looks like two copies of the other."""
    other = sum(pair) - allele
    return (
        allele in pair and other not in (0, allele) and locus.look_of[pair] not in (NORMAL, locus.look_of[other, other])
    )


def _shown_label(locus: Locus, trait: str, figure: Figure, two: Fraction) -> Label:
    looks = tuple(dict.fromkeys(locus.look_of[pair] for pair, _ in figure.genotypes))
    name = " or ".join(" ".join(sorted(look)) for look in looks) if trait not in looks[0] else trait
    if NEVER < two < CERTAIN:
        shown = f"{name} ({trait})" if len(looks) == 1 and name != trait else trait
        return Label(name=shown, condition=f"{percent_text(two)} chance of two copies")
    if two == CERTAIN and locus.inheritance is Inheritance.DOMINANT:
        return Label(name=name, condition="two copies")
    if len(looks) == 1 and name != trait and (two == NEVER or locus.of_several_pairs(name)):
        copies = {allele: figure.copies(number) for number, allele in enumerate(locus.alleles, 1)}
        name = with_alleles(name, {allele: of[2] for allele, of in copies.items() if of[0] == NEVER} or {trait: two})
    return Label(name=name)


def with_alleles(look: str, two: Mapping[str, Fraction]) -> str:
    """ "Blue-eyed Leucistic (Mojave)", "… (Mojave and Lesser)", "… (two copies of Lesser)". `two`: how likely it has two of each."""
    return f"{look} ({join_and([f'two copies of {each}' if two[each] == CERTAIN else each for each in two])})"


def second_copy(locus: Locus, trait: str, two: Fraction, *, condition: str) -> str:
    """What a title says of the second copy of a look that does not tell it, and on what condition."""
    if NEVER < two < CERTAIN:
        return f"{percent_text(two)} chance of two copies of {trait}"
    told = two == CERTAIN and locus.inheritance is Inheritance.DOMINANT
    return f"two copies of {trait}{condition and f' ({condition})'}" if told else ""


def _certain_label(trait: str, two: Fraction, recessive: bool, how: str) -> Label:
    if two == NEVER:
        return Label(lead=HET if recessive else CARRIES, name=trait, condition=how)
    if two == CERTAIN:
        return Label(lead=CARRIES_TWO, name=trait, condition=how)
    maybe = f"{percent_text(two)} chance of two copies"
    return Label(lead=CARRIES, name=trait, condition=Text(maybe, ", ", how) if how else maybe)


def _risk_label(locus: Locus, trait: str, figure: Figure, how: str) -> Label:
    """What is said of a trait that is harm: never that it is visual; both chances are rounded up."""
    affected, carries = affected_and_carrying(locus, trait, figure)
    if affected == CERTAIN:
        return Label(lead=AFFECTED, name=trait, condition=how)
    if affected:
        unseen = f"{harm_percent_text(carries)} that it carries it" if carries else ""
        return Label(harm_percent_text(affected), MAY_BE_AFFECTED, trait, unseen)
    if carries == CERTAIN:
        return Label(lead=CARRIES, name=trait, condition=how)
    return Label(harm_percent_text(carries), MAY_CARRY, trait)


def affected_and_carrying(locus: Locus, trait: str, figure: Figure) -> tuple[Fraction, Fraction]:
    """The chances that an animal has a trait that is harm, and that it carries it without having it."""
    allele = locus.allele_number(trait)
    affected = figure.chance(lambda pair: locus.shows_allele(pair, allele))
    return affected, figure.carries(allele) - affected


def harm_count(locus: Locus, trait: str, figure: Figure) -> str:
    """What stands beside the label of such a trait: "affected 1 in 4, carrying 1 in 2"; rounded up."""
    affected, carries = affected_and_carrying(locus, trait, figure)
    if affected in (NEVER, CERTAIN) or not carries:
        return _harm_in_count(affected or carries)
    return f"affected {_harm_in_count(affected)}, carrying {_harm_in_count(carries)}"


def _harm_in_count(chance: Fraction) -> str:
    plain = chance.denominator <= PLAIN_UP_TO
    return in_count(chance) if plain else f"up to {min(harm_percent(chance), 99)} in 100"


def harmful_together(traits: Sequence[str]) -> Text:
    """What does harm: "Spider with Lesser", "two copies of Spider", "Stargazer"."""
    one, *others = dict.fromkeys(traits)
    if others:
        return phrase("{} with {}", one, join_and(others))
    return Text("two copies of " if len(traits) > 1 else "", one)


def affected_words(looks: Sequence[str]) -> str:
    """An animal that has such a trait: "affected by Stargazer"."""
    return f"{AFFECTED} {join_and(looks)}" if looks else ""


def looks_words(looks: Sequence[str] | None, combos: Sequence[str] = (), harmful: Collection[str] = ()) -> str:
    """ "Pastel Piebald", "Amelanistic Anerythristic (Snow)", "normal", "look not recorded"; "Sunkissed, affected by Stargazer"."""
    if looks is None:
        return "look not recorded"
    seen = " ".join(look for look in looks if look not in harmful) + (f" ({', '.join(combos)})" if combos else "")
    affected = affected_words([look for look in looks if look in harmful])
    return ", ".join(filter(None, (seen, affected))) or "normal"


def with_doubt(look: str, looks: Sequence[str] | None, aside: Sequence[str]) -> str:
    """The look in words, with the traits of which it is set aside until it has been checked."""
    if not aside or looks is None:
        return look
    review = f"{join_or(aside)} under review"
    return f"{look} ({review})" if looks else review


def how_certain(kind: GroundsKind | None, unrecorded: Sequence[str]) -> str:
    """The condition of a certainty by its grounds; "" where that stands by records."""
    if kind == "claim":
        return "on the seller's word"
    return nothing_unrecorded(unrecorded) if kind == "assumption" else ""


def taking_unrecorded(share: Fraction, locus: Locus, spoken_of: Locus) -> str:
    """The condition of a figure that founders in question move: "taking 1 in 100 snakes to carry it unrecorded"."""
    what = "it" if locus == spoken_of and len(locus.alleles) == 1 else join_or(locus.alleles)
    return f"taking {share.numerator} in {share.denominator} snakes to carry {what} unrecorded"


def nothing_unrecorded(founders: Sequence[str]) -> Text:
    """The condition of a certainty by assumption: "if F-01 carries nothing unrecorded"."""
    if not founders:
        return Text("if nothing unrecorded is behind it")
    if len(founders) > 3:
        founders = [*founders[:2], f"{len(founders) - 2} other founders"]
    return phrase("if {} {} nothing unrecorded", join_and(founders), "carries" if len(founders) == 1 else "carry")


def no_other_male(clutches: Sequence[str]) -> Text:
    """The condition of a certainty that another sire would undo, of the animal itself or of these clutches."""
    if len(clutches) > 3:
        clutches = ["a clutch of its family"]
    return phrase("if no other male sired {}", join_or(clutches) or "it")


def one_sire(clutches: Sequence[str]) -> Text:
    """The condition of a certainty that stands if each of these clutches is one male's, or the clutch just spoken of."""
    if len(clutches) > 3:
        return Text("if each clutch of its family has one sire")
    if len(clutches) > 1:
        return phrase("if {} have one sire each", join_and(clutches))
    return phrase("if one male sired {}", phrase("all of {}", *clutches) if clutches else "the whole clutch")


def sired_it(condition: str, clutch: str | None) -> str:
    """The condition of a certainty, once the clutch was named: "if no other male sired it", "if one male sired the whole clutch"."""
    for unless in (no_other_male, one_sire):
        before, named, behind = condition.partition(unless((f"clutch {clutch}",)))
        if named and (not behind or behind.startswith(",")):
            return f"{before}{unless(())}{behind}"
    return condition


def one_of_these(locus: Locus, figure: Figure) -> tuple[str, ...]:
    """The traits of which the animal carries exactly one, for certain, without our knowing which; () when that is not so."""
    pairs = [pair for pair, _ in figure.genotypes]
    if len(pairs) < 2 or any(low != 0 or high == 0 for low, high in pairs):
        return ()
    return tuple(locus.alleles[high - 1] for _, high in pairs)


def shares_told(cells: Sequence[tuple[str, Fraction]], trait: str) -> list[str]:
    """What was said at several times, with the chance of a trait: beside what reads alike, of one of several, of which the words give no
    chance, stands the share of the trait where that moved: "het Clown or Cryptic (one of the two), 98% Clown"."""
    rows = [(said, percent_text(chance)) for said, chance in cells]
    return [said if len({of for one, of in rows if one == said}) == 1 else f"{said}, {of} {trait}" for said, of in rows]


def het_group(traits: Sequence[str]) -> str:
    """Certain hets in the trade's words: "het Piebald", "double het Clown Piebald"."""
    if not traits:
        return ""
    lead = f"{_MULTIPLE[len(traits)]} het" if len(traits) in _MULTIPLE else "het"
    return f"{lead} {' '.join(traits) if len(traits) in _MULTIPLE else join_and(traits)}"


# Counting and joining


def sex_count(sex: Sex) -> str:
    """One animal in the trade's count of males.females.unsexed: "1.0", "0.1", "0.0.1"."""
    return {"male": "1.0", "female": "0.1", "unknown": "0.0.1"}[sex]


def sex_words(sex: str) -> str:
    return "sex not known" if sex == "unknown" else sex


def number(count: int) -> str:
    """A number in words up to twelve ("no", "one", "two"), in digits beyond."""
    return _NUMBERS[count] if 0 <= count < len(_NUMBERS) else f"{count:,}"


def plural(count: int, one: str, many: str | None = None) -> str:
    """A number in digits with its noun: "1 hatchling", "2 hatchlings"."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def counted(count: int, one: str, many: str | None = None) -> str:
    """A number in words with its noun: "no hatchlings", "one hatchling", "five hatchlings"."""
    return f"{number(count)} {one if count == 1 else many or one + 's'}"


def are(count: int) -> str:
    return "is" if count == 1 else "are"


def join_and(parts: Sequence[str]) -> Text:
    """ "a", "a and b", "a, b and c"."""
    return _listed(parts, " and ")


def join_or(parts: Sequence[str]) -> Text:
    """ "a", "a or b", "a, b or c"."""
    return _listed(parts, " or ")


def first_few(found: Sequence[str]) -> Text:
    """Up to five names; of more the first four: "a, b, c, d and 3 more"."""
    return join_and(_few(found))


def first_few_pairs(found: Sequence[str]) -> Text:
    """The same of pairs, each with a word of its own between: "a with b; c with d"."""
    return joined("; ", _few(found))


def _few(found: Sequence[str]) -> Sequence[str]:
    return found if len(found) <= 5 else (*found[:4], f"{len(found) - 4} more")


def _listed(parts: Sequence[str], last: str) -> Text:
    return Text(joined(", ", parts[:-1]), last, parts[-1]) if len(parts) > 1 else Text(*parts)


def an(noun: str) -> str:
    """The noun with its article, by its first letter or number: "a Piebald", "an Albino", "an 80% possible carrier"."""
    return f"{'an' if re.match('[aeiou]|8|1[18](?![0-9])', noun, re.IGNORECASE) else 'a'} {noun}"


def clause(said: str) -> Text:
    """The text with a capital first letter where it begins with a word, and without a full stop; a name is left as it is."""
    parts = list(parts_of(said))
    if parts and not isinstance(parts[0], Name) and said.split(" ", 1)[0].rstrip(",:;").replace("-", "").isalpha():
        parts[0] = parts[0][:1].upper() + parts[0][1:]
    while parts and not isinstance(parts[-1], Name) and parts[-1].endswith("."):
        last = parts.pop().rstrip(".")
        parts += [last] if last else []
    return Text(*parts)


def sentence(said: str) -> Text:
    """The same with one full stop.

    >>> str(sentence("its look is not on record")), str(sentence(Text(Name("m-02"), " shows it.")))
    ('Its look is not on record.', 'm-02 shows it.')
    """
    return Text(clause(said), ".")
