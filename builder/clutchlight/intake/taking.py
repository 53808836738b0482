"""Drafts → what is to be written: animals, clutches, sales, log rows, traits. What holds for the whole sheet is asked here, once each.

Nothing is made up: a possible het without a figure stays a note unless the breeder gives one, a weight without a day likewise, and a sale
without a day is one "before" the day of the intake. Amounts, buyers, sellers and notes go to private places only.

Which animals are one clutch, `families` proposes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction
from functools import partial

from msgspec import Struct, field

from clutchlight.editing.writing import Value
from clutchlight.intake.animal_rows import Draft, Left
from clutchlight.intake.asking import Dialogue
from clutchlight.intake.cells import PAYMENT, came_in, tells_more
from clutchlight.intake.columns import plain
from clutchlight.intake.days import date_in, why_no_date
from clutchlight.intake.families import (
    ProposedClutch,
    clutches_of,
    clutches_on_record,
    confirm_clutches,
    young_of_record,
)
from clutchlight.intake.genes import Het
from clutchlight.intake.rows import SheetReader
from clutchlight.model import Clutch
from clutchlight.reading.fields import read_chance
from clutchlight.wording.words import join_and, join_or, plural

Entry = dict[str, Value]
ALL_GOOD = ("good eggs", "fertile", "fertile eggs")
"""Names of a column of eggs among which no slug is."""
COUNTS = ("eggs", "slugs", "went_bad")
_OF_CLUTCH = {"id", "species", "parents", "sire", "dam", "laid", "hatched", *COUNTS}
"""Roles of a list of clutches whose cells its records hold, or keep as notes where they are not taken."""
NO_FIGURE, ONE_BY_ONE = "no figure", "one by one"


class Joining(Struct, frozen=True):
    """Young that are to be added to a clutch on record, and `keys` that its record then needs."""

    clutch: Clutch
    keys: Entry
    young: list[Entry]


class Taken(Struct):
    """What is to be written, before it was tried. `lines`: the row of the sheet that each animal stands in, by id in small letters.

    `left`: the list of the reader of the sheet, which goes on with it. `currency`: what the collection's becomes, "" where it stays.
    """

    animals: dict[str, Entry] = field(default_factory=dict)
    clutches: dict[str, tuple[Entry, list[Entry]]] = field(default_factory=dict)
    joined: dict[str, Joining] = field(default_factory=dict)
    sales: dict[str, Entry] = field(default_factory=dict)
    log: list[tuple[str, str, str]] = field(default_factory=list)
    traits: dict[str, list[str]] = field(default_factory=dict)
    lines: dict[str, int] = field(default_factory=dict)
    left: list[Left] = field(default_factory=list)
    currency: str = ""

    @property
    def adds(self) -> bool:
        """Whether anything is to be written."""
        return any((self.animals, self.clutches, self.joined, self.sales, self.log, self.traits))

    def clutch_of(self, name: str) -> str | None:
        """The clutch among whose young an animal stands."""
        clutches = self.clutches.items()
        return next((clutch for clutch, (_, young) in clutches if any(one["id"] == name for one in young)), None)

    def entry(self, name: str) -> Entry | None:
        """What is to be written of an animal, wherever it stands."""
        return self.animals.get(name) or next((one for one in self.young() if one["id"] == name), None)

    def young(self) -> Iterator[Entry]:
        """Every young of a clutch, new or on record."""
        for _, some in self.clutches.values():
            yield from some
        for joining in self.joined.values():
            yield from joining.young

    def keep(self, name: str, key: str, value: str) -> None:
        """Keeps something as a private note of an animal."""
        if (entry := self.entry(name)) is not None:
            add_under(entry, "private", key, value)

    def leave(self, name: str, what: str, why: str, *, written: str = "") -> None:
        """Tells at its row what was not taken of an animal or a clutch."""
        self.left.append(Left(self.lines.get(name.casefold(), 0), what, written, why))


def take(reader: SheetReader, drafts: Sequence[Draft]) -> Taken:
    """What is to be written of these drafts, which are on no record yet."""
    collection, questions = reader.collection, reader.questions
    taken = Taken(left=reader.left.rows)
    maker = _RecordMaker(taken, reader, drafts)
    joined, apart = young_of_record(drafts, collection, questions)
    of_record = {draft.id for young in joined.values() for draft in young}
    loose = [draft for draft in drafts if draft.id not in of_record | apart]
    families = clutches_of(loose, reader.register, questions)
    confirm_clutches(families, questions)
    grouped = {draft.id for family in families for draft in family.young} | of_record
    for name, young in joined.items():
        taken.joined[name] = maker.joining(collection.clutches[name], young)
    for family in families:
        taken.clutches[family.id] = maker.clutch(family), [maker.animal(draft, family) for draft in family.young]
    for draft in drafts:
        taken.lines[draft.id.casefold()] = draft.line
        if draft.id not in grouped:
            taken.animals[draft.id] = maker.animal(draft, None)
        maker.sale(draft)
        maker.weight(draft)
    return taken


def take_clutches(reader: SheetReader, drafts: Sequence[Draft]) -> Taken:
    """What is to be written of a list of clutches: none is taken to be complete, since its young are not listed."""
    taken = Taken(left=reader.left.rows)
    for draft in drafts:
        taken.lines[draft.id.casefold()] = draft.line
        on_record = clutches_on_record(draft, reader.collection)
        why = ""
        counted = any(draft.cells.get(key, "").strip("0").isdecimal() for key in COUNTS)
        if not counted and not draft.hatched and (not draft.laid or "hatched_as_written" in draft.notes):
            why = "nothing of it says that eggs were laid; if only the two were together, write a row of the log"
        elif on_record:
            why = f"it seems to be clutch {join_or(on_record)} on record; write there what that lacks, or `laid` if it is another"
        elif not draft.dam:
            why = "a clutch whose dam is not on record; take her in first"
        if why:
            reader.left.row(draft.line, " | ".join(draft.cells.values()), f"{draft.id}: {why}")
            continue
        facts: Entry = {key: getattr(draft, key) for key in ("laid", "hatched") if getattr(draft, key)}
        for key in COUNTS:
            if draft.cells.get(key, "").isdecimal():
                number, slugs = int(draft.cells[key]), draft.cells.get("slugs", "")
                maybe_all = key == "eggs" and slugs.isdecimal() and plain(reader.columns.called(key)) not in ALL_GOOD
                good = _good_eggs(number, int(slugs), reader.questions) if maybe_all and int(slugs) else str(number)
                if good == "GOOD":
                    reader.left.keep(draft, key, "whether its slugs are among them is not answered")
                else:
                    facts[key] = good
            elif key in draft.cells:
                reader.left.keep(draft, key, "no whole number")
        entry: Entry = {"id": draft.id, "sire": draft.sire or "unknown", "dam": draft.dam, **facts, "complete": "no"}
        kept = {draft.id, *draft.notes.values()}
        for role in sorted(draft.cells.keys() - _OF_CLUTCH):
            if draft.cells[role] not in kept:
                draft.notes[f"{role}_as_written"] = draft.cells[role]
        if draft.notes:
            entry["private"] = dict(draft.notes)
        taken.clutches[draft.id] = entry, []
    return taken


_ALL_BUT = "all but "


def _but(answer: str) -> set[str]:
    """Those that an answer such as `all but A-1, A-2` names, in small letters."""
    named = answer.casefold().removeprefix(_ALL_BUT) if answer.casefold().startswith(_ALL_BUT) else ""
    return {name.strip() for name in named.split(",") if name.strip()}


def _not_all_but(answer: str, drafts: Sequence[Draft]) -> str:
    """What is wrong with an answer that should name all but some; "" where nothing is."""
    others = _but(answer) - {draft.id.casefold() for draft in drafts}
    if others:
        return f"'{', '.join(sorted(others))}' is none of them"
    return "" if _but(answer) else f"'{answer}' names none; write '{_ALL_BUT}', then those that were not paid in full"


def _good_eggs(eggs: int, slugs: int, questions: Dialogue) -> str:
    """How many good eggs there were, or GOOD: whether the slugs that are counted are among the eggs is asked once for the sheet."""
    answer = questions.put(
        "slugs among eggs",
        f"A row counts {plural(eggs, 'egg')} and {plural(slugs, 'slug')}. Are the slugs of such rows among the eggs?",
        (
            ("among them", f"{max(eggs - slugs, 0)} good, {plural(slugs, 'slug')}"),
            ("besides", f"{eggs} good, {plural(slugs, 'slug')}"),
            ("not known", "how many were good is left open"),
        ),
        of_sheet=True,
    )
    return {"among them": str(max(eggs - slugs, 0)), "besides": str(eggs)}.get(answer, "GOOD")


def day_of_weights(drafts: Sequence[Draft], reader: SheetReader) -> None:
    """Asks once when the weights were taken that have no day, and puts the answer to each."""
    unweighed = [one for one in drafts if one.weight and not one.weighed and one.status not in ("sold", "died")]
    if not unweighed:
        return
    answer = reader.questions.put(
        "day of weights",
        f"{plural(len(unweighed), 'animal has', 'animals have')} a weight, but no day of weighing."
        f" When {'was it' if len(unweighed) == 1 else 'were they'} weighed?",
        (("not known", "the weights are kept as notes"), (reader.days.today.isoformat(), "today")),
        "a day or a month, such as 2026-10-31, 31 Oct 2026 or Oct 2026",
        unanswered="not known",
        of_sheet=True,
        wrong=lambda answer: (
            "" if date_in(answer, {}) else f"'{answer}' is {why_no_date(answer)}; write a date such as 31 Oct 2026"
        ),
    )
    for draft in unweighed:
        draft.weighed = date_in(answer, {}) or ""


def _claims(draft: Draft) -> bool:
    """Whether what it is said to carry is a seller's word: without parents, or bought with parents that are not here."""
    return not (draft.sire or draft.dam) and (not draft.parents_lost or bool(draft.seller))


