"""What single cells of a spreadsheet say: a price, a weight, a sex, a status, a buyer, two parents.

Each is read in the forms that people type, or not at all: a form that could mean two things is not read. Days are read in `days`.
"""

from __future__ import annotations

import re

from msgspec import Struct

from clutchlight.intake import words
from clutchlight.intake.words import one_of, plain
from clutchlight.model import Sex
from clutchlight.reading.fields import plain_amount_of

_WEIGHT = re.compile(
    r"(?P<number>[0-9][0-9.,' ]*)\s*(?P<unit>kg|g|gr|gm|gms|gram|grams|gramm|grammes)?\.?", re.IGNORECASE
)
_PRICE = re.compile(
    r"(?P<before>[^\d\s.,'-]{0,4}(?: \$)?)\s*(?P<number>[0-9][0-9.,' ]*?)\s*(?:[,.][-–—]{1,2})?\s*"
    r"(?P<after>(?:[^\d\s.,'-]{1,4}(?![^\W\d_]|\.\w))?)\s*(?P<rest>[^\d]*)"
)
_TERMS = one_of(rf"[\s()+,]*(?:{words.TERMS})?[\s().]*")


class Price(Struct, frozen=True):
    """An amount as our records have it, or "ask"; the currency that stood beside it; and what else did."""

    amount: str
    currency: str | None
    rest: str

    @property
    def of_one(self) -> bool:
        """Whether nothing beside the amount may make it another than the price of this animal: `400 for the pair`, `2 left`."""
        return self.amount == "ask" or _TERMS.fullmatch(self.rest) is not None


def sex_in(cell: str) -> Sex | None:
    """`1.0`, `1,0`, `0.1`, `m`, `Weibl.`, `♀`; None when it is none of the usual words."""
    said = re.sub(r"\s*\(?\b(?:popped|probed)\)?$", "", plain(cell), flags=re.IGNORECASE)
    return words.SEX_WORDS.get(said.replace(",", ".").replace("/", ".").casefold().strip("."))


def status_in(cell: str) -> str | None:
    """A status of ours, or "died"; None when the word is not known."""
    return words.STATUS_WORDS.get(plain(cell).rstrip("! ").casefold())


def weight_in(cell: str) -> str | None:
    """Grams, as digits: `1500 g`, `2,100`, `1.2 kg`; None of `1.65`, which may be kilograms."""
    found = _WEIGHT.fullmatch(plain(cell))
    if found is None:
        return None
    digits = found["number"].strip(" .,'")
    if (found["unit"] or "").casefold() == "kg":
        kilograms = re.fullmatch(r"([0-9]{1,2})(?:[.,]([0-9]{1,3}))?", digits)
        return None if kilograms is None else str(int(kilograms[1]) * 1000 + int((kilograms[2] or "").ljust(3, "0")))
    grams = plain_amount_of(digits)
    kilograms_meant = not found["unit"] and grams is not None and float(grams) < (10 if "." in grams else 3)
    return None if kilograms_meant else grams


def price_in(cell: str) -> Price | None:
    """`€400`, `1.200 €`, `$1,200`, `800,00`, `250 obo`, `make offer`; None when there is no amount in it."""
    text = plain(cell)
    if text.casefold() in words.ASK.split("|"):
        return Price("ask", None, "" if text.casefold() == "ask" else text)
    found = _PRICE.fullmatch(text)
    if found is None:
        return None
    amount = plain_amount_of(found["number"].strip(" .,'"))
    if amount is None:
        return None
    currency, rest = None, []
    for word in (found["before"], found["after"]):
        code = word.upper() if word.upper() in words.CODES else None
        sign = words.SIGNS.get(word.casefold().replace(" ", ""), code)
        if sign is not None and (currency in (None, sign) or (currency == "$" and sign in words.DOLLARS)):
            currency = sign
        elif word:
            rest.append(word)
    after = " ".join((*rest, found["rest"])).strip()
    return Price(amount, currency, after)


# ---- whose it is, and what became of it


_DEATH = (
    rf"\b(?:{words.DIED}|passed away|(?<![0-9]\s)pts|put down|put to sleep|eingeschläfert|verendet|dood)\b"
    r"|[†✝]|^tot\b|^d\.\s*(?=[0-9])"
)
RETURN = one_of(rf"\b(?:{words.BACK}|return|refund(?:ed)?)\b")
BEGINS_SALE = one_of(rf"\W*(?:{words.SOLD})\b(?!\s+(?:as|als|comme)\b)")
"""Said of the animal itself; `sold as het Pied` speaks of what was said."""
COLLECTION = one_of(rf"\b(?:{words.COLLECTED})\b")
PAYMENT = one_of(rf"\b(?:{words.PAY}|{words.STILL_TO_PAY})\b")
HELD_OR_LENT = one_of(rf"(?:on\s+)?\b(?:{words.HELD}|{words.HELD_SHORT}|{words.DEPOSIT}|hold|{words.LENT})\b")
NO_SALE = one_of(rf"{_DEATH}|{RETURN.pattern}|\b(?:{words.LOST})\b|{HELD_OR_LENT.pattern}")
"""A word that speaks against a sale."""
_TELLING = one_of(rf"{NO_SALE.pattern}|\b(?:{words.SOLD})\b|{PAYMENT.pattern}")
_SOLD_TO = one_of(rf"(?:{words.SOLD})\b(?:\s+(?:to|an|aan|à)\b)?[\s:]*")
_SUM = rf"(?:{words.MONEY})\s*[0-9][0-9.,']*|[0-9][0-9.,']*\s*(?:{words.MONEY})(?!\w)"
OTHER_PRICE = one_of(rf"{_SUM}|\b(?:{words.GIFT}|verschenkt)\b")
"""In the cell of a status or a buyer: an amount, or that it was a gift."""
_NO_NAME = one_of(
    rf"{_TELLING.pattern}|\b(?:{words.GIFT}|{words.HOW_PAID}|still|here|again|{words.DOUBT})\b|^(?:{words.NO_NAME})\b"
)
_NAME = re.compile(
    r"[^\W\d_]['’.]?\w[\w.'’@-]*|(?:[A-ZÀ-Ý][\w.'’&-]*(?:,? (?:(?:v[ao]n|de[rnl]?|du|la|le|and|und|&) )*(?=[A-ZÀ-Ý])|$))+"
)
"""One word, or several that begin with a capital."""
_BEHIND_STATUS = re.compile(r"[\W\d]|[A-ZÀ-Ý]|(?:to|on|in|for|till?|until|an|am|im|für|à|le|pour)\b")
"""What may stand behind a status and says more of it."""


