"""Rows of one pair and one day → clutches, proposed and confirmed; animals of one seller and one day → siblings, if the breeder says so.

Counts are asked and never made up: a clutch of which nobody says that all of it is listed is `complete: no`.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from clutchlight.intake.asking import Dialogue, ToAsk
from clutchlight.intake.rows import Draft
from clutchlight.model import When
from clutchlight.reading.dates import read_date
from clutchlight.reading.ids import Register

_ID = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9._-]{0,40}[A-Za-z0-9])?")
_STEM = re.compile(r"(?P<stem>.*[A-Za-z0-9])[-._][0-9]{1,3}")
_COUNTS = re.compile(r"(?P<number>[0-9]{1,3})\s*(?P<what>eggs?|slugs?|went bad|bad|unseen)", re.IGNORECASE)
_KEYS = {
    "egg": "eggs",
    "eggs": "eggs",
    "slug": "slugs",
    "slugs": "slugs",
    "went bad": "went_bad",
    "bad": "went_bad",
    "unseen": "unseen",
}
COUNTS_SAID = "the counts as well, such as `yes, 8 eggs, 1 slug, 1 went bad, 1 unseen`"


@dataclass(slots=True)
class ProposedClutch:
    """A clutch to be written: its young, and what was said of it. `seller`: whose clutch it was, when it was not bred here."""

    id: str
    hatched: str
    young: list[Draft]
    sire: str = ""
    dam: str = ""
    seller: str = ""
    complete: bool = False
    counts: dict[str, str] = field(default_factory=dict)

    def __str__(self) -> str:
        return f"{self.id}: {self.sire} x {self.dam}, {self.hatched}, {len(self.young)} young"


def clutches_of(drafts: Sequence[Draft], register: Register) -> list[ProposedClutch]:
    """Two rows and more of one pair whose dates fit one day. A month or a year joins the only day of that pair in it."""
    pairs: dict[tuple[str, str], list[Draft]] = {}
    for draft in drafts:
        if draft.sire and draft.dam and draft.hatched and " " not in draft.hatched:
            pairs.setdefault((draft.sire, draft.dam), []).append(draft)
    taken = {*register.entries, *(draft.id.casefold() for draft in drafts)}
    stems = _stems(drafts)
    found: list[ProposedClutch] = []
    for (sire, dam), together in pairs.items():
        for hatched, young in _by_day(together):
            if len(young) > 1:
                name = _name_of(young, hatched, taken, stems)
                taken.add(name.casefold())
                found.append(ProposedClutch(name, hatched, young, sire, dam))
    return found


def _by_day(together: Sequence[Draft]) -> list[tuple[str, list[Draft]]]:
    days: dict[str, list[Draft]] = {draft.hatched: [] for draft in together if _when(draft.hatched).exact}
    for draft in together:
        when = _when(draft.hatched)
        fitting = (
            [day for day in days if when.first <= _when(day).first <= when.last] if not when.exact else [draft.hatched]
        )
        if len(fitting) == 1:
            days[fitting[0]].append(draft)
        elif not fitting:
            days.setdefault(draft.hatched, []).append(draft)
    return list(days.items())


def _when(text: str) -> When:
    when = read_date(text)
    if isinstance(when, str):
        raise TypeError(when)
    return when


def _stems(drafts: Iterable[Draft]) -> Counter[str]:
    return Counter(found["stem"] for draft in drafts if (found := _STEM.fullmatch(draft.id)))


def _name_of(young: Sequence[Draft], hatched: str, taken: set[str], stems: Counter[str]) -> str:
    """As the sheet calls it; else what the ids of two young and no others begin with, such as 21-01; else the year's next number."""
    written = {draft.cells.get("clutch", "") for draft in young}
    if len(written) == 1 and _ID.fullmatch(name := written.pop()) and name.casefold() not in taken:
        return name
    for stem, count in _stems(young).most_common(1):
        if 1 < count == stems[stem] and stem.casefold() not in taken:
            return stem
    number = 1
    while f"c{hatched[2:4]}-{number:02d}" in taken:
        number += 1
    return f"C{hatched[2:4]}-{number:02d}"


def confirm_clutches(found: Sequence[ProposedClutch], questions: Dialogue) -> None:
    """One question for all of them; one for each only where the breeder asks for it."""
    if not found:
        return
    lines = [f"  {one}" for one in found]
    said = "Rows of one pair and one day are kept as a clutch:"
    answer = questions.answer(
        ToAsk(
            "clutches",
            "\n".join(
                [
                    said,
                    *lines,
                    "Is every good egg of them among these young? Only then do their looks say what a parent does not carry.",
                ]
            ),
            (
                ("not all", "none is taken to be complete"),
                ("all", "of every clutch each good egg hatched and is listed"),
                ("one by one", "to be asked of each"),
            ),
            "not all",
            of_sheet=True,
        )
    )
    for one in found:
        one.complete = answer == "all"
        if answer == "one by one":
            said = questions.answer(
                ToAsk(
                    f"clutch {one.id}",
                    f"{one}. Is each of its good eggs listed, or counted?",
                    (("yes", "each good egg hatched and is listed"), ("no", "not all, or nobody knows")),
                    "no",
                    COUNTS_SAID,
                )
            )
            one.complete = said.casefold().startswith("yes")
            one.counts = {_KEYS[count["what"].casefold()]: count["number"] for count in _COUNTS.finditer(said)}
        if one.complete and "eggs" not in one.counts:
            failed = sum(int(one.counts.get(key, 0)) for key in ("went_bad", "unseen"))
            one.counts = {"eggs": str(len(one.young) + failed), **one.counts}


def siblings_of(
    drafts: Iterable[Draft], register: Register, taken: Iterable[str], questions: Dialogue
) -> list[ProposedClutch]:
    """Animals without parents that came from one seller and hatched on one day, once the breeder says that they are siblings.

    Those that show or carry something are only noted as such: in a clutch their looks would turn up out of nothing, and a claim about an
    animal with parents does not count.
    """
    groups: dict[tuple[str, str], list[Draft]] = {}
    for draft in drafts:
        if draft.seller and draft.parents is None and draft.hatched and _when(draft.hatched).exact:
            groups.setdefault((draft.seller, draft.hatched), []).append(draft)
    names = {*register.entries, *(name.casefold() for name in taken)}
    found = []
    for (seller, hatched), young in groups.items():
        if len(young) < 2:
            continue
        listed = ", ".join(f"{one.id} {one.name}".strip() for one in young)
        answer = questions.answer(
            ToAsk(
                f"siblings {', '.join(one.id for one in young)}",
                f"{listed}: all from {seller}, hatched {hatched}. Are they of one clutch?",
                (
                    (
                        "siblings",
                        "it is noted of each; where none shows or carries anything, as a clutch of parents nobody knows",
                    ),
                    ("not siblings", "they only came together, or nobody knows"),
                ),
                "not siblings",
            )
        )
        if answer == "siblings":
            if any(one.genes.hets or one.genes.looks for one in young):
                for one in young:
                    one.notes["siblings"] = (
                        f"of one clutch with {', '.join(other.id for other in young if other is not one)}"
                    )
                continue
            name = _name_of([], hatched, names, Counter())
            names.add(name.casefold())
            found.append(ProposedClutch(name, hatched, young, seller=seller))
    return found