def _may_be_gone(draft: Draft) -> bool:
    """Whether a buyer, a hold or a death is written of it that was not taken."""
    told = any(tells_more(cell) for _, cell in draft.remarks)
    return told or "buyer" in draft.cells or "sold" in draft.cells or "status" in draft.disputed


def speaks_of_payment(draft: Draft) -> bool:
    """Whether a remark, or the cell of its status or buyer, has a word of a payment, which may be one of several."""
    cells = (*(cell for _, cell in draft.remarks), draft.cells.get("status", ""), draft.cells.get("buyer", ""))
    return any(map(PAYMENT.search, cells))


def _only_hets(draft: Draft) -> bool:
    genes = draft.genes
    return bool(genes.hets) and not genes.looks and not genes.normal and not genes.unread


def _named(drafts: Sequence[Draft], count: int = 3) -> str:
    """': A, B and C' behind a count of them; where there are more, ', such as A, B and C'."""
    return f"{', such as ' if len(drafts) > count else ': '}{join_and([draft.id for draft in drafts[:count]])}"


def _hets_as_written(draft: Draft) -> str:
    """The cells that name what it carries, as they stand."""
    return " | ".join(draft.cells[role] for role in dict.fromkeys(draft.said_in.values()) if role in draft.cells)


class _RecordMaker:
    """Makes the records of one sheet, by what holds for all of it. `possible`: by animal, the chance of a possible het without a figure;
    none is made up.
    """

    def __init__(self, taken: Taken, reader: SheetReader, drafts: Sequence[Draft]) -> None:
        self.taken, self.reader, self.today = taken, reader, reader.days.today
        self._ask(drafts)

    def _ask(self, drafts: Sequence[Draft]) -> None:
        """The questions that concern many rows alike, each put only where some row needs it."""
        questions, priced = self.reader.questions, self.reader.columns.called("price")
        ask = partial(questions.put, of_sheet=True)
        only_hets = [draft for draft in drafts if _only_hets(draft)]
        loose = [draft for draft in drafts if _claims(draft) and any(not het.chance for het in draft.genes.hets)]
        unsaid = (one for one in drafts if one.price is not None and not (one.status or "status" in one.cells))
        offered = [draft for draft in unsaid if not (draft.returned or _may_be_gone(draft))]
        back = [draft for draft in drafts if draft.returned]
        self.normal = bool(only_hets) and questions.agreed(
            "only hets",
            f"{plural(len(only_hets), 'row names', 'rows name')} only what is carried, such as '{_hets_as_written(only_hets[0])}'."
            f" {'Did this animal' if len(only_hets) == 1 else 'Did these animals'} look normal?",
            "they are kept as looking normal",
            "their look stays unknown",
            of_sheet=True,
        )
        chances = (
            ("66%", "two in three"),
            ("50%", "one in two"),
            (NO_FIGURE, "it is kept as a note and counts for nothing"),
        )
        possible = loose and ask(
            "possible het",
            f"{plural(len(loose), 'animal has', 'animals have')} no parents on record and a 'possible het' without a figure{_named(loose)}."
            " Which chance did the seller mean?",
            (*chances, (ONE_BY_ONE, "to be asked of each")) if len(loose) > 1 else chances,
            unanswered=NO_FIGURE,
        )
        by_animal = {draft.id: str(possible) for draft in loose}
        for draft in loose if possible == ONE_BY_ONE else ():
            by_animal[draft.id] = questions.put(
                f"possible het of {draft.id}",
                f"{f'{draft.id} {draft.name}'.strip()} (line {draft.line}): '{_hets_as_written(draft)}'. Which chance did the seller mean?",
                chances,
                "another chance, such as 33% or 1/4",
                wrong=lambda answer: said if isinstance(said := read_chance(answer), str) else "",
            )
        priced_sales = (one for one in drafts if one.status == "sold" and (one.paid or one.price is not None))
        sold = [one for one in priced_sales if not (one.returned or one.paid_unread)]
        told = [draft.id for draft in sold if speaks_of_payment(draft)]
        got = any(draft.paid for draft in sold)
        kept = "kept as a note of its sale, and no paper says that it was paid or is open"
        but = f"; but what {join_and(told)} cost is {kept}" if told else ""
        said = (
            "as the columns say",
            f"what stands in the column of what was paid was paid; a price alone is agreed only{but}",
        )
        paid = sold and ask(
            " ".join(("sold prices", ", ".join(told))).strip(),
            f"{plural(len(sold), 'sold animal has', 'sold animals have')} a price"
            f"{f' in the column {priced}' if all(map(_priced, sold)) else ''}{_named(sold)}."
            f"{f' What else stands in the rows of {join_and(told)} speaks of a payment.' if told else ''}"
            f" {'Was it' if len(sold) == 1 else 'Were both prices' if len(sold) == 2 else 'Were all these prices'} paid in full?",
            (
                ("yes", f"{'it is' if len(sold) == 1 else 'they are'} kept as agreed and paid"),
                ("no", f"{'the' if len(sold) == 1 else 'each'} price is {kept}"),
                *([said] if got else ()),
            ),
            f"'{_ALL_BUT.strip()}' and those that were not, such as '{_ALL_BUT}{sold[-1].id}'; the desk lists these as open",
            wrong=lambda answer: _not_all_but(answer, sold),
        )
        if offered and questions.agreed(
            "prices without a status",
            f"{plural(len(offered), 'row has', 'rows have')} a price, but no word on whether the animal is for sale{_named(offered, 12)}."
            f" {'Is it' if len(offered) == 1 else 'Are they'} for sale?",
            "they are kept as available, at these prices",
            "their prices are kept as private notes",
            of_sheet=True,
        ):
            for draft in offered:
                draft.status = "available"
        came_back = back and ask(
            "returned animals",
            f"{plural(len(back), 'row speaks', 'rows speak')} of a return or a refund{_named(back, len(back))}."
            f" {'Where is it' if len(back) == 1 else 'Where are they'} now?",
            (
                ("here", "they are kept as not for sale, returned"),
                ("sold", "they are kept as sold, to nobody named"),
                ("not known", "no sale is written of them"),
            ),
        )
        for draft in back if came_back == "not known" else ():
            if draft.status == "sold":
                draft.status = ""
                draft.notes.setdefault("status_as_written", draft.cells.get("status", "sold"))
        self.possible = {name: chance for name, chance in by_animal.items() if chance != NO_FIGURE}
        self.paid, self.back = paid or "", came_back == "here"

    def clutch(self, family: ProposedClutch) -> Entry:
        pair = {"sire": family.sire, "dam": family.dam, "hatched": family.hatched}
        return {"id": family.id, **pair, **family.counts, "complete": "yes" if family.complete else "no"}

    def joining(self, clutch: Clutch, young: Sequence[Draft]) -> Joining:
        """Young for a clutch on record; one that was only laid gets the day on which the first of them hatched."""
        hatched = str(clutch.hatched) if clutch.hatched is not None else min(draft.hatched for draft in young)
        family = ProposedClutch(clutch.id, hatched, list(young), clutch.sires.certain or "", clutch.dam)
        for draft in young:
            if draft.sire and draft.sire != clutch.sires.certain:
                draft.notes["sire_as_written"] = draft.sire
        keys: Entry = {} if clutch.hatched is not None else {"hatched": hatched}
        return Joining(clutch, keys, [self.animal(draft, family) for draft in young])

    def animal(self, draft: Draft, family: ProposedClutch | None) -> Entry:
        """The record of an animal; of a young in its clutch without what stands there."""
        genes = draft.genes
        if family is None and "clutch" in draft.cells:
            draft.notes["clutch_as_written"] = draft.cells["clutch"]
        elif family is not None and draft.hatched and draft.hatched != family.hatched:
            draft.notes.setdefault("hatched_as_written", draft.cells["hatched"])
        other_species = family is None and draft.species != self.reader.collection.settings.species[0]
        born = {} if family is not None else {"hatched": draft.hatched, "sire": draft.sire, "dam": draft.dam}
        normal = genes.normal or (self.normal and _only_hets(draft))
        shows: Value = list(genes.looks) or ("normal" if normal else "")
        carried, standing = self._hets(draft, bred=family is not None), self._standing(draft)
        self._unplaced(standing, draft, family)
        if draft.seller:
            draft.notes.setdefault("bought_from", draft.seller)
        return _filled(
            {
                "id": draft.id,
                "name": draft.name if draft.name != draft.id else "",
                "species": draft.species if other_species else "",
                "sex": draft.sex or "",
                **born,
                "shows": shows,
                "cannot_tell": list(genes.untold) if shows else "",
                **carried,
                **standing,
                "origin": draft.origin,
                "private": dict(draft.notes),
            }
        )

    def _hets(self, draft: Draft, *, bred: bool) -> Entry:
        """A seller's word about an animal without parents; what was said of one with both is shown and never counted."""
        claims: Entry = {}
        untold: list[Het] = []
        both = bred or bool(draft.sire and draft.dam)
        one = not both and bool(draft.sire or draft.dam)
        lost = not both and not one and not _claims(draft)
        for het in draft.genes.hets:
            chance = het.chance or ("" if both else self.possible.get(draft.id, ""))
            if not chance or one or lost:
                untold.append(het)
            elif both or not draft.seller:
                claims[het.trait] = chance
            else:
                claims[het.trait] = _filled({"chance": chance, "from": "the seller", "on": draft.came})
        if untold:
            draft.notes["said_to_be"] = ", ".join(f"{het.chance or 'possible'} het {het.trait}" for het in untold)
        if untold and not both:
            why = (
                "with only one parent on record it would be said of the other parent"
                if one
                else "its parents are written and could not be taken, so this is no seller's word"
                if lost
                else "no figure was said"
            )
            for role in dict.fromkeys(draft.said_in[het.trait] for het in untold):
                here = [het for het in draft.genes.hets if draft.said_in[het.trait] == role]
                named = join_and([het.trait for het in here if het in untold])
                of = "" if set(here) <= set(untold) else f"of {named} "
                self.reader.left.leave(draft, role, draft.cells[role], f"{of}{why}; kept as a note")
        return {"stated" if both else "claims": claims}

    def _standing(self, draft: Draft) -> Entry:
        """How it came, whether it is here, and at which price it is offered."""
        status = draft.status
        if draft.returned and self.back:
            if draft.came:
                why = "it came back, and a record holds how it came last; its first day is kept as a note"
                self.reader.left.keep(draft, "came", why)
            if "status" in draft.cells and status not in ("", "sold", "not for sale"):
                self.reader.left.keep(draft, "status", "it came back, so it is written as not for sale")
            return {"status": "not for sale", "came": {"how": "returned"}}
        how = self._how_it_came(draft)
        came = _filled({"how": how, "on": draft.came}) if how else {}
        if draft.came and not how:
            role, note = ("came", "came_as_written") if "came" in draft.cells else ("seller", "bought_from")
            draft.notes.setdefault(note, draft.cells[role])
            why = "how it came is none of our words, so its day is kept as a note"
            self.reader.left.leave(draft, role, draft.cells[role], why)
        price = draft.price.amount if draft.price is not None and status in ("available", "on hold") else ""
        if "price" in draft.cells and draft.price is not None and not price and status not in ("sold", "died"):
            draft.notes.setdefault("price", draft.cells["price"])
        return _filled(
            {
                "came": came if draft.seller or draft.came else "",
                "left": _filled({"how": "died", "on": draft.died}) if status == "died" else "",
                "status": "" if status == "died" else status,
                "price": price,
            }
        )

    def _how_it_came(self, draft: Draft) -> str:
        """How it came by the words of its row, else bought; "" where none of our words fits. A sale says nothing of it."""
        roles = ("cost",) if self._sells(draft) else ("cost", "paid", "price")
        lent = [
            cell
            for role in ("status", "buyer")
            if re.search(r"\bfrom\b", cell := draft.cells.get(role, ""), re.IGNORECASE)
            and not re.search(r"\b(?:back|returned|home|over)\b", cell, re.IGNORECASE)
        ]
        if any(re.fullmatch(r"\W*0+(?:[.,]0+)?\W*|n/?c", draft.cells.get(role, ""), re.IGNORECASE) for role in roles):
            return ""
        said = (came_in(cell) for cell in (*lent, draft.seller, *(draft.cells.get(role, "") for role in roles)))
        return next((how for how in said if how is not None), "bought")

    def _sells(self, draft: Draft) -> bool:
        return draft.status == "sold" and not (draft.returned and self.back)

    def _unplaced(self, standing: Entry, draft: Draft, family: ProposedClutch | None) -> None:
        """Cells of a row that go into no record are kept as notes of the animal."""
        roles = {"laid", *COUNTS}
        if not self._sells(draft):
            roles |= ({"sold"} if draft.paid else {"paid", "sold"}) if _promised(draft) else {"paid", "buyer", "sold"}
        if "price" not in standing and (
            not self._sells(draft) or draft.paid not in ("", draft.asked) or not draft.asked or draft.paid_unread
        ):
            roles.add("price")
        if not draft.weight:
            roles.add("weighed")
        if family is not None and draft.cells.get("clutch", "").casefold() != family.id.casefold():
            roles.add("clutch")
        if draft.status == "on hold" and draft.paid and "paid" in roles:
            self.reader.left.keep(draft, "paid", "it is held for nobody named, so what was paid is kept as a note")
        for role in sorted(roles & draft.cells.keys()):
            if not {role, f"{role}_as_written"} & draft.notes.keys():
                draft.notes[f"{role}_as_written"] = draft.cells[role]
                if role in ("buyer", "sold", "paid"):
                    died = "it died, so " if draft.status == "died" else ""
                    why = f"{died}no sale is written of it; kept as a note"
                    self.reader.left.leave(draft, role, draft.cells[role], why)

    def sale(self, draft: Draft) -> None:
        """Its sale, or for whom it is held."""
        if _promised(draft):
            self.taken.sales[draft.id] = sale_of(draft, draft.asked, draft.paid, self.today)
        if not self._sells(draft):
            return
        self.taken.sales[draft.id] = sale_told(draft, self.reader, self.paid)

    def weight(self, draft: Draft) -> None:
        if not draft.weight:
            return
        if draft.weighed:
            self.taken.log.append((draft.weighed, draft.id, draft.weight))
        else:
            self.taken.keep(draft.id, "weight_g", draft.weight)