def tells_more(remark: str) -> bool:
    """Whether a remark has a word of a death, a sale, a return, a loss, a loan or a payment."""
    return _TELLING.search(remark) is not None


def status_begun(cell: str) -> str | None:
    """The status of ours with which a cell begins that says more, such as `sold 9/21`; None of a question, a return, a loan and a loss."""
    if "?" in cell or RETURN.search(cell) or one_of(rf"\b(?:{words.LENT}|{words.LOST}|{words.DOUBT})\b").search(cell):
        return None
    parts = plain(cell).split()
    for count in (3, 2, 1):
        found, rest = status_in(" ".join(parts[:count]).rstrip(",:;")), " ".join(parts[count:])
        if found in ("sold", "on hold", "died") and _BEHIND_STATUS.match(rest):
            unsure = (cell.isupper() and rest[0].isalpha()) or (found == "sold" and PAYMENT.search(rest))
            return None if unsure else found
    return None


class Buyer(Struct, frozen=True):
    """Who bought an animal, and the amount behind the name. `here`: it names the breeder. `why`: why the cell is left."""

    name: str = ""
    paid: Price | None = None
    here: bool = False
    sold: bool = False
    why: str = ""


def buyer_in(cell: str) -> Buyer:
    """`Jens 180€`, `Tom`; nobody in `-`, and none in whatever is no name alone."""
    text = re.sub(r"(?<=[^\W_])\s*!+$", "", plain(cell))
    if not text or words.NOBODY.fullmatch(text):
        return Buyer()
    if text.casefold() in words.ME.split("|"):
        return Buyer(here=True)
    if text.casefold() in ("here", "still here"):
        return Buyer(here=True, why="it says that you have it, so this is no sale")
    if status_in(text) == "sold" or words.YES.fullmatch(text):
        return Buyer(sold=status_in(text) == "sold", why="no name of a buyer")
    begun = _SOLD_TO.match(text)
    text = text[begun.end() :] if begun else text
    amount = re.search(_SUM, text, re.IGNORECASE)
    name = text if amount is None else text[: amount.start()].strip(" ,;:(–-")
    paid = None if amount is None or amount.end() < len(text.rstrip(" )")) else price_in(amount[0])
    folded = name.casefold()
    known = folded in words.MONTHS or folded in words.CAME or words.NO_PERSON.fullmatch(name) or status_in(name)
    if _NAME.fullmatch(name) and not (known or _NO_NAME.search(name) or sex_in(name)) and (amount is None or paid):
        return Buyer(name, paid, sold=True)
    sold = bool(begun) or words.NO_PERSON.fullmatch(name) is not None
    return Buyer(sold=sold, why="not a name alone, so nobody is named who has it; write it into the sale")


def begins_like_a_name(cell: str) -> bool:
    """Whether a cell that is no name alone may begin with that of a buyer, and says nothing else that we know: `Kim (brother of Dana)`."""
    return plain(cell)[:1].isupper() and "?" not in cell and not _NO_NAME.search(plain(cell))


def came_in(cell: str) -> str | None:
    """How an animal came by a word of the cell that names from where: "" where none of our words fits; None where it does not say."""
    said = {words.CAME[word] for word in re.findall(r"[^\W\d_]+", cell.casefold()) if word in words.CAME}
    return said.pop() if len(said) == 1 else "" if said else None


def is_paid_out(cell: str) -> bool:
    """Whether an amount is below nothing, which the breeder gave and did not get; `was - 200` is none."""
    found = re.fullmatch(r"(\D{0,4}?)\s*[-–−]\s*(\D{0,4}?)\s*[0-9].*", plain(cell))
    said = None if found is None else filter(None, found.groups())
    return said is not None and all(word.casefold() in words.SIGNS or word.upper() in words.CODES for word in said)


_PARENTS = re.compile(
    r"\s+(?:x|×|\*|by|and|und|mit|&)\s+|\s*[×/]\s*|\s+[xX]\s+|(?<=[0-9])x\s*(?=[^\W\d_]*[0-9])", re.IGNORECASE
)


def parents_in(cell: str) -> tuple[str, str] | None:
    """The two parents of `A x B`, as written; None when there are not two."""
    parts = [part.strip() for part in _PARENTS.split(cell.strip(" \"'")) if part.strip()]
    if re.search(r"\bw/|^(?:bred|produced|hatched)\b", cell, re.IGNORECASE):
        return None
    return (parts[0], parts[1]) if len(parts) == 2 else None
