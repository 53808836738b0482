"""Who else may have sired a clutch: males that the log puts with the dam in time, and the sires of her clutch before, whose sperm she may
have kept.

Nothing is decided here: none of them is a sire on record, and no figure counts him. One that the record's `not_by` names is none of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from types import MappingProxyType

from clutchlight.genetics.other_sires import Others, letting_in
from clutchlight.model import Clutch, Collection
from clutchlight.model.private import Private
from clutchlight.reading.log import Candidate, males_in_log, sire_window_days

KEPT_SPERM = timedelta(days=731)
"""How long after her clutch before a dam's eggs may be by its sire: two years, with a leap day; a careful choice of ours."""


@dataclass(frozen=True, slots=True)
class OtherMale:
    """A male that may have sired a clutch and is no sire on record of it.

    `seen`: when the log puts him with the dam; `earlier`: her clutch before, of which he is a sire on record. One of the two is there.
    """

    clutch: str
    dam: str
    male: str
    seen: Candidate | None
    earlier: str | None


def other_males(collection: Collection, private: Private) -> tuple[OtherMale, ...]:
    """All of them, clutch by clutch: those of the log first. One that descends from the clutch is none."""
    found: list[OtherMale] = []
    pedigree = collection
    for clutch in collection.clutches.values():
        for one in _of(clutch, collection, private):
            if clutch.id not in _clutches_above(pedigree, one.male):
                found.append(one)
                pedigree = letting_in(pedigree, {clutch.id: {one.male: None}})
    return tuple(found)


def by_clutch(others: tuple[OtherMale, ...]) -> Others:
    """The same as the inference takes them."""
    found: dict[str, dict[str, str | None]] = {}
    for one in others:
        found.setdefault(one.clutch, {})[one.male] = one.earlier
    return MappingProxyType(found)


def _of(clutch: Clutch, collection: Collection, private: Private) -> Iterator[OtherMale]:
    laid, before = clutch.laid, _before(clutch, collection)
    if laid is None:
        return
    earlier = dict.fromkeys(before.sires.ids, before.id) if before is not None else {}
    seen: tuple[Candidate, ...] = ()
    if not laid.vague and clutch.reported_by is None:
        window = sire_window_days(private.rules, clutch.species)
        seen, _ = males_in_log(private.log, collection, clutch.dam, laid.last, window)
    known = dict.fromkeys((*clutch.sires.ids, *clutch.not_by))
    for one in seen:
        if one.male not in known:
            known[one.male] = None
            yield OtherMale(clutch.id, clutch.dam, one.male, one, earlier.get(one.male))
    for male, name in earlier.items():
        if male not in known:
            yield OtherMale(clutch.id, clutch.dam, male, None, name)


def _before(clutch: Clutch, collection: Collection) -> Clutch | None:
    """The dam's last clutch before this one, unless it was laid too long before."""
    laid = clutch.laid
    if laid is None:
        return None
    earlier = [one for one in collection.laid_by(clutch.dam) if one.laid is not None and one.laid.last < laid.last]
    last = max(earlier, key=lambda one: (one.laid.last, one.id) if one.laid else (laid.last, ""), default=None)
    return last if last is not None and last.laid is not None and laid.last - last.laid.last <= KEPT_SPERM else None


def _clutches_above(collection: Collection, animal: str) -> frozenset[str]:
    """The clutches from which an animal or an ancestor of it hatched, through any possible parent."""
    found: set[str] = set()
    seen, waiting = {animal}, [animal]
    while waiting:
        record = collection.animals[waiting.pop()]
        clutch = collection.clutches.get(record.clutch or "")
        if clutch is not None:
            found.add(clutch.id)
        parents = clutch.parents if clutch is not None else tuple(name for name in (record.sire, record.dam) if name)
        for name in parents:
            if name not in seen:
                seen.add(name)
                waiting.append(name)
    return frozenset(found)
