"""log/*.csv → dated happenings. Every row is either taken or named with what is wrong in it; none is dropped in silence.

Columns: date,animal,event,with,value,note, in any order; the last three may be missing. The animal of a happening around eggs
may also be named by its clutch: the row then belongs to the dam.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction

from msgspec import Struct

from clutchlight.model import Collection, When
from clutchlight.model.private import (
    BOX_EVENTS,
    CLUTCH_EVENTS,
    EVENTS,
    FEMALE_EVENTS,
    PAIR_EVENTS,
    TOGETHER,
    WITH_EVENTS,
    LogRow,
    SeasonRules,
    plain_number,
)
from clutchlight.model.traits import grouped
from clutchlight.reading.fields import MAX_COUNT, SEXES, one_of, when
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Known
from clutchlight.reading.strict import parsed
from clutchlight.reading.tables import NEEDED, Row, read_sheet
from clutchlight.reading.text import WrittenText, by_word

ALSO: Mapping[str, str] = by_word(
    {
        "weight": "weighed|weighs|weigh|wt",
        "meal": "fed|ate|eaten|eats|took",
        "refused": "refusal|refuses|refuse|did not eat|didn't eat|didnt eat|not eaten|would not eat|ate nothing|took nothing|no meal",
        "shed": "sheds|shedded|sloughed|slough",
        "paired": "pairing|pair|introduced|together|in with|put with",
        "lock": "locked|locks|locked up",
        "parted": "separated|apart|taken apart|taken out",
        "no interest": "not interested",
        "cooled": "cooling",
        "warmed": "warming",
        "ovulation": "ovulated|ovulating",
        "pre-lay shed": "pre lay shed|prelay shed|pls",
        "laid": "lays",
        "slugs only": "slugs",
        "egg lost": "eggs lost|lost egg|lost eggs|egg died",
        "pipped": "pip|pips|pipping",
        "temperature": "temp",
        "sexed": "sex",
        "first meal": "first food",
        "assisted": "assist fed",
        "treatment": "treated",
        "quarantine": "quarantined",
        "note": "notes",
    }
)
"""Other words for the same happenings, the trade's and everyday ones: in the log, behind `log`, and in notes."""
_DIED = "the command `died` writes it"
MEANT: Mapping[str, str] = {"died": _DIED, "dead": _DIED, "sold": "the command `sold` writes it"}
"""What is no happening of the log but of the record."""
EVENT = one_of(EVENTS, ALSO, MEANT, stranger="is no event of the log")
DATE = when()
_GRAMS = re.compile(r"([0-9]{1,6}(?:\.[0-9]{1,2})?)\s*g?", re.IGNORECASE)
_THOUSANDS = re.compile(r"([0-9]{1,3})[.,' ]([0-9]{3})\s*g?", re.IGNORECASE)
_COMMA_GRAMS = re.compile(r"([0-9]{1,6}),([0-9]{1,2})\s*g?", re.IGNORECASE)
ODD_FACTOR, ODD_DAYS = 3, 90
GROWN_G, GROWN_FACTOR = 300, 5
"""A snake of so many grams never grows to more than so many times that, and hardly lives at a third of it."""
OVER = ("over", "ended", "done", "finished")
"""The values that end a quarantine or a treatment."""
_SPAN = re.compile(r"(?:for )?([0-9]{1,3}) ?(d|days?|w|weeks?)")
_UNTIL = re.compile(r"(?:until )?([0-9]{4}-[0-9]{2}-[0-9]{2})")
_PERHAPS_AN_END = re.compile(
    r"(?:until|till|for|over|ended|done|finished|ends?)\b|[0-9]+ ?(?:d|w|days?|weeks?|months?)\b|[0-9]{1,4}[-./][0-9]{1,2}[-./][0-9]"
)
NO_END = "may be when it ends; write `until 2026-12-20`, `14 days` or `over`, or put it"


def read_log(text: str, file: str, known: Known, findings: Findings) -> tuple[LogRow, ...]:
    """The rows of one file, in the order written."""
    sheet = read_sheet(text, file, findings)
    rows = [] if sheet is None else [row_from(row, known, findings) for row in sheet.rows]
    return tuple(row for row in rows if row is not None)


def in_time(rows: Iterable[LogRow]) -> tuple[LogRow, ...]:
    """Rows by date; those of one day stay as they were written."""
    return tuple(sorted(rows, key=lambda row: row.day))


