"""`sold`: a hand-over → a record in sales/: in the hold that stands there, or as one of its own.

A hold of exactly these animals gets `handed_over`. Animals that no sale holds get a record at the end of the year's file. What is in doubt
(held together with others, promised to somebody else, gone already) is refused, and then nothing was written.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction
from pathlib import Path

from clutchlight.editing.writing import (
    Original,
    WrittenFile,
    add,
    byte_place,
    cannot_write,
    create,
    flow,
    item,
    original,
)
from clutchlight.model import Collection, When
from clutchlight.model.private import Private, Sale, plain_amount
from clutchlight.problems import COMMAND_LINE, Place, RecordsError, errors_in
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Known
from clutchlight.reading.private_side import sales_in
from clutchlight.reading.text import Items
from clutchlight.reading.yaml_records import compose


def write_sold(
    folder: Path,
    collection: Collection,
    private: Private,
    animals: Sequence[str],
    *,
    on: date,
    buyer: str | None = None,
    agreed: Fraction | None = None,
    how: str | None = None,
) -> WrittenFile:
    """Writes that animals, by their present ids, were handed over on a day. Raises RecordsError, and writes nothing, on any doubt."""
    for name in animals:
        _check_there(collection, name, on)
    known = Known(collection)
    held = [sale for sale in private.sales if set(sale.animals) & set(animals) and _open(sale)]
    if held:
        return _into_hold(folder, known, held, animals, When.day(on), buyer, agreed, how)
    record = {
        "animals": list(animals),
        **({"buyer": buyer} if buyer else {}),
        **({"agreed": plain_amount(agreed)} if agreed is not None else {}),
        "handed_over": on.isoformat(),
        **({"how": how} if how else {}),
    }
    made = Sale(tuple(animals), Place(""), buyer, agreed, handed_over=When.day(on), how=how)
    return _appended(folder, known, f"sales/{on.year:04d}.yaml", item(record), made)


def _open(sale: Sale) -> bool:
    return sale.handed_over is None and sale.returned is None


def _check_there(collection: Collection, name: str, on: date) -> None:
    animal = collection.animals[name]
    if animal.away is not None:
        since = f" ({animal.away.on})" if animal.away.on else ""
        raise RecordsError.at(
            COMMAND_LINE, "cannot-write", f"'{name}' left already: {animal.away.how}{since}; nothing was written"
        )
    if animal.hatched is not None and on < animal.hatched.first:
        raise RecordsError.at(
            COMMAND_LINE,
            "dates-out-of-order",
            f"{on} is before '{name}' hatched ({animal.hatched}); say another day with --on",
        )


def _into_hold(
    folder: Path,
    known: Known,
    held: Sequence[Sale],
    animals: Sequence[str],
    on: When,
    buyer: str | None,
    agreed: Fraction | None,
    how: str | None,
) -> WrittenFile:
    """Adds the hand-over to the one sale that holds these animals and no others."""
    sale = held[0]
    place = sale.place
    if len(held) > 1 or set(sale.animals) != set(animals):
        others = [name for one in held for name in one.animals if name not in animals] or [
            one.place.file for one in held
        ]
        raise cannot_write(
            place.file,
            f"these animals are held together with {', '.join(others)}, or by several sales; write the hand-over there by hand",
            place.line,
        )
    for key, asked, written in (("buyer", buyer, sale.buyer), ("agreed", agreed, sale.agreed), ("how", how, sale.how)):
        if asked is not None and written is not None and asked != written:
            shown = plain_amount(written) if isinstance(written, Fraction) else written
            raise cannot_write(
                place.file, f"`{key}` is '{shown}' in this hold; leave it out, or change it there first", place.line
            )
    keys = {"handed_over": str(on)}
    if buyer and sale.buyer is None:
        keys["buyer"] = buyer
    if agreed is not None and sale.agreed is None:
        keys["agreed"] = plain_amount(agreed)
    if how and sale.how is None:
        keys["how"] = how
    found = original(folder, place.file)
    if found is None:
        raise cannot_write(place.file, "this file is gone; nothing was written")
    lines = found.text.split("\n")
    at = sum(len(line) + 1 for line in lines[: place.line - 1]) + place.column - 1
    rows = [f"{key}: {flow(value)}" for key, value in keys.items()]
    if found.text[at : at + 1] == "{":
        at, text = at + 1, "".join(f"{row}, " for row in rows)
    else:
        text = "".join(f"{row}\n{' ' * (place.column - 1)}" for row in rows)
    over = replace(
        sale,
        handed_over=on,
        buyer=buyer or sale.buyer,
        agreed=sale.agreed if agreed is None else agreed,
        how=how or sale.how,
    )
    before = _sales(found.text, place.file, known)
    wanted = [over if one.place == place else one for one in before]
    return _added(folder, found, known, at, text, wanted)


def _appended(folder: Path, known: Known, file: str, text: str, made: Sale) -> WrittenFile:
    found = original(folder, file)
    if found is None:
        _check(text, file, known, [made])
        return create(folder, file, text)
    root = compose(found.text, file, Findings())
    if root is not None and not (isinstance(root, Items) and root.place.column == 1 and not _in_brackets(found, root)):
        raise cannot_write(file, f"this file is no list with a line for each sale; add these lines by hand:\n{text}")
    begun = "" if not found.text or found.text.endswith("\n") else "\n"
    wanted = [*_sales(found.text, file, known), made]
    return _added(folder, found, known, len(found.text), begun + text, wanted)


def _in_brackets(found: Original, root: Items) -> bool:
    line = found.text.split("\n")[root.place.line - 1]
    return line.startswith("[")


def _added(folder: Path, found: Original, known: Known, at: int, text: str, wanted: Sequence[Sale]) -> WrittenFile:
    _check(found.text[:at] + text + found.text[at:], found.file, known, wanted)
    return add(folder, found, byte_place(found, at), text)


def _check(text: str, file: str, known: Known, wanted: Sequence[Sale]) -> None:
    """The file as it would be must say what it said, and the hand-over besides."""
    nowhere = Place("")
    found = [replace(sale, place=nowhere) for sale in _sales(text, file, known)]
    if found != [replace(sale, place=nowhere) for sale in wanted]:
        raise cannot_write(file, "this cannot be added so that the file reads the same as before; add it by hand")


def _sales(text: str, file: str, known: Known) -> tuple[Sale, ...]:
    findings = Findings()
    found = sales_in(compose(text, file, findings), file, known, findings)
    if findings.errors:
        raise RecordsError(errors_in(findings.problems))
    return found
