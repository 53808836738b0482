"""Where an animal is and whose, by its row: its status, its price, what was paid, and its buyer. What speaks against a sale goes first.

Sums are in the currency of their own sign or of the heading of their column, else in that which the breeder says once.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import get_args

from msgspec import Struct, field
from msgspec.structs import replace

from clutchlight.editing.starting import CURRENCY
from clutchlight.intake.animal_rows import AnimalRow, Draft, Leftovers
from clutchlight.intake.asking import Dialogue
from clutchlight.intake.cells import (
    BEGINS_SALE,
    COLLECTION,
    HELD_OR_LENT,
    NO_SALE,
    OTHER_PRICE,
    RETURN,
    Buyer,
    Price,
    begins_like_a_name,
    buyer_in,
    is_paid_out,
    price_in,
    status_begun,
    status_in,
)
from clutchlight.intake.columns import Columns, sign_among
from clutchlight.intake.days import SheetDays
from clutchlight.intake.words import CODES, DOLLARS, HOW_DIED, SIGNS, YES, one_of
from clutchlight.model import Status
from clutchlight.wording.words import plural

_SLIP = 10
"""An amount of money for a snake below which a part of one may be a slip: `1,45`."""


class Standing:
    """Reads it in the rows of one sheet; what is not known is asked for once."""

    def __init__(self, money: SheetMoney, questions: Dialogue, days: SheetDays, left: Leftovers) -> None:
        self.money, self.questions, self.days, self.left = money, questions, days, left

    def read(self, draft: Draft, heading: str) -> None:
        """Puts to a draft its status, its price, what was paid and its buyer."""
        self._status(draft, heading)
        self._money(draft)
        self._buyer(draft)
        if draft.coming:
            held = ", so it is written as held, not as handed over" if draft.status == "sold" else ""
            collected = COLLECTION.search(draft.cells[draft.coming])
            why = "it speaks of a collection, whose day is not read" if collected else "a day still to come"
            self.left.keep(draft, draft.coming, f"{why}{held}{'' if collected else '; look at the year'}")
            draft.status = "on hold" if held else draft.status

    def _status(self, draft: Draft, heading: str) -> None:
        written, died = draft.cells.get("status"), draft.cells.get("died", "")
        for role in ("status", "died"):
            if one_of(HOW_DIED).fullmatch(draft.cells.get(role, "")):
                draft.notes[f"{role}_as_written"] = draft.cells[role]
        by_name = {"†", "✝"} & set(draft.cells.get("name", ""))
        told = draft.died or YES.fullmatch(died) or status_in(died) == "died"
        if died and not told and self.days.read(died) is None:
            self.left.keep(draft, "died", f"no day of death; if it died: {draft.command_died()}")
        if told or by_name:
            draft.status = "died"
            if written is not None and status_in(written) != "died":
                self.left.keep(draft, "status", "its row says elsewhere that it died")
            return
        if written is None:
            draft.status = self._status_of_heading(heading)
            if draft.status:
                draft.cells["status"] = heading
            return
        status = status_in(written)
        more = False
        if status is None and (status := status_begun(written)) is not None:
            more = True
        elif status is None:
            words = (*(word for word in get_args(Status) if word != "elsewhere"), "died")
            choices = (*((word, "") for word in words), ("not taken", "it is left out"))
            question = f"What does '{written}' say of an animal?"
            answer = self.questions.put(f"status {written.casefold()}", question, choices)
            status = None if answer == "not taken" else answer
            draft.notes["status_as_written"] = written
            more = re.search(r"[0-9]|\s\W*[A-Z]", written) is not None
        if status is None:
            self.left.keep(draft, "status", "no status that we know")
        elif more:
            why = f"'{status}' is taken of it; what else stands there goes into no record but a note"
            self.left.keep(draft, "status", why)
        if status == "holdback" and written.casefold() in ("keeper", "keepers"):
            own = draft.parents is not None or "clutch" in draft.cells or draft.origin == "bred here"
            status = status if own and not draft.seller else "not for sale"
        draft.status = status or ""

    def _status_of_heading(self, heading: str) -> str:
        """The status of the rows below a heading that have none, such as `SOLD 2025`, once the breeder says so; "" otherwise."""
        words = " ".join(re.sub(r"[\d_]|[^\w†]", " ", heading.casefold()).split())
        status = status_in(words) or status_in(words.removesuffix("s")) or ""
        holds = status and self.questions.agreed(
            f"rows below {heading.casefold()}",
            f"Rows below '{heading}' have no status of their own. Does '{status}' hold for each of them?",
            "",
            "they are kept without a status",
        )
        return status if holds else ""

    def _money(self, draft: Draft) -> None:
        for role in ("price", "paid"):
            written = draft.cells.get(role, "")
            if not written or status_in(written) == "sold":
                continue  # told with the sale
            if is_paid_out(written):
                draft.notes.setdefault("paid", written)
                self.left.keep(draft, role, "an amount below nothing is what you gave for it; kept as a note")
                continue
            price = self.money.price_in(role, written)
            if why := self._why_no_price(role, written, price):
                self.left.keep(draft, role, why)
            elif role == "price":
                draft.price = price
            elif price is not None:
                draft.paid = price.amount
            if price is not None and price.of_one and price.rest:
                draft.notes["price"] = written

    def _why_no_price(self, role: str, written: str, price: Price | None) -> str:
        """Why a cell is taken for no price of its animal; "" of one that is."""
        if price is None and re.search(r"(?<![\w-])[0-9]+(?![\w-])", written):
            return "which amount is the price of this animal is not plain"
        if price is None or price.amount == "0":
            return "no amount"
        if "." in price.amount and float(price.amount) < _SLIP:
            return "an amount below 10 with a point or a comma in it, which may be a slip"
        if not price.of_one:
            return f"'{price.rest}' beside a number: nobody can tell whether it is the price of this animal"
        if not self.money.counts(price):
            return f"it is in {price.currency}, so it is not taken"
        return "no amount" if role == "paid" and price.amount == "ask" else ""

    def _buyer(self, draft: Draft) -> None:
        written = draft.cells.get("buyer", "")
        draft.returned = draft.status != "died" and RETURN.search(written) is not None
        back = Buyer(sold=True, why="it speaks of a return or a refund, so nobody is named who has it")
        buyer = back if draft.returned else buyer_in(written)
        if status_in(written) == "died" and not draft.status:
            draft.status, buyer = "died", Buyer()
        draft.buyer, why = buyer.name, self._beside_name(draft, buyer) or buyer.why
        if why:
            self.left.keep(draft, "buyer", why)
        if buyer.here or not (draft.buyer or why):
            draft.cells.pop("buyer", None)
        if not draft.returned and (no_sale := self._no_sale(draft, buyer)):
            self._unsold(draft, buyer, no_sale)
            return
        sold = buyer.sold or _says_sold(draft)
        if sold and not draft.status:
            draft.status = "sold"
        elif draft.status == "available" and (sold or buyer.why or draft.cells.get("sold")):
            draft.status = ""
            self.left.keep(draft, "status", "another column may speak of a sale, so it is not offered")
        others = (draft.cells.get("status", ""), "" if buyer.paid is not None else written)
        if draft.status == "sold" and draft.price is not None and any(map(OTHER_PRICE.search, others)):
            role = "buyer" if draft.price is buyer.paid else "price"
            why = "another cell names another amount or a gift, so this is not that of its sale"
            self.left.keep(draft, role, why)
            draft.price = None

    def _beside_name(self, draft: Draft, buyer: Buyer) -> str:
        """Takes the amount behind a buyer's name as what was agreed. Why it is not taken; "" otherwise."""
        if buyer.paid is None:
            return ""
        amount = buyer.paid.amount
        if not self.money.counts(buyer.paid):
            return f"the amount beside the name is in {buyer.paid.currency}, so it is not taken"
        if draft.status == "on hold":
            return "whether the amount beside the name was paid is not said, so it is not taken"
        if draft.paid_unread:
            return "what was paid stands elsewhere and is not read, so the amount beside the name is not taken"
        if draft.paid:
            return "" if draft.paid == amount else "the amount beside the name is not what was paid, so it is not taken"
        if draft.asked != amount and "price" in draft.cells:
            draft.notes.setdefault("price_as_written", draft.cells["price"])
        draft.price = buyer.paid
        return ""

    def _no_sale(self, draft: Draft, buyer: Buyer) -> str:
        """Why no sale is read from the columns of one; "" where nothing speaks against it. What a status says goes first."""
        given = any(is_paid_out(draft.cells.get(role, "")) for role in ("price", "paid"))
        if buyer.here:
            return "you have it, so this is of no sale" + ("; it may be of how it came" if given else "")
        if draft.status == "died":
            return "it died, so no sale is written" if buyer.name else ""
        if draft.status == "sold":
            against = HELD_OR_LENT.match(draft.cells.get("buyer", ""))
            return "the cell of its buyer speaks of something else, so no sale is written" if against else ""
        if draft.status:
            return ""
        if given:
            return "what you gave for it stands in this row, so nobody can tell whether this is of a sale"
        if "status" in draft.cells or "status" in draft.disputed:
            return "its status is not understood, so this is taken for no sale"
        if any(NO_SALE.search(cell) for _, cell in draft.remarks):
            return "a remark may say otherwise, so this is taken for no sale"
        sure = buyer.sold or (_says_sold(draft) and begins_like_a_name(draft.cells.get("buyer", "")))
        return "" if sure or not buyer.why else "the cell of its buyer names no sale, so this is of none"

    def _unsold(self, draft: Draft, buyer: Buyer, why: str) -> None:
        """Takes nothing of a sale from a row."""
        if draft.status == "sold":
            draft.status = ""
            self.left.keep(draft, "status", "the cell of its buyer says that you have it" if buyer.here else why)
        for role in ("buyer", "sold"):
            if getattr(draft, role):
                setattr(draft, role, "")
                self.left.keep(draft, role, why)
        if draft.paid and (buyer.here or buyer.why):
            draft.paid = ""
            self.left.keep(draft, "paid", f"{why}; if you ask this for it, write its price")


