"""The line of a young, and of a tally, in a clutch's record → the group of keys that it is short for."""

from __future__ import annotations

import re

from clutchlight.reading.fields import SEXES
from clutchlight.reading.strict import unfit
from clutchlight.reading.text import Items, Table, WrittenText

_MAX_LENGTH = 300

_YOUNG = re.compile(r"(?P<number>[0-9]{1,4})(?P<gap>\s+)(?P<rest>[^;]*)(?:;(?P<after>.*))?")
_TALLY = re.compile(r"(?P<count>[0-9]{1,4})\s*[xX×]\s+(?P<rest>[^;]*)")
_SEX = re.compile(r"(\S+)(?:\s+|$)")
_STATUS_PRICE = re.compile(r"\s*(?P<status>[a-z][a-z ]*?)??[\s,]*(?P<price>\d\S*|\bask)?\s*", re.IGNORECASE)
_PRICE_STATUS = re.compile(r"\s*(?P<price>\d\S*|ask\b)[\s,]+(?P<status>[a-z][a-z ]*?)\s*", re.IGNORECASE)

_YOUNG_FORM = "write number, sex, looks; status and price, such as `3 f Pastel Piebald; available 250`"
_TALLY_FORM = "write how many, an x, the sex if known, and the looks, such as `2 x normal`"


def young_from_text(text: WrittenText) -> Table:
    """The long form of one hatchling's line."""
    found = _YOUNG.fullmatch(text) if len(text) <= _MAX_LENGTH else None
    if found is None:
        if len(text) <= _MAX_LENGTH and _TALLY.fullmatch(text):
            raise unfit(
                "bad-short-form", f"'{text}' counts hatchlings that are not kept apart; move it to `tally:`", text.place
            )
        raise unfit("bad-short-form", f"'{text}' is not a hatchling's line; {_YOUNG_FORM}", text.place)
    values: dict[str, object] = {"#": text.part(str(int(found["number"])), 0)}
    _sex_and_looks(text, found["rest"], found.start("rest"), values)
    if found["after"] is not None and found["after"].strip():
        _status_and_price(text, found["after"], found.start("after"), values)
    return Table.of(text.place, **values)


def tally_from_text(text: WrittenText) -> Table:
    """The long form of one line of a tally."""
    found = _TALLY.fullmatch(text) if len(text) <= _MAX_LENGTH else None
    if found is None:
        raise unfit("bad-short-form", f"'{text}' is not a tally line; {_TALLY_FORM}", text.place)
    values: dict[str, object] = {"count": text.part(found["count"], 0)}
    _sex_and_looks(text, found["rest"], found.start("rest"), values)
    if "shows" not in values:
        raise unfit("bad-short-form", f"'{text}' names no look; {_TALLY_FORM}", text.place)
    return Table.of(text.place, **values)


def _sex_and_looks(text: WrittenText, rest: str, offset: int, values: dict[str, object]) -> None:
    first = _SEX.match(rest)
    if first is not None and first[1].casefold() in SEXES:
        values["sex"] = text.part(first[1], offset)
        rest, offset = rest[first.end() :], offset + first.end()
    looks = rest.strip()
    if looks:
        listed = Items([text.part(looks, offset + len(rest) - len(rest.lstrip()))])
        listed.place = listed[0].place
        values["shows"] = listed


def _status_and_price(text: WrittenText, after: str, offset: int, values: dict[str, object]) -> None:
    found = _PRICE_STATUS.fullmatch(after) or _STATUS_PRICE.fullmatch(after)
    if found is None:
        raise unfit(
            "bad-short-form",
            f"'{after.strip()}' is not a status and price; {_YOUNG_FORM}",
            text.part(after, offset).place,
        )
    for key in ("status", "price"):
        if found[key]:
            values[key] = text.part(found[key].strip(), offset + found.start(key))
