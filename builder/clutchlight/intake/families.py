"""Drafts → their parents, and the clutches they make: rows of one pair and one day, young of a clutch on record.

Each clutch is proposed and asked about once, with its counts: one of which nobody says that all of it is listed is `complete: no`.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import timedelta
from functools import cached_property, partial
from itertools import count

from msgspec import Struct, field

from clutchlight.intake.animal_rows import Draft, Leftovers
from clutchlight.intake.asking import Dialogue
from clutchlight.intake.cells import came_in, parents_in
from clutchlight.intake.columns import first_parent
from clutchlight.intake.words import NO_PARENT, eggs_in, letters_of
from clutchlight.model import UNRECORDED, Clutch, Collection, When
from clutchlight.reading.dates import read_date
from clutchlight.reading.findings import nearest
from clutchlight.reading.ids import Register
from clutchlight.reading.text import one_case

_ID = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9._-]{0,40}[A-Za-z0-9])?")
_STEM = re.compile(r"(?P<stem>.*[A-Za-z0-9])[-._][0-9]{1,3}")
_CROSS = re.compile(r"\sx\s|×", re.IGNORECASE)
_LETTERS = 3
"""Letters that a part of a name has at least."""
COUNTS_SAID = "the counts as well, such as `yes, 8 good eggs, 1 slug, 1 went bad, 1 unseen`, or no with them"


class ProposedClutch(Struct):
    """A clutch to be written: its young, and what was said of it.

    `outside`: rows of that day that may be of the pair too, as far as the sheet says.
    """

    id: str
    hatched: str
    young: list[Draft]
    sire: str
    dam: str
    complete: bool = False
    counts: dict[str, str] = field(default_factory=dict)
    outside: tuple[str, ...] = ()

    def __str__(self) -> str:
        outside = f"; outside of it, of that day and maybe of them: {', '.join(self.outside)}" if self.outside else ""
        return f"{self.id}: {self.sire} x {self.dam}, {self.hatched}, {len(self.young)} young{outside}"


def clutches_of(drafts: Sequence[Draft], register: Register, questions: Dialogue) -> list[ProposedClutch]:
    """Two rows and more of one pair whose dates fit one day. A month or a year joins the only day of that pair in it.

    Days in a row of one pair are one clutch.
    """
    pairs: dict[tuple[str, str], list[Draft]] = {}
    for draft in drafts:
        if draft.sire and draft.dam and draft.hatched and " " not in draft.hatched:
            pairs.setdefault((draft.sire, draft.dam), []).append(draft)
    taken = {*register.entries, *(draft.id.casefold() for draft in drafts)}
    stems = _stems(drafts)
    found: list[ProposedClutch] = []
    by_day = {pair: _with_days_in_a_row(_by_day(together)) for pair, together in pairs.items()}
    several = [(pair, day, young) for pair, days in by_day.items() for day, young in days.items() if len(young) > 1]
    for (sire, dam), hatched, young in several:
        name = _name_of(young, hatched, taken, stems)
        taken.add(name.casefold())
        on = {hatched, *(one.hatched for one in young if _when(one.hatched).exact)}
        same_day = [one for one in drafts if one.hatched in on and one.species == young[0].species]
        perhaps = (one for one in same_day if one.sire in ("", sire) and one.dam in ("", dam))
        outside = tuple(one.id for one in perhaps if one not in young)
        found.append(ProposedClutch(name, hatched, young, sire, dam, outside=outside))
    return found


def _with_days_in_a_row(days: dict[str, list[Draft]]) -> dict[str, list[Draft]]:
    """The same with the young of days in a row under one range of days."""
    for first, *others in _days_in_a_row(days):
        whole = str(When.span(_when(first).first, _when(others[-1]).first))
        days[whole] = [one for day in (first, *others) for one in days.pop(day)]
    return days


def _days_in_a_row(days: Iterable[str]) -> list[list[str]]:
    """The runs of two days and more of which each is the day after the one before."""
    runs: list[list[str]] = []
    for day in sorted(day for day in days if _when(day).exact):
        follows = runs and _when(day).first - _when(runs[-1][-1]).first == timedelta(days=1)
        if not follows:
            runs.append([])
        runs[-1].append(day)
    return [run for run in runs if len(run) > 1]


def _by_day(together: Sequence[Draft]) -> dict[str, list[Draft]]:
    days: dict[str, list[Draft]] = {draft.hatched: [] for draft in together if _when(draft.hatched).exact}
    for draft in together:
        when = _when(draft.hatched)
        fitting = [day for day in days if when.first <= _when(day).first <= when.last]
        if len(fitting) < 2:
            days.setdefault(next(iter(fitting), draft.hatched), []).append(draft)
    return days


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
    for stem, times in _stems(young).most_common(1):
        if 1 < times == stems[stem] and stem.casefold() not in taken:
            return stem
    names = (f"C{hatched[2:4]}-{number:02d}" for number in count(1))
    return next(name for name in names if name.casefold() not in taken)


def confirm_clutches(found: Sequence[ProposedClutch], questions: Dialogue) -> None:
    """One question for all of them; one for each only where the breeder asks for it."""
    if not found:
        return
    of, none = ("it", "it is not") if len(found) == 1 else ("them", "none is")
    lines = ["Rows of one pair and one day, or of days in a row, are kept as a clutch:", *(f"  {one}" for one in found)]
    asked = f"Is every good egg of {of} among these young? Only then do their looks say what a parent does not carry."
    answer = questions.put(
        "clutches",
        "\n".join([*lines, asked]),
        (
            ("not all", f"{none} taken to be complete"),
            ("all", "of every clutch each good egg hatched and is listed"),
            ("one by one", "to be asked of each"),
        ),
        unanswered="not all",
        of_sheet=True,
        brief=f"Is every good egg of {', '.join(one.id for one in found)} among the young in the sheet?",
    )
    for one in found:
        one.complete = answer == "all"
        if answer == "one by one":
            said = questions.put(
                f"clutch {one.id}",
                f"{one}. Is each of its good eggs listed, or counted?",
                (("yes", "each good egg hatched and is listed"), ("no", "not all, or nobody knows")),
                COUNTS_SAID,
                wrong=partial(_not_counted, one),
            )
            one.complete = said.casefold().startswith("yes")
            one.counts = _counts_in(said)
        if one.complete and "eggs" not in one.counts:
            one.counts = {"eggs": str(_accounted(one, one.counts)), **one.counts}


def _counts_in(said: str) -> dict[str, str]:
    """The counts of an answer, good eggs as those of a record."""
    return {"eggs" if key == "good" else key: number for key, number in eggs_in(said).items()}


def _accounted(clutch: ProposedClutch, counts: Mapping[str, str]) -> int:
    """The good eggs of which it is known what became of them."""
    return len(clutch.young) + sum(int(counts.get(key, 0)) for key in ("went_bad", "unseen"))


def _not_counted(clutch: ProposedClutch, answer: str) -> str:
    """What is wrong with an answer with counts; "" where nothing is."""
    yes, counts = answer.casefold().startswith("yes"), _counts_in(answer)
    if not yes and not re.match(r"no\b", answer, re.IGNORECASE):
        return "That says neither yes nor no"
    eggs, known = int(counts.get("eggs", 0)), _accounted(clutch, counts)
    if "eggs" not in counts or eggs == known or (eggs > known and not yes):
        return ""
    listed = f"{len(clutch.young)} young listed{' and those that failed' if known > len(clutch.young) else ''}"
    return f"{eggs} good eggs are {'fewer' if eggs < known else 'more'} than the {listed}"


HATCHES_WITHIN = timedelta(days=150)
"""Since laying, in the species that are built in: common practice, no source."""


def young_of_record(
    drafts: Iterable[Draft], collection: Collection, questions: Dialogue
) -> tuple[dict[str, list[Draft]], set[str]]:
    """Drafts that are young of a clutch on record, by its id, once the breeder says so; and the ids of those that are left apart."""
    found: dict[str, list[Draft]] = {}
    for draft in drafts:
        fitting = [clutch for clutch in collection.clutches.values() if _may_be_of(draft, clutch)]
        if len(fitting) == 1:
            found.setdefault(fitting[0].id, []).append(draft)
    if not found:
        return {}, set()
    lines = ["The sheet has young of clutches that are on record:"]
    lines += [f"  {_on_record(collection.clutches[name])}; new: {_ids(young)}" for name, young in found.items()]
    added = questions.some_of(
        "young of clutches",
        found,
        "\n".join([*lines, "Are they to be added to these records?"]),
        (
            "each is added to the record of its clutch, and nothing else there changes",
            "they are kept by themselves in animals/, each with its parents",
        ),
        "the ids of the clutches that are to be added to, with commas",
        f"Are new young to be added to the records of {', '.join(found)}?",
    )
    joined = {name: young for name, young in found.items() if name in added}
    return joined, {one.id for name, young in found.items() if name not in added for one in young}


def clutches_on_record(draft: Draft, collection: Collection) -> list[str]:
    """The clutches on record that a row of a list of clutches may be."""
    return [clutch.id for clutch in collection.clutches.values() if _same_clutch(draft, clutch)]


def _same_clutch(draft: Draft, clutch: Clutch) -> bool:
    """Whether a row is a clutch on record: by its id, or by dam and day, where nothing speaks against it."""
    if draft.id.casefold() == clutch.id.casefold():
        return True
    if not draft.dam or not _of_pair(draft, clutch):
        return False
    if draft.hatched and (clutch.hatched is not None or not draft.laid):
        return _may_be_of(draft, clutch)
    if not draft.laid:
        return False
    laid = _when(draft.laid)
    return laid.meets(clutch.laid) if clutch.laid is not None else _hatches_after(laid, clutch.hatched)


def _of_pair(draft: Draft, clutch: Clutch) -> bool:
    sires = [sire for sire, _ in clutch.sires.candidates]
    by_sire = not draft.sire or draft.sire in clutch.sires.ids or UNRECORDED in sires
    return by_sire and draft.species == clutch.species and draft.dam in ("", clutch.dam)


def _on_record(clutch: Clutch) -> str:
    day = f"hatched {clutch.hatched}" if clutch.hatched is not None else f"laid {clutch.laid}"
    return f"{clutch.id}: {clutch.sires.certain or 'sire not certain'} x {clutch.dam}, {day}, {len(clutch.young)} young on record"


def _ids(drafts: Iterable[Draft]) -> str:
    return ", ".join(one.id for one in drafts)


def _may_be_of(draft: Draft, clutch: Clutch) -> bool:
    """Whether the sheet says so by the clutch's id, or by the dam and the day, and says nothing that speaks against it."""
    named = draft.cells.get("clutch", "").casefold() == clutch.id.casefold()
    if clutch.ended is not None or not _of_pair(draft, clutch):
        return False
    if not draft.hatched:
        return named and clutch.hatched is not None
    when = _when(draft.hatched)
    same = when.exact and _hatches_after(clutch.laid, when) if clutch.hatched is None else when.meets(clutch.hatched)
    return same and (named or bool(draft.dam))