def _says_sold(draft: Draft) -> bool:
    """Whether a day, a yes, or a word in the column of prices says that it was sold."""
    told = YES.fullmatch(draft.cells.get("sold", "")) or BEGINS_SALE.match(draft.cells.get("price", ""))
    return bool(draft.sold or told)


# ---- in which currency


_CODE = re.compile("[A-Z]{3}")
NOT_SAID = "a currency that is not said"


class SheetMoney(Struct, frozen=True):
    """`currency`: that of the collection. `unsigned`: by role, the currency of a sum without a sign, where it is said."""

    currency: str | None
    unsigned: Mapping[str, str] = field(default_factory=dict)

    def counts(self, price: Price) -> bool:
        """Whether an amount is in the currency of the collection."""
        return self._meant(price.currency) in (None, self.currency)

    def _meant(self, sign: str | None, role: str = "") -> str | None:
        """A sign as a currency: a bare `$` is of the dollars that the heading of its column names, else of the collection's."""
        named = (self.unsigned.get(role), *self.unsigned.values(), self.currency)
        return next((one for one in named if one in DOLLARS), sign) if sign == "$" else sign

    def price_in(self, role: str, cell: str) -> Price | None:
        """The amount of a cell, with its currency."""
        price = price_in(cell)
        if price is None or price.amount == "ask":
            return price
        return replace(price, currency=self._meant(price.currency or self.unsigned.get(role), role))


