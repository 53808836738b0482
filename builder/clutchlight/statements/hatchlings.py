"""How many hatchlings a figure is about, in words: exactly so many, or a spread and where it comes from."""

from __future__ import annotations

from clutchlight.planning.hatchlings import Hatchlings, UsualClutch
from clutchlight.wording import words


def young_words(young: int | str) -> str:
    """How many hatchlings a figure is about: "6 hatchlings", or "a clutch" where their number is a spread."""
    return words.plural(young, "hatchling") if isinstance(young, int) else "a clutch"


def spread_words(hatchlings: Hatchlings) -> str:
    """What a spread of hatchlings is: "5 or 6 hatchlings on average, from none to 14"."""
    least, mean = hatchlings.chances[0][0], hatchlings.mean
    about = f"{int(mean)}" if mean.denominator == 1 else f"{int(mean)} or {int(mean) + 1}"
    return f"{about} hatchlings on average, from {least or 'none'} to {hatchlings.most}"


def hatchlings_note(clutch: UsualClutch, hatchlings: Hatchlings) -> str:
    """Says of a screen how many hatchlings it reckons with, and where that comes from."""
    if hatchlings.fixed is not None:
        return f"Clutches of {words.plural(hatchlings.fixed, 'hatchling')} are meant."
    source = clutch.spread_source or "set in the trait file"
    return f"Hatchlings are a spread: {spread_words(hatchlings)} ({clutch.source}; {source})."


def clutch_basis(clutch: UsualClutch) -> str:
    """How a usual clutch was come by: "a usual clutch: 7 eggs, 81% hatch, so 6 hatchlings (source)"."""
    if clutch.eggs is None:
        return f"a usual clutch: {words.plural(clutch.hatchlings, 'hatchling')} ({clutch.source})"
    hatch = f"{words.percent_text(clutch.rate)} hatch" if clutch.rate is not None else "taken to hatch all"
    usual = f"a usual clutch: {words.plural(clutch.eggs, 'egg')}, {hatch}"
    if clutch.most is None:
        return f"{usual}, so {words.plural(clutch.hatchlings, 'hatchling')} ({clutch.source})"
    spread = f"a spread from {clutch.fewest} to {words.plural(clutch.most, 'egg')}"
    return f"{usual} ({clutch.source}); {spread} ({clutch.spread_source or 'set in the trait file'})"