def _hatches_after(laid: When | None, hatched: When | None) -> bool:
    return laid is not None and hatched is not None and laid.last < hatched.first <= laid.last + HATCHES_WITHIN


# ---- who is whose parent


def parents_written(draft: Draft, left: Leftovers) -> tuple[str, str] | None:
    """Both parents as its row names them, "" for one that it does not; None where it names none that can be read."""
    for role in ("parents", "sire", "dam"):
        if NO_PARENT.fullmatch(draft.cells.get(role, "")):
            del draft.cells[role]
    both = next((cell for cell in map(draft.cells.get, ("sire", "dam")) if cell and _CROSS.search(cell)), None)
    if "parents" not in draft.cells and both is not None and (found := parents_in(both)) is not None:
        others = {draft.cells[role] for role in ("sire", "dam") if role in draft.cells} - {both}
        if others <= set(found):
            return found
        left.keep(draft, "parents", "the columns of its parents name more than two, so it is kept without parents")
        return None
    both = draft.cells.get("parents")
    if both is None:
        pair = draft.cells.get("sire", ""), draft.cells.get("dam", "")
        return pair if any(pair) else None
    found = parents_in(both)
    if found is None and "seller" not in draft.cells and came_in(both) is not None:
        draft.cells["seller"] = draft.cells.pop("parents")
    elif found is None:
        left.keep(draft, "parents", "not two parents such as A x B, so it is kept without parents")
    return found


