"""What several clutches together would settle of one trait of one of their parents, exactly.

Computes   proved: the chance that the clutches' looks leave no possible assignment in which the parent lacks the allele;
           cleared: the chance that they bring its chance under a limit without proving it.
Symbols    m = states of all parents at one locus; kind = (sex, look) of a hatchling there; h = chance that it cannot be told there;
           outcome = for each clutch how many of each kind; belief = P(m, what was seen), up to a factor.
Formula    P(outcome | m) = product over clutches of E[multinomial(counts | m)], one expectation over m outside of it: clutches share their
           parents, so their chances are never multiplied. Clutch by clutch: beliefs in proportion to each other are one outcome, and so
           are kinds whose chances are in proportion for every m; parents of whom no later clutch asks are summed out.
           One of several males: the mean over males of the multinomial. Drawn egg by egg: the multinomial of the mean.
Assumes    looks at the trait's own locus alone; clutches complete, on record, and hatched after everything else.
Invariant  proved is exact always. Beyond OUTCOMES beliefs the least likely are let go: then cleared is a lower bound, and says so.
Cost       one product over m for each outcome of some hatchlings and each kind of the next.
Source     Bayes' theorem; figures#a-winter.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from functools import cache, cached_property
from itertools import chain
from math import comb, gcd, lcm
from operator import mul

from msgspec import Struct

from clutchlight.genetics.pairs import Members
from clutchlight.genetics.states import Kind, States
from clutchlight.genetics.terms import gathered, proportioned
from clutchlight.model import Look
from clutchlight.planning.hatchlings import Hatchlings
from clutchlight.planning.hiding import Hiding, Untold

OUTCOMES = 20_000
"""The most outcomes of several clutches that are told apart."""

MOST_NEEDED, SOON = 1000, 60
"""The most hatchlings that are tried; and where they do not bring a chance down in the long run."""

WAYS = 20_000
"""The most ways in which one clutch may come out that are gone through."""

State = tuple[Members, tuple[Untold, ...]]
"""Parents' states, and for each clutch to come the chances that a hatchling of each of its sires cannot be told."""

Young = Callable[[int, int], Mapping[Kind, Fraction]]
"""The kinds of hatchlings of a sire and a dam of these states."""


class Brood(Struct, frozen=True):
    """A clutch to come, parents by their number among the members. `sires`: who may be its sire, with their chances: one of them sired all
    of it, or with `mixed` each egg by itself. `hatchlings`: one spread for each supposition that is asked about, such as that she
    does not lay."""

    sires: tuple[tuple[int, Fraction], ...]
    dam: int
    mixed: bool
    hatchlings: tuple[Hatchlings, ...]

    @property
    def parents(self) -> frozenset[int]:
        return frozenset({self.dam, *(sire for sire, _ in self.sires)})

    def every(self, shares: Iterable[Fraction], supposed: int = 0) -> Fraction:
        """The chance that every hatchling is of a kind which is this share of the hatchlings of each of its sires."""
        hatchlings, weighed = self.hatchlings[supposed], list(zip(self.sires, shares, strict=True))
        if self.mixed:
            return hatchlings.every(sum((chance * share for (_, chance), share in weighed), Fraction(0)))
        return sum((chance * hatchlings.every(share) for (_, chance), share in weighed), Fraction(0))


class Settled(Struct, frozen=True):
    """How often something is proved, and how often cleared. `exact`: else at least so often cleared."""

    proves: Fraction
    clears: Fraction
    exact: bool = True

    @property
    def in_all(self) -> Fraction:
        return self.proves + self.clears


class _Seen(Struct, frozen=True):
    """What may be seen of one clutch: how likely, for each law of its parents, up to the weight of each supposition; and which of the
    parents' possible states remain, by their number."""

    likely: tuple[int, ...]
    able: tuple[bool, ...]
    weights: tuple[int, ...]


