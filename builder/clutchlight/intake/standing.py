"""Where an animal is and whose, by its row: its status, its price, what was paid, and its buyer. What speaks against a sale goes first.

Sums are in the currency of their own sign or of the heading of their column, else in that which the breeder says once.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence, Set as AbstractSet
from functools import cached_property
from typing import get_args

from msgspec import Struct, field
from msgspec.structs import replace

from clutchlight.editing.starting import CURRENCY
from clutchlight.intake.animal_rows import AnimalRow, Draft, Leftovers
from clutchlight.intake.asking import Dialogue
from clutchlight.intake.cells import (
    BEGINS_DEATH,
    BEGINS_SALE,
    COLLECTION,
    GIVEN,
    GIVEN_AWAY,
    HOW_PAID_SAID,
    RETURN,
    Buyer,
    Price,
    against_a_sale,
    buyer_in,
    elsewhere_in,
    hold_in,
    is_paid_out,
    named_behind,
    price_beside_sale,
    price_in,
    reads_as_payment,
    sale_in,
    says_to_whom,
    sold_on,
    status_in,
    sums_in,
)
from clutchlight.intake.columns import Columns, sign_among
from clutchlight.intake.days import SheetDays, days_named, why_no_date
from clutchlight.intake.words import CODES, DOLLARS, HOW_DIED, SIGNS, YES, one_of
from clutchlight.model import Status
from clutchlight.wording.words import join_and, plural

DAY_OF_DEATH_UNREAD = "it died; the day is not read; write it under `left` in its record"
_SLIP = 10
"""An amount of money for a snake below which a part of one may be a slip: `1,45`."""


class Standing:
    """Reads it in the rows of one sheet; what is not known is asked for once. `statuses`: of the rows that name no buyer elsewhere."""

    def __init__(
        self, money: SheetMoney, questions: Dialogue, days: SheetDays, left: Leftovers, statuses: Sequence[str]
    ) -> None:
        self.money, self.questions, self.days, self.left = money, questions, days, left
        self.statuses = statuses

    def read(self, draft: Draft, heading: str) -> None:
        """Puts to a draft its status, its price, what was paid and its buyer."""
        self._status(draft, heading)
        self._money(draft)
        self._buyer(draft)
        self._coming(draft)
        cells = [cell for _, cell in draft.remarks] + ([] if draft.settled else [draft.cells.get("buyer", "")])
        draft.in_parts = draft.status == "sold" and any(reads_as_payment(cell, held=False) for cell in cells)

    def _status(self, draft: Draft, heading: str) -> None:
        written = draft.cells.get("status")
        died = draft.cells.get("died", "")
        dead = ""
        for role in ("status", "died"):
            if one_of(HOW_DIED).fullmatch(draft.cells.get(role, "")):
                draft.notes[f"{role}_as_written"] = draft.cells[role]
        if draft.died or YES.fullmatch(died) or status_in(died) == "died":
            dead = "another column says that it died"
        elif died and self.days.read(died) is None:
            self.left.keep(
                draft,
                "died",
                f"no day of death is read; if it died, and its record says no day: {draft.command('died', '')}",
            )
        if {"†", "✝"} & set(draft.cells.get("name", "")):
            dead = dead or "the sign † beside the name says that it died"
        if dead:
            draft.status = "died"
            if written is not None and status_in(written) != "died":
                self.left.keep(draft, "status", dead)
            return
        if written is None:
            draft.status = self._status_of_heading(heading)
            if draft.status:
                draft.cells["status"] = heading
            return
        status = status_in(written)
        if status is None and self._status_with_more(draft, written):
            return
        bought = sale_in(written) if status is None else None
        dated = bought is not None and bought[1] and BEGINS_SALE.match(written)
        if bought is not None and (dated or says_to_whom(written) or written in self._buyers):
            draft.buyer = bought[0]
            self._sold(draft, bought[1], "status")
            if "(" in written:
                draft.notes["status_as_written"] = written
            return
        if status is None and bought is None and GIVEN_AWAY.fullmatch(written):
            status, draft.notes["status_as_written"] = "sold", written
        if status is None:
            words = (*(word for word in get_args(Status) if word != "elsewhere"), "died")
            choices = (*((word, "") for word in words), ("not taken", "it is left out"))
            question = f"What does '{written}' say of an animal?"
            answer = self.questions.put(f"status {written.casefold()}", question, choices)
            status = None if answer == "not taken" else answer
            if status is not None:
                draft.notes["status_as_written"] = written
                other = buyer_in(draft.cells.get("buyer", ""))
                if status in ("sold", "on hold") and not (other.name or other.held_for):
                    draft.buyer = named_behind(written)
                if re.search(r"[0-9]|\s\W*[A-Z]", written.replace(draft.buyer, "") if draft.buyer else written):
                    named = f", with the name {draft.buyer}" if draft.buyer else ""
                    why = f"by your answer '{status}'{named}; what else stands there goes into no record but a note"
                    self.left.keep(draft, "status", why)
        if status is None:
            self.left.keep(draft, "status", "no status that we know")
        elif status == "holdback" and written.casefold() in ("keeper", "keepers"):
            own = draft.parents is not None or "clutch" in draft.cells or draft.origin == "bred here"
            status = status if own and not draft.seller else "not for sale"
        draft.status = status or ""

    def _status_with_more(self, draft: Draft, written: str) -> bool:
        """Whether a cell says more than a status, and needs no question: `sold 9/21`, `HOLD Jo Fenn`, a loan, a loss, a return."""
        held, sold = hold_in(written), sold_on(written)
        if BEGINS_DEATH.match(written) and "?" not in written:
            draft.status, draft.died = "died", self.days.only_in(written)
            draft.notes["status_as_written"] = written
            if not draft.died:
                self.left.keep(draft, "status", DAY_OF_DEATH_UNREAD)
        elif RETURN.search(written):
            days = [self.days.read(day) or "" for day in days_named(written)]
            gone, back = days if len(days) == 2 else ("", "")
            write = f"{draft.command('sold', gone)}, then {draft.command('returned', back)}"
            why = f"this reads as a sale and a return, and neither is written; if so: {write}"
            self.left.keep(draft, "status", why)
        elif sold:
            self._sold(draft, sold, "status")
        elif held is not None:
            draft.status, draft.buyer = "on hold", held[0]
            self._until(draft, "status", held[1])
        elif why := elsewhere_in(written):
            draft.gone = True
            self.left.keep(draft, "status", why)
        else:
            return False
        return True

    def _sold(self, draft: Draft, day: str, role: str) -> None:
        """That it was sold, and on which day, where one is written."""
        draft.status = "sold"
        when = self.days.read(day) if day else None
        if when is not None and draft.sold and not draft.sold.startswith(when):
            why = f"it was sold; '{day}' is not the day in another column, {draft.sold}, which is taken"
            self.left.keep(draft, role, why)
        elif when is not None and self.days.is_past(when):
            draft.sold = draft.sold or when
        elif when is not None:
            draft.coming = role
        elif day:
            self.left.keep(draft, role, f"it was sold; '{day}' is {why_no_date(day)}; write when into its sale")

    def _coming(self, draft: Draft) -> None:
        """What is sold, and whose hand-over may be still to come, is held."""
        if not draft.coming:
            return
        held = ", so it is written as held, not as handed over" if draft.status == "sold" else ""
        collected = COLLECTION.search(draft.cells[draft.coming])
        why = "it speaks of a collection, whose day is not read" if collected else "a day still to come"
        self.left.keep(draft, draft.coming, f"{why}{held}{'' if collected else '; look at the year'}")
        draft.status = "on hold" if held else draft.status

    @cached_property
    def _buyers(self) -> AbstractSet[str]:
        """The cells of the column of statuses that name who bought the animal, asked once for all where there are several."""
        plain = (cell for cell in self.statuses if not (says_to_whom(cell) or "," in cell or GIVEN.match(cell)))
        unread = (cell for cell in plain if not (status_in(cell) or sold_on(cell) or hold_in(cell)))
        may_be = list(dict.fromkeys(cell for cell in unread if sale_in(cell) is not None))
        if len(may_be) < 3:
            return set()
        return self.questions.some_of(
            "buyers in the column of statuses",
            may_be,
            f"{len(may_be)} words of the column {self.left.columns.called('status')} may name people, such as '{may_be[0]}' and"
            f" '{may_be[1]}'. Did each of them buy the animal of its row?",
            ("each is the buyer, and a day behind the name that of the sale", "what each says is asked by itself"),
            "those that name a buyer, as they stand there, with commas",
            f"Did the {len(may_be)} whom the column {self.left.columns.called('status')} may name, such as '{may_be[0]}', buy the animals?",
        )

    def _until(self, draft: Draft, role: str, written: str) -> None:
        """Until when it is held, where that is written."""
        draft.until = self.days.read(written) or self.days.coming(written) or draft.until
        if written and not draft.until:
            self.left.keep(draft, role, f"'{written}' is no day that we can read; write until when it is held")

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
            written = price_beside_sale(draft.cells.get(role, ""))
            if role not in draft.cells or (not written and draft.status in ("", "sold", "available")):
                continue  # told with the sale
            if is_paid_out(draft.cells[role]):
                draft.notes.setdefault("paid", draft.cells[role])
                self.left.keep(draft, role, "an amount below nothing is what you gave for it; kept as a note")
                continue
            price = self.money.price_in(role, draft.cells[role])
            if why := self._why_no_price(role, written, price):
                self.left.keep(draft, role, why)
            elif role == "price":
                draft.price = price
            elif price is not None:
                draft.paid = price.amount
            if price is not None and price.of_one and price.rest:
                draft.notes["price"] = draft.cells[role]

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
        written, buyer = draft.cells.get("buyer", ""), Buyer()
        if RETURN.search(written) or re.search(r"\b(?:return|refund(?:ed)?)\b", written, re.IGNORECASE):
            draft.returned = True
            self.left.keep(draft, "buyer", "it speaks of a return or a refund, so nobody is named who has it")
            sold = True
        else:
            buyer = buyer_in(written)
            held, sold, why = draft.buyer, buyer.sold, buyer.why
            named = buyer.held_for if draft.status == "sold" and not against_a_sale(written) else ""
            draft.buyer, draft.gone = buyer.name or named or held, draft.gone or buyer.gone
            if draft.status == "on hold" and buyer.held_for:
                draft.buyer, why = buyer.held_for, why if buyer.name else ""
                self._until(draft, "buyer", buyer.until)
            if held and draft.buyer.casefold() != held.casefold():
                why = f"its status {'names' if draft.status == 'sold' else 'says that it is held for'} {held}"
                draft.buyer = held
            why = self._beside_name(draft, buyer) or why
            if buyer.died and not draft.status:
                draft.status, why = "died", ""
            if why:
                self.left.keep(draft, "buyer", why)
            elif not draft.buyer:
                draft.cells.pop("buyer", None)
            if no_sale := self._no_sale(draft, buyer):
                self._unsold(draft, buyer, no_sale)
                return
        day = draft.cells.get("sold", "")
        sold = sold or _says_sold(draft)
        if sold and not draft.status:
            draft.status = "sold"
        elif draft.status == "available" and (sold or day):
            draft.status = ""
            self.left.keep(draft, "status", "another column speaks of a sale, so it is not offered")
        if draft.status == "sold" and not buyer.held_for:
            if buyer.day:
                self._sold(draft, buyer.day, "buyer")
            self._price_of_sale(draft, buyer)

    def _beside_name(self, draft: Draft, buyer: Buyer) -> str:
        """Takes the amount beside a buyer's name: what was paid, or a deposit. Why it, or the day there, is not taken; "" otherwise."""
        held = draft.status == "on hold"
        if held and buyer.day and not buyer.held_for:
            return f"of what '{buyer.day}' is the day is not said, so it is not taken"
        if buyer.paid is None or (buyer.held_for and not held):
            return ""
        amount = buyer.paid.amount
        if not self.money.counts(buyer.paid):
            return f"the amount beside the name is in {buyer.paid.currency}, so it is not taken"
        if held:
            if not buyer.held_for:
                return "whether the amount beside the name was paid is not said, so it is not taken"
            when = self.days.past(buyer.day)
            if buyer.day and not when:
                return f"'{buyer.day}' is no day that we can read, or one to come; write when the deposit was paid"
            draft.paid, draft.sold = amount, when or draft.sold
            return ""
        if (draft.paid or (draft.asked if buyer.part else "") or amount) != amount:
            return "the amount beside the name is not the one in the column of prices, so it is not taken"
        said = HOW_PAID_SAID.search(draft.cells["buyer"])
        if not (draft.paid or buyer.part or said):
            if draft.asked != amount and "price" in draft.cells:
                draft.notes.setdefault("price_as_written", draft.cells["price"])
            draft.price = buyer.paid
            return ""
        draft.paid, draft.settled = amount, True
        if said:
            draft.notes.setdefault("buyer_as_written", draft.cells["buyer"])
        return ""

    def _price_of_sale(self, draft: Draft, buyer: Buyer) -> None:
        """The price of a row is not that of its sale where the cell of its buyer says otherwise."""
        sums = sums_in(draft.cells.get("buyer", ""))
        role = "buyer" if buyer.gift else "status"
        if buyer.gift or GIVEN_AWAY.fullmatch(draft.cells.get(role, "")):
            self.left.keep(draft, role, "a gift; its sale is written without a price")
        elif draft.settled or buyer.part or not draft.asked or not sums or draft.asked in sums:
            return
        else:
            why = "the cell of its buyer names another amount, so this is not taken as that of its sale"
            self.left.keep(draft, "price", why)
        draft.price = None

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
        told = [against_a_sale(draft.cells.get(role, "")) for role in ("status", "sold")]
        told += [against_a_sale(cell, remark=True) for _, cell in draft.remarks]
        if any(told) and not buyer.why:
            return f"{next(filter(None, told))} stands in this row, so this is taken for no sale"
        if ("status" in draft.cells or "status" in draft.disputed) and not _word_of_sale(draft):
            return "its status is not understood, so this is taken for no sale"
        return "the cell of its buyer names no sale, so this is of none" if buyer.why and not buyer.sold else ""

    def _unsold(self, draft: Draft, buyer: Buyer, why: str) -> None:
        """Takes nothing of a sale from a row."""
        if draft.status == "sold":
            draft.status = ""
            self.left.keep(draft, "status", "the cell of its buyer says that you have it" if buyer.here else why)
        for role in ("buyer", "sold"):
            if getattr(draft, role):
                setattr(draft, role, "")
                if role in draft.cells:  # a day may stand in its status, which is kept by itself
                    self.left.keep(draft, role, why)
        if draft.paid and (buyer.here or buyer.why):
            draft.paid = ""
            self.left.keep(draft, "paid", f"{why}; if you ask this for it, write its price")


