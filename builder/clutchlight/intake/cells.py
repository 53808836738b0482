"""What single cells of a spreadsheet say: a price, a weight, a sex, a status, a buyer, two parents.

Each is read in the forms that people type, or not at all: a form that could mean two things is not read. Days are read in `days`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Literal

from msgspec import Struct

from clutchlight.intake import words
from clutchlight.intake.days import DAY, days_named, reads_as_day
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


_PROMISED = rf"(?:{words.HELD}|hold|{words.HELD_SHORT})\b[.:]?\s*(?:(?:for|für|pour)\s+)?"
_TILL = rf"(?P<person>[^\W\d_][^\d,;(?]*?)\s+(?:{words.UNTIL})\s+(?P<until>.+)"
_UNTIL = one_of(rf"(?:{_PROMISED})?{_TILL}")
_HOLD = one_of(rf"(?:{_PROMISED}|(?:{words.DEPOSIT})\b[.:]?\s*)(?P<name>.*)")
_DOUBT = one_of(rf".*(?:\?|\b(?:{words.DOUBT})\b).*")
_WAS = one_of(r"(?:was|formerly|previously|früher)\s.*")
_KEPT = one_of(rf"(?:(?:with|by)\s+)?(?:{words.ME}|still here|here)(?:\s*[/,;:(–-].*)?")
"""In place of a buyer: the breeder, who keeps it."""
_LENT = one_of(rf"(?:.*\b(?:on|breeding) )?(?:{words.LENT})\b.*")
_LOST = one_of(rf"(?:{words.LOST})\b(?!\s+(?:an?|the|her|his|its|some|weight|[0-9.,]+\s*(?:k?g|grams?))\b).*")
_AT, _WHERE = one_of(r"(?:at|bei|chez)\s.*"), "this says where it is, and of no sale"
_NAMED_SO = re.compile(r"(?:Mort|Rip|Lost|Missing)((?:\s+[^\W\d_a-z][\w.'’&-]*)+)")
"""A name that begins with a word of death or loss: `Mort Davis`, `Lost Creek Reptiles`."""
_TO_WHOM = r"(?:\s+(?:to|an|aan|à|(?<=vendid[oa]\s)a)\b)?[\s:]*"
_SOLD_TO = one_of(rf"(?:{words.SOLD})\b{_TO_WHOM}")
BEGINS_SALE = one_of(rf"\W*(?:{words.SOLD})\b(?!\s+(?:as|als|comme)\b)")
"""Said of the animal itself; `sold as het Pied` speaks of what was said."""
SALE = one_of(rf"\b(?:{words.SOLD}|{words.HELD})\b")
_HANDED = one_of(rf"(?:{words.SOLD}|{words.GIFT})\b(?:\s+(?:it|him|her)\b)?{_TO_WHOM}")
_TO = one_of(r"[^\W\d_]+(?:\s+[^\W\d_]+){0,2}?\s+(?:to|an|aan|à)\s+")
GIVEN_AWAY = one_of(rf"(?:{words.GIFT}|verschenkt)(?: (?:it |him |her )?away)?(?: (?:to|an) .*)?")
GIVEN = one_of(rf"(?:{words.GIFT}|verschenkt)\b.*")
DEATH = one_of(
    rf"\b(?:{words.DIED}|passed away|(?<![0-9]\s)pts|put down|put to sleep|eingeschläfert|verendet|dood)\b|[†✝]|^tot\b|^d\.\s*(?=[0-9])"
)
BEGINS_DEATH = one_of(rf"\W*(?:{DEATH.pattern})")
"""Said of the animal itself."""
COLLECTION = one_of(rf"\b(?:{words.COLLECTED})\b")
KIN = one_of(rf"\b(?:{words.KIN})\b")
RETURN = one_of(rf"\b(?:{words.BACK})\b")
RESOLD = one_of(r"\b(?:re-?sold|sold (?:again|on)|wieder verkauft|revendue?)\b")
_PAID = one_of(rf"(?:{words.PAY})\b[.:]?\s*")
_BESIDE = one_of(
    r"(?P<name>.*?)(?:^|[\s,;:/(\[–-]+)"
    rf"(?P<part>(?:(?:{words.PAY}|for|für|pour)\b[.:]?\s*)?(?:{words.MONEY})?\s*[0-9].*|(?:{words.PAY}|traded?|swap|tausch)\b.*)"
)
_BEFORE_NAME = one_of(
    rf"(?P<part>(?:(?:{words.PAY})\b[.:]?\s*)?(?:{words.MONEY})?\s*[0-9][0-9.,' ]*(?:-|{words.MONEY})?)[\s,;:/–-]+(?P<name>[^\W\d_].*)"
)
_HOW_PAID = one_of(rf"(?:in )?(?:{words.HOW_PAID})\b.*")
HOW_PAID_SAID = one_of(rf"\b(?:{words.HOW_PAID})\b")
_NO_NAME = one_of(rf"\b(?:paid|dep|{words.DEPOSIT}|{words.UNTIL}|{words.DOUBT}|as|for|reserv\w*|hold|res)\b")
"""Words of a hold, a payment or a doubt beside a name or a day."""


class Buyer(Struct, frozen=True):
    """Who bought an animal. `paid`: the plain amount beside the name, and `day` that day. `why`: why the cell, or what stands beside the
    name, is left.

    `held_for`: for whom it is held, and `until` when, where the cell says so; `paid` is then a deposit. `part`: a word says that it was
    paid, maybe of more. `here`: it names the breeder. `died`, `gone`: it says so, no more.
    """

    name: str = ""
    held_for: str = ""
    until: str = ""
    day: str = ""
    gift: bool = False
    part: bool = False
    here: bool = False
    died: bool = False
    sold: bool = False
    gone: bool = False
    paid: Price | None = None
    why: str = ""


_SUM = rf"(?:{words.MONEY})\s*[0-9][0-9.,']*|[0-9][0-9.,']*\s*(?:{words.MONEY})(?!\w)"
_FACT = one_of(
    rf"\b(?:{words.UNTIL}|{words.COLLECTED})\b[\s:]*(?:on\s+|am\s+|le\s+)?(?P<until>[0-9][^,;]*|(?:{'|'.join(words.MONTHS)})\b[^,;]*)"
    rf"|(?P<day>{DAY.pattern})|(?P<sum>{_SUM})"
)
"""Behind the name of a buyer: until when it is held, a day, an amount."""
_LEADS = one_of(
    rf"(?:^|[\s,;:(/–-]+)(?P<word>{words.DEPOSIT}|{words.PART_PAID}|{words.PAY}|with|mit|avec|of|on|in|am|le|for|für|pour)[.:]?$"
)
"""What may stand before such a fact, and is no part of a name."""


def weight_with_day(cell: str) -> tuple[str, str] | None:
    """The grams and the day of `1120 (3/9/26)` and `2010 g 2.10.26`, as they stand there; None of anything else."""
    found = re.fullmatch(
        r"(?P<grams>[0-9][0-9.,']*\s*(?:kg|g|gr|grams?|gramm)?)\.?(?:\s*\((?P<inside>[^()]+)\)|[\s,]+(?:on|am|le)?\s*(?P<day>.+))",
        plain(cell),
        re.IGNORECASE,
    )
    grams = None if found is None else weight_in(found["grams"])
    day = "" if found is None else (found["inside"] or found["day"]).strip()
    return (grams, day) if grams and days_named(day) == (day,) else None


def weighed_in(cell: str) -> str:
    """The day, as it stands there, of a remark that says when an animal was weighed and no more; "" of any other."""
    found = one_of(rf"(?:{words.WEIGHED})\b[\s:]*(?:(?:on|am|le|in)\s+)?(?P<day>.+)").fullmatch(plain(cell))
    return found["day"] if found is not None and days_named(found["day"]) == (found["day"],) else ""


_DEATH_SAID = one_of(
    rf"(?:^|[,;.:!(]|\s[–-]\s|\b(?:and|then|und|et)\s)\W*"
    rf"(?P<said>(?:(?:{DAY.pattern})[\s:,–-]+)?(?:(?:it|he|she|was|sadly|suddenly|found)\s+)*(?:{DEATH.pattern}).*)"
)


def death_in(remark: str) -> str:
    """What a remark says of the death of its animal, from that word on; "" where none is said, or it may be that of another."""
    found = _DEATH_SAID.search(remark)
    return "" if found is None or KIN.search(remark[: found.start()]) else found["said"]


_OF_DEPOSIT = {*words.PART_PAID.split("|")}


def days_in_remark(remark: str) -> tuple[str, ...]:
    """The days, as they stand there, of a weighing or a death that a remark tells of."""
    return tuple(day for day in (weighed_in(remark), *days_named(death_in(remark))) if day)


_PAYMENT = one_of(rf"\b(?:{words.PAY}|{words.PART_PAID})\b")
_STILL_TO_PAY = one_of(rf"\b(?:{words.STILL_TO_PAY})\b")
_ALL_PAID = one_of(
    rf"\W*(?:(?:all|fully|ganz|and|und|et)\s+)*(?:{words.PAY})\b(?:\s+(?:in\s+)?(?:full|by|via|per|{words.HOW_PAID}))*\W*"
)


def reads_as_payment(cell: str, *, held: bool) -> bool:
    """Whether it speaks of a payment, and of what was sold not only of one of all: `paid`, `paid in full`, `paid cash`."""
    if held:
        return _PAYMENT.search(cell) is not None
    pieces = re.split(r"[,;!]|\.(?=\s)", cell)
    some = any(_PAYMENT.search(piece) and not _ALL_PAID.fullmatch(piece) for piece in pieces)
    return some or _STILL_TO_PAY.search(cell) is not None


def hold_in(cell: str) -> tuple[str, str] | None:
    """For whom, and until when, of `HOLD Jo Fenn till 15.12.26` and `reserved Jo Fenn`, as they stand there; None of anything else."""
    text = plain(cell)
    held = re.match(_PROMISED, text, re.IGNORECASE)
    rest = "" if held is None else text[held.end() :]
    found = re.fullmatch(_TILL, rest, re.IGNORECASE)
    name, until = (found["person"], found["until"]) if found is not None else (rest, "")
    return (name, until) if _names_somebody(name) else None


def _names_somebody(text: str) -> bool:
    """Whether it may be a name: one with a capital, without a number, a question, or a word of payment."""
    said = text[:1].isupper() and re.search(r"[\d?,;(]", text) is None
    return said and not (_NO_NAME.search(text) or words.NO_PERSON.fullmatch(text))


def _begins_a_name(text: str) -> bool:
    """Whether a word of death or loss begins the name of a person or a shop."""
    found = _NAMED_SO.match(text)
    rest = [] if found is None else found[1].casefold().split()
    known = (word in words.MONTHS or word in words.SMALL or sex_in(word) or status_in(word) for word in rest)
    return bool(rest) and not any(known)


def sold_on(cell: str) -> str:
    """When it was sold, as written, of `sold 4/11/23` and `sold xmas 23`, which need not be a day that we can read; "" of anything else."""
    text = plain(cell)
    if not BEGINS_SALE.match(text) or against_a_sale(text) or _NO_NAME.search(text):
        return ""
    day = re.sub(r"^\W*\w+[\s:,-]+(?:(?:on|in|am|im|le|en)\s+)?", "", text)
    year = r"(?:[^\W\d_]+\.?\s+['’]?(?:[0-9]{2})|(?:[^\W\d_]+\.?\s+)?20[0-9]{2})"
    is_day = re.fullmatch(year, day) or (re.search(r"\D", day) and days_named(day) == (day,))
    in_words = re.search(r"[^\W_]\W", day) and reads_as_day(day)
    return day if is_day or in_words else ""


def sale_in(cell: str) -> tuple[str, str] | None:
    """To whom and when, of `SOLD to Tom 4/5/24`, `given to Ollie (nephew)` and `Jo Fenn`, as they stand there; None of anything else."""
    text = plain(cell)
    begun = _HANDED.match(text)
    rest = text[begun.end() :] if begun is not None else text
    if text.isupper() or against_a_sale(text) or _NO_NAME.search(rest):
        return None
    rest = re.sub(r"\s*\(.*", "", rest)
    days = days_named(rest)
    day = days[0] if len(days) == 1 and rest.endswith(days[0]) else ""
    name = re.sub(r"(?:[\s,;:(–-]+(?:on|in|am|im|le)?)?\s*$", "", rest.removesuffix(day))
    known = any((DEATH.search(text), elsewhere_in(text), words.NOBODY.fullmatch(name), words.NO_PERSON.fullmatch(rest)))
    return None if not _names_somebody(name) or (known and not _begins_a_name(name)) else (name, day)


def named_behind(cell: str) -> str:
    """Whom a status that we do not know names behind `to`, or behind the word of a sale; "" without one: `Traded` is nobody."""
    begun = _TO.match(plain(cell)) or _HANDED.match(plain(cell))
    named = None if begun is None else sale_in(plain(cell)[begun.end() :])
    return "" if named is None else named[0]


def says_to_whom(cell: str) -> bool:
    """Whether a word such as `to` stands between that of a sale and what follows."""
    begun = _SOLD_TO.match(plain(cell))
    return begun is not None and begun[0].split()[1:] != []


def days_beside(cells: Mapping[str, str]) -> tuple[str, ...]:
    """The days that stand in the cell of a status, a buyer or a purchase beside what it says."""
    status, buyer = cells.get("status", ""), cells.get("buyer", "")
    held, till = hold_in(status), _UNTIL.fullmatch(plain(buyer))
    named = (
        sold_on(status) or ("" if status_in(status) or (sale := sale_in(status)) is None else sale[1]),
        *(days_named(status) if BEGINS_DEATH.match(status) else ()),
        held[1] if held is not None else "",
        *(bought[1] for role in ("seller", "came") if (bought := purchase_in(cells.get(role, ""))) is not None),
        till["until"] if till is not None else buyer_in(buyer).day,
    )
    return tuple(day for day in named if day)


def against_a_sale(cell: str, *, remark: bool = False) -> str:
    """What a cell says that speaks against a hand-over; "" where nothing does. A question in a remark may be about anything."""
    text = plain(cell)
    if RETURN.search(text):
        return "a return"
    if _LENT.fullmatch(text):
        return "a loan"
    if _HOLD.fullmatch(text) or status_in(text.rstrip("?")) == "on hold":
        return "a hold"
    return "a question" if not remark and _DOUBT.fullmatch(text) else ""


def gone_in(remark: str) -> Literal["loan", "loss", ""]:
    """What a remark that begins with a word of one speaks of."""
    if _LENT.fullmatch(plain(remark)):
        return "loan"
    return "loss" if _LOST.fullmatch(plain(remark)) and not _begins_a_name(plain(remark)) else ""


def elsewhere_in(cell: str) -> str:
    """Why a cell that says where an animal is, and that it is not sold, is left; "" of any other."""
    gone = gone_in(cell)
    do = "write it into its record" if gone == "loan" else "write how it left into its record"
    return f"this reads as a {gone}, and no sale; {do}" if gone else _WHERE if _AT.fullmatch(plain(cell)) else ""


def came_in(cell: str) -> str | None:
    """How an animal came by a word of the cell that names from where: "" where none of our words fits; None where it does not say."""
    said = {words.CAME[word] for word in re.findall(r"[^\W\d_]+", cell.casefold()) if word in words.CAME}
    return said.pop() if len(said) == 1 else "" if said else None


_AMOUNT = one_of(rf"(?:{_SUM})")


def purchase_in(cell: str) -> tuple[str, str, str] | None:
    """From whom, when and for how much, of `Kim Ode, feb 2020 £350`, as they stand there; None of one of these alone."""
    text = plain(cell)
    amounts = _AMOUNT.findall(text)
    rest = _AMOUNT.sub(" ", text)
    days = days_named(rest)
    if len(amounts) > 1 or len(days) > 1 or not (amounts or (days and rest.endswith(days[0]))):
        return None
    day = days[0] if days else ""
    who = re.sub(r"^\W+|(?:\W|\b(?:for|on|in|für|pour)\b)+$", "", " ".join(rest.replace(day, " ").split()))
    return None if re.search("[0-9]", who) or not (who or (day and amounts)) else (who, day, "".join(amounts))


def price_beside_sale(cell: str) -> str:
    """What stands behind the word of a sale in a column of prices: the amount of `sold 350`, "" of `sold`; another cell as it is."""
    text = plain(cell)
    found = _SOLD_TO.match(text) if BEGINS_SALE.match(text) else None
    return cell if found is None else re.sub(r"^(?:for|für|pour)\s+", "", text[found.end() :], flags=re.IGNORECASE)


def sums_in(cell: str) -> list[str]:
    """The amounts with a sign of money in a cell."""
    return [price.amount for one in _AMOUNT.findall(plain(cell)) if (price := price_in(one)) is not None]


def is_paid_out(cell: str) -> bool:
    """Whether an amount is below nothing, which the breeder gave and did not get; `was - 200` is none."""
    found = re.fullmatch(r"(\D{0,4}?)\s*[-–−]\s*(\D{0,4}?)\s*[0-9].*", plain(cell))
    said = None if found is None else filter(None, found.groups())
    return said is not None and all(word.casefold() in words.SIGNS or word.upper() in words.CODES for word in said)


def buyer_in(cell: str) -> Buyer:
    """`Jens 180€`, `Tom`; nobody in `-`, and none in `reserved Tom`, `Tom?` or `given to my sister`."""
    text = re.sub(r"(?<=[^\W_])\s*!+$", "", plain(cell))
    if not text or words.NOBODY.fullmatch(text):
        return Buyer()
    if text.casefold() in words.ME.split("|"):
        return Buyer(here=True)
    if _KEPT.fullmatch(text):
        return Buyer(here=True, why="it names you, so this is no sale")
    if not re.search(r"[^\W_]", text) and not re.search("[†✝✓]", text):
        return Buyer(why="no name of a buyer")
    if not _begins_a_name(text) and (DEATH.search(text) or status_in(text) == "died"):
        return Buyer(died=status_in(text) == "died", why="this reads as a death, and names no buyer")
    if elsewhere := elsewhere_in(text):
        return Buyer(gone=True, why=elsewhere)
    if _WAS.fullmatch(text):
        return Buyer(why="this says whose it was, and not who has it now")
    if (till := _UNTIL.fullmatch(text)) is not None and _names_somebody(till["person"]):
        return Buyer(held_for=till["person"], until=till["until"], why="a hold, and no sale")
    held = _HOLD.fullmatch(text)
    if held is not None or _DOUBT.fullmatch(text):
        named = held["name"] if held is not None else ""
        return Buyer(held_for=named if _names_somebody(named) else "", why="a hold or a question, and no sale")
    if (status := status_in(text)) not in (None, "sold"):
        return Buyer(why="a status, and no buyer")
    if status or words.YES.fullmatch(text):
        return Buyer(sold=status == "sold", why="no name of a buyer")
    if GIVEN.fullmatch(text):
        return Buyer(why="a gift, and no sale; write how it left into its record")
    begun = _SOLD_TO.match(text)
    text = text[begun.end() :] if begun else text
    if (after := _after_day(text)) is not None:
        return buyer_in(after)
    if _SEASON_FIRST.match(text):
        return Buyer(sold=bool(begun), why="a season stands before the name; write the buyer into the sale")
    if (before := _BEFORE_NAME.fullmatch(text)) is not None:
        named, paid = buyer_in(before["name"]), _amount_paid(before["part"])
        if paid is not None and named == Buyer(named.name, sold=True) and named.name[:1].isupper():
            return Buyer(named.name, sold=True, paid=paid, part=bool(_PAID.match(before["part"])))
        why = "a number stands before it, which may be an amount, a count or part of a name; write the buyer into the sale"
        return Buyer(sold=bool(begun), why=named.why or why)
    if (facts := _with_facts(text)) is not None:
        return facts
    beside = _BESIDE.fullmatch(text)
    name = (beside["name"] if beside else text).strip(" ,;:+")
    if beside and _before_leads(name)[1] & _OF_DEPOSIT:
        name = _before_leads(name)[0]
        why = f"'{text[len(name) :].strip(' ,;:')}' speaks of a deposit; write what was agreed or paid into the sale"
        return Buyer(name, held_for=name, why=why)
    if (beside or _OF_SUM.search(name)) and (more := _words_behind(name)):
        name = name.removesuffix(more)
        return Buyer(name.strip(" ,;:("), sold=True, why=_no_part_of_name(text[len(name) :].strip(" ,;:(")))
    if name.casefold() in words.MONTHS and days_named(text) == (text,):
        name = ""
    nobody = words.NO_PERSON.fullmatch(name) is not None
    if not name or _HOW_PAID.fullmatch(name) or nobody:
        return Buyer(sold=bool(begun) or nobody, why="no name of a buyer")
    if (met := _MET_AT.fullmatch(name)) is not None and words.NO_PERSON.fullmatch(met["where"]):
        return Buyer(met["name"], sold=True, why=f"'{met['where']}' is no part of the buyer's name")
    if beside is None:
        return Buyer(name, sold=True)
    part = beside["part"].strip(" )]")
    if (paid := _amount_paid(part)) is not None:
        return Buyer(name, sold=True, paid=paid, part=bool(_PAID.match(part)))
    month = re.fullmatch(r"(.+?)[\s,]+([^\W\d_]+)\.?", name) if days_named(text) else None
    if month is not None and month[2].casefold() in words.MONTHS:
        name, part = month[1], f"{month[2]} {part}"
    return Buyer(name, sold=True, why=_no_part_of_name(part))


def _no_part_of_name(part: str) -> str:
    return f"'{part}' is no part of the buyer's name; write what was agreed or paid into the sale"


_MET_AT = re.compile(r"(?P<name>[^/(,]*[^/(,\s])(?:\s*[/(,]\s*|\s+[–-]\s+)(?P<where>[^/(),]+)\)?")
"""`Dana Whit / Columbus show`: a name, and behind a mark where they met."""


def _words_behind(name: str) -> str:
    """The words behind a name that belong to what follows: `owes`, `IOU`, `@`; behind one with a capital every one without."""
    found = _OF_SUM.search(name) or (_SMALL_WORDS.search(name) if name[:1].isupper() else None)
    return found[0] if found is not None else ""


_OWED = f"{words.OWED}|still|was|offered|knocked|less|minus|inc|incl"
_OF_SUM = re.compile(rf"(?<=\w)\W+(?:(?:{_OWED}|{_OWED.upper()})(?!\w)|@).*$")
_SMALL_WORDS = re.compile(r"(?<=\w)\W+(?:[^\W\d_A-ZÀ-Ý][\w'’]*\W*)+$")
_SEASON_FIRST = one_of(rf"(?:in\s+)?(?:(?:early|late)\s+)?(?:{words.SEASONS})\s+'?[0-9]{{2,4}}\b")


def _after_day(text: str) -> str | None:
    """`Rob Tarn Sept 2024` of `Sept 2024 Rob Tarn`: the day behind the name; None where no day stands before one."""
    for day in days_named(text):
        before = rf"(?:(?:in|on|im|am|le|en)\s+)?{re.escape(day)}[\s,:;–-]+(?:(?:to|for|an|für|à)\s+)?"
        if begun := re.match(before, text, re.IGNORECASE):
            name = text[begun.end() :]
            return f"{name} {day}" if _names_somebody(name) else None
    return None


def _with_facts(text: str) -> Buyer | None:
    """A name, and behind it a day, what was paid, or a deposit and until when it is held; None of a cell that names none of these alone."""
    found = list(_FACT.finditer(text))
    days, sums, untils = ([one[kind].strip(" )") for one in found if one[kind]] for kind in ("day", "sum", "until"))
    years = [day for day in days if day.isdecimal()]
    name, said = _before_leads(text[: found[0].start()] if found else "")
    if not _names_somebody(name) or not (days > years or untils or said & _OF_DEPOSIT):
        return None
    more = _words_behind(name)
    name = name.removesuffix(more).strip(" ,;:+(")
    behind = re.sub(r"[\W_]+", " ", more + _FACT.sub(" ", text[found[0].start() :])).casefold().split()
    said |= {*behind}
    held = bool(untils or said & _OF_DEPOSIT)
    gift = any(GIVEN.fullmatch(word) for word in behind)
    others = [word for word in behind if not any(one.fullmatch(word) for one in (_LEADS, _HOW_PAID, GIVEN))]
    paid = _amount_paid(sums[0]) if sums else None
    unsaid = held and paid is not None and not (days or any(_PAID.fullmatch(word) for word in said))
    twice = any(len(several) > 1 for several in (days, sums, untils))
    if others or years or twice or unsaid or (gift and (sums or held)):
        part = text[len(name) :].strip(" ,;:+()")
        return Buyer(name, held_for=name if held else "", sold=not held, why=_no_part_of_name(part))
    day, until = "".join(days), "".join(untils)
    if held:
        why = "it speaks of a hold; write what was agreed or paid into the record of its sale"
        return Buyer(held_for=name, until=until, day=day, paid=paid, why=why)
    return Buyer(name, sold=True, day=day, paid=paid, gift=gift, part=any(_PAID.fullmatch(word) for word in said))


def _before_leads(text: str) -> tuple[str, set[str]]:
    """A name without the words that lead to what stands behind it; and these words."""
    name, said = text.strip(" ,;:+(/–-"), set[str]()
    while (lead := _LEADS.search(name)) is not None:
        name = name[: lead.start()].strip(" ,;:+(/–-")
        said.add(lead["word"].casefold())
    return name, said


def _amount_paid(part: str) -> Price | None:
    """The amount beside a name, where its sign or a word such as `pd` says that it is one."""
    word = _PAID.match(part)
    price = price_in(part[word.end() :] if word else part)
    if price is None or price.rest or price.amount == "ask":
        return None
    return price if word or price.currency or part.strip()[-2:] in (",-", ".-") else None


_PARENTS = re.compile(
    r"\s+(?:x|×|\*|by|and|und|mit|&)\s+|\s*[×/]\s*|\s+[xX]\s+|(?<=[0-9])x\s*(?=[^\W\d_]*[0-9])", re.IGNORECASE
)


def parents_in(cell: str) -> tuple[str, str] | None:
    """The two parents of `A x B`, as written; None when there are not two."""
    parts = [part.strip() for part in _PARENTS.split(cell.strip(" \"'")) if part.strip()]
    if re.search(r"\bw/|^(?:bred|produced|hatched)\b", cell, re.IGNORECASE):
        return None
    return (parts[0], parts[1]) if len(parts) == 2 else None
