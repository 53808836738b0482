"""Strict shapes for what was written: which keys a record takes, which it needs, and what is wrong with the rest.

Every shape is a pydantic model in strict mode. An unknown key is reported with the nearest known one and then read as
that one, so that one misspelling is one problem. Short forms are first turned into the long form. Every kind of error
that pydantic can raise has one of our codes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import cache
from typing import Annotated, Any, ClassVar, TypeVar, Unpack, get_args

from msgspec import Struct
from pydantic import BaseModel, ConfigDict, Field, PlainValidator, ValidationError, ValidationInfo, model_validator
from pydantic_core import ErrorDetails, PydanticCustomError
from pydantic_core.core_schema import ErrorType

from clutchlight.problems import Place
from clutchlight.reading.findings import Findings, nearest
from clutchlight.reading.text import Items, Mark, Table, WrittenText, is_empty, kind_of, place_of

Value = TypeVar("Value", bound=Struct)
Parsed = TypeVar("Parsed")

_AT = "@"
_WRITE_KEY = re.compile(r"write `(\w+)`")

# Where pydantic names a key we say so under its own code; whatever else does not fit has the wrong shape.
CODE_OF_TYPE: Mapping[str, str] = {
    **dict.fromkeys(get_args(ErrorType), "wrong-shape"),
    "missing": "missing-key",
    "extra_forbidden": "unknown-key",
}


def unfit(code: str, message: str, at: Place | None = None) -> PydanticCustomError:
    """What a field raises when a value does not fit: one of our codes, with what is wrong and what to do."""
    return PydanticCustomError("unfit", "{message}", {"code": code, "message": message, "at": at})


def parsed(parser: Callable[[WrittenText], Parsed], text: WrittenText, findings: Findings) -> Parsed | None:
    """What a field's parser makes of a text that stands by itself; None, with the problem, when it does not fit."""
    try:
        return parser(text)
    except PydanticCustomError as error:
        context = error.context or {}
        findings.report(context["at"] or text.place, context["code"], context["message"])
        return None


def wrong_shape(value: object, wanted: str) -> PydanticCustomError:
    return unfit("wrong-shape", f"this is {kind_of(value)}; write {wanted}", place_of(value))


def findings_of(info: ValidationInfo) -> Findings:
    """The collector that a field may add warnings and dates to."""
    found = info.context
    if not isinstance(found, Findings):
        raise TypeError("records are validated with a Findings as context")
    return found


def must_hold_keys(value: object) -> Table:
    """What stands under `private` is only looked at so far that it holds keys."""
    if isinstance(value, Table):
        return value
    raise unfit("wrong-shape", "`private:` holds keys of its own; write them below it, indented", place_of(value))


class RecordShape(BaseModel):
    """Base of all shapes. `at` knows where the keys stand; what is under `private` is looked at by no public stage.

    `noun`: what it is called. `hints`: what to do about other keys. `short`: the key that a text by itself stands for.
    `makes`: the value that it becomes where it stands in another shape.
    """

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, arbitrary_types_allowed=True, defer_build=True)

    noun: ClassVar[str] = "a record"
    hints: ClassVar[Mapping[str, str]] = {}
    short: ClassVar[str] = ""
    makes: ClassVar[type[Struct] | None] = None

    at: Annotated[Mark, PlainValidator(lambda mark: mark)] = Field(alias=_AT)
    private: Annotated[Table | None, PlainValidator(must_hold_keys)] = None

    def __init_subclass__(
        cls,
        noun: str | None = None,
        short: str | None = None,
        makes: type[Struct] | None = None,
        **settings: Unpack[ConfigDict],
    ) -> None:
        super().__init_subclass__(**settings)
        cls.noun, cls.short, cls.makes = noun or cls.noun, short or cls.short, makes or cls.makes

    @classmethod
    def from_short(cls, value: object) -> Table | None:
        """The long form of a short one; None when there is no short form like that."""
        return Table.of(value.place, **{cls.short: value}) if cls.short and isinstance(value, WrittenText) else None

    @model_validator(mode="before")
    @classmethod
    def _open(cls, value: object, info: ValidationInfo) -> object:
        table = value if isinstance(value, Table) else cls.from_short(value)
        if table is None:
            raise unfit(
                "wrong-shape", f"this is {kind_of(value)}; {cls.noun} is written as keys and values", place_of(value)
            )
        return _known(cls, table, findings_of(info))

    @property
    def place(self) -> Place:
        return self.at.place

    @property
    def written(self) -> frozenset[str]:
        """The fields that the record itself gives."""
        return frozenset(self.model_fields_set - {"at", "private"})

    @property
    def numbers(self) -> dict[str, Fraction]:
        """The numbers that the record itself gives, by field."""
        found = ((name, getattr(self, name)) for name in sorted(self.written))
        return {name: value for name, value in found if isinstance(value, Fraction)}

    def as_value(self, kind: type[Value], **more: object) -> Value:
        """The value of that kind with the fields that both have, the place of the record, and `more`."""
        said = {name: _plain(getattr(self, name)) for name in _shared(type(self), kind) if name not in more}
        return kind(**said, **more)


