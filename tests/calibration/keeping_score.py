"""Whether what is stated at x comes true x of the time: statements gathered in bands, collection by collection.

Computes   for each band of stated chances: how many statements, their mean, the share that is true, and the standard error of the
           difference. Statements of one collection hang together, so the error is clustered: the differences (true - stated) are
           summed within each collection, and the sums of different collections taken as independent with mean 0.
Formula    error = sqrt(sum over collections of (sum of (true - stated))^2) / count;  z = (share true - mean stated) / error.
Judged     the bands in which the rarer answer is to be expected in at least 12 collections, and all bands together: a band of 97 % that
           came true in each of 30 collections has an error near 0, and says nothing yet. However its statements hang together, a
           collection holds the rarer answer at least with the largest of their single chances of it; these are added up.
           A calibrated method has a |z| over `limit` in any judged row about one time in 10,000: the limit is the normal quantile at
           1 - 1 / (20,000 rows).
Power      a bias of `detects` = (limit + 1.28) errors is noticed nine times in ten.
Assumes    nothing stated at 0 or 1 is counted: a false certainty is a mistake by itself (`false_certainties`), not a matter of shares.
Source     cluster-robust variance: Liang & Zeger 1986, Biometrika 73:13-22; Bonferroni's inequality.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from statistics import NormalDist

from msgspec import Struct, field
from tests.bench.generating import SPECIES, Generated, Shape, generate

from clutchlight.genetics.inference import Inference, infer
from clutchlight.genetics.values import Figure
from clutchlight.model import Locus

EDGES = tuple(Fraction(edge, 100) for edge in (0, 2, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 95, 98, 100))
ENOUGH = 12
"""A band is judged from this many collections on in which the rarer answer is to be expected."""

COLLECTIONS = 28
"""Of each kind, in the short form. Power comes from how many there are; kinds that take long to solve have fewer animals in each."""

FALSE_ALARM = 1e-4
"""How often a calibrated method may be failed."""

NARROW = 1 << 12
"""The most entries of a table here, so that a rare wide collection does not take a minute. What is too wide, the records decide alone."""

Statements = Iterator[tuple[Fraction | None, bool]]
Method = Callable[[Generated, Inference], Statements]
"""Gives for every statement about a collection the stated chance (None: not computed) and whether it is true."""

SHAPES = {
    "plain": Shape(animals=150, loci=4, kinds="rrri", unseen=0.05, tested=0.02, borrowed=0.05),
    "mated at random": Shape(animals=150, loci=3, kinds="r", unseen=0.05, regime="mated at random"),
    "fallible tests": Shape(animals=150, loci=3, kinds="r", tested=0.1, error=Fraction(1, 20)),
    "backgrounds": Shape(animals=120, loci=2, kinds="r", background=Fraction(1, 20), tested=0.02),
    "sire in doubt": Shape(animals=100, loci=2, kinds="r", in_doubt=0.2),
    "sire drawn egg by egg": Shape(animals=80, loci=2, kinds="r", mixed=0.2),
    "incomplete, sires in doubt": Shape(animals=80, loci=2, kinds="r", incomplete=0.3, in_doubt=0.15, mixed=0.15),
    "sex-linked": Shape(animals=100, loci=2, kinds="x", crossover=Fraction(1, 10)),
    "allelic": Shape(animals=150, loci=2, kinds="a"),
    "everything": Shape(
        animals=60,
        loci=4,
        kinds="xair",
        in_doubt=0.05,
        mixed=0.05,
        incomplete=0.08,
        tested=0.03,
        error=Fraction(1, 25),
        background=Fraction(1, 40),
    ),
}


Name = tuple[Shape, int]
"""A collection: its shape and seed."""


class Row(Struct, frozen=True):
    """One band of stated chances, or all together. `surprising`: the collections in which the rarer answer is to be expected."""

    low: Fraction
    high: Fraction
    count: int
    surprising: float
    stated: float
    true: float
    error: float

    @property
    def judged(self) -> bool:
        return self.surprising >= ENOUGH

    @property
    def z(self) -> float:
        return (self.true - self.stated) / self.error if self.error else 0.0


class Score(Struct):
    """Statements gathered. `sums[band][collection]`: the sum of true - stated; `rarer`: the largest single chance of the rarer answer."""

    count: list[int] = field(default_factory=lambda: [0] * (len(EDGES) - 1))
    stated: list[float] = field(default_factory=lambda: [0.0] * (len(EDGES) - 1))
    true: list[int] = field(default_factory=lambda: [0] * (len(EDGES) - 1))
    sums: list[dict[Name, float]] = field(default_factory=lambda: [{} for _ in EDGES[1:]])
    rarer: list[dict[Name, float]] = field(default_factory=lambda: [{} for _ in EDGES[1:]])
    not_computed: int = 0
    certainties: int = 0
    false_certainties: int = 0

    def add(self, collection: Name, statements: Iterable[tuple[Fraction | None, bool]]) -> None:
        for chance, true in statements:
            if chance is None:
                self.not_computed += 1
                continue
            if chance in (0, 1):
                self.certainties += 1
                self.false_certainties += true != (chance == 1)
                continue
            band = next(index for index, edge in enumerate(EDGES[1:]) if chance <= edge)
            self.count[band] += 1
            self.stated[band] += float(chance)
            self.true[band] += true
            self.sums[band][collection] = self.sums[band].get(collection, 0.0) + true - float(chance)
            rarer = float(min(chance, 1 - chance))
            self.rarer[band][collection] = max(self.rarer[band].get(collection, 0.0), rarer)

    def __add__(self, other: Score) -> Score:
        """Both together, of different collections."""
        return Score(
            [a + b for a, b in zip(self.count, other.count, strict=True)],
            [a + b for a, b in zip(self.stated, other.stated, strict=True)],
            [a + b for a, b in zip(self.true, other.true, strict=True)],
            [a | b for a, b in zip(self.sums, other.sums, strict=True)],
            [a | b for a, b in zip(self.rarer, other.rarer, strict=True)],
            self.not_computed + other.not_computed,
            self.certainties + other.certainties,
            self.false_certainties + other.false_certainties,
        )

    @property
    def total(self) -> int:
        """How many statements lay strictly between 0 and 1."""
        return sum(self.count)

    def rows(self) -> tuple[Row, ...]:
        """The bands that hold statements, then all of them together."""
        found = [self._row([band]) for band in range(len(self.count)) if self.count[band]]
        return (*found, self._row(list(range(len(self.count)))))

    def _row(self, bands: list[int]) -> Row:
        count = sum(self.count[band] for band in bands)
        sums: dict[Name, float] = {}
        rarer: dict[Name, float] = {}
        for band in bands:
            for collection, value in self.sums[band].items():
                sums[collection] = sums.get(collection, 0.0) + value
                rarer[collection] = max(rarer.get(collection, 0.0), self.rarer[band][collection])
        error = sum(value * value for value in sums.values()) ** 0.5 / count
        stated, true = sum(self.stated[band] for band in bands), sum(self.true[band] for band in bands)
        low, high = EDGES[bands[0]], EDGES[bands[-1] + 1]
        return Row(low, high, count, sum(rarer.values()), stated / count, true / count, error)

    @property
    def limit(self) -> float:
        """The most standard errors that a calibrated method may be off in any judged row."""
        return NormalDist().inv_cdf(1 - FALSE_ALARM / 2 / max(1, sum(row.judged for row in self.rows())))

    def detects(self, row: Row) -> float:
        """The bias of a row that is noticed nine times in ten."""
        return (self.limit + NormalDist().inv_cdf(0.9)) * row.error

    def worst(self) -> float:
        """The largest difference between stated and true, in standard errors, over the judged rows."""
        return max((abs(row.z) for row in self.rows() if row.judged), default=0.0)

    @property
    def calibrated(self) -> bool:
        """Whether truth and statement are nowhere further apart than chance explains, and no certainty is false."""
        return not self.false_certainties and self.worst() <= self.limit


def seeds_of(kind: str, times: int = 1) -> range:
    """The seeds of a kind, its own: collections of different kinds must not share their random numbers."""
    first = 100_000 * list(SHAPES).index(kind)
    return range(first, first + COLLECTIONS * times)


def kept(shape: Shape, seeds: Iterable[int], methods: Sequence[Method]) -> tuple[Score, ...]:
    """The scores of methods over generated collections, each method on the same ones."""
    scores = tuple(Score() for _ in methods)
    for seed in seeds:
        made = generate(shape, seed)
        ours = infer(made.collection, NARROW)
        assert not ours.conflicts
        assert not ours.surprises
        for score, method in zip(scores, methods, strict=True):
            score.add((shape, seed), method(made, ours))
    return scores


def now(made: Generated, ours: Inference) -> Statements:
    """Every present figure."""
    return _stated(made, ours, lambda animal, locus: ours.now(animal, locus.key))


def when_hatched(made: Generated, ours: Inference) -> Statements:
    """Every figure on the day of hatching; of founders, by their looks and claims alone."""
    return _stated(made, ours, lambda animal, locus: ours.when_hatched(animal, locus.key))


def _stated(made: Generated, ours: Inference, ask: Callable[[str, Locus], object]) -> Statements:
    for ident in made.collection.animals:
        for locus in ours.loci_in_play(SPECIES):
            figure = ask(ident, locus)
            for allele in range(1, len(locus.alleles) + 1):
                chance = figure.carries(allele) if isinstance(figure, Figure) else None
                yield chance, made.carries(ident, locus.key, allele)
