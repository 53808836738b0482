"""Which males the log puts with a female before she laid: within the window, and only before it; and whether her clutch says so.

The window ends on the day of laying. It begins so many days before, or on the day after her last clutch where that is later.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from clutchlight.model import Clutch, Collection
from clutchlight.model.season import PAIR_EVENTS, LogRow, SeasonRules
from clutchlight.plaintext.findings import Findings

SIRE_WINDOW_DAYS = (
    270  # common practice, no source: pairings of one season; `season: {sire_window_days: ...}` changes it
)

# Happenings that show a male with a female; `parted` shows that he was.
_TOGETHER = PAIR_EVENTS


@dataclass(frozen=True, slots=True)
class Candidate:
    """A male that the log puts with a female: when first and last, and whether a lock was seen."""

    male: str
    first: date
    last: date
    locked: bool

    @property
    def days(self) -> str:
        """'2026-10-10', or '2026-10-10 to 2026-10-24'."""
        first, last = self.first.isoformat(), self.last.isoformat()
        return first if first == last else f"{first} to {last}"


def males_in_log(
    log: Iterable[LogRow], collection: Collection, dam: str, laid: date, window_days: int = SIRE_WINDOW_DAYS
) -> tuple[tuple[Candidate, ...], tuple[Candidate, ...]]:
    """The males with her in the window before laying, and those only before it; each by first day, then id."""
    begins = laid - timedelta(days=window_days)
    for earlier in _laid_before(collection, dam, laid):
        begins = max(begins, earlier + timedelta(days=1))
    inside: dict[str, list[LogRow]] = {}
    before: dict[str, list[LogRow]] = {}
    for row in log:
        male = row.with_(dam)
        if row.event in _TOGETHER and male is not None and row.day <= laid:
            (inside if row.day >= begins else before).setdefault(male, []).append(row)
    earlier_only = {male: rows for male, rows in before.items() if male not in inside}
    return _candidates(inside), _candidates(earlier_only)


def check_sires(
    log: Iterable[LogRow], collection: Collection, rules: Mapping[str, SeasonRules], findings: Findings
) -> None:
    """Warns of a clutch none of whose recorded sires is among the males that the log puts with the dam in the window.

    A date of laying that spans several days gets the benefit of the doubt: a male counts against the record only when he was
    with her in the window of each of those days, and for it when he was in that of any.
    """
    pairings: dict[str, list[LogRow]] = {}
    for row in log:
        if row.event in _TOGETHER and row.partner is not None:
            pairings.setdefault(row.animal, []).append(row)
            pairings.setdefault(row.partner, []).append(row)
    for clutch in collection.clutches.values():
        laid, rows = clutch.laid, pairings.get(clutch.dam)
        if rows is None or laid is None or laid.vague or clutch.reported_by is not None or not clutch.sires.ids:
            continue
        window, span = sire_window_days(rules, clutch.species), (laid.last - laid.first).days
        surely, _ = males_in_log(rows, collection, clutch.dam, laid.first, window - span)
        perhaps, earlier = males_in_log(rows, collection, clutch.dam, laid.last, window + span)
        if surely and not {found.male for found in perhaps} & set(clutch.sires.ids):
            named = " and ".join(f"'{found.male}' ({found.days})" for found in surely)
            stored = next((found for found in earlier if found.male in clutch.sires.ids), None)
            said = f" ('{stored.male}' was with her {stored.days}, before that)" if stored is not None else ""
            findings.report(
                clutch.sire_place or clutch.place,
                "sire-not-in-log",
                f"before this clutch was laid ({laid}) the log puts {named} with '{clutch.dam}', and none of the sires"
                f" written here{said}; correct the sire or the log, or name them all",
            )


def sire_window_days(rules: Mapping[str, SeasonRules], species: str) -> int:
    """How far back a pairing counts: the breeder's own limit for the species, or for all, else the usual one."""
    for key in (species, ""):
        if key in rules and (own := rules[key].sire_window_days) is not None:
            return own
    return SIRE_WINDOW_DAYS


def clutches_of_dam(collection: Collection, dam: str) -> list[Clutch]:
    clutches = (collection.clutches[key] for key in collection.clutches_of.get(dam, ()))
    return [clutch for clutch in clutches if clutch.dam == dam]


def _candidates(rows: Mapping[str, list[LogRow]]) -> tuple[Candidate, ...]:
    found = [
        Candidate(
            male,
            min(row.day for row in seen),
            max(row.day for row in seen),
            any(row.event == "lock" for row in seen),
        )
        for male, seen in rows.items()
    ]
    return tuple(sorted(found, key=lambda candidate: (candidate.first, candidate.male)))


def _laid_before(collection: Collection, dam: str, laid: date) -> list[date]:
    days = [clutch.laid.last for clutch in clutches_of_dam(collection, dam) if clutch.laid is not None]
    return [day for day in days if day < laid]
