"""Rows of a sheet → one draft for each animal, with all in it that is understood; and what is left, with the reason.

A cell that is not understood is kept as a private note of the animal, word for word.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from clutchlight.intake.animal_rows import AnimalRow, Draft, Leftovers, animal_rows, once
from clutchlight.intake.asking import Dialogue
from clutchlight.intake.cells import COLLECTION, came_in, parents_in, sex_in, weight_in
from clutchlight.intake.columns import OF_GENES, OF_HETS, Columns, lists_clutches
from clutchlight.intake.days import days_of_sheet, why_no_date
from clutchlight.intake.families import ParentLinks, parents_written
from clutchlight.intake.genes import Genes, Het, Vocabulary, genes_in
from clutchlight.intake.standing import Standing, money_of
from clutchlight.intake.words import (
    BRED_HERE,
    NOBODY,
    NOTHING_KNOWN,
    YES,
)
from clutchlight.model import Animal, Collection
from clutchlight.reading.ids import Register
from clutchlight.reading.shapes import MEANT_BY_ORIGIN, ORIGINS
from clutchlight.reading.text import one_case

DATES = ("hatched", "sold", "came", "weighed", "laid", "died")


class SheetReader:
    """Reads the rows of one sheet against a collection. `drafts` by id in the order of the rows; `left`: what is not taken.

    `counted`: amounts stand on record.
    """

    def __init__(
        self, columns: Columns, collection: Collection, questions: Dialogue, today: date, *, counted: bool = True
    ) -> None:
        self.columns, self.collection, self.questions = columns, collection, questions
        self.register = Register.of(collection)
        self.drafts: dict[str, Draft] = {}
        self.left = Leftovers(columns)
        self.words: dict[str, Vocabulary] = {}
        rows = list(animal_rows(columns, self.register, self.left))
        days: list[str] = []
        for row in rows:
            days += (row.cells[role] for role in DATES if role in row.cells)
        self.days = days_of_sheet(days, questions, today)
        self.money = money_of(rows, columns, collection.settings.currency, questions, counted=counted)
        self._standing = Standing(self.money, questions, self.days, self.left)
        default = self._species_of_sheet(rows)
        kept = once(rows, self.register, self.left)
        ones = any(row.cells.get("sex") in ("0.1", "0,1") for row in kept.values())
        for name, row in kept.items():
            if species := self._species(name, row, default):
                draft = Draft(name, row.line, species, row.cells, remarks=row.remarks, disputed=row.disputed)
                self.drafts[name.casefold()] = draft
                self._fill(draft, ones)
        ParentLinks(self.drafts, collection, self.register, questions, self.left).link()
        headings = {row.line: row.heading for row in kept.values()}
        for draft in self.drafts.values():
            self._source(draft)
            self._stand(draft, headings[draft.line])
        for draft in self.drafts.values() if lists_clutches(columns) else ():
            if draft.dam in collection.animals:
                draft.species = collection.animals[draft.dam].species

    # ---- its species

    def _species_of_sheet(self, rows: Sequence[AnimalRow]) -> str:
        """The species of the rows that do not say theirs, asked once; "" where nobody knows."""
        known = self.collection.settings.species[0]
        if lists_clutches(self.columns) or all("species" in row.cells for row in rows):
            return known
        text = "Which species are the animals of this sheet, where it does not say so?"
        left = "of several, of another, or nobody knows; such rows are left until a column, and collection.yaml, name theirs"
        unanswered = known if len(self.collection.species) == 1 else ""
        return self._asked_species("species", text, left, unanswered, of_sheet=True)

    def _asked_species(self, key: str, text: str, left: str, unanswered: str = "", *, of_sheet: bool = False) -> str:
        """Which species of the collection it is; "" where it is none of them."""
        choices = ((one, f"the species is {species.name}") for one, species in self.collection.species.items())
        answer = self.questions.put(
            key, text, (*choices, ("not taken", left)), unanswered=unanswered, of_sheet=of_sheet
        )
        return "" if answer == "not taken" else answer

    def _species(self, name: str, row: AnimalRow, default: str) -> str:
        """The species of a row; "" where the row is left, since nobody knows, or since the collection does not have it."""
        word = row.cells.get("species", "")
        for key, species in self.collection.species.items():
            if word and word.casefold() in (key, species.name.casefold(), species.scientific_name.casefold()):
                return key
        left, why = (
            "none of them, or nobody knows; such rows are left until collection.yaml names theirs",
            "its species is not known",
        )
        if word:
            default = self._asked_species(f"species {word.casefold()}", f"Which species is '{word}'?", left)
            why = f"'{word}' is no species of this collection; write it into `species` in collection.yaml, then take the list in again"
        if not default:
            self.left.row(row.line, " | ".join(row.cells.values()), f"{name}: {why}")
        return default

    # ---- one row

    def _fill(self, draft: Draft, ones: bool) -> None:
        cells = draft.cells
        draft.name = cells.get("name", "").replace("†", "").replace("✝", "").strip()
        if "sex" in cells:
            draft.sex = "male" if ones and cells["sex"] == "1" else sex_in(cells["sex"])
            if draft.sex is None:
                self.left.keep(draft, "sex", "no sex that we know; it stays unknown")
        draft.genes = self._genes(draft)
        for role in DATES:
            if NOBODY.fullmatch(cells.get(role, "")):
                if re.search(r"[^\W_]{3}", written := cells.pop(role)):
                    draft.notes[f"{role}_as_written"] = written
            elif role in cells:
                self._day(draft, role)
        draft.parents = parents_written(draft, self.left)
        self._origin(draft)

    def _day(self, draft: Draft, role: str) -> None:
        """The day of a cell, or what else people write where one is looked for."""
        written = draft.cells[role]
        when = self.days.read(written)
        if when is None:
            self._no_day(draft, role, written)
        elif self.days.is_past(when):
            setattr(draft, role, when)
        elif role == "sold":
            draft.coming = role
        else:
            self.left.keep(draft, role, "a day still to come; look at the year")

    def _no_day(self, draft: Draft, role: str, written: str) -> None:
        if role == "came" and BRED_HERE.fullmatch(written):
            draft.origin = "bred here"
            return
        if role == "died" or (role == "sold" and YES.fullmatch(written)):
            return  # told with its status
        if role == "sold" and COLLECTION.search(written):
            draft.coming = role
        else:
            self.left.keep(draft, role, why_no_date(written))

    def _stand(self, draft: Draft, heading: str) -> None:
        """What its row says once its parents are known: where it is and whose, its weight, and what is kept as notes."""
        cells = draft.cells
        self._standing.read(draft, heading)
        if "weight" in cells:
            self._weight(draft)
        if "note" in cells:
            draft.notes["note"] = cells["note"]
        if "cost" in cells:
            draft.notes["paid"] = cells["cost"]

    def _weight(self, draft: Draft) -> None:
        """Its weight, and the day of it where that stands in the heading."""
        written = draft.cells["weight"]
        draft.weight = weight_in(written) or ""
        if draft.weight:
            draft.weighed = draft.weighed or self.days.past(self.columns.called("weight"))
        elif re.search("[0-9]", written) is None:
            self.left.keep(draft, "weight", "no weight")
        elif re.search(r"[^\s0-9.,']", written):
            self.left.keep(draft, "weight", "no weight in grams alone; write each weight with its day into the log")
        else:
            self.left.keep(draft, "weight", "a number alone, which may be of grams or of kilograms")

    def _genes(self, draft: Draft) -> Genes:
        words = self.words.get(draft.species)
        if words is None:
            words = self.words[draft.species] = Vocabulary(self.collection.species[draft.species], self.questions)
        looks: dict[str, None] = {}
        carried: list[tuple[str, Het]] = []
        normal, unread, untold = False, list[str](), list[str]()
        for role in OF_GENES:
            if (cell := draft.cells.get(role)) is None:
                continue
            if role in OF_HETS and NOTHING_KNOWN.fullmatch(cell):
                draft.notes[f"{role}_as_written".replace(" ", "_")] = cell
                continue
            text, where = cell.replace(";", ",") if role == "shows" else cell, f"line {draft.line}: {cell}"
            found = genes_in(text, words, where, carried=role if role in OF_HETS else "")
            looks.update(dict.fromkeys(found.looks))
            carried += ((role, het) for het in found.hets)
            draft.said_in.update({het.trait: role for het in found.hets})
            untold += found.untold
            normal |= found.normal
            unread += found.unread
            for why in found.unread:
                self.left.keep(draft, role, why)
        hets: dict[str, Het] = {}
        for role, het in carried:
            if het.trait in looks:
                why = f"its row says that it shows {het.trait}, so no het {het.trait} is written; what else stands there is taken"
                self.left.keep(draft, role, why)
            else:
                hets[het.trait] = het
        seen = {words.locus_of(look) for look in looks}
        doubtful = tuple(look for look in dict.fromkeys(untold) if words.locus_of(look) not in seen)
        return Genes(tuple(looks), tuple(hets.values()), normal and not looks, tuple(unread), doubtful)

    def _origin(self, draft: Draft) -> None:
        """Whom it came from, else its origin; what was bred here came from nobody."""
        written = draft.cells.get("seller", "")
        if NOBODY.fullmatch(written):
            del draft.cells["seller"]
            return
        bred = BRED_HERE.fullmatch(written)
        origin = "bred here" if bred else written.casefold()
        origin = MEANT_BY_ORIGIN.get(origin, origin)
        if origin in ORIGINS:
            if draft.origin not in ("", origin):
                self.left.keep(draft, "came", f"another column says that it is {origin}, which is taken")
            draft.origin = origin
        else:
            draft.seller = written
        if bred and bred["more"]:
            draft.notes["origin_as_written"] = written
            if "(" in written:
                why = "'bred here' is taken of it; what stands in brackets, such as its parents, is kept as a note"
                self.left.leave(draft, "seller", written, why)
        if origin == "bred here" and draft.came:
            draft.came = ""
            self.left.keep(draft, "came", "it was bred here, so it did not come")

    def _source(self, draft: Draft) -> None:
        """What stands for where it came from is kept as a note where it may be of an animal that was bred here: where nothing says that it
        was bought, and its parents are here, or the cell names one that is, or has initials alone."""
        word = draft.seller
        if not word or _bought(draft):
            return
        if draft.sire or draft.dam:
            why = "its parents are here, and no day or sum says that it came, so nobody is named who sold it"
        elif not re.search(r"[^\W\d_]{3}|[A-Z][a-z]", word) or all(map(self.knows, parents_in(word) or (word,))):
            why = "no day or sum says that it came, and whether this says from whom is not known"
        else:
            return
        self.left.keep(draft, "seller", why)
        if draft.came:
            self.left.keep(draft, "came", "whether it came or was bred here is not known")
        draft.seller = draft.came = ""

    def is_known(self, draft: Draft) -> bool:
        """Whether the animal of a row is on record."""
        return self.register.known_animal(draft.id)

    def knows(self, word: str) -> bool:
        """Whether a word is an id or a name of the sheet or of the collection."""
        here = word.casefold() in self.drafts or one_case(word) in (one_case(one.name) for one in self.drafts.values())
        return here or self.register.find(word) is not None or bool(self.register.ids_called(word))

    def record_of(self, draft: Draft) -> Animal:
        """The animal on record that a row is of."""
        return self.collection.animals[self.register.entries[draft.id.casefold()].now]


def _bought(draft: Draft) -> bool:
    """Whether its row says that it came, by a day, a sum or a word such as `bought`; a day on which it may have hatched says nothing."""
    cells = draft.cells
    came = draft.came and not draft.came.startswith(draft.hatched[:4] or "-")
    return bool(came or "cost" in cells or "paid" in draft.notes or came_in(draft.seller) is not None)
