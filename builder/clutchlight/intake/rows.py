"""Rows of a sheet → one draft for each animal, with all in it that is understood; and what is left, with the reason.

A row that repeats another says nothing new. Where two rows of one id contradict each other, nobody knows which is right: what differs is
taken from neither. A cell that is not understood is kept as a private note of the animal, word for word.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from functools import cached_property
from itertools import combinations
from typing import get_args

from msgspec import Struct, field

from clutchlight.intake.animal_rows import AnimalRow, Left, animal_rows
from clutchlight.intake.asking import Dialogue
from clutchlight.intake.cells import (
    NOBODY,
    ORDERS,
    YES,
    Buyer,
    Price,
    against_a_sale,
    ambiguous_days,
    begins_with_death,
    begins_with_sale,
    buyer_in,
    came_in,
    date_in,
    days_beside,
    days_named,
    elsewhere_in,
    hold_in,
    is_paid_out,
    mark_of,
    named_in,
    parents_in,
    price_in,
    reads_as_death,
    reads_as_return,
    sex_in,
    short_year,
    sold_on,
    status_in,
    weight_in,
    weight_with_day,
    why_no_date,
)
from clutchlight.intake.columns import Columns
from clutchlight.intake.genes import Genes, Het, Vocabulary, genes_in
from clutchlight.intake.species import short_for, species_below
from clutchlight.model import Animal, Collection, Sex, Status
from clutchlight.model.collection import DatesBegin
from clutchlight.reading.catalogue import built_in_species, load
from clutchlight.reading.dates import read_date
from clutchlight.reading.fields import parse_id
from clutchlight.reading.findings import Findings, nearest, slips
from clutchlight.reading.ids import Register
from clutchlight.reading.names import Names
from clutchlight.reading.shapes import ORIGINS
from clutchlight.reading.strict import parsed
from clutchlight.reading.text import WrittenText, one_case
from clutchlight.wording.words import join_and, plural

_LONG_ENOUGH = 4
"""Letters of a name below which one letter apart says nothing."""
_TWICE = re.compile(r"\b(?:twice|double|duplicate|doppelt|en double|again)\b", re.IGNORECASE)
"""In a remark: that an animal stands in the sheet before."""
_ENOUGH_NAMES = 3
"""Names of traits of another species that make it likely that a list is of that species."""
DATES = ("hatched", "sold", "came", "weighed", "laid", "died")
_NO_PARENT = re.compile(rf"{NOBODY.pattern}|wc|wild|wild[- ]caught|farmed|captive[- ]bred|cbb?", re.IGNORECASE)
"""In place of a parent: that nobody knows it."""
_BRED_HERE = re.compile(
    r"own|own[- ]?bred|own breeding|(?:home|self)[- ]?bred|self|bred here|ours|mine|eigene? (?:nach)?zucht|enz",
    re.IGNORECASE,
)
"""In place of a seller: that it was bred here. Common practice, no source."""
_CROSS = re.compile(r"\sx\s|×", re.IGNORECASE)


class Draft(Struct):
    """What one animal's row says, as our records have it. `said_in`: in which column each trait that it carries is named."""

    id: str
    line: int
    species: str
    cells: dict[str, str]
    name: str = ""
    sex: Sex | None = None
    genes: Genes = field(default_factory=Genes)
    said_in: dict[str, str] = field(default_factory=dict)
    hatched: str = ""
    laid: str = ""
    parents: tuple[str, str] | None = None
    sire: str = ""
    dam: str = ""
    status: str = ""
    died: str = ""
    price: Price | None = None
    paid: str = ""
    buyer: str = ""
    sold: str = ""
    seller: str = ""
    origin: str = ""
    came: str = ""
    weight: str = ""
    weighed: str = ""
    until: str = ""
    returned: bool = False
    notes: dict[str, str] = field(default_factory=dict)
    remarks: list[tuple[str, str]] = field(default_factory=list)
    disputed: set[str] = field(default_factory=set)

    @property
    def parents_lost(self) -> bool:
        """Whether parents are written, of which none could be taken."""
        return bool({"parents", "sire", "dam"} & self.cells.keys()) and not (self.sire or self.dam)

    @property
    def asked(self) -> str:
        """The amount that its price names; "" where it names none."""
        return self.price.amount if self.price is not None and self.price.amount != "ask" else ""