def row_from(row: Row, known: Known, findings: Findings) -> LogRow | None:
    """One row of the log; None, with every problem in it reported, when it does not hold."""
    before = findings.errors
    cells = row.cells
    for name in NEEDED:
        if name not in cells:
            findings.report(row.place, "missing-key", f"this row has no {name}; fill in the cell")
    on = parsed(DATE, cells["date"], findings) if "date" in cells else None
    event = parsed(EVENT, cells["event"], findings) if "event" in cells else None
    animal, clutch = _subject(cells.get("animal"), event, known, findings)
    partner = known.animal(cells["with"], findings) if "with" in cells else None
    value = cells.get("value")
    number = _number(event, value, row, findings)
    if event is not None and animal is not None:
        _check_pair(event, animal, partner, row, known, findings)
        _check_female(event, animal, row, known, findings)
    if findings.errors > before or on is None or event is None or animal is None:
        return None
    _check_hatched(on, animal, row, known, findings)
    if event in ("quarantine", "treatment") and value is not None:
        _check_end(value, on.last, findings)
    if findings.errors > before:
        return None
    said = {name: str(cell) for name, cell in cells.items()}
    return LogRow(on, animal, event, row.place, partner, said.get("value"), number, said.get("note"), clutch)


def last_day(value: str, day: date) -> date | None:
    """The last day that the value of a quarantine or a treatment names; None where it names none, or one before the row."""
    if found := _SPAN.fullmatch(value.casefold()):
        return day + timedelta(days=int(found[1]) * (7 if found[2].startswith("w") else 1))
    found = _UNTIL.fullmatch(value.casefold())
    if found is None:
        return None
    try:
        last = date.fromisoformat(found[1])
    except ValueError:
        return None
    return last if last >= day else None


def perhaps_an_end(value: str) -> bool:
    return _PERHAPS_AN_END.match(value.casefold()) is not None


def _check_end(value: WrittenText, day: date, findings: Findings) -> None:
    """What looks like the end of a quarantine or a treatment is read as one, or refused."""
    if value.casefold() not in OVER and last_day(value, day) is None and perhaps_an_end(value):
        findings.report(value.place, "log-value", f"'{value}' {NO_END} into the note")


def check_together(rows: Sequence[LogRow], findings: Findings) -> None:
    """Warns of a row that stands twice, and of a weight that no snake reaches so fast."""
    seen: dict[object, LogRow] = {}
    for row in rows:
        key = (row.on, row.event, frozenset((row.animal, row.partner)), row.value, row.note)
        held = seen.setdefault(key, row)
        if held is not row:
            said = f"the same row already stands in {held.place.file}, line {held.place.line}"
            findings.report(row.place, "log-twice", f"{said}; delete one of them if it happened once")
    for odd in odd_weights(rows):
        after = f"after {plain_number(odd.before_g)} g on {odd.before.on}"
        said = f"{plain_number(odd.grams)} g for {odd.row.animal}, {after}; look at the digits"
        findings.report(odd.row.place, "weight-odd", said)


class OddWeight(Struct):
    """A weighing, and the one before it from which no snake gets to it so fast. `borne_out`: whether the next one agrees with it."""

    row: LogRow
    grams: Fraction
    before: LogRow
    before_g: Fraction
    borne_out: bool = False


def odd_weights(rows: Sequence[LogRow]) -> tuple[OddWeight, ...]:
    """The weights that no snake reaches so fast, in the order of the rows; one that agrees with an odd one is not odd."""
    found: list[OddWeight] = []
    last: dict[str, tuple[LogRow, Fraction]] = {}
    doubted: dict[str, OddWeight] = {}
    for row in rows:
        if row.event != "weight" or row.number is None:
            continue
        before, odd = last.get(row.animal), doubted.pop(row.animal, None)
        if odd is not None and not _odd(row, row.number, odd.row, odd.grams):
            odd.borne_out = True
        elif before is not None and _odd(row, row.number, *before):
            doubted[row.animal] = OddWeight(row, row.number, *before)
            found.append(doubted[row.animal])
            continue
        last[row.animal] = row, row.number
    return tuple(found)


def _odd(row: LogRow, grams: Fraction, before: LogRow, before_g: Fraction) -> bool:
    """Whether no snake gets from one weight to the other in that time, or a grown one ever."""
    if row.day - before.day > timedelta(days=ODD_DAYS):
        return before_g >= GROWN_G and (grams > GROWN_FACTOR * before_g or ODD_FACTOR * grams < before_g)
    return max(grams, before_g) > ODD_FACTOR * min(grams, before_g)