def _says_sold(draft: Draft) -> bool:
    """Whether a day, an amount, or a word of its row says that it was sold."""
    return bool(draft.sold or YES.fullmatch(draft.cells.get("sold", "")) or _word_of_sale(draft))


def _word_of_sale(draft: Draft) -> bool:
    """Whether a word of its price or its buyer says that it was sold."""
    price, buyer = draft.cells.get("price", ""), draft.cells.get("buyer", "")
    return bool(status_in(price) == "sold" or BEGINS_SALE.match(price) or BEGINS_SALE.match(buyer))


# ---- in which currency


_CODE = re.compile("[A-Z]{3}")
NOT_SAID = "a currency that is not said"


class SheetMoney(Struct, frozen=True):
    """`currency`: that of the collection. `any_sign`: whether another sign does not matter. `unsigned`: by role, the currency of a sum
    without a sign, where it is another.
    """

    currency: str | None
    any_sign: bool = False
    unsigned: Mapping[str, str] = field(default_factory=dict)

    def counts(self, price: Price) -> bool:
        """Whether an amount is in the currency of the collection."""
        return self.any_sign or self._meant(price.currency) in (None, self.currency)

    def _meant(self, sign: str | None, role: str = "") -> str | None:
        """A sign as a currency: a bare `$` is of the dollars that the heading of its column names, else of the collection's."""
        named = (self.unsigned.get(role), *self.unsigned.values(), self.currency)
        return next((one for one in named if one in DOLLARS), sign) if sign == "$" else sign

    def price_in(self, role: str, cell: str) -> Price | None:
        """The amount of a cell, with its currency."""
        price = price_in(price_beside_sale(cell))
        if price is None or price.amount == "ask":
            return price
        return replace(price, currency=self._meant(price.currency or self.unsigned.get(role), role))