class SheetReader:
    """Reads the rows of one sheet against a collection. `drafts` by id in the order of the rows; `left`: what is not taken."""

    def __init__(self, columns: Columns, collection: Collection, questions: Dialogue, today: date) -> None:
        self.columns, self.collection, self.questions, self.today = columns, collection, questions, today
        self.register = Register.of(collection)
        self.drafts: dict[str, Draft] = {}
        self.left: list[Left] = []
        self.words: dict[str, Vocabulary] = {}
        self.order: Mapping[str, DatesBegin] = {}
        self.short_years = False

    def read(self) -> None:
        rows = list(animal_rows(self.columns, self.register, self.left))
        self.order = self._order_of_days(rows)
        self.short_years = self._are_years(rows)
        default = self._species_of_sheet(rows)
        kept = self._once(rows)
        ones = any(row.cells.get("sex") in ("0.1", "0,1") for row in kept.values())
        for name, row in kept.items():
            if species := self._species(name, row, default):
                draft = self.drafts[name.casefold()] = Draft(name, row.line, species, row.cells)
                self._fill(draft, row, ones)
        self._link_parents()

    # ---- each animal once

    def _once(self, rows: Sequence[AnimalRow]) -> Mapping[str, AnimalRow]:
        """Each animal once, by its id: what two rows of one id say otherwise is taken from neither."""
        first: dict[str, tuple[str, AnimalRow]] = {}
        for row in rows:
            line, cells = row.line, row.cells
            called = self._on_record(cells)
            if len(called) > 1:
                word = cells.get("id") or cells["name"]
                why = f"'{word}' may be {' or '.join(called)}, which share that name; write the id into the sheet"
                self.left.append(Left(line, "", word, why))
                continue
            if twice := self._written_twice(row, first):
                self._merge_twice(row, first[twice][1])
                continue
            name = called[0] if called else self._id_of(line, cells, first)
            _, kept = first.setdefault(name.casefold(), (name, row))
            if kept is row:
                continue
            held = kept.cells
            differing = [role for role in dict.fromkeys((*held, *cells)) if role != "id" and _differ(held, cells, role)]
            if not differing:
                self.left.append(Left(line, "", name, f"the same row stands in line {kept.line}"))
                continue
            for role in differing:
                if role not in cells:
                    continue
                if role == "note":
                    held["note"] = f"{held['note']}; {cells['note']}" if "note" in held else cells["note"]
                    kept.remarks += row.remarks
                elif role not in held:
                    held[role] = cells[role]
                else:
                    kept.disputed.add(role)
                    said = f"{held.pop(role)} (line {kept.line}); {cells[role]} (line {line})"
                    held["note"] = f"{held.get('note', '')}; two rows differ: {said}".lstrip("; ")
                    why = "two rows of this animal differ here, so neither is taken; correct the record if you know"
                    self.left.append(Left(line, self.called(role), said, why))
            why = f"a second row of the animal in line {kept.line}; what both say was taken once"
            self.left.append(Left(line, "", name, why))
        return dict(first.values())

    def _written_twice(self, row: AnimalRow, first: Mapping[str, tuple[str, AnimalRow]]) -> str:
        """The key of an earlier row of which this may be another: one with its name and more in brackets, or a remark that says so."""
        written = row.cells.get("name", "")
        bare = one_case(" ".join(re.sub(r"[(\[].*?[)\]]", " ", written).split()))
        note = row.cells.get("note", "")
        if "id" in row.cells or not bare or (bare == one_case(written) and not _TWICE.search(note)):
            return ""
        return next((key for key, (_, kept) in first.items() if one_case(kept.cells.get("name", "")) == bare), "")

    def _merge_twice(self, row: AnimalRow, kept: AnimalRow) -> None:
        """Asks whether two rows are of one animal, and leaves the second, or takes from it what the first lacks."""
        written, name = row.cells["name"], kept.cells["name"]
        note = f" ('{row.cells['note']}')" if "note" in row.cells else ""
        answer = self.questions.put(
            f"twice {written.casefold()}",
            f"'{written}' in line {row.line}{note} may be {name} in line {kept.line}, written twice. Is it?",
            (
                (
                    "yes",
                    f"line {row.line} adds what line {kept.line} lacks; where they differ, line {kept.line} is taken",
                ),
                (
                    "not known",
                    f"line {row.line} is left; if it is another animal, give it a name of its own in the sheet",
                ),
            ),
            "not known",
        )
        if answer != "yes":
            why = f"it may be {name} in line {kept.line}, written twice"
            self.left.append(Left(row.line, "", " | ".join(row.cells.values()), why))
            return
        for role, cell in row.cells.items():
            if role not in kept.cells:
                kept.cells[role] = cell
            elif role == "note":
                kept.cells["note"] += f"; {cell}"
            elif role != "name" and _differ(kept.cells, row.cells, role):
                why = f"{name}: line {kept.line} is taken, which has '{kept.cells[role]}'"
                self.left.append(Left(row.line, self.called(role), cell, why))
        kept.remarks += row.remarks

    def _on_record(self, cells: Mapping[str, str]) -> tuple[str, ...]:
        """The ids of the animals on record that a row may be: by its id, or by its name where it has no id."""
        word = cells.get("id") or cells.get("name", "")
        found = self.register.find(word)
        if found is not None:
            return (found.now,) if found.kind in ("animal", "earlier id") else ()
        return self.register.ids_called(word)

    def _id_of(self, line: int, cells: Mapping[str, str], taken: Mapping[str, object]) -> str:
        """Its id as written, made fit to be one; without one its name; else its line."""
        for role in ("id", "name"):
            fit = re.sub(r"[^A-Za-z0-9._-]+", "-", cells.get(role, "").replace("†", "")).strip("-._")[:60]
            sound = fit and parsed(parse_id, WrittenText.put(fit, "", line, 1), Findings()) is not None
            if sound and (role == "id" or fit.casefold() not in taken):
                return fit
        return f"row-{line}"

    # ---- the whole sheet

    def _order_of_days(self, rows: Sequence[AnimalRow]) -> Mapping[str, DatesBegin]:
        """How dates with two small numbers are read, by what parts their numbers: asked once where any can be read in two ways."""
        dates = list(_days_written(rows))
        said, open_ = ambiguous_days(dates)
        if not open_:
            return {mark: order for mark, order in said.items() if order is not None}
        inferred = {mark: order or ("day first" if mark == "." else "month first") for mark, order in said.items()}
        each = ", ".join(f"{order} where {mark} parts them" for mark, order in inferred.items())
        ways: dict[str, Mapping[str, DatesBegin]] = {order: dict.fromkeys(inferred, order) for order in ORDERS}
        samples = [next(one for one in open_ if mark_of(one) == mark) for mark in dict.fromkeys(map(mark_of, open_))]
        certain = [f"{order} for {mark}" for mark, order in said.items() if order is not None]
        because = f"\nOther dates of this sheet can be read in one way only: {', '.join(certain)}." if certain else ""
        answer = self.questions.put(
            "order of days",
            f"{plural(len(open_), 'date')}, such as {' and '.join(samples)}, can be read day first or month first."
            f" How are they meant?{because}",
            (
                ("as guessed", f"{each}: {_dates_so(samples, inferred)}"),
                *((order, _dates_so(samples, ways[order])) for order in ORDERS),
                ("not known", "such dates are left out"),
            ),
            "not known",
            of_sheet=True,
        )
        return inferred if answer == "as guessed" else ways.get(answer, {})

    def _are_years(self, rows: Sequence[AnimalRow]) -> bool:
        """Whether two figures are a year, alone or behind a month, where a day is looked for: asked once."""
        short = [cell for cell in _days_written(rows) if self._with_short_year(cell)]
        if not short:
            return False
        alone = all(cell.isdecimal() for cell in short)
        samples = [next((cell for cell in short if kind(cell)), "") for kind in (str.isdecimal, _by_name, _by_mark)]
        samples = [cell for cell in samples if cell]
        answer = self.questions.put(
            "two figures",
            f"{plural(len(short), 'cell')} where a day is looked for {'has' if len(short) == 1 else 'have'} two figures"
            f" {'alone' if alone else 'where a year may be meant'}, such as {join_and(samples)}. Are they years?",
            (
                ("years", ", ".join(f"{cell} is {self._with_short_year(cell)}" for cell in samples)),
                ("not known", "such cells are left out"),
            ),
            "not known",
            of_sheet=True,
        )
        return answer == "years"

    def day_of(self, cell: str) -> str | None:
        """A day as our records have it, read as the breeder said of this sheet; None where nobody can tell."""
        when = date_in(cell, self.order)
        return self._with_short_year(cell) or None if when is None and self.short_years else when

    def _with_short_year(self, cell: str) -> str:
        """The day of a cell whose two figures are taken for a year that is past; "" of any other."""
        when = date_in(short_year(cell), {}) if short_year(cell) else None
        return when if when is not None and _begins(when) <= self.today else ""

    def day_in(self, text: str) -> str:
        """The only day that stands in a longer text and is past; "" without one."""
        days = [day for day in map(self.day_of, days_named(text)) if day is not None]
        return days[0] if len(days) == 1 and _begins(days[0]) <= self.today else ""

    def _species_of_sheet(self, rows: Sequence[AnimalRow]) -> str:
        """The species of the rows that do not say theirs, below no heading that does; "" where nobody knows."""
        known = self.collection.settings.species
        silent = [row for row in rows if "species" not in row.cells and not row.section]
        if not silent:
            return known[0]
        text = "Which species are the animals of this sheet, where it does not say so?"
        if len(known) == 1:
            other, foreign = self._foreign_names(silent)
            if not foreign:
                return known[0]
            named = join_and([f"'{word}'" for word in foreign[:4]])
            heads = self.collection.species[known[0]].heading, self._heading(other)
            why = f"{named} are names of the {heads[1].casefold()}, and of no {heads[0].casefold()}."
            return self._asked_species("species by its names", f"{why} {text}", (known[0], other), "", of_sheet=True)
        choices = tuple((key, self.collection.species[key].heading) for key in known if key in self.collection.species)
        return self.questions.put("species", text, choices, known[0], of_sheet=True)

    def _foreign_names(self, rows: Sequence[AnimalRow]) -> tuple[str, list[str]]:
        """The species that the collection does not have of which most words of these rows are names, and of its own none; and the words."""
        own = {
            word for one in self.collection.species.values() for name in Names(one).meanings for word in name.split()
        }
        cells = (row.cells.get(role, "") for row in rows for role in ("genes", "shows", "hets"))
        written = dict.fromkeys(word for cell in cells for word in re.findall(r"[^\W\d_]+", one_case(cell)))
        others = {key: load(key) for key in built_in_species() if key not in self.collection.species}
        found = {
            key: [word for word in written if word not in own and word in Names(one).meanings]
            for key, one in others.items()
            if one is not None
        }
        most = max(found, key=lambda key: len(found[key]), default="")
        return most, found[most] if most and len(found[most]) >= _ENOUGH_NAMES else []

    def _heading(self, key: str) -> str:
        species = self.collection.species.get(key) or load(key)
        return key if species is None else species.heading

    def _asked_species(
        self, key: str, text: str, first: Sequence[str], unanswered: str, *, of_sheet: bool = False
    ) -> str:
        """Which species it is, of all there are, `first` first; "" where nobody knows."""
        to_do = "not in this collection: such rows are left; add it to species in collection.yaml, then take the list in again"
        choices = [
            (one, self.collection.species[one].heading if one in self.collection.species else to_do)
            for one in dict.fromkeys((*first, *self.collection.species, *built_in_species()))
        ]
        nobody = ("not taken", "none of them, or nobody knows; such rows are left")
        answer = self.questions.put(key, text, (*choices, nobody), unanswered or "not taken", of_sheet=of_sheet)
        return "" if answer == "not taken" else answer

    def _species(self, name: str, row: AnimalRow, default: str) -> str:
        """The species of a row; "" where the row is left, since nobody knows, or since the collection does not have it."""
        cells = row.cells
        written = cells.get("species", "").casefold()
        if not written and not row.section:
            answer = default
        elif not written:
            answer = self._species_of_section(row.section)
        else:
            for key, species in self.collection.species.items():
                if written in (key, species.name.casefold(), species.scientific_name.casefold()):
                    return key
            fitting = {key for key in (*self.collection.species, *built_in_species()) if short_for(written, key)}
            answer = (
                fitting.pop()
                if len(fitting) == 1
                else self._asked_species(f"species {written}", f"Which species is '{cells['species']}'?", (), "")
            )
        if answer in self.collection.species:
            return answer
        word = cells.get("species") or row.section
        why = (
            f"write `species: [{', '.join((*self.collection.species, answer))}]` into collection.yaml, then take the list in again"
            if answer
            else f"'{word}' is no species of this collection"
            if word
            else "its species is not known"
        )
        self.left.append(Left(row.line, "", " | ".join(cells.values()), f"{name}: {why}"))
        return ""

    def _species_of_section(self, heading: str) -> str:
        """The species of the rows below a heading that calls one; asked once where there are several to choose from."""
        fitting = species_below(heading)
        if len(fitting) == 1 and len(self.collection.species) == 1:
            return fitting[0]
        text = f"Which species are the rows below '{heading}', where they do not say so?"
        one = fitting[0] if len(fitting) == 1 else ""
        return self._asked_species(f"species below {heading.casefold()}", text, fitting, one)

    # ---- one row

    def _fill(self, draft: Draft, row: AnimalRow, ones: bool) -> None:
        cells, draft.remarks, draft.disputed = draft.cells, row.remarks, row.disputed
        draft.name = cells.get("name", "").replace("†", "").replace("✝", "").strip()
        if "sex" in cells:
            draft.sex = "male" if ones and cells["sex"] == "1" else sex_in(cells["sex"])
            if draft.sex is None:
                self.keep(draft, "sex", "no sex that we know; it stays unknown")
        draft.genes = self._genes(draft)
        for role in DATES:
            if NOBODY.fullmatch(cells.get(role, "")):
                del cells[role]
            elif role in cells:
                when = self.day_of(cells[role])
                if when is None and (role == "died" or (role == "sold" and YES.fullmatch(cells[role]))):
                    continue  # told with its status
                if when is None and reads_as_death(cells[role]):
                    self.keep(
                        draft,
                        role,
                        f"this reads as a death: `clutchlight died {draft.id} --on {self.day_in(cells[role]) or 'DAY'}`",
                    )
                elif when is None:
                    self.keep(draft, role, why_no_date(cells[role]))
                elif _begins(when) > self.today:
                    self.keep(draft, role, "a day still to come; look at the year")
                else:
                    setattr(draft, role, when)
        draft.parents = self._parents_written(draft)
        self._origin(draft)
        self._status(draft, row.heading)
        self._money(draft)
        if "weight" in cells:
            self._weight(draft)
        if "note" in cells:
            draft.notes["note"] = cells["note"]
        if "cost" in cells:
            draft.notes["paid"] = cells["cost"]
        if draft.status == "died" and not draft.died:
            said = next((cell for _, cell in draft.remarks if begins_with_death(cell)), "")
            draft.died = self.day_in(said)

    def _weight(self, draft: Draft) -> None:
        """Its weight, and the day of it where that stands in the same cell."""
        written = draft.cells["weight"]
        draft.weight = weight_in(written) or ""
        both = None if draft.weight else weight_with_day(written)
        day = None if both is None or draft.weighed else self.day_of(both[1])
        if both is not None and day is not None and _begins(day) <= self.today:
            draft.weight, draft.weighed = both[0], day
        elif not draft.weight:
            more = re.search("[0-9]", written) is not None
            why = (
                "a weight, and a day or a word in the same cell; write each weight with its day"
                if more
                else "no weight"
            )
            self.keep(draft, "weight", why)

    def _genes(self, draft: Draft) -> Genes:
        words = self.words.get(draft.species)
        if words is None:
            words = self.words[draft.species] = Vocabulary(self.collection.species[draft.species], self.questions)
        looks: dict[str, None] = {}
        hets: dict[str, Het] = {}
        untold: dict[str, None] = {}
        normal, unread = False, []
        for role in ("genes", "shows", "hets"):
            cell = draft.cells.get(role)
            if cell is None:
                continue
            text = (
                cell
                if role != "hets" or re.search(r"\bhets?\b|\bd?ph\b|\bdh\b|%", cell, re.IGNORECASE)
                else f"het {cell}"
            )
            found = genes_in(text.replace(";", ",") if role == "shows" else text, words, f"line {draft.line}: {cell}")
            looks.update(dict.fromkeys(found.looks))
            hets.update({het.trait: het for het in found.hets if het.trait not in looks})
            draft.said_in.update({het.trait: role for het in found.hets})
            untold.update(dict.fromkeys(found.untold))
            normal |= found.normal
            for why in found.unread:
                unread.append(why)
                self.keep(draft, role, why)
        return Genes(tuple(looks), tuple(hets.values()), normal and not looks, tuple(unread), tuple(untold))

    def _parents_written(self, draft: Draft) -> tuple[str, str] | None:
        for role in ("parents", "sire", "dam"):
            if _NO_PARENT.fullmatch(draft.cells.get(role, "")):
                del draft.cells[role]
        both = next((cell for cell in map(draft.cells.get, ("sire", "dam")) if cell and _CROSS.search(cell)), None)
        if "parents" not in draft.cells and both is not None and (found := parents_in(both)) is not None:
            others = {draft.cells[role] for role in ("sire", "dam") if role in draft.cells} - {both}
            if others <= set(found):
                return found
            self.keep(draft, "parents", "the columns of its parents name more than two, so it is kept without parents")
            return None
        both = draft.cells.get("parents")
        if both is not None and parents_in(both) is None and came_in(both) is not None and "seller" not in draft.cells:
            draft.cells["seller"] = draft.cells.pop("parents")
            return None
        if both is not None:
            found = parents_in(both)
            if found is None:
                self.keep(draft, "parents", "not two parents such as A x B, so it is kept without parents")
            return found
        pair = draft.cells.get("sire", ""), draft.cells.get("dam", "")
        return pair if any(pair) else None

    def _origin(self, draft: Draft) -> None:
        """Whom it came from, else its origin; what was bred here came from nobody."""
        written = draft.cells.get("seller", "")
        if NOBODY.fullmatch(written):
            del draft.cells["seller"]
            return
        origin = "bred here" if _BRED_HERE.fullmatch(written) else written.casefold()
        if origin not in ORIGINS:
            draft.seller = written
            return
        draft.origin = origin
        if origin == "bred here" and draft.came:
            draft.came = ""
            self.keep(draft, "came", "it was bred here, so it did not come")

    def _status(self, draft: Draft, heading: str) -> None:
        written = draft.cells.get("status")
        died = draft.cells.get("died", "")
        dead = ""
        if draft.died or YES.fullmatch(died) or status_in(died) == "died":
            dead = "another column says that it died"
        elif died and self.day_of(died) is None:
            self.keep(draft, "died", f"no day of death; if it died: `clutchlight died {draft.id} --on DAY`")
        if {"†", "✝"} & set(draft.cells.get("name", "")):
            dead = dead or "the sign † beside the name says that it died"
        if dead:
            draft.status = "died"
            if written is not None and status_in(written) != "died":
                self.keep(draft, "status", dead)
            return
        if written is None:
            draft.status = self._status_of_heading(heading)
            if draft.status:
                draft.cells["status"] = heading
            return
        status = status_in(written)
        if status is None and self._status_with_more(draft, written):
            return
        if status is None:
            words = (*(word for word in get_args(Status) if word != "elsewhere"), "died")
            choices = (*((word, "") for word in words), ("not taken", "it is left out"))
            answer = self.questions.put(
                f"status {written.casefold()}", f"What does '{written}' say of an animal?", choices, "not taken"
            )
            status = None if answer == "not taken" else answer
            if status is not None:
                draft.notes["status_as_written"] = written
                draft.buyer = named_in(written) if status == "sold" else ""
        if status is None:
            self.keep(draft, "status", "no status that we know")
        draft.status = status or ""

    def _status_with_more(self, draft: Draft, written: str) -> bool:
        """Whether a cell says more than a status, and needs no question: `sold 9/21`, `HOLD Jo Fenn`, a loan, a loss, a return."""
        held, sold = hold_in(written), sold_on(written)
        if begins_with_death(written) and "?" not in written:
            draft.status, draft.died = "died", self.day_in(written)
            if not draft.died:
                self.keep(draft, "status", "it died; the day is not read; write it under `left` in its record")
        elif reads_as_return(written):
            days = [self.day_of(day) or "DAY" for day in days_named(written)]
            gone, back = days if len(days) == 2 else ("DAY", "DAY")
            write = f"`clutchlight sold {draft.id} --on {gone}`, then `clutchlight returned {draft.id} --on {back}`"
            self.keep(draft, "status", f"this reads as a sale and a return, and neither is written; if so: {write}")
        elif sold:
            draft.status = "sold"
            when = self.day_of(sold)
            if when is None or _begins(when) > self.today:
                why = "a day still to come" if when is not None else why_no_date(sold)
                self.keep(draft, "status", f"it was sold; '{sold}' is {why}; write when into its sale")
            else:
                draft.sold = draft.sold or when
        elif held is not None:
            draft.status, draft.buyer = "on hold", held[0]
            self._until(draft, "status", held[1])
        elif why := elsewhere_in(written):
            self.keep(draft, "status", why)
        else:
            return False
        return True

    def _until(self, draft: Draft, role: str, written: str) -> None:
        """Until when it is held, where that is written."""
        draft.until = self.day_of(written) or draft.until
        if written and not draft.until:
            self.keep(draft, role, f"'{written}' is no day that we can read; write until when it is held")

    def _status_of_heading(self, heading: str) -> str:
        """The status of the rows below a heading that have none, such as `SOLD 2025`, once the breeder says so; "" otherwise."""
        words = " ".join(re.sub(r"[\d_]|[^\w†]", " ", heading.casefold()).split())
        status = status_in(words) or status_in(words.removesuffix("s"))
        if not status:
            return ""
        answer = self.questions.put(
            f"rows below {heading.casefold()}",
            f"Rows below '{heading}' have no status of their own. Does '{status}' hold for each of them?",
            (("yes", ""), ("no", "they are kept without a status")),
            "no",
        )
        return status if answer == "yes" else ""

    def _money(self, draft: Draft) -> None:
        for role in ("price", "paid"):
            if role not in draft.cells:
                continue
            price = price_in(draft.cells[role])
            if is_paid_out(draft.cells[role]):
                draft.notes.setdefault("paid", draft.cells[role])
                self.keep(draft, role, "an amount below nothing is what you gave for it; kept as a note")
                continue
            if price is None or price.amount == "0":
                self.keep(draft, role, "no amount")
            elif not price.of_one:
                self.keep(
                    draft,
                    role,
                    f"'{price.rest}' beside a number: nobody can tell whether it is the price of this animal",
                )
            elif role == "price":
                draft.price = price
            elif price.amount == "ask":
                self.keep(draft, role, "no amount")
            elif not price.may_be_in(self.collection.settings.currency):
                self.keep(draft, role, f"what was paid is in {price.currency}; kept as a note")
            else:
                draft.paid = price.amount
            if price is not None and price.of_one and price.rest:
                draft.notes["price"] = draft.cells[role]
        self._buyer(draft)

    def _buyer(self, draft: Draft) -> None:
        written = draft.cells.get("buyer", "")
        if re.search(r"\breturn(?:ed)?\b|\bcame back\b|\bzurück\b", written, re.IGNORECASE):
            draft.returned = True
            self.keep(draft, "buyer", "it came back, so nobody is named who has it")
            sold = True
        else:
            buyer = buyer_in(written)
            held, sold, why = draft.buyer, buyer.sold, buyer.why
            draft.buyer = buyer.name or held
            if draft.status == "on hold" and buyer.held_for:
                draft.buyer, why = buyer.held_for, ""
                self._until(draft, "buyer", buyer.until)
            if held and draft.buyer.casefold() != held.casefold():
                draft.buyer, why = held, f"its status says that it is held for {held}"
            if buyer.paid is not None:
                amount = buyer.paid.amount
                if not buyer.paid.may_be_in(self.collection.settings.currency):
                    why = f"the amount beside the name is in {buyer.paid.currency}, so it is not taken"
                elif draft.status == "on hold":
                    why = "whether the amount beside the name was paid is not said, so it is not taken"
                elif (draft.paid or draft.asked or amount) != amount:
                    why = "the amount beside the name is not the one in the column of prices, so it is not taken"
                else:
                    draft.paid = amount
            if buyer.died and not draft.status:
                draft.status, why = "died", ""
            if why:
                self.keep(draft, "buyer", why)
            elif not draft.buyer:
                draft.cells.pop("buyer", None)
            if no_sale := self._no_sale(draft, buyer):
                self._unsold(draft, buyer, no_sale)
                return
        day = draft.cells.get("sold", "")
        sold = sold or self._says_sold(draft)
        if sold and not draft.status:
            draft.status = "sold"
        elif draft.status == "available" and (sold or day):
            draft.status = ""
            self.keep(draft, "status", "another column speaks of a sale, so it is not offered")

    def _says_sold(self, draft: Draft) -> bool:
        """Whether a day, an amount, or a word of its row says that it was sold."""
        day, price, buyer = (draft.cells.get(role, "") for role in ("sold", "price", "buyer"))
        sold = bool(draft.sold or YES.fullmatch(day)) or status_in(price) == "sold"
        return sold or begins_with_sale(buyer)

    def _no_sale(self, draft: Draft, buyer: Buyer) -> str:
        """Why no sale is read from the columns of one; "" where nothing speaks against it. What a status says goes first."""
        given = any(is_paid_out(draft.cells.get(role, "")) for role in ("price", "paid"))
        if buyer.here:
            return "you have it, so this is of no sale" + ("; it may be of how it came" if given else "")
        if draft.status == "died":
            return "it died; if this is the day, write it under `left` in its record" if buyer.died else ""
        if draft.status == "sold" and (against := against_a_sale(draft.cells.get("buyer", ""))) in ("a hold", "a loan"):
            return f"the cell of its buyer reads as {against}, so no sale is written"
        if draft.status:
            return ""
        if given:
            return "what you gave for it stands in this row, so nobody can tell whether this is of a sale"
        cells = [draft.cells.get(role, "") for role in ("status", "sold")]
        told = [against_a_sale(cell) for cell in cells]
        told += [against_a_sale(cell, remark=True) for _, cell in draft.remarks]
        if any(told) and not buyer.why:
            return f"{next(filter(None, told))} stands in this row, so this is taken for no sale"
        unclear = "status" in draft.cells or "status" in draft.disputed
        if unclear and buyer.name and not self._says_sold(draft):
            return "its status is not understood, so this is taken for no sale"
        if buyer.name or buyer.sold:
            return ""
        if buyer.why:
            return "the cell of its buyer names no sale, so this is of none"
        return "its status is not understood, so this is taken for no sale" if "status" in draft.cells else ""

    def _unsold(self, draft: Draft, buyer: Buyer, why: str) -> None:
        """Takes nothing of a sale from a row."""
        if draft.status == "sold":
            draft.status = ""
            self.keep(draft, "status", "the cell of its buyer says that you have it" if buyer.here else why)
        if draft.buyer:
            draft.buyer = ""
            self.keep(draft, "buyer", why)
        if draft.sold:
            draft.sold = ""
            self.keep(draft, "sold", why)
        if draft.paid and (buyer.here or buyer.why):
            draft.paid = ""
            self.keep(draft, "paid", f"{why}; if you ask this for it, write its price")

    # ---- parents

    def _link_parents(self) -> None:
        names: dict[str, list[str]] = {}
        loose: dict[str, list[str]] = {}
        for draft in self.drafts.values():
            if draft.name:
                names.setdefault(one_case(draft.name), []).append(draft.id)
            loose.setdefault(_loose(draft.id), []).append(draft.id)
        for draft in self.drafts.values():
            if draft.parents is None:
                continue
            found = [
                self._animal(word, names, loose) or self._asked_animal(word, draft, names) for word in draft.parents
            ]
            for word, one in zip(draft.parents, found, strict=True):
                if word and not one:
                    why = self._why_nobody(word, names)
                    role = "sire" if word == draft.parents[0] else "dam"
                    self.keep(draft, role, f"{why}; the other parent is taken" if any(found) else why)
            first, second = found
            if (first and self.sex_of(first) == "female") or (second and self.sex_of(second) == "male"):
                first, second = second, first
            if draft.id in (first, second) or (first and first == second):
                self.keep(draft, "sire", "an animal cannot be its own parent, nor both parents")
                first, second = "", ""
            for role, one, wrong in (("sire", first, "female"), ("dam", second, "male")):
                if one and self.sex_of(one) == wrong:
                    self.keep(draft, role, f"{one} is {wrong}, so it cannot be the {role}")
                elif one:
                    setattr(draft, role, one)

    def _why_nobody(self, word: str, names: Mapping[str, list[str]]) -> str:
        """Why a word leads to no animal."""
        several = names.get(one_case(word)) or self.register.ids_called(word)
        if len(several) > 1:
            return f"'{word}' may be {' or '.join(several)}, which share that name; write the id"
        near = nearest(word, {name for one in self.drafts.values() for name in (one.name, one.id) if name})
        return f"'{word}' stands in no row and has no record" + (f"; the nearest is '{near}'" if near else "")

    def _animal(self, word: str, names: Mapping[str, list[str]], loose: Mapping[str, list[str]]) -> str:
        """The id behind a word: an id or a name of this sheet, else of the collection; "" when it leads nowhere, or to several."""
        here = self.drafts.get(word.casefold())
        if here is not None:
            return here.id
        known = self.register.find(word)
        for several in (
            names.get(one_case(word), []),
            [known.now] if known is not None else [],
            loose.get(_loose(word), []),
        ):
            if several:
                return several[0] if len(several) == 1 else ""
        both = re.fullmatch(r"(.+?)\s*[(\[](.+?)[)\]]", word)  # a name with its id, either way round
        found = {self._animal(part, names, loose) for part in both.groups()} if both is not None else set()
        return found.pop() if len(found) == 1 else ""

    def _asked_animal(self, word: str, draft: Draft, names: Mapping[str, list[str]]) -> str:
        """The one animal of which a word may be a part of the name, as `Bess` and `O. Bess` of Old Bess, once the breeder says so."""
        if not word or one_case(word) in names or self.register.ids_called(word):
            return ""
        fitting = {key for name, key in self._called.items() if key != draft.id and _part_of(one_case(word), name)}
        if len(fitting) != 1:
            return ""
        one = fitting.pop()
        answer = self.questions.put(
            f"parent {word.casefold()}",
            f"'{word}' (line {draft.line}) is no name on record. Is it {one}?",
            (("yes", f"{one}, wherever '{word}' is named as a parent"), ("no", "it is left out")),
            "no",
        )
        return one if answer == "yes" else ""

    @cached_property
    def _called(self) -> Mapping[str, str]:
        """Every name that is of one animal, of this sheet or on record, with its id."""
        every = [(one_case(draft.name), draft.id) for draft in self.drafts.values() if draft.name]
        every += [(one_case(name), key) for of in self.register.names.values() for key, name in of.items()]
        counted = Counter(name for name, _ in dict.fromkeys(every))
        return {name: key for name, key in every if counted[name] == 1}

    def is_known(self, draft: Draft) -> bool:
        """Whether the animal of a row is on record."""
        return self.register.known_animal(draft.id)

    @property
    def known_lines(self) -> set[int]:
        """The rows of animals on record."""
        return {draft.line for draft in self.drafts.values() if self.is_known(draft)}

    def record_of(self, draft: Draft) -> Animal:
        """The animal on record that a row is of."""
        return self.collection.animals[self.register.entries[draft.id.casefold()].now]

    def sex_of(self, animal: str) -> Sex | None:
        here = self.drafts.get(animal.casefold())
        if here is not None and here.sex is not None:
            return here.sex
        record = self.collection.animals.get(animal)
        return None if record is None else record.sex

    # ---- what is to be looked at

    def names_to_look_at(self) -> Iterator[str]:
        """Names that say something else than a name, and names one letter apart: only the breeder can tell a slip."""
        called: dict[str, str] = {}
        for of in self.register.names.values():
            called.update(
                {one_case(name): f"{name} ({one})" for one, name in of.items() if one.casefold() not in self.drafts}
            )
        new: dict[str, str] = {}
        for draft in self.drafts.values():
            word = one_case(draft.name)
            if word:
                new[word] = called[word] = f"{draft.name} ({draft.id})"
            genes = draft.genes
            silent = not (genes.looks or genes.hets or genes.normal or genes.unread)
            for what, fits in (
                ("a trait", silent and word in self.words[draft.species].names.meanings),
                ("a status", not draft.status and status_in(word)),
                ("a sex", draft.sex is None and sex_in(word)),
            ):
                if word and fits:
                    yield f"{draft.id} is called '{draft.name}', which is {what} too, while its row names none; look whether that was meant"
        alike: dict[str, list[str]] = {}
        for word in called if new else ():
            for short in dict.fromkeys((word, *(word[:at] + word[at + 1 :] for at in range(len(word))))):
                alike.setdefault(short, []).append(word)
        pairs = {pair for words in alike.values() for pair in combinations(sorted(words), 2) if set(pair) & new.keys()}
        for one, other in sorted(pairs):
            letters = one.isalpha() and other.isalpha() and min(len(one), len(other)) >= _LONG_ENOUGH
            if letters and slips(one, other) == 1:
                yield f"{called[one]} and {called[other]} are one letter apart; look whether one of them is a slip"

    # ---- what is left

    def keep(self, draft: Draft, role: str, why: str) -> None:
        """A cell that is not taken stays as a private note; a parent may stand in the cell of both, or of the other."""
        role = next(one for one in (role, "parents", "sire", "dam") if one in draft.cells)
        draft.notes.setdefault(f"{role}_as_written", draft.cells[role])
        self.leave(draft, role, draft.cells[role], why)

    def leave(self, draft: Draft, role: str, written: str, why: str) -> None:
        """Something of an animal that goes into no record."""
        self.left.append(Left(draft.line, self.called(role), written, f"{draft.id}: {why}"))

    def called(self, role: str) -> str:
        at = self.columns.column(role)
        return role if at is None or at >= len(self.columns.header) else str(self.columns.header[at]) or role