def _subject(
    cell: WrittenText | None, event: str | None, known: Known, findings: Findings
) -> tuple[str | None, str | None]:
    if cell is None:
        return None, None
    clutch = known.clutch(cell)
    of_eggs = event in (*CLUTCH_EVENTS, *BOX_EVENTS)
    if clutch is not None and (of_eggs or event in ("note", None)):
        return clutch.dam, clutch.id
    if clutch is not None:
        said = f"'{cell}' is a clutch, and '{event}' is of one animal; write the animal's id"
        findings.report(cell.place, "unknown-animal", said)
        return None, None
    return known.animal(cell, findings, or_clutch=of_eggs), None


def _number(event: str | None, value: WrittenText | None, row: Row, findings: Findings) -> Fraction | None:
    if value is None:
        if event == "weight":
            said = "a weight has no figure; write the grams as its value, such as 1215"
            findings.report(row.place, "log-value", said)
        return None
    if event == "weight":
        return _weight(value, findings)
    if event in CLUTCH_EVENTS:
        digits = value.isascii() and value.isdigit()
        if digits and len(value) < 7 and int(value) <= MAX_COUNT:
            return Fraction(int(value))
        said = f"'{value}' is not a number of eggs or young; write digits only, and words into the note"
        if digits:
            said = f"{value} eggs or young are more than a clutch has; look at the digits"
        findings.report(value.place, "log-value", said)
    elif event == "sexed" and value.casefold() not in SEXES:
        findings.report(value.place, "log-value", f"'{value}' is no sex; write male, female or unknown")
    return None


def _weight(value: WrittenText, findings: Findings) -> Fraction | None:
    found = _GRAMS.fullmatch(value)
    if found is not None and Fraction(found[1]) > 0:
        return Fraction(found[1])
    if thousands := _THOUSANDS.fullmatch(value):
        remedy = f"write {int(thousands[1] + thousands[2])}"
    elif comma := _COMMA_GRAMS.fullmatch(value):
        remedy = f"write {comma[1]}.{comma[2]}"
    else:
        remedy = "write grams in digits, such as 1215"
    findings.report(value.place, "log-value", f"'{value}' is not a weight in plain grams; {remedy}")
    return None


def _check_pair(event: str, animal: str, partner: str | None, row: Row, known: Known, findings: Findings) -> None:
    """A pairing joins a male and a female of one species."""
    if event not in WITH_EVENTS:
        return
    if partner is None:
        if "with" not in row.cells and event in TOGETHER:
            said = f"'{event}' does not say with whom; name the other animal under `with`"
            findings.report(row.place, "log-pair", said)
        return
    one, other = known.record(animal), known.record(partner)
    if one is None or other is None:
        return
    if animal == partner:
        said = f"'{animal}' stands with itself; name the other animal"
    elif one.sex == other.sex and one.sex != "unknown":
        said = f"'{animal}' and '{partner}' are both on record as {one.sex}; correct the id or the sex"
    elif one.species != other.species:
        said = f"'{animal}' is of the species {one.species}, '{partner}' of {other.species}; correct the id"
    else:
        return
    findings.report(row.cells["with"].place, "log-pair", said)


def _check_female(event: str, animal: str, row: Row, known: Known, findings: Findings) -> None:
    record = known.record(animal)
    if event in FEMALE_EVENTS and record is not None and record.sex == "male":
        said = f"'{event}' is said of '{animal}', who is on record as male; correct the id, the event or the sex"
        findings.report(row.cells["animal"].place, "log-sex", said)


def _check_hatched(on: When, animal: str, row: Row, known: Known, findings: Findings) -> None:
    record, place = known.record(animal), row.cells["date"].place
    hatched = record.hatched if record is not None else None
    if record is None or hatched is None or hatched.vague or on.last >= hatched.first:
        return
    if findings.in_future(hatched):
        findings.deny(hatched, record.place_of("hatched"), place)
    else:
        said = f"this is dated {on}, before '{animal}' hatched ({hatched}); correct one of the dates"
        findings.report(place, "dates-out-of-order", said)


SIRE_WINDOW_DAYS = 270
"""Pairings of one season: common practice, no source; `season: {sire_window_days: ...}` changes it."""


