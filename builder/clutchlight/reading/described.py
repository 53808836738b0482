"""Animals described in words, as on a price list ("male, Piebald, 66% het Clown"): looked at and never written down.

Parts stand between commas: its sex; what it shows, as in `shows`; what is said to be hidden, as "het Clown", "66% het Clown",
"2/3 het Clown", "50% possible Pastel" or, as we say it ourselves, "het Motley or Stripe (one of the two)". Without a look it is taken
to look normal. It is a founder of its own, related to nobody here. Mistakes are told at their column of the text.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from fractions import Fraction

from msgspec.structs import replace

from clutchlight.model import Animal, Collection, Reading, Species
from clutchlight.problems import COMMAND_LINE, RecordsError, errors_in, in_order
from clutchlight.reading.animals import check_reading, claims_from
from clutchlight.reading.fields import SEXES, read_chance
from clutchlight.reading.findings import Findings
from clutchlight.reading.names import EITHER, Names
from clutchlight.reading.shapes import ClaimRecord
from clutchlight.reading.text import Mark, WrittenText

_COMMA = re.compile(",")
_SEVERAL = re.compile(r"\s*[&+]\s*|\s+and\s+")
_EITHER = re.compile(EITHER, re.IGNORECASE)
_HIDDEN = re.compile(
    r"(?:(?P<chance>[0-9][0-9./]*\s*%?)\s+)?(?P<possible>pos(?:s|sible)?\.?\s+)?"
    r"(?:hets?\s+|(?(chance)(?(possible)|(?!))|(?!)))(?P<trait>.+)",
    re.IGNORECASE,
)


def is_description(text: str) -> bool:
    """Whether words describe an animal: they begin with a sex and go on after a comma. An id or a name does not."""
    first, comma, _ = text.partition(",")
    return bool(comma) and first.strip().casefold() in SEXES


def quoted(text: str) -> str:
    """The id of an animal described in these words, which nobody can give to another."""
    return f'"{text}"'


def with_described(collection: Collection, texts: Iterable[str], species: Species) -> Collection:
    """The collection with animals of one species described in words, whose ids are these words. Raises RecordsError."""
    found = {quoted(text): described(text, species) for text in texts}
    return replace(collection, animals=dict(sorted({**collection.animals, **found}.items())))


def described(text: str, species: Species) -> Animal:
    """The animal that the words describe, its id the words themselves in quotation marks. Raises RecordsError."""
    findings = Findings()
    names = Names(species)
    first, *rest = WrittenText.put(text, COMMAND_LINE.file, COMMAND_LINE.line, 1).pieces(_COMMA)
    hidden = [(part, found) for part in rest if (found := _HIDDEN.fullmatch(part))]
    claims = [claim for part, found in hidden for claim in _claims(part, found, names, findings)]
    looks = names.shown([part for part in rest if not _HIDDEN.fullmatch(part)], findings).looks
    reading = Reading(looks, COMMAND_LINE)
    check_reading(reading, (), names, findings)
    claimed = claims_from(claims, [reading], names, findings)
    if errors_in(findings.problems):
        raise RecordsError(in_order(findings.problems))
    return Animal(
        quoted(text),
        species.key,
        COMMAND_LINE,
        SEXES[first.casefold()],
        readings=(reading,),
        claims=claimed,
        status="elsewhere",
        publish="no",
    )


def _claims(part: WrittenText, hidden: re.Match[str], names: Names, findings: Findings) -> Iterator[ClaimRecord]:
    """What is said of one trait, or of several named in one breath, as a record would say it."""
    chance = _chance(part, hidden, findings)
    trait = part.group(hidden, "trait")
    either = _EITHER.fullmatch(trait)
    if either is not None and chance == 1 and names.of_one_locus(either):
        several, chance = [trait.group(either, name) for name in ("one", "other")], Fraction(1, 2)
    else:
        several = trait.pieces(_SEVERAL)
    for name in several if chance is not None else ():
        yield ClaimRecord(at=Mark(name.place), trait=name, chance=chance)


def _chance(part: WrittenText, hidden: re.Match[str], findings: Findings) -> Fraction | None:
    if hidden["chance"] is not None:
        chance = read_chance(hidden["chance"].strip())
    elif hidden["possible"]:
        chance = f"'{hidden.group()}' does not say how likely; write a figure, such as 66% het {hidden['trait']}"
    else:
        chance = Fraction(1)
    if isinstance(chance, str):
        findings.report(part.place, "bad-chance", chance)
        return None
    return chance
