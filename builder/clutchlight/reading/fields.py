"""What single values mean: ids, dates, chances, sexes, numbers, yes and no, words from a list. One parser a kind.

Chances: the trade's 66% and 67% mean 2/3 and 33% means 1/3; every other percentage is taken as it stands, and one that only looks
like a third is pointed out.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from types import MappingProxyType
from typing import Annotated, Any, Self

from clutchlight.model import Sex, When
from clutchlight.reading.dates import read_date
from clutchlight.reading.findings import Findings, in_words, or_nearest
from clutchlight.reading.strict import Parsed, RecordShape, UnfitError, listed, must_hold_keys, wrong_shape
from clutchlight.reading.text import Items, Table, Written, WrittenText, by_word, is_empty, one_case, slug_of

MAX_ID = 64
MAX_CALLED = 100
MAX_COUNT = 500
_MOST_DIGITS = 9

_ID = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9._-]*[A-Za-z0-9])?")
_DEVICE = re.compile(r"(?:con|prn|aux|nul|com[0-9]|lpt[0-9])(?:\..*)?", re.IGNORECASE)
_STANDS_FOR_A_SIRE = frozenset({"unknown", "none"})
_SLUG = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
_NUMBER = re.compile(r"[0-9]+")
_PRICE = re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,2})?")
_AMOUNT = re.compile(
    r"[^0-9]{0,5}(?P<whole>[0-9]{1,3}(?:(?P<by>[.,' ])[0-9]{3})(?:(?P=by)[0-9]{3})*|[0-9]{1,9})(?:[.,](?P<cents>[0-9]{1,2}))?[^0-9]{0,5}"
)
_PERCENT = re.compile(r"([0-9]{1,3}(?:\.[0-9]{1,6})?)\s*%")
_RATIO = re.compile(r"([0-9]{1,9})\s*/\s*([0-9]{1,9})")

_THIRDS = {"66": Fraction(2, 3), "67": Fraction(2, 3), "33": Fraction(1, 3)}
SEXES: Mapping[str, Sex] = by_word({"male": "male|m|1.0", "female": "female|f|0.1", "unknown": "unknown|0.0.1"})
_YES_NO = {"yes": True, "no": False, "true": True, "false": False}


def text_of(value: Written, wanted: str) -> WrittenText:
    """The value, if it is one text with something in it."""
    if not isinstance(value, WrittenText):
        raise wrong_shape(value, wanted)
    if not value.strip():
        raise UnfitError("wrong-shape", f"nothing stands between the quotation marks; write {wanted}")
    return value


def parse_text(value: Written) -> WrittenText:
    return text_of(value, "one text")


def parse_id(value: Written) -> WrittenText:
    text = text_of(value, "one id")
    if fault := fault_of_id(text):
        raise UnfitError("bad-id", fault)
    return text


def fault_of_id(text: str) -> str | None:
    """Why a word cannot be the id of an animal or a clutch: safe as a file name on every system and in every address."""
    if len(text) > MAX_ID:
        return f"this id has {len(text)} characters; an id has at most {MAX_ID}"
    if not _ID.fullmatch(text):
        near = re.sub(r"[^A-Za-z0-9._-]+", "-", text).strip("-._")
        offer = f", for example '{near}'" if near else ""
        rule = "use letters a to z, digits, '.', '_' and '-', with a letter or digit at both ends"
        return f"'{text}' cannot be an id; {rule}{offer}"
    if _DEVICE.fullmatch(text):
        return f"'{text}' is the name of a device on Windows, so no file can be called that; choose another id"
    if text.casefold() in _STANDS_FOR_A_SIRE:
        return f"'{text}' stands for a sire that is not on record, so no animal can be called that; choose another id"
    return None


def parse_called(value: Written) -> WrittenText:
    """An animal on record, by its id or its name."""
    text = text_of(value, "one id or name")
    if text.casefold() in _STANDS_FOR_A_SIRE:
        raise UnfitError(
            "bad-id",
            f"'{text}' is no animal; leave out who is not known, or write the clutch, which may have `sire: {text}`",
        )
    if len(text) > MAX_CALLED:
        return parse_id(text)
    return text


def parse_slug(value: Written) -> WrittenText:
    text = text_of(value, "one word")
    if fault := fault_of_slug(text):
        raise UnfitError("bad-key", fault)
    return text


def fault_of_slug(text: str) -> str | None:
    """Why a word cannot be part of an address; None when it can."""
    if _SLUG.fullmatch(text) and len(text) <= MAX_ID:
        return None
    near = slug_of(text)[:MAX_ID]
    offer = f", for example '{near}'" if near else ""
    return f"'{text}' becomes part of an address; use small letters, digits and '-'{offer}"


def when(*, spans: bool = False, ahead: bool = False) -> Callable[[Written, Findings], When]:
    """A parser of a day, month, year, "about" or "before" one of them. `spans`: or a range of days. `ahead`: it may well be to come."""

    def parse(value: Written, findings: Findings) -> When:
        text = text_of(value, "one date, such as 2024-05-18")
        found = read_date(" ".join(text.split()), spans=spans)
        if isinstance(found, str):
            raise UnfitError("bad-date", found)
        if not ahead:
            findings.dates.append((text.place, found))
        return found

    return parse


def parse_chance(value: Written, findings: Findings) -> Fraction:
    """A chance from 0 to 1, exact; warns of a percentage that only looks like a third."""
    text = text_of(value, "one chance, such as 66% or 2/3")
    chance = read_chance(text.strip())
    if isinstance(chance, str):
        raise UnfitError("bad-chance", chance)
    for third in (Fraction(1, 3), Fraction(2, 3)):
        if 0 < abs(chance - third) < Fraction(1, 200):
            said = f"'{text}' is read as exactly {chance}; if {third} is meant, write {third}"
            findings.report(text.place, "near-third", said)
    return chance


def chance_where(holds: Callable[[Fraction], bool], otherwise: str) -> Callable[[Written, Findings], Fraction]:
    """A parser of a chance for which something `holds`."""

    def parse(value: Written, findings: Findings) -> Fraction:
        chance = parse_chance(value, findings)
        if not holds(chance):
            raise UnfitError("bad-chance", otherwise)
        return chance

    return parse


def read_chance(text: str) -> Fraction | str:
    """A chance as it is written, or what is wrong with it."""
    percent, ratio = _PERCENT.fullmatch(text), _RATIO.fullmatch(text)
    if percent is not None:
        chance = _THIRDS.get(percent.group(1)) or Fraction(percent.group(1)) / 100
    elif ratio is not None:
        if int(ratio.group(2)) == 0:
            return f"'{text}' divides by nothing; write a chance such as 2/3"
        chance = Fraction(int(ratio.group(1)), int(ratio.group(2)))
    else:
        number = re.fullmatch(r"[0-9]+(?:[.,][0-9]+)?", text)
        offer = f"write {text}%" if number and float(text.replace(",", ".")) > 1 else "write it like 66% or 2/3"
        return f"'{text}' is not a chance; {offer}"
    if chance > 1:
        return f"'{text}' is more than certain; a chance is at most 100%"
    return chance


def parse_sex(value: Written) -> Sex:
    text = text_of(value, "one sex")
    if found := SEXES.get(text.strip().casefold()):
        return found
    raise UnfitError("unknown-word", f"'{text}' is no sex; write male, female or unknown (or m, f, 1.0, 0.1, 0.0.1)")


def parse_count(value: Written) -> int:
    """A whole number of eggs, snakes, copies."""
    text = text_of(value, "one whole number")
    if not _NUMBER.fullmatch(text):
        raise UnfitError("bad-number", f"'{text}' is not a whole number; write digits only, such as 8")
    if len(text) > _MOST_DIGITS or int(text) > MAX_COUNT:
        said = f"{text} is more than the {MAX_COUNT} that can be right here; look at the number"
        raise UnfitError("bad-number", said)
    return int(text)


def parse_number(value: Written) -> Fraction:
    text = text_of(value, "one number")
    if not re.fullmatch(r"[0-9]{1,9}(?:\.[0-9]{1,6})?", text):
        raise UnfitError("bad-number", f"'{text}' is not a number; write digits, with a point for the decimals")
    return Fraction(text)


def parse_price(value: Written) -> str:
    text = text_of(value, "one price")
    if text.casefold() == "ask":
        return "ask"
    if not _PRICE.fullmatch(text):
        digits = plain_amount_of(text)
        offer = f"write {digits}" if digits else "write a number such as 350, or `ask`"
        raise UnfitError("bad-price", f"'{text}' is not a price; {offer} (the currency stands in collection.yaml)")
    return str(text)


def plain_amount_of(text: str) -> str | None:
    """`1,200`, `1.200,50 EUR` or `800,00` as we take it: what stands behind the last separator says whether it parts decimals."""
    found = _AMOUNT.fullmatch(text)
    if found is None:
        return None
    whole = re.sub(r"[.,' ]", "", found["whole"])
    cents = (found["cents"] or "").strip("0") and f".{found['cents']}"
    return f"{whole}{cents}" if _PRICE.fullmatch(f"{whole}{cents}") else None


def parse_yes_no(value: Written) -> bool:
    text = text_of(value, "yes or no")
    found = _YES_NO.get(text.casefold())
    if found is None:
        raise UnfitError("unknown-word", f"'{text}' is neither yes nor no; write one of the two")
    return found


def parse_names(value: Written) -> tuple[WrittenText, ...]:
    """One text, or a list of texts."""
    if isinstance(value, Items):
        return tuple(text_of(item, "one text for each item of the list") for item in listed(value))
    return (text_of(value, "one text or a list of texts"),)


def several(parse: Callable[[WrittenText], Parsed]) -> Callable[[Written], tuple[Parsed, ...]]:
    """A parser of one text, or a list of texts, each of a kind."""
    return lambda value: tuple(parse(text) for text in parse_names(value))


def by_name(parse: Callable[[Written], Parsed]) -> Callable[[Written], dict[WrittenText, Parsed]]:
    """A parser of keys of the writer's own, each with a value of a kind."""
    return lambda value: {key: parse(item) for key, item in entries(value) if not is_empty(item)}