@cache
def _shared(shape: type[RecordShape], kind: type[Struct]) -> tuple[str, ...]:
    """The fields of a value that a record of this shape has as well."""
    return tuple(name for name in kind.__struct_fields__ if name in shape.model_fields or name == "place")


def _plain(value: object) -> object:
    """What a field holds, without its places."""
    if isinstance(value, RecordShape):
        return value.as_value(value.makes) if value.makes is not None else value
    if isinstance(value, WrittenText):
        return str(value)
    return tuple(_plain(one) for one in value) if isinstance(value, tuple) else value


@cache
def keys_of(shape: type[RecordShape]) -> Mapping[str, bool]:
    """The keys that a shape takes, each with whether it is needed."""
    fields = ((field.alias or name, field.is_required()) for name, field in shape.model_fields.items())
    return {key: needed for key, needed in fields if key != _AT}


def _known(shape: type[RecordShape], table: Table, findings: Findings) -> dict[str, Any]:
    keys = keys_of(shape)
    found: dict[str, Any] = {_AT: table.mark}
    strangers = [key for key in table if key not in keys]
    for key, value in table.items():
        if key in keys and not is_empty(value):
            found[key] = value
    for key in strangers:
        meant = _report_unknown(shape, key, table, findings)
        value = table[key]
        if meant is not None and not is_empty(value):
            found[meant] = value
            table.mark.values.setdefault(meant, table.mark.value(key))
            table.mark.keys.setdefault(meant, table.mark.keys[key])
    return found


def _report_unknown(shape: type[RecordShape], key: str, table: Table, findings: Findings) -> str | None:
    """Reports an unknown key; returns the key that was probably meant."""
    free = [name for name in keys_of(shape) if name not in table]
    hint = shape.hints.get(key.casefold())
    meant = next((name for name in free if name.casefold() == key.strip().casefold()), None) or nearest(key, free)
    if hint is not None:
        named = _WRITE_KEY.fullmatch(hint)
        remedy, meant = hint, named[1] if named and named[1] in free else None
    elif meant is not None:
        remedy = f"the nearest is '{meant}'"
    elif is_empty(table[key]):
        remedy = "if it belongs to the value before it, put that value in quotes"
    else:
        remedy = f"{shape.noun} takes {', '.join(sorted(key for key in keys_of(shape) if key[0].isalpha()))}"
    findings.report(table.mark.key(key), "unknown-key", f"'{key}' is no key of {shape.noun}; {remedy}")
    return meant


Shape = TypeVar("Shape", bound=RecordShape)


def read_as(shape: type[Shape], value: object, findings: Findings) -> Shape | None:
    """A written value as a record of this shape; None, with every problem reported, when it does not fit."""
    try:
        return shape.model_validate(value, context=findings)
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            _report(detail, shape, value, findings)
        return None


def _report(detail: ErrorDetails, shape: type[RecordShape], root: object, findings: Findings) -> None:
    context = detail.get("ctx", {})
    value = detail["input"]
    place = context.get("at") or _place(value) or _place_above(detail["loc"], root)
    if detail["type"] == "unfit":
        findings.report(place, context["code"], context["message"])
        return
    key = str(detail["loc"][-1]) if detail["loc"] else ""
    if detail["type"] == "missing":
        mark = value.get(_AT) if isinstance(value, dict) else None
        if isinstance(mark, Mark) and key in mark.keys:
            place, message = mark.key(key), f"`{key}:` is empty; write its value"
        else:
            message = f"`{key}` is missing; add a line `{key}: ...`"
        findings.report(place, CODE_OF_TYPE["missing"], message)
        return
    wanted = (
        "a list, such as [one, two] or a line for each beginning with `- `"
        if "list" in detail["type"]
        else "what belongs here"
    )
    code = CODE_OF_TYPE.get(detail["type"], "wrong-shape")
    findings.report(place, code, f"this is {kind_of(value)}; write {wanted}")


def _place(value: object) -> Place | None:
    if isinstance(value, dict) and isinstance(value.get(_AT), Mark):
        mark: Mark = value[_AT]
        return mark.place
    return place_of(value)


def _place_above(location: tuple[int | str, ...], root: object) -> Place:
    """The place of the last written thing on the way to a value that has none of its own."""
    place = place_of(root) or Place("collection.yaml")
    value = root
    for step in location:
        if isinstance(value, Table) and step in value:
            place = value.mark.value(str(step))
            value = value[str(step)]
        elif isinstance(value, Items) and isinstance(step, int) and step < len(value):
            value = value[step]
        else:
            break
        place = place_of(value) or place
    return place
