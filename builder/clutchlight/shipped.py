"""Finds what comes with Clutchlight besides its code: themes, species files, the demo collection, schemas of what it writes.

In a wheel they lie inside the package, under `_shipped`; in a clone they lie at the top of the repository, so that an editable
install always shows the files being edited. A wheel's own copy wins, because only a wheel has one.
"""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def themes() -> Path:
    """The folder with one folder for each theme."""
    return _shipped("themes")


def demo() -> Path:
    """The demo collection, the one at `content/` in the repository."""
    return _shipped("content")


def species() -> Path:
    """The folder with the built-in species files, part of the package wherever it is installed."""
    return _PACKAGE / "reading" / "species"


SCHEMAS = (
    *("availability", "dated-record", "doubt", "keep", "odds", "problems", "season", "statement", "why", "winter"),
)
"""What has a JSON Schema (draft 2020-12), by name."""


def schema(name: str) -> str:
    """The text of one of SCHEMAS."""
    return (_PACKAGE / "schemas" / f"{name}.json").read_text(encoding="utf-8")


def _shipped(name: str, package: Path = _PACKAGE) -> Path:
    """The folder `name` beside the package's code or, in a clone, at its top.

    Raises FileNotFoundError when neither exists: the installation is incomplete.
    """
    places = (package / "_shipped" / name, package.parent.parent / name)
    for place in places:
        if place.is_dir():
            return place
    raise FileNotFoundError(
        f"this installation lacks '{name}'; looked in {places[0]} and {places[1]}; install it again"
    )