def entries(value: Written) -> list[tuple[WrittenText, Any]]:
    """The keys, with their places, and the values of a table, without what is private."""
    if not isinstance(value, Table):
        raise wrong_shape(value, "keys with values, such as {Piebald: ...}")
    if "private" in value:
        must_hold_keys(value["private"])
    return [(value.mark.keys[key], item) for key, item in value.items() if key != "private"]


def one_of(
    words: Sequence[str],
    also: Mapping[str, str] = MappingProxyType({}),
    meant: Mapping[str, str] = MappingProxyType({}),
    stranger: str = "does not belong here",
) -> Callable[[Written], str]:
    """A parser of one word out of a list. `also`: other accepted spellings. `meant`: what else people write, to what they mean.

    `stranger`: what is said of any other word.
    """
    accepted = {**{word.casefold(): word for word in words}, **also}

    def parse(value: Written) -> str:
        text = text_of(value, f"one of {in_words(words)}")
        plain = one_case(text)
        found = accepted.get(plain)
        if found is None:
            remedy = or_nearest(text, accepted, f"write {in_words(words)}", accepted)
            if plain in meant:
                remedy = f"; {meant[plain]}" if "`" in meant[plain] else f"; write '{meant[plain]}'"
            raise UnfitError("unknown-word", f"'{text}' {stranger}{remedy}")
        return found

    return parse


