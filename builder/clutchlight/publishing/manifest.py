"""`.clutchlight.json`, by which a published folder says what it is and what stands in it.

It names every file with the hash of its content, and every page with the digest of its page object; `rendering` is the digest of what
made the pages from those, `asked` what the build was asked for. All of it follows from what is published, so anybody may read it.

The next build takes a page whose digests are equal from the standing folder instead of making it again. A manifest of an older form,
or one that cannot be read as far as the pages go, only costs that saving.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path, PurePosixPath

from msgspec import Struct, ValidationError, convert, field

MANIFEST = ".clutchlight.json"
FORMAT = 2


class Manifest(Struct, frozen=True):
    """`kind`: site or desk. `files`: content hashes by address. `pages`: digests of page objects by address, under `rendering`."""

    kind: str
    files: Mapping[str, str]
    asked: str = ""
    rendering: str = ""
    pages: Mapping[str, str] = field(default_factory=dict)

    def to_bytes(self) -> bytes:
        listed = {
            "made_by": "clutchlight",
            "format": FORMAT,
            "kind": self.kind,
            "asked": self.asked,
            "rendering": self.rendering,
            "files": dict(sorted(self.files.items())),
            "pages": dict(sorted(self.pages.items())),
        }
        return (json.dumps(listed, indent=1) + "\n").encode("utf-8")


class Wanted(Struct, frozen=True):
    """What a folder is to hold: contents by address, and addresses that keep the file which stands there, with its hash.

    The others go into the manifest, for the next build.
    """

    made: Mapping[str, bytes]
    kept: Mapping[str, str] = field(default_factory=dict)
    asked: str = ""
    rendering: str = ""
    pages: Mapping[str, str] = field(default_factory=dict)

    def manifest(self, kind: str) -> Manifest:
        hashes = {_safe(address): content_hash(content) for address, content in self.made.items()}
        return Manifest(kind, {**hashes, **self.kept}, self.asked, self.rendering, self.pages)


def read_manifest(folder: Path) -> Manifest | None:
    """What a folder says of itself; None when this program did not make it. Raises OSError when that cannot be told."""
    try:
        listed = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
    except (FileNotFoundError, NotADirectoryError, ValueError, RecursionError):
        return None
    if not isinstance(listed, dict) or listed.get("made_by") != "clutchlight":
        return None
    older = {key: listed.get(key) for key in ("kind", "files")}
    for known in (listed, older) if listed.get("format") == FORMAT else (older,):
        with suppress(ValidationError):
            return convert(known, Manifest)
    return None


def content_hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _safe(address: str) -> str:
    path = PurePosixPath(address)
    outside = path.is_absolute() or ".." in path.parts or "\\" in address
    if outside or address != path.as_posix() or address == MANIFEST:
        raise ValueError(f"not an address inside the site: {address!r}")
    return address