def money_of(
    rows: Sequence[AnimalRow], columns: Columns, currency: str | None, questions: Dialogue, *, counted: bool
) -> SheetMoney:
    """How the sums of a sheet count. `counted`: amounts stand on record, so that the currency of the collection stays as it is."""
    signs = {role: sign_among(columns.called(role)) for role in ("price", "paid")}
    headed = {role: SIGNS.get(sign.casefold(), sign) for role, sign in signs.items() if sign}
    plainly = SheetMoney(currency, unsigned=headed)
    cells = [(role, row.cells[role]) for row in rows for role in signs if role in row.cells]
    found = [(cell, price) for role, cell in cells if (price := plainly.price_in(role, cell)) is not None]
    sums = [(cell, price.currency) for cell, price in found if price.amount not in ("ask", "0")]
    marked = Counter(sign for _, sign in sums if sign)
    others = sorted(marked.keys() - {currency})
    if others:
        return _other_signs(sums, others, plainly, questions, counted=counted)
    if not sums or marked or counted or currency not in (None, CURRENCY):
        return plainly
    own = (currency, f"they are {currency}, as collection.yaml says") if currency else ("not known", "none is written")
    codes = (code for code in ("USD", "EUR", "GBP") if code != currency)
    answer = questions.put(
        "currency of sums without a sign",
        f"{plural(len(sums), 'price of this sheet names', 'prices of this sheet name')} no currency, such as {sums[0][0]}, and no price is"
        " on record yet. In which currency are your prices?",
        (own, *((code, f"collection.yaml then says `currency: {code}`") for code in codes)),
        "the three letters of another, such as CHF",
        unanswered=own[0],
        wrong=_no_currency,
    )
    return plainly if answer == "not known" else SheetMoney(answer.upper(), unsigned=headed)