Words = Annotated[str, lambda value: str(parse_text(value))]
Placed = Annotated[WrittenText, parse_text]
Id = Annotated[WrittenText, parse_id]
Slug = Annotated[WrittenText, parse_slug]
Day = Annotated[When, when()]
DayAhead = Annotated[When, when(ahead=True)]
Span = Annotated[When, when(spans=True)]
Chance = Annotated[Fraction, parse_chance]
Rare = Annotated[
    Fraction,
    chance_where(
        lambda share: 0 < share < Fraction(1, 2),
        "a share of unrecorded carriers is above 0 and under 1/2, such as 1/100",
    ),
]
"""The share of snakes taken to carry what no record speaks of."""
Trust = Annotated[
    Fraction,
    chance_where(
        lambda trust: Fraction(1, 2) <= trust < 1, "trust in a claim is at least 1/2 and under 1, such as 99%"
    ),
]
"""The chance with which a seller is taken to be right where that is in doubt."""
Doubt = Annotated[Fraction, chance_where(lambda below: below < 1, "a threshold of doubt is under 1, such as 5%")]
"""The chance under which something is hard to believe."""
SexWord = Annotated[Sex, parse_sex]
Count = Annotated[int, parse_count]
Number = Annotated[Fraction, parse_number]
Price = Annotated[str, parse_price]
YesNo = Annotated[bool, parse_yes_no]
Names = Annotated[tuple[WrittenText, ...], parse_names]
Ids = Annotated[tuple[WrittenText, ...], several(parse_id)]
Called = Annotated[WrittenText, parse_called]
SeveralCalled = Annotated[tuple[WrittenText, ...], several(parse_called)]
Sentences = Annotated[tuple[str, ...], several(str)]
TextsByName = Annotated[Mapping[WrittenText, WrittenText], by_name(parse_text)]
PerhapsTextsByName = Annotated[
    Mapping[WrittenText, WrittenText],
    lambda value: {key: item if is_empty(item) else parse_text(item) for key, item in entries(value)},
]
"""The same, a name without a text too."""
NamesByName = Annotated[Mapping[WrittenText, tuple[WrittenText, ...]], by_name(parse_names)]

EMPTY: Mapping[Any, Any] = MappingProxyType({})


class _Ordered(RecordShape, noun="a range"):
    first: int | Fraction
    last: int | Fraction

    def completed(self) -> Self:
        if self.last < self.first:
            said = f"`to` ({self.last}) is less than `from` ({self.first}); write the smaller one first"
            raise UnfitError("bad-number", said, self.at.value("to"))
        return self


class Range(_Ordered):
    """Of months, of grams."""

    first: Annotated[Number, "from"]
    last: Annotated[Number, "to"]


class CountRange(_Ordered):
    """Of days, of eggs."""

    first: Annotated[Count, "from"]
    last: Annotated[Count, "to"]
