"""A new row of the log is judged before it is written, by the same rules that judge the log as it stands.

What is said of it is what the row causes: an old row that is odd by itself is told by `check`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction
from statistics import median

from clutchlight.model import Collection, Leaving, When
from clutchlight.model.private import LogRow, plain_number
from clutchlight.planning.discrepancies import Absence, absences, ill_in
from clutchlight.planning.readiness import set_apart
from clutchlight.problems import COMMAND_LINE, Problem, RecordsError, errors_in, in_order
from clutchlight.reading.checks import check_future
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Known
from clutchlight.reading.log import ODD_DAYS, ODD_FACTOR, check_together, in_time, row_from
from clutchlight.reading.tables import Row


class LogSoFar:
    """The log as it stands, for new rows to be judged by one after the other. `today`: no row lies behind it."""

    def __init__(self, collection: Collection, log: Sequence[LogRow], today: date) -> None:
        self.known = Known(collection)
        self._collection, self._today = collection, today
        self._of: dict[str, list[LogRow]] = {}
        self._ill = list(ill_in(log))
        for row in log:
            self._of.setdefault(row.animal, []).append(row)

    def judged(self, row: Row) -> tuple[LogRow | None, tuple[Problem, ...]]:
        """The row as it would be read, None where it does not hold; and what is wrong with it, or odd about it."""
        findings = Findings(self._today)
        read = row_from(row, self.known, findings)
        check_future(findings)
        if read is not None:
            self._beside_others(read, findings)
            self._beside_clutch_mates(read, findings)
            self._absent(read, findings)
        return (None if findings.errors else read), in_order(findings.problems)

    def take(self, row: LogRow) -> None:
        """Counts a row among those that the next are judged by."""
        self._of.setdefault(row.animal, []).append(row)
        self._ill += ill_in([row])

    def leave(self, rows: Sequence[LogRow]) -> None:
        """Takes back rows that were taken last."""
        for row in rows:
            self._of[row.animal].remove(row)
        self._ill = [row for row in self._ill if row not in rows]

    def like(self, row: LogRow) -> tuple[LogRow, ...]:
        """The rows that say the same of the same animal, on whatever day and with whatever note."""
        return tuple(other for other in self._of.get(row.animal, ()) if saying(other) == saying(row))

    def _beside_others(self, row: LogRow, findings: Findings) -> None:
        others = self._of.get(row.animal, [])
        caused = Counter(_together([*others, row])) - Counter(_together(others))
        for problem in sorted(caused):
            what, _, _ = problem.message.partition(";")
            doubled = problem.code == "log-twice"  # here nothing is to be deleted yet
            if doubled and any(other.place == COMMAND_LINE and saying(other) == saying(row) for other in others):
                what = f"{row.animal} is named twice"
            findings.report(
                row.place,
                problem.code,
                f"{what}; leave this one out if it happened once" if doubled else problem.message,
            )
        for other in others:
            same_day = row.event == other.event == "weight" and row.on == other.on and row.number != other.number
            if same_day and other.number is not None and not any(one.code == "weight-odd" for one in caused):
                findings.report(
                    row.place,
                    "log-twice",
                    f"{_line_of(other)} has {plain_number(other.number)} g for {row.animal} on that day already; correct it there"
                    " if it was a slip",
                )

    def _beside_clutch_mates(self, row: LogRow, findings: Findings) -> None:
        """A first weight is measured by the last ones of the clutch mates, where two or more were weighed."""
        clutch = self._collection.animals[row.animal].clutch if row.animal in self._collection.animals else None
        if row.event != "weight" or row.number is None or clutch is None or self._last_weight(row.animal, row.day):
            return
        young = self._collection.clutches[clutch].young if clutch in self._collection.clutches else ()
        found = (self._last_weight(mate, row.day) for mate in young if mate != row.animal)
        mates = [weight for weight in found if weight is not None]
        if len(mates) < 2:
            return
        middle = median(mates)
        if max(row.number, middle) > ODD_FACTOR * min(row.number, middle):
            what = f"{plain_number(row.number)} g for {row.animal}, whose clutch mates weigh about {int(middle)} g; look at the digits"
            findings.report(row.place, "weight-odd", what)

    def _last_weight(self, animal: str, day: date) -> Fraction | None:
        near = (row for row in in_time(self._of.get(animal, ())) if abs((day - row.day).days) <= ODD_DAYS)
        weights = [row.number for row in near if row.event == "weight" and row.number is not None]
        return weights[-1] if weights else None

    def _absent(self, row: LogRow, findings: Findings) -> None:
        for animal, away in absences(row, self._collection, self._ill, self._today):
            findings.report(
                row.place, "log-absent", f"'{animal.id}' {_why(away)}; look at the animal and the day ({row.on})"
            )


def odd_among(rows: Iterable[Row], so_far: LogSoFar) -> tuple[Problem, ...]:
    """What is odd about rows, each beside those before it. Raises RecordsError where one does not hold."""
    found: list[Problem] = []
    for row in rows:
        read, problems = so_far.judged(row)
        found += problems
        if read is not None:
            so_far.take(read)
    if errors_in(found):
        raise RecordsError(errors_in(found))
    return in_order(found)


def logged_after(
    collection: Collection, log: Sequence[LogRow], animals: Sequence[str], how: str, on: date
) -> tuple[Problem, ...]:
    """Rows of the log that could not be of animals, had they left on a day: the first of each, as a row would be told after it."""
    gone = {name: replace(collection.animals[name], left=Leaving(how, When.day(on))) for name in animals}
    after = replace(collection, animals={**collection.animals, **gone})
    found: dict[str, Problem] = {}
    for row in in_time(log):
        for animal, away in absences(row, after, ()):
            if animal.id in gone and away.how == how and animal.id not in found:
                left = f"it {'was ' if how == 'sold' else ''}{how} ({on})"
                said = (
                    f"the log has {row.event} of {animal.id} after {left}: {_line_of(row)} {row.on}; look at both days"
                )
                found[animal.id] = Problem.at(COMMAND_LINE, "log-absent", said, "warning")
    return tuple(found.values())


def kept_apart(collection: Collection, log: Sequence[LogRow], animals: Sequence[str], on: date) -> tuple[Problem, ...]:
    """Quarantines and treatments that animals are in on a day on which they are to be promised or to leave."""
    return tuple(
        Problem.at(
            COMMAND_LINE,
            "log-absent",
            f"{spell.animal} has a {spell.how} in the log (since {spell.since}, until {spell.until}); wait until it is over",
            "warning",
        )
        for spell in set_apart(collection, in_time(log), on)
        if spell.animal in animals
    )


def _together(rows: Sequence[LogRow]) -> Iterator[Problem]:
    findings = Findings()
    check_together(in_time(rows), findings)
    yield from findings.problems


def saying(row: LogRow) -> tuple[object, ...]:
    """What a row says, but for its day and its note."""
    value = None if row.number is not None or row.value is None else row.value.casefold()
    return row.animal, row.event, row.partner, row.clutch, row.number, value


def or_yes(odd: Problem) -> Problem:
    """What is said of an odd row where nobody is asked."""
    return replace(odd, message=f"{odd.message}, or add --yes if it is right")


def _line_of(row: LogRow) -> str:
    return f"{row.place.file}, line {row.place.line}," if row.place.line else "what was just written"


def _why(away: Absence) -> str:
    since = f" ({away.since})" if away.since else ""
    if away.how == "came":
        return f"came later{since}"
    if away.how in ("quarantine", "treatment"):
        return f"has a {away.how} in the log{since}"
    return (
        f"is no longer here: {away.how}{since}"
        if away.how != "elsewhere"
        else "was never here: its status is `elsewhere`"
    )