def _priced(draft: Draft) -> bool:
    """Whether its sum stands in the column of prices, and not beside its buyer."""
    return not draft.paid and "price" in draft.cells and "price_as_written" not in draft.notes


def _promised(draft: Draft) -> bool:
    return draft.status == "on hold" and bool(draft.buyer)


def sale_told(draft: Draft, reader: SheetReader, answer: str = "") -> Entry:
    """The sale of an animal by the sums of its row. `answer`: whether such sums were paid, "" where nobody was asked."""
    but, unread = _but(answer), draft.paid_unread
    named = draft.id.casefold() in but
    part = named and draft.paid and draft.asked and Fraction(draft.paid) < Fraction(draft.asked)
    amount = draft.asked if part else draft.paid or ("" if unread else draft.asked)
    paid = answer == "yes" or (not named if but else bool(draft.paid))
    doubted = speaks_of_payment(draft) and not (answer == "yes" or but)
    untold = bool(amount) and (answer == "no" or doubted)
    told = "" if untold else amount
    if told and draft.asked not in ("", told):
        why = f"{told} is what was paid; if the rest is open, write `agreed: {draft.asked}` in its sale"
        reader.left.leave(draft, "price", draft.cells.get("price", draft.asked), why)
    entry = sale_of(draft, told, draft.paid if part else told if paid else "", reader.days.today)
    notes = [f"price {draft.asked or amount}"] if untold else []
    notes += [f"paid {draft.paid}"] if untold and draft.paid not in ("", draft.asked or amount) else []
    notes += [f"paid: {draft.cells['paid']}"] if unread else []
    if "sold_as_written" in draft.notes:
        notes.append(f"sold: {draft.notes['sold_as_written']}")
    if notes:
        entry["note"] = "; ".join(notes)
    return entry


def sale_of(draft: Draft, agreed: str, paid: str, today: date) -> Entry:
    """The sale of an animal, or for whom it is held. `paid`: what was paid that day."""
    when = draft.sold or f"before {today.isoformat()}"
    ends: Entry = {} if _promised(draft) else {"handed_over": when}
    payments: Value = [{"on": when, "amount": paid}] if paid else ""
    return _filled({"animals": [draft.id], "buyer": draft.buyer, "agreed": agreed, "payments": payments, **ends})


def _filled(entry: Entry) -> Entry:
    """Without the keys that nothing is known of."""
    return {key: value for key, value in entry.items() if value}


def add_under(entry: Entry, group: str, key: str, value: str) -> None:
    """Puts a value among the keys that stand under `group` in a record."""
    held = entry.get(group)
    entry[group] = {**held, key: value} if isinstance(held, dict) else {key: value}