class ParentLinks:
    """Finds the animals that parents are written as. `names`, `loose`: the ids of this sheet by name, and by id without its signs."""

    def __init__(
        self,
        drafts: Mapping[str, Draft],
        collection: Collection,
        register: Register,
        questions: Dialogue,
        left: Leftovers,
    ) -> None:
        self.drafts, self.collection, self.register = drafts, collection, register
        self.questions, self.left = questions, left
        self.names: dict[str, list[str]] = {}
        self.loose: dict[str, list[str]] = {}
        for draft in drafts.values():
            if draft.name:
                self.names.setdefault(one_case(draft.name), []).append(draft.id)
            self.loose.setdefault(letters_of(draft.id), []).append(draft.id)

    def link(self) -> None:
        """Puts to each draft the parents that are found."""
        found = [
            (draft, [self._animal(word, draft) or self._asked_animal(word, draft) for word in draft.parents])
            for draft in self.drafts.values()
            if draft.parents is not None
        ]
        order = self._order([(draft, pair) for draft, pair in found if _in_one_cell(draft)])
        for draft, pair in found:
            self._link(draft, draft.parents or ("", ""), pair, order if _in_one_cell(draft) else "columns")

    def _order(self, pairs: Sequence[tuple[Draft, Sequence[str]]]) -> str:
        """Which parent stands first where one cell names both, "sire" or "dam": by the sexes of the others, else by the heading, else asked
        once; "" where nobody knows."""
        sexes = [(draft, [self._sex_of(one) for one in pair]) for draft, pair in pairs if any(pair)]
        first = {both[0] for _, both in sexes if sorted(both) == ["female", "male"]}
        titled = first_parent(self.left.columns.called("parents"))
        open_ = [draft for draft, both in sexes if not any(both)]
        if len(first) == 1:
            return "sire" if first == {"male"} else "dam"
        if titled or not open_:
            return titled
        one, named = open_[0].id, " x ".join(open_[0].parents or ())
        where = f"{len(open_)} rows, such as that of {one}," if len(open_) > 1 else f"the row of {one}"
        answer = self.questions.put(
            "first parent",
            f"In {where} both parents stand in one cell ('{named}'), and neither has a sex on record. Which stands first?",
            (
                ("sire", "the father, then the mother"),
                ("dam", "the mother, then the father"),
                ("not known", "such parents are left out"),
            ),
            of_sheet=True,
        )
        return "" if answer == "not known" else answer

    def _link(self, draft: Draft, words: tuple[str, str], found: Sequence[str], order: str) -> None:
        for word, one in zip(words, found, strict=True):
            if re.search(r"\w", word) and not one:
                why = self._why_nobody(word)
                role = "sire" if word == words[0] else "dam"
                self.left.keep(draft, role, f"{why}; the other parent is taken" if any(found) else why)
        first, second = found if order != "dam" else reversed(found)
        sexes = self._sex_of(first), self._sex_of(second)
        turned = sexes == ("female", "male") or (order != "columns" and sexes in (("female", ""), ("", "male")))
        why = ""
        if draft.id in found or (first and first == second):
            why = "an animal cannot be its own parent, nor both parents"
        elif not order and any(found) and not any(sexes):
            why = "which of them is the sire is not said, so it is kept without parents"
        elif not order and first and second and sexes[0] == sexes[1]:
            why = f"{first} and {second} are both {sexes[0]}, so neither is taken; look which of them is a slip"
        if why:
            self.left.keep(draft, "sire", why)
            return
        if turned:
            first, second = second, first
        if turned and order == "columns":
            why = f"its sire is {first} and its dam {second} by their sexes, and the other way round by their columns; look which is so"
            self.left.keep(draft, "sire", why)
        for role, one, wrong in (("sire", first, "female"), ("dam", second, "male")):
            if one and self._sex_of(one) == wrong:
                self.left.keep(draft, role, f"{one} is {wrong}, so it cannot be the {role}")
            elif one:
                setattr(draft, role, one)

    def _why_nobody(self, word: str) -> str:
        """Why a word leads to no animal."""
        several = self.names.get(one_case(word)) or self.register.ids_called(word)
        if len(several) > 1:
            return f"'{word}' may be {' or '.join(several)}, which share that name; write the id"
        near = nearest(word, {name for one in self.drafts.values() for name in (one.name, one.id) if name})
        return f"'{word}' stands in no row of this sheet and has no record" + (
            f"; the nearest is '{near}'" if near else ""
        )

    def _animal(self, word: str, young: Draft) -> str:
        """The id behind a word: an id or a name of this sheet, else of the collection; "" when it leads nowhere, or to several.

        Of several that share a name the young's parent is of its species, and hatched before it.
        """
        here = self.drafts.get(word.casefold())
        if here is not None:
            return here.id
        known = self.register.find(word)
        for several in (
            self.names.get(one_case(word), []),
            [known.now] if known is not None else [],
            self.loose.get(letters_of(word), []),
        ):
            if len(several) > 1:
                several = [one for one in several if self._species_of(one) == young.species]
            if len(several) > 1 and young.hatched:
                several = [one for one in several if not self._hatched_since(one, _when(young.hatched))]
            if several:
                return several[0] if len(several) == 1 else ""
        both = re.fullmatch(r"(.+?)\s*[(\[](.+?)[)\]]", word)  # a name with its id, either way round
        found = {self._animal(part, young) for part in both.groups()} if both is not None else set()
        return found.pop() if len(found) == 1 else ""

    def _asked_animal(self, word: str, draft: Draft) -> str:
        """The one animal of which a word may be a part of the name, as `Bess` and `O. Bess` of Old Bess, or that name with a slip of the
        finger, once the breeder says so."""
        if not word or one_case(word) in self.names or self.register.ids_called(word):
            return ""
        fitting = {key for name, key in self._called.items() if key != draft.id and _part_of(one_case(word), name)}
        slip = nearest(one_case(word), filter(str.isalpha, self._called)) if len(word) > _LETTERS else None
        if slip and not fitting:
            fitting = {self._called[slip]} - {draft.id}
        if len(fitting) != 1:
            return ""
        one = fitting.pop()
        here = self.drafts.get(one.casefold())
        name = (here.name if here is not None else self.collection.animals[one].name) or ""
        called = f"{name} ({one})" if letters_of(name) not in ("", letters_of(one)) else one
        meant = self.questions.agreed(
            f"parent {word.casefold()}",
            f"'{word}' (line {draft.line}) is no name on record. Is it {called}?",
            f"{called}, wherever '{word}' is named as a parent",
            "it is left out",
        )
        return one if meant else ""

    @cached_property
    def _called(self) -> Mapping[str, str]:
        """Every name that is of one animal, of this sheet or on record, with its id; without a name an id that has a word in it."""
        every = [(one_case(draft.name), draft.id) for draft in self.drafts.values() if draft.name]
        ids = [(draft.cells.get("id", ""), draft.id) for draft in self.drafts.values() if not draft.name]
        ids += [(key, key) for key, animal in self.collection.animals.items() if not animal.name]
        every += [(one_case(word), key) for word, key in ids if re.search(rf"[^\W\d_]{{{_LETTERS}}}", word)]
        every += [(one_case(name), key) for of in self.register.names.values() for key, name in of.items()]
        counted = Counter(name for name, _ in dict.fromkeys(every))
        return {name: key for name, key in every if counted[name] == 1}

    def _species_of(self, animal: str) -> str:
        here = self.drafts.get(animal.casefold())
        return here.species if here is not None else self.collection.animals[animal].species

    def _hatched_since(self, animal: str, day: When) -> bool:
        """Whether it hatched on a day or later, for all that is known."""
        here = self.drafts.get(animal.casefold())
        known = self.collection.animals[animal].hatched if here is None else None
        hatched = _when(here.hatched) if here is not None and here.hatched else known
        return hatched is not None and hatched.first >= day.first

    def _sex_of(self, animal: str) -> str:
        """Its sex, where that is known."""
        known = (self.drafts.get(animal.casefold()), self.collection.animals.get(animal))
        sex = next((one.sex for one in known if one is not None and one.sex is not None), None)
        return sex if sex in ("male", "female") else ""


def _in_one_cell(draft: Draft) -> bool:
    """Whether both parents stand in one cell."""
    return "parents" in draft.cells or any(_CROSS.search(draft.cells.get(role, "")) for role in ("sire", "dam"))


def _part_of(word: str, name: str) -> bool:
    """Whether a word shortens a name: some of its words, or their beginnings in order; of a name of one word three letters or more."""
    short, whole = re.findall(r"[^\W_]+", word), re.findall(r"[^\W_]+", name)
    if len(whole) > 1 and len(short) == 1:
        return short[0] in whole and len(short[0]) >= _LETTERS
    begins = len(short) == len(whole) and all(full.startswith(part) for part, full in zip(short, whole, strict=True))
    return begins and short != whole and (len(whole) > 1 or len(short[0]) >= _LETTERS)
