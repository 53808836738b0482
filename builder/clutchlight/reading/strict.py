"""Strict shapes for what was written: which keys a record takes, which it needs, and what is wrong with the rest.

A shape is a class whose fields say by their types how a written value is read: by a parser, as another shape, or as a list of shapes. An
unknown key is reported with the nearest known one and then read as that one, so that one misspelling is one problem. Short forms are
first turned into the long form.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from functools import cache, partial
from inspect import get_annotations, signature
from types import NoneType, UnionType
from typing import (
    Annotated,
    Any,
    ClassVar,
    NamedTuple,
    Self,
    TypeVar,
    Union,
    get_args,
    get_origin,
)

from msgspec import Struct

from clutchlight.problems import Place
from clutchlight.reading.findings import Findings, nearest
from clutchlight.reading.text import Items, Mark, Table, Written, WrittenText, is_empty, kind_of

Value = TypeVar("Value", bound=Struct)
Parsed = TypeVar("Parsed")

_WRITE_KEY = re.compile(r"write `(\w+)`")


class UnfitError(Exception):
    """What a parser raises when a value does not fit: one of our codes, and what is wrong and what to do.

    `at`: where, if that is not where the value stands.
    """

    def __init__(self, code: str, message: str, at: Place | None = None) -> None:
        super().__init__(message)
        self.code, self.message, self.at = code, message, at


def wrong_shape(value: Written, wanted: str) -> UnfitError:
    return UnfitError("wrong-shape", f"this is {kind_of(value)}; write {wanted}", value.place)


def parsed(parser: Callable[..., Parsed], value: Written, findings: Findings) -> Parsed | None:
    """What a parser makes of a written value; None, with the problem, when it does not fit."""
    try:
        return parser(value, findings) if _asks(parser) else parser(value)
    except UnfitError as error:
        findings.report(error.at or value.place, error.code, error.message)
        return None


@cache
def _asks(parser: Callable[..., object]) -> bool:
    """Whether a parser takes the findings besides, for warnings and dates."""
    return len(signature(parser).parameters) > 1


def listed(value: Written) -> tuple[Any, ...]:
    """The items of a list; a single value where a list belongs is a list of one."""
    if isinstance(value, Items):
        return tuple(item for item in value if not is_empty(item))
    return (value,)


def must_hold_keys(value: Written) -> Table:
    """What stands under `private` is only looked at so far that it holds keys."""
    if isinstance(value, Table):
        return value
    raise UnfitError("wrong-shape", "`private:` holds keys of its own; write them below it, indented", value.place)


class RecordShape:
    """Base of all shapes. `at` knows where the keys stand; what is under `private` is looked at by no public stage.

    A field's type may be annotated with a parser, of the value or of the value and the findings, and with a text, the key under which the
    field is written if that is not its name. An instance holds what was written; for the rest the class has the default.

    `noun`: what it is called. `hints`: what to do about other keys. `short`: the key that a text by itself stands for.
    `makes`: the value that it becomes where it stands in another shape. `apart`: fields by which nothing else goes, so that the rest is
    looked at all the same where one of them does not fit.
    """

    noun: ClassVar[str] = "a record"
    hints: ClassVar[Mapping[str, str]] = {}
    short: ClassVar[str] = ""
    makes: ClassVar[type[Struct] | None] = None
    apart: ClassVar[frozenset[str]] = frozenset()
    _fields: ClassVar[Mapping[str, Field]]

    at: Mark
    private: Annotated[Table | None, must_hold_keys] = None

    def __init_subclass__(
        cls, noun: str | None = None, short: str | None = None, makes: type[Struct] | None = None
    ) -> None:
        cls.noun, cls.short, cls.makes = noun or cls.noun, short or cls.short, makes or cls.makes

    def __init__(self, **fields: Any) -> None:
        vars(self).update(fields)

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"a record stays as it is; `but` gives another with its own `{name}`")

    def __eq__(self, other: object) -> bool:
        """Whether both say the same, wherever they stand."""
        return type(self) is type(other) and {**vars(self), "at": None} == {**vars(other), "at": None}

    @classmethod
    def fields(cls) -> Mapping[str, Field]:
        """The fields of the shape, by name, in the order in which they are read."""
        if "_fields" not in vars(cls):
            cls._fields = dict(_fields_of(cls))
        return cls._fields

    @classmethod
    def from_short(cls, value: WrittenText | Items) -> Table:
        """The long form of a short one."""
        if cls.short and isinstance(value, WrittenText):
            return Table.of(value.place, **{cls.short: value})
        raise UnfitError("wrong-shape", f"this is {kind_of(value)}; {cls.noun} is written as keys and values")

    def completed(self) -> Self:
        """The record with what follows from several of its fields. Raises UnfitError where they do not go together."""
        return self

    def but(self, **fields: Any) -> Self:
        """The record with other values of some fields."""
        return type(self)(**{**vars(self), **fields})

    @property
    def place(self) -> Place:
        return self.at.place

    @property
    def written(self) -> frozenset[str]:
        """The fields that the record itself gives."""
        return frozenset(vars(self)) - {"at", "private"}

    @property
    def numbers(self) -> dict[str, Fraction]:
        """The numbers that the record itself gives, by field."""
        found = ((name, getattr(self, name)) for name in sorted(self.written))
        return {name: value for name, value in found if isinstance(value, Fraction)}

    def as_value(self, kind: type[Value], **more: object) -> Value:
        """The value of that kind with the fields that both have, the place of the record, and `more`."""
        own = {"place", *self.fields()}.intersection(kind.__struct_fields__).difference(more)
        return kind(**{name: _plain(getattr(self, name)) for name in own}, **more)


def _plain(value: object) -> object:
    """What a field holds, without its places."""
    if isinstance(value, RecordShape):
        return value.as_value(value.makes) if value.makes is not None else value
    if isinstance(value, WrittenText):
        return str(value)
    if isinstance(value, dict):
        return {str(key): _plain(one) for key, one in value.items()}
    return tuple(_plain(one) for one in value) if isinstance(value, tuple) else value


# ---- fields


class Field(NamedTuple):
    """A field of a shape: its key, whether that is needed, and how its value is read: None, with the problem, when it does not fit."""

    key: str
    needed: bool
    read: Callable[[Any, Findings], Any]


@cache
def _own_types(shape: type) -> Mapping[str, Any]:
    """The types of the fields that a shape itself names."""
    return get_annotations(shape, eval_str=True)


def _fields_of(shape: type[RecordShape]) -> Iterator[tuple[str, Field]]:
    hints: dict[str, Any] = {}
    for base in reversed(shape.__mro__):
        hints |= _own_types(base) if RecordShape in base.__mro__ else {}
    for name, hint in hints.items():
        kind, notes = hint, []
        while (origin := get_origin(kind)) in (Annotated, Union, UnionType):
            kind, *more = (part for part in get_args(kind) if part is not NoneType)
            notes += more if origin is Annotated else []
        if origin is not ClassVar and name != "at":
            key = next((note for note in notes if isinstance(note, str)), name)
            parser = next((note for note in notes if callable(note)), None)
            yield name, Field(key, not hasattr(shape, name), _reader(kind, parser))


def keys_of(shape: type[RecordShape]) -> tuple[str, ...]:
    """The keys that a shape takes."""
    return tuple(field.key for field in shape.fields().values())


def _reader(kind: Any, parser: Callable[..., Any] | None) -> Callable[[Any, Findings], Any]:
    several = get_origin(kind) is tuple
    shape = get_args(kind)[0] if several else kind
    if isinstance(shape, type) and issubclass(shape, RecordShape):
        return partial(_read_each, shape, parser or listed) if several else partial(read_as, shape)
    if parser is None:
        raise TypeError(f"a field of the type {kind} needs a parser")
    return partial(parsed, parser)


# ---- reading


Shape = TypeVar("Shape", bound=RecordShape)


def read_as(shape: type[Shape], value: Written, findings: Findings) -> Shape | None:
    """A written value as a record of this shape; None when it does not fit. Every problem is reported, those of fields apart too."""
    try:
        table = value if isinstance(value, Table) else shape.from_short(value)
        given = _under_known_keys(shape, table, findings)
        fields = shape.fields()
        found = {name: one.read(given[one.key], findings) for name, one in fields.items() if one.key in given}
        lacking = [one.key for one in fields.values() if one.needed and one.key not in given]
        for key in lacking:
            _report_missing(key, table.mark, findings)
        fitting = {name: value for name, value in found.items() if value is not None or name not in shape.apart}
        return None if lacking or None in fitting.values() else shape(at=table.mark, **fitting).completed()
    except UnfitError as error:
        findings.report(error.at or value.place, error.code, error.message)
        return None


def tables_in(
    root: Written, findings: Findings, wanted: str, of_each: str | None = None, *, several: bool = True
) -> Iterator[Table]:
    """The tables of a file that holds one, or `several` in a list. What is none is told, with what is `wanted`, or `of_each` in a list."""
    for one in root if several and isinstance(root, Items) else [root]:
        if isinstance(one, Table):
            yield one
        else:
            said = wanted if one is root else of_each or wanted
            findings.report(one.place, "wrong-shape", f"this is {kind_of(one)}; {said}")


def _read_each(
    shape: type[Shape], lister: Callable[..., tuple[Written, ...]], value: Written, findings: Findings
) -> tuple[Shape, ...] | None:
    items = parsed(lister, value, findings)
    records = [read_as(shape, item, findings) for item in items or ()]
    return None if items is None or None in records else tuple(filter(None, records))


def _report_missing(key: str, mark: Mark, findings: Findings) -> None:
    said = f"`{key}:` is empty; write its value" if key in mark.keys else f"`{key}` is missing; add a line `{key}: ...`"
    findings.report(mark.key(key), "missing-key", said)


def _under_known_keys(shape: type[RecordShape], table: Table, findings: Findings) -> dict[str, Any]:
    """What a table holds, without what is empty. What stands under an unknown key stands under the one that was probably meant."""
    keys = keys_of(shape)
    found = {key: value for key, value in table.items() if key in keys and not is_empty(value)}
    for key in [key for key in table if key not in keys]:
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
