"""Photo names → photos that are there: plain names of files inside photos/, of a kind that can be shown."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePosixPath

from clutchlight.model import Photo
from clutchlight.plaintext.findings import Findings
from clutchlight.records.shapes import PhotoRecord

KINDS = (".jpg", ".jpeg", ".png", ".webp", ".gif", ".tif", ".tiff", ".bmp")


def photos_from(records: Sequence[PhotoRecord], there: frozenset[str], findings: Findings) -> tuple[Photo, ...]:
    """The photos that a record names; each must lie in photos/."""
    found: list[Photo] = []
    for record in records:
        name = record.file.strip()
        fault = _fault(name)
        if fault is not None:
            findings.report(record.file.place, "photo-name", f"'{name}' {fault}")
        elif name not in there:
            near = findings.nearest(name, there)
            remedy = f"; the nearest is '{near}'" if near else "; put the file there or take the line out"
            findings.report(record.file.place, "photo-missing", f"there is no '{name}' in photos/{remedy}")
        else:
            alt = None if record.alt is None else str(record.alt)
            found.append(Photo(name, record.file.place, record.on, alt))
    return tuple(found)


def _fault(name: str) -> str | None:
    path = PurePosixPath(name)
    if name.startswith("photos/"):
        return "is looked for inside photos/ already; leave 'photos/' out"
    if "\\" in name or ":" in name or path.is_absolute() or ".." in path.parts or name != path.as_posix():
        return "leads out of photos/ or is not a plain name; copy the file into photos/ and write its name"
    if path.suffix.casefold() not in KINDS:
        return "is not a kind of photo that can be shown; save it as JPEG, PNG or WebP"
    return None