class _Clutch:
    """All that may be seen of one clutch. A law: what decides its kinds, the states of its parents and what hides them."""

    def __init__(
        self, brood: Brood, number: int, rows: Iterable[State], possible: Iterable[Members], young: Young
    ) -> None:
        self.brood = brood
        self.young = young
        self.laws = {law: at for at, law in enumerate(dict.fromkeys(self.law(row, number) for row in rows))}
        self.states = {states: at for at, states in enumerate(dict.fromkeys(map(self.states_of, possible)))}

    def states_of(self, members: Members) -> Members:
        return (members[self.brood.dam], *(members[sire] for sire, _ in self.brood.sires))

    def law(self, row: State, number: int) -> tuple[Members, Untold]:
        return self.states_of(row[0]), row[1][number]

    @cached_property
    def seen(self) -> tuple[_Seen, ...]:
        """Every outcome, those that are one in all that they tell put together. Raises TooManyOutcomesError.

        Hatchling by hatchling: what was seen so far is a likelihood for each law and sire, up to a factor, and what is possible still.
        """
        kinds, able = self._kinds()
        ways = len(self.brood.sires) if not self.brood.mixed else 1
        scale = lcm(*(chance.denominator for column in kinds for chance in column), 1)
        columns = [[chance.numerator * (scale // chance.denominator) for chance in column] for column in kinds]
        of_number = self._of_number()
        if sum(comb(number + len(columns) - 1, number) for number in of_number) > WAYS:
            raise TooManyOutcomesError
        parts = lcm(*(chance.denominator for chances in of_number.values() for chance in chances))
        most = max(of_number)
        so_far = {(self._shares(ways), (1 << len(self.states) * ways) - 1): 1}
        found: dict[tuple[tuple[int, ...], int], list[int]] = {}
        for number in range(most + 1):
            chances = [int(chance * parts) * scale ** (most - number) for chance in of_number.get(number, ())]
            for (by_sire, alive), times in so_far.items() if chances else ():
                likely = [sum(by_sire[at : at + ways]) for at in range(0, len(by_sire), ways)]
                common = gcd(*likely)
                weights = found.setdefault((tuple(one // common for one in likely), alive), [0] * len(chances))
                for at, chance in enumerate(chances):
                    weights[at] += chance * times * common
            further: dict[tuple[tuple[int, ...], int], int] = {}
            for (by_sire, alive), times in so_far.items() if number < most else ():
                for column, can in zip(columns, able, strict=True):
                    product = list(map(mul, by_sire, column))
                    if common := gcd(*product):
                        key = tuple([one // common for one in product]), alive & can
                        further[key] = further.get(key, 0) + times * common
            so_far = further
        seen: dict[tuple[tuple[int, ...], tuple[bool, ...]], list[int]] = {}
        for (likely_by_law, alive), weights in found.items():
            remains = tuple(bool(alive >> state * ways & (1 << ways) - 1) for state in range(len(self.states)))
            before = seen.setdefault((likely_by_law, remains), [0] * len(weights))
            seen[likely_by_law, remains] = list(map(int.__add__, before, weights))
        whole = gcd(*(weight for weights in seen.values() for weight in weights))
        return tuple(
            _Seen(likely, remains, tuple(weight // whole for weight in weights))
            for (likely, remains), weights in seen.items()
        )

    def _shares(self, ways: int) -> tuple[int, ...]:
        """For each law the chances of its sires, up to a factor."""
        shares = [share for _, share in self.brood.sires] if ways > 1 else [Fraction(1)]
        return proportioned(shares) * len(self.laws)

    def _of_number(self) -> dict[int, tuple[Fraction, ...]]:
        """The chance of each number of hatchlings, by each supposition."""
        spreads = [dict(each.chances) for each in self.brood.hatchlings]
        numbers = sorted({number for spread in spreads for number in spread})
        return {number: tuple(spread.get(number, Fraction(0)) for spread in spreads) for number in numbers}

    def _kinds(self) -> tuple[list[list[Fraction]], list[int]]:
        """For each kind its chance by law and sire, and a mask of the possible states and sires that can give it. Kinds that tell the
        same are one."""
        sires = range(len(self.brood.sires))
        by_law = [self._chances(states, untold) for states, untold in self.laws]
        able = [[self.young(states[1 + sire], states[0]) for sire in sires] for states in self.states]
        kinds = dict.fromkeys(kind for law in by_law for one in law for kind in one)
        found: dict[object, tuple[list[Fraction], int]] = {}
        for kind in kinds:
            column = [one.get(kind, Fraction(0)) for law in by_law for one in law]
            by_state = [[kind is None or kind in one for one in each] for each in able]
            if self.brood.mixed:
                by_state = [[any(each)] for each in by_state]
            can = sum(1 << at for at, one in enumerate(chain.from_iterable(by_state)) if one)
            first = next(chance for chance in column if chance)
            key = tuple(chance / first for chance in column), can
            if key in found:
                column = [one + other for one, other in zip(column, found[key][0], strict=True)]
            found[key] = column, can
        return [column for column, _ in found.values()], [can for _, can in found.values()]

    def _chances(self, states: Members, untold: Untold) -> list[dict[Kind | None, Fraction]]:
        """The chance of each kind by sire, or for an egg of any of them; None: it cannot be told."""
        found: list[dict[Kind | None, Fraction]] = []
        for number in range(len(self.brood.sires)):
            hidden = untold[number]
            kinds = self.young(states[1 + number], states[0]).items()
            one: dict[Kind | None, Fraction] = {kind: chance * (1 - hidden) for kind, chance in kinds if hidden < 1}
            found.append({**one, None: hidden} if hidden else one)
        if not self.brood.mixed:
            return found
        by_sire = zip(found, self.brood.sires, strict=True)
        return [gathered((kind, share * chance) for one, (_, share) in by_sire for kind, chance in one.items())]


class TooManyOutcomesError(Exception):
    """One clutch can come out in more ways than are gone through."""


class _Stage:
    """Before one clutch: which of the parents' states there are, and which of them stay apart after it."""

    def __init__(
        self,
        rows: Sequence[State],
        possible: Sequence[Members],
        clutch: _Clutch,
        keep: frozenset[int],
        lacks: Callable[[Members], bool],
    ) -> None:
        self.laws = [clutch.laws[clutch.law(row, 0)] for row in rows]
        after = [(_kept(members, keep), untold[1:]) for members, untold in rows]
        self.rows = list(dict.fromkeys(after))
        at = {row: number for number, row in enumerate(self.rows)}
        self.goes = [at[row] for row in after]
        self.carry = [not lacks(members) for members, _ in self.rows]
        self.states = [clutch.states[clutch.states_of(members)] for members in possible]
        later = [_kept(members, keep) for members in possible]
        self.possible = list(dict.fromkeys(later))
        where = {members: 1 << number for number, members in enumerate(self.possible)}
        self.bits = [where[members] for members in later]
        self.lacking = sum(bit for members, bit in where.items() if lacks(members))
        self.clutch = clutch
        self._left: dict[tuple[int, tuple[bool, ...]], int] = {}

    def left(self, alive: int, able: tuple[bool, ...]) -> int:
        """The possible states left after the clutch, as a mask."""
        key = alive, able
        if key not in self._left:
            mask = 0
            for number, (state, bit) in enumerate(zip(self.states, self.bits, strict=True)):
                if alive >> number & 1 and able[state]:
                    mask |= bit
            self._left[key] = mask
        return self._left[key]

    def belief(self, before: Sequence[int], seen: _Seen) -> list[int]:
        after = [0] * len(self.rows)
        for weight, law, to in zip(before, self.laws, self.goes, strict=True):
            if weight:
                after[to] += weight * seen.likely[law]
        return after


class Settling:
    """One locus of some parents before their clutches. `rows`: what they may be, with chances; `possible`: what they may be at all."""

    def __init__(
        self, rows: Mapping[State, Fraction], possible: Iterable[Members], young: Young, broods: Sequence[Brood]
    ) -> None:
        self.rows = {row: chance for row, chance in rows.items() if chance}
        self.possible = tuple(dict.fromkeys(possible))
        clutches = [_Clutch(brood, at, self.rows, self.possible, young) for at, brood in enumerate(broods)]
        order = sorted(range(len(broods)), key=lambda at: len(clutches[at].seen))
        self.clutches = [clutches[at] for at in order]
        moved = gathered(
            ((members, tuple(untold[at] for at in order)), chance) for (members, untold), chance in self.rows.items()
        )
        self.scale = lcm(*(chance.denominator for chance in moved.values()))
        self.start = {row: int(chance * self.scale) for row, chance in moved.items()}

    def settled(self, member: int, has: Callable[[int], bool], below: Fraction) -> tuple[Settled, ...]:
        """By each supposition how often the clutches prove that a member carries, and how often they clear it."""
        stages = list(self._stages(member, lambda members: not has(members[member])))
        proved = self._proved(stages)
        cleared, exact = self._cleared(stages, below)
        return tuple(Settled(*both, exact) for both in zip(proved, cleared, strict=True))

    def _stages(self, member: int, lacks: Callable[[Members], bool]) -> Iterator[_Stage]:
        rows, possible = list(self.start), self.possible
        for number, clutch in enumerate(self.clutches):
            later = (each.brood.parents for each in self.clutches[number + 1 :])
            stage = _Stage(rows, possible, clutch, frozenset({member}).union(*later), lacks)
            yield stage
            rows, possible = stage.rows, tuple(stage.possible)

    @property
    def _suppositions(self) -> range:
        return range(len(self.clutches[0].brood.hatchlings))

    def _whole(self) -> list[int]:
        """By each supposition what all beliefs together come to at the end."""
        found = []
        for supposed in self._suppositions:
            whole = self.scale
            for clutch in self.clutches:
                whole *= sum(seen.likely[0] * seen.weights[supposed] for seen in clutch.seen)
            found.append(whole)
        return found

    def _proved(self, stages: Sequence[_Stage]) -> list[Fraction]:
        found = []
        for supposed, whole in zip(self._suppositions, self._whole(), strict=True):
            beliefs = {(1 << len(self.possible)) - 1: list(self.start.values())}
            for stage in stages:
                further: dict[int, list[int]] = {}
                for able, seen in self._by_remains(stage, supposed).items():
                    for alive, belief in beliefs.items():
                        left, after = stage.left(alive, able), stage.belief(belief, seen)
                        before = further.setdefault(left, [0] * len(after))
                        further[left] = [one + other for one, other in zip(before, after, strict=True)]
                beliefs = further
            lacking = stages[-1].lacking
            proved = sum(sum(belief) for alive, belief in beliefs.items() if not alive & lacking)
            found.append(Fraction(proved, whole))
        return found

    @staticmethod
    def _by_remains(stage: _Stage, supposed: int) -> Mapping[tuple[bool, ...], _Seen]:
        """Outcomes that rule out the same, as one."""
        sums: dict[tuple[bool, ...], list[int]] = {}
        for seen in stage.clutch.seen:
            row = sums.setdefault(seen.able, [0] * len(seen.likely))
            for law, likely in enumerate(seen.likely):
                row[law] += likely * seen.weights[supposed]
        return {able: _Seen(tuple(row), able, ()) for able, row in sums.items()}

    def _cleared(self, stages: Sequence[_Stage], below: Fraction) -> tuple[list[Fraction], bool]:
        exact = True
        found = [0] * len(self._suppositions)
        full = (1 << len(self.possible)) - 1
        left_over = [1] * len(found)
        beliefs = {(full, tuple(self.start.values())): tuple(left_over)}
        for number, stage in enumerate(stages):
            last = number == len(stages) - 1
            further: dict[tuple[int, tuple[int, ...]], tuple[int, ...]] = {}
            wholes = [1] * len(found)
            for clutch in self.clutches[number + 1 :]:
                for supposed in self._suppositions:
                    wholes[supposed] *= sum(one.likely[0] * one.weights[supposed] for one in clutch.seen)
            for (alive, belief), weights in beliefs.items():
                for seen in stage.clutch.seen:
                    left = stage.left(alive, seen.able)
                    if not left & stage.lacking:
                        continue
                    after = stage.belief(belief, seen)
                    carries = sum(one for one, carry in zip(after, stage.carry, strict=True) if carry)
                    whole = sum(after)
                    if last or not carries:
                        if carries < below * whole:
                            for supposed, weight in enumerate(weights):
                                found[supposed] += weight * seen.weights[supposed] * whole * wholes[supposed]
                        continue
                    common = gcd(*after)
                    key = left, tuple(one // common for one in after)
                    more = tuple(one * two * common for one, two in zip(weights, seen.weights, strict=True))
                    before = further.get(key)
                    further[key] = more if before is None else tuple(map(int.__add__, before, more))
            if len(further) > OUTCOMES:
                exact = False
                likeliest = sorted(further.items(), key=lambda item: -item[1][0] * sum(item[0][1]))
                further = dict(likeliest[:OUTCOMES])
            beliefs = further
        return [Fraction(one, whole) for one, whole in zip(found, self._whole(), strict=True)], exact


def _kept(members: Members, keep: frozenset[int]) -> Members:
    """The states of those of whom something is asked still; those of others are forgotten."""
    return tuple(state if number in keep else -1 for number, state in enumerate(members))


class AtOneLocus:
    """One locus of some parents before their clutches: what these would settle, and what is left if they show nothing."""

    def __init__(
        self, states: States, rows: Mapping[State, Fraction], possible: Iterable[Members], broods: Sequence[Brood]
    ) -> None:
        self.states = states
        self.rows = rows
        self.possible = tuple(possible)
        self.broods = tuple(broods)
        self._tells = cache(self._telling)

    @classmethod
    def of(cls, hiding: Hiding, locus: int, broods: Sequence[Brood]) -> AtOneLocus | None:
        """Of clutches whose sires and dams are the pairs of `hiding`; None: too much hides the locus to go through."""
        together, hidden = hiding.together, hiding.blanks(locus)
        if hidden is None:
            return None
        group = together.group_of(locus)
        rows: list[tuple[State, Fraction]] = []
        for (part, untold), weight in hidden.items():
            left = iter(untold)
            by_brood = tuple(tuple(next(left) for _ in brood.sires) for brood in broods)
            table = group.parts[part].tables[group.loci.index(locus)]
            rows += [((members, by_brood), weight * chance) for members, chance in table]
        return cls(together.states[locus], gathered(rows), together.possible_at(locus), broods)

    def has(self, state: int, allele: int) -> bool:
        return allele in self.states.pairs[state]

    @cached_property
    def _settling(self) -> Settling:
        return Settling(self.rows, self.possible, self.states.kinds, self.broods)

    def settled(self, member: int, allele: int, below: Fraction) -> tuple[Settled, ...]:
        """As `Settling`. Raises TooManyOutcomesError."""
        return self._settling.settled(member, lambda state: self.has(state, allele), below)

    def asking(self, member: int) -> tuple[int, ...]:
        """The clutches of a member in which not all hatchlings look alike, so that they can tell."""
        return tuple(
            number
            for number, brood in enumerate(self.broods)
            if member in brood.parents and len(set(self._where_told(number, brood))) > 1
        )

    def _where_told(self, number: int, brood: Brood) -> Iterator[tuple[frozenset[tuple[Kind, Fraction]], ...]]:
        """For each of the parents' states the kinds of hatchlings, by sire, with their chances."""
        for members, untold in self.rows:
            if any(hidden < 1 for hidden in untold[number]):
                young = (self.states.kinds(members[sire], members[brood.dam]) for sire, _ in brood.sires)
                yield tuple(frozenset(kinds.items()) for kinds in young)

    def _looks_of(self, number: int, rows: Iterable[State]) -> set[Look]:
        """The looks of hatchlings of a clutch that can be told."""
        brood = self.broods[number]
        return {
            look
            for members, untold in rows
            for (sire, _), hidden in zip(brood.sires, untold[number], strict=True)
            if hidden < 1
            for _, look in self.states.kinds(members[sire], members[brood.dam])
        }

    def _telling(self, number: int, member: int, allele: int) -> frozenset[Look]:
        """The looks of hatchlings of a clutch that show the trait, or that cannot be while the member has it."""
        if_it_has = self._looks_of(number, (row for row in self.rows if self.has(row[0][member], allele)))
        looks = self._looks_of(number, self.rows)
        locus = self.states.locus
        return frozenset(look for look in looks if look and (locus.tells(look, allele) or look not in if_it_has))

    def shown(self, member: int, allele: int, clutches: Sequence[int] = (0,)) -> tuple[str, ...]:
        """The looks in which hatchlings of these clutches can show the trait, under its own name first, then such as "Ultramel"; and those
        that rule it out of the member."""
        locus = self.states.locus
        trait = locus.alleles[allele - 1]
        telling = {look for number in clutches for look in self._tells(number, member, allele)}
        ranks = {" ".join(sorted(look)): not locus.tells(look, allele) for look in telling}
        if all(ranks.values()):
            return ()
        found = {trait if f" {trait} " in f" {name} " else name: rank for name, rank in ranks.items()}
        whole = [name for name in found if not any(f" {one} " in f" {name} " for one in found if one != name)]
        return tuple(sorted(whole, key=lambda name: (name != trait, found[name], name)))

    def unseen(self, row: State, number: int, member: int, allele: int) -> Iterator[Fraction]:
        """By sire of a clutch the chance that a hatchling is not seen to have one of the looks `shown`."""
        (members, untold), brood, telling = row, self.broods[number], self._tells(number, member, allele)
        for hidden, (sire, _) in zip(untold[number], brood.sires, strict=True):
            kinds = self.states.kinds(members[sire], members[brood.dam]).items()
            yield hidden + (1 - hidden) * sum((part for (_, look), part in kinds if look not in telling), Fraction(0))

    def none_shown(self, member: int, allele: int, clutches: Sequence[int] = (0,)) -> tuple[Fraction, Fraction]:
        """The chances that no hatchling of these clutches is seen to have one of the looks `shown`, while the member carries and in all."""
        carries = whole = Fraction(0)
        for row, chance in self.rows.items():
            likely = chance
            for number in clutches:
                likely *= self.broods[number].every(self.unseen(row, number, member, allele))
            whole += likely
            carries += likely if self.has(row[0][member], allele) else 0
        return carries, whole

    def if_none(self, member: int, allele: int, clutches: Sequence[int] = (0,)) -> Fraction | None:
        """The member's chance then; None: there are no such clutches."""
        carries, whole = self.none_shown(member, allele, clutches)
        return carries / whole if whole else None

    def hidden(self) -> bool:
        """Whether some hatchlings of the first clutch cannot be told."""
        return any(hidden for _, untold in self.rows for hidden in untold[0])

    def needed(self, member: int, allele: int, below: Fraction) -> int | None:
        """Of one clutch of one sire: the fewest hatchlings that can be told, none of the looks `shown`, that bring its chance under `below`
        whichever other looks they have; None: no number up to MOST_NEEDED does."""
        told = [(row[0], chance) for row, chance in self.rows.items() if row[1][0][0] < 1]
        quiet = self._looks_of(0, self.rows) - self._tells(0, member, allele)
        brood = self.broods[0]
        found = []
        for look in quiet:
            shares = [
                self.states.look(members[brood.sires[0][0]], members[brood.dam], None, look) for members, _ in told
            ]
            has = [self.has(members[member], allele) for members, _ in told]
            found.append(hatchlings_needed([chance for _, chance in told], shares, has, below))
        return None if not found or None in found else max(one for one in found if one is not None)


def hatchlings_needed(
    chances: Sequence[Fraction], shares: Sequence[Fraction], has: Sequence[bool], below: Fraction
) -> int | None:
    """The fewest hatchlings of a look, of which each state gives a share, after which those that carry have less than `below`."""
    highest = max(shares)
    lasting = [
        (chance, carries) for chance, share, carries in zip(chances, shares, has, strict=True) if share == highest
    ]
    never = sum(c for c, carries in lasting if carries) >= below * sum(c for c, _ in lasting)
    weights, parts = proportioned(chances), proportioned(shares)
    for young in range((SOON if never else MOST_NEEDED) + 1):
        carries = sum(weight for weight, carrier in zip(weights, has, strict=True) if carrier)
        if carries < below * sum(weights):
            return young
        weights = tuple(map(mul, weights, parts))
    return None