def money_of(
    rows: Sequence[AnimalRow], columns: Columns, currency: str | None, questions: Dialogue, *, counted: bool
) -> SheetMoney:
    """How the sums of a sheet count, asked once. `counted`: amounts stand on record, so that the collection keeps its currency."""
    signs = {role: sign_among(columns.called(role)) for role in ("price", "paid")}
    headed = {role: SIGNS.get(sign.casefold(), sign) for role, sign in signs.items() if sign}
    plainly = SheetMoney(currency, unsigned=headed)
    cells = [(role, row.cells[role]) for row in rows for role in signs if role in row.cells]
    found = [(cell, price) for role, cell in cells if (price := plainly.price_in(role, cell)) is not None]
    sums = [(cell, price.currency) for cell, price in found if price.amount not in ("ask", "0")]
    others = [cell for cell, sign in sums if sign not in (None, currency)]
    some_own = currency in [sign for _, sign in sums if sign]
    if not others and (not sums or some_own or counted or currency not in (None, CURRENCY)):
        return plainly
    first = others[0] if others else sums[0][0]
    here = f"counts in {currency}" if currency else "has no currency yet"
    note = "a price with another sign is kept as a note"
    then = f"collection.yaml then says so; {note}"
    if counted:
        then = f"they are kept as notes, since amounts in {currency} are on record"
    own = ((currency, f"they are {currency}, as collection.yaml says; {note}"),) if currency else ()
    answer = questions.put(
        "currency",
        f"This sheet has {plural(len(sums), 'price')}, such as {first}, and this collection {here}. In which currency are your prices?",
        (
            *own,
            *((code, then) for code in ("USD", "EUR", "GBP") if code != currency),
            ("not known", "each price without a sign, or with another, is kept as a note"),
        ),
        "the three letters of another, such as CHF",
        unanswered="not known" if not currency or (others and not some_own) else currency,
        of_sheet=True,
        wrong=_no_currency,
    )
    if counted or answer == "not known":
        unsaid = NOT_SAID if answer == "not known" else answer.upper()
        return replace(plainly, unsigned={**dict.fromkeys(signs, unsaid), **headed})
    return replace(plainly, currency=answer.upper())


def _no_currency(answer: str) -> str:
    return "" if answer.upper() in CODES or _CODE.fullmatch(answer) else f"'{answer}' is no currency"
