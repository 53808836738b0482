"""In which currency the sums of a sheet are: by their own sign or the heading of their column, else as the breeder says once."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from msgspec import Struct, field
from msgspec.structs import replace

from clutchlight.editing.starting import CURRENCY
from clutchlight.intake.animal_rows import AnimalRow
from clutchlight.intake.asking import Dialogue
from clutchlight.intake.cells import Price, price_beside_sale, price_in
from clutchlight.intake.columns import Columns, sign_among
from clutchlight.intake.words import CODES, DOLLARS, SIGNS
from clutchlight.wording.words import join_and, plural

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
        return _other_signs(sums, others, plainly, questions, counted=counted, some_own=currency in marked)
    if not sums or marked or counted or currency not in (None, CURRENCY):
        return plainly
    own = (
        ((currency, f"they are {currency}, as collection.yaml says"),)
        if currency
        else (("not known", "none is written"),)
    )
    answer = questions.put(
        "currency of sums without a sign",
        f"{plural(len(sums), 'price of this sheet names', 'prices of this sheet name')} no currency, such as {sums[0][0]}, and no price is"
        " on record yet. In which currency are your prices?",
        (
            *own,
            *(
                (code, f"collection.yaml then says `currency: {code}`")
                for code in ("USD", "EUR", "GBP")
                if code != currency
            ),
        ),
        own[0][0],
        "the three letters of another, such as CHF",
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
    some_own: bool,
) -> SheetMoney:
    """The same where some are marked with another currency than the collection's: asked once."""
    own = plainly.currency or "the collection's currency"
    other = {"$": "USD"}.get(signs[0], signs[0]) if len(signs) == 1 and not counted else ""
    first = next(cell for cell, sign in sums if sign in signs)
    foreign, unsigned = sum(sign in signs for _, sign in sums), sum(sign is None for _, sign in sums)
    doubtful = bool(other and unsigned and not some_own)
    answer = questions.put(
        "currency",
        f"{plural(foreign, 'price is', 'prices are')} marked {join_and(signs)}, such as {first}"
        f"{f', and {unsigned} without a sign' if unsigned else ''}; this collection counts in {own}.",
        (
            *(
                ((other, f"collection.yaml then says `currency: {other}`; a price without a sign is {other}"),)
                if other
                else ()
            ),
            (f"all {own}", f"the sign is wrong or does not matter: the numbers are {own}"),
            (
                "leave out",
                f"prices with such a sign are kept as notes{f'; those without one are {own}' if unsigned else ''}",
            ),
            *((("not known", "all these prices are kept as notes"),) if doubtful else ()),
        ),
        "not known" if doubtful else "leave out",
        "" if counted else "the three letters of another, such as CAD, which collection.yaml then says",
        of_sheet=True,
        wrong=_no_currency,
    )
    if not counted and not _no_currency(answer):
        return replace(plainly, currency=answer.upper())
    unsaid = dict.fromkeys(("price", "paid"), NOT_SAID) if answer == "not known" else {}
    return replace(plainly, any_sign=answer.startswith("all "), unsigned={**unsaid, **plainly.unsigned})