def _part_of(word: str, name: str) -> bool:
    """Whether a word shortens a name: some of its words, or their beginnings in order; of a name of one word three letters or more."""
    short, whole = re.findall(r"[^\W_]+", word), re.findall(r"[^\W_]+", name)
    if len(whole) > 1 and len(short) == 1:
        return short[0] in whole and len(short[0]) >= _LONG_ENOUGH - 1
    begins = len(short) == len(whole) and all(full.startswith(part) for part, full in zip(short, whole, strict=True))
    return begins and short != whole and (len(whole) > 1 or len(short[0]) >= _LONG_ENOUGH - 1)


def _days_written(rows: Sequence[AnimalRow]) -> Iterator[str]:
    """What stands where a day is looked for."""
    for row in rows:
        yield from (row.cells[role] for role in DATES if role in row.cells)
        yield from days_beside(row.cells)


def _by_name(cell: str) -> bool:
    return cell[:1].isalpha()


def _by_mark(cell: str) -> bool:
    return not cell[:1].isalpha() and not cell.isdecimal()


def _differ(one: Mapping[str, str], other: Mapping[str, str], role: str) -> bool:
    words = one.get(role, ""), other.get(role, "")
    read = {"status": status_in, "sex": sex_in}.get(role, str)
    first, second = (read(word) or word.casefold() for word in words)
    return first.casefold() != second.casefold()


def _dates_so(samples: Sequence[str], order: Mapping[str, DatesBegin]) -> str:
    return ", ".join(f"{one} is {date_in(one, order)}" for one in samples)


def _begins(day: str) -> date:
    """The first day that a date as our records have it may be."""
    when = read_date(day)
    return date.min if isinstance(when, str) else when.first


def _loose(text: str) -> str:
    """`BP041`, `bp-041` and `BP 041` may be one animal."""
    return re.sub(r"[\W_]+", "", text.casefold())
