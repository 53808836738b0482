"""Values → YAML as our own reader reads it back: plain where nothing can be mistaken, else in double quotes."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

Value = str | Sequence["Value"] | Mapping[str, "Value"]

_PLAIN = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9 ._/%-]*[A-Za-z0-9.%])?")


def scalar(text: str) -> str:
    """One text on one line."""
    if _PLAIN.fullmatch(text):
        return text
    return '"' + " ".join(text.split()).replace("\\", "\\\\").replace('"', '\\"') + '"'


def flow(value: Value) -> str:
    """A value on one line: text, [list] or {group of keys}."""
    if isinstance(value, str):
        return scalar(value)
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{scalar(key)}: {flow(item)}" for key, item in value.items()) + "}"
    return "[" + ", ".join(flow(item) for item in value) + "]"


def item(record: Mapping[str, Value]) -> str:
    """A record as an item of a list, a line for each key."""
    lines = [f"{scalar(key)}: {flow(value)}" for key, value in record.items()]
    return "\n".join([f"- {lines[0]}", *(f"  {line}" for line in lines[1:])]) + "\n"