def _no_currency(answer: str) -> str:
    return "" if answer.upper() in CODES or _CODE.fullmatch(answer) else f"'{answer}' is no currency"


def _other_signs(
    sums: Sequence[tuple[str, str | None]],
    signs: Sequence[str],
    plainly: SheetMoney,
    questions: Dialogue,
    *,
    counted: bool,
) -> SheetMoney:
    """The same where some are marked with another currency than the collection's: asked once."""
    own = plainly.currency or "the collection's currency"
    other = {"$": "USD"}.get(signs[0], signs[0]) if len(signs) == 1 and not counted else ""
    first = next(cell for cell, sign in sums if sign in signs)
    foreign, unsigned = sum(sign in signs for _, sign in sums), sum(sign is None for _, sign in sums)
    kept = f"prices with such a sign are kept as notes{f'; those without one are {own}' if unsigned else ''}"
    choices = [(f"all {own}", f"the sign is wrong or does not matter: the numbers are {own}"), ("leave out", kept)]
    if other:
        choices.insert(0, (other, f"collection.yaml then says `currency: {other}`; a price without a sign is {other}"))
    if other and unsigned and plainly.currency not in [sign for _, sign in sums if sign]:
        choices.append(("not known", "all these prices are kept as notes"))
    answer = questions.put(
        "currency",
        f"{plural(foreign, 'price is', 'prices are')} marked {join_and(signs)}, such as {first}"
        f"{f', and {unsigned} without a sign' if unsigned else ''}; this collection counts in {own}.",
        tuple(choices),
        "" if counted else "the three letters of another, such as CAD, which collection.yaml then says",
        of_sheet=True,
        wrong=_no_currency,
    )
    if not counted and not _no_currency(answer):
        return replace(plainly, currency=answer.upper())
    unsaid = dict.fromkeys(("price", "paid"), NOT_SAID) if answer == "not known" else {}
    return replace(plainly, any_sign=answer.startswith("all "), unsigned={**unsaid, **plainly.unsigned})