class Candidate(Struct, frozen=True):
    """A male that the log puts with a female: when first and last, and whether a lock was seen."""

    male: str
    first: date
    last: date
    locked: bool

    @property
    def days(self) -> str:
        """'2026-10-10', or 'between 2026-10-10 and 2026-10-24', in which he was perhaps parted from her."""
        first, last = self.first.isoformat(), self.last.isoformat()
        return first if first == last else f"between {first} and {last}"


def males_in_log(
    log: Iterable[LogRow], collection: Collection, dam: str, laid: date, window_days: int = SIRE_WINDOW_DAYS
) -> tuple[tuple[Candidate, ...], tuple[Candidate, ...]]:
    """The males with her in the window before laying, and those only before it; each by first day, then id."""
    begins = _window_begins(collection, dam, laid, window_days)
    paired = [(row.with_(dam), row) for row in log if row.event in PAIR_EVENTS and row.day <= laid]
    inside = grouped((male, row) for male, row in paired if male is not None and row.day >= begins)
    earlier = grouped((male, row) for male, row in paired if male is not None and male not in inside)
    return _candidates(inside), _candidates(earlier)


def loans_before(collection: Collection, dam: str, laid: date, window_days: int) -> tuple[tuple[When, When], ...]:
    """From when to when she was out on loan in the window before laying, the last first: who was with her there is not in the log."""
    begins = _window_begins(collection, dam, laid, window_days)
    return tuple(loan for loan in collection.animals[dam].loans if begins <= loan[1].last and loan[0].first <= laid)


def _window_begins(collection: Collection, dam: str, laid: date, window_days: int) -> date:
    """The first day on which a male with her may count for what she laid: none before her last clutch."""
    days = [clutch.laid.last for clutch in collection.laid_by(dam) if clutch.laid is not None]
    return max((laid - timedelta(days=window_days), *(day + timedelta(days=1) for day in days if day < laid)))


def check_sires(
    log: Iterable[LogRow], collection: Collection, rules: Mapping[str, SeasonRules], findings: Findings
) -> None:
    """Warns of a clutch none of whose recorded sires is among the males that the log puts with the dam in the window.

    A date of laying that spans several days gets the benefit of the doubt: a male counts against the record only when he was
    with her in the window of each of those days, and for it when he was in that of any.
    """
    paired = [row for row in log if row.event in PAIR_EVENTS and row.partner is not None]
    pairings = grouped((one, row) for row in paired for one in (row.animal, row.partner))
    for clutch in collection.clutches.values():
        laid, rows = clutch.laid, pairings.get(clutch.dam)
        if rows is None or laid is None or laid.vague or clutch.reported_by is not None or not clutch.sires.ids:
            continue
        window, span = sire_window_days(rules, clutch.species), (laid.last - laid.first).days
        with_her, _ = males_in_log(rows, collection, clutch.dam, laid.first, window - span)
        surely = [found for found in with_her if found.male not in clutch.not_by]
        perhaps, earlier = males_in_log(rows, collection, clutch.dam, laid.last, window + span)
        if surely and not {found.male for found in perhaps} & set(clutch.sires.ids):
            named = " and ".join(f"'{found.male}' ({found.days})" for found in surely)
            stored = next((found for found in earlier if found.male in clutch.sires.ids), None)
            before = f" ('{stored.male}' was with her {stored.days}, before that)" if stored is not None else ""
            said = (
                f"before this clutch was laid ({laid}) the log puts {named} with '{clutch.dam}', and none of the sires"
                f" written here{before}; correct the sire or the log, or name them all"
            )
            findings.report(clutch.place_of("sire"), "sire-not-in-log", said)


def sire_window_days(rules: Mapping[str, SeasonRules], species: str) -> int:
    """How far back a pairing counts: the breeder's own limit for the species, or for all, else the usual one."""
    own = (rules[key].sire_window_days for key in (species, "") if key in rules)
    return next((days for days in own if days is not None), SIRE_WINDOW_DAYS)


def _candidates(rows: Mapping[str, tuple[LogRow, ...]]) -> tuple[Candidate, ...]:
    by_day = {male: sorted(seen, key=lambda row: row.day) for male, seen in rows.items()}
    found = (
        Candidate(male, seen[0].day, seen[-1].day, any(row.event == "lock" for row in seen))
        for male, seen in by_day.items()
    )
    return tuple(sorted(found, key=lambda candidate: (candidate.first, candidate.male)))
