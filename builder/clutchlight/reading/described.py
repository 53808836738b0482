"""Animals described in words, as on a price list ("male, Piebald, 66% het Clown"): looked at and never written down.

Parts stand between commas: its sex; what it shows, as in `shows`; what is said to be hidden, as "het Clown", "66% het Clown" or
"2/3 het Clown". Without a look it is taken to look normal. It is a founder of its own, related to nobody here. Mistakes are told at their
column of the text.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction

from msgspec.structs import replace

from clutchlight.model import Animal, Claim, Collection, Reading, Sex, Species
from clutchlight.problems import COMMAND_LINE, RecordsError, errors_in, in_order
from clutchlight.reading.animals import check_reading
from clutchlight.reading.fields import SEXES, read_chance
from clutchlight.reading.findings import Findings
from clutchlight.reading.names import Names
from clutchlight.reading.text import WrittenText

_COMMA = re.compile(",")
_SEVERAL = re.compile(r"\s*[&+]\s*|\s+and\s+")
_HIDDEN = re.compile(
    r"(?:(?P<chance>[0-9][0-9./]*\s*%?)\s+)?(?P<possible>pos(?:s|sible)?\.?\s+)?hets?\s+(?P<trait>.+)", re.IGNORECASE
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
    _check(claims, looks, species, findings)
    if errors_in(findings.problems):
        raise RecordsError(in_order(findings.problems))
    sex: Sex = SEXES[first.casefold()]
    return Animal(
        quoted(text),
        species.key,
        COMMAND_LINE,
        sex,
        readings=(reading,),
        claims=tuple(claims),
        status="elsewhere",
        publish="no",
    )


def _check(claims: Sequence[Claim], shows: Sequence[str], species: Species, findings: Findings) -> None:
    """What is said to be hidden must not be seen, and must leave room for all that is said at a locus."""
    sums: dict[str, Fraction] = {}
    said_of: set[tuple[str, str]] = set()
    for claim in claims:
        if (claim.locus, claim.trait) in said_of:
            findings.report(claim.place, "claim-twice", f"'{claim.trait}' is claimed twice; keep one of the two")
            continue
        said_of.add((claim.locus, claim.trait))
        chance = claim.chance or Fraction(0)
        sums[claim.locus] = sums.get(claim.locus, Fraction(0)) + chance
        locus = species.loci[claim.locus]
        allele = locus.allele_number(claim.trait)
        if any(locus.shows_allele(pair, allele) and locus.look_of[pair] & set(shows) for pair in locus.genotypes):
            said = f"the animal shows '{claim.trait}', so a chance of carrying it says nothing; leave it out"
            findings.report(claim.place, "claim-on-shown", said)
        elif not chance:
            findings.report(claim.place, "claim-of-zero", f"0% of '{claim.trait}' says nothing; leave it out")
        elif sums[claim.locus] > 1:
            said = f"what is said of '{claim.trait}' and of others at its locus adds up to more than certain"
            findings.report(claim.place, "claims-over-one", f"{said}; correct the figures")


def _claims(part: WrittenText, hidden: re.Match[str], names: Names, findings: Findings) -> list[Claim]:
    """What is said of one trait, or of several named in one breath."""
    chance = _chance(part, hidden, findings)
    found = []
    for name in part.group(hidden, "trait").pieces(_SEVERAL):
        named = names.trait(name, findings)
        if named is not None and chance is not None:
            found.append(Claim(named[0].key, named[1], chance, name.place))
    return found


def _chance(part: WrittenText, hidden: re.Match[str], findings: Findings) -> Fraction | None:
    if hidden["chance"] is None:
        if hidden["possible"]:
            said = f"'{hidden.group()}' does not say how likely; write a figure, such as 66% het {hidden['trait']}"
            findings.report(part.place, "bad-chance", said)
            return None
        return Fraction(1)
    chance = read_chance(hidden["chance"].strip())
    if isinstance(chance, str):
        findings.report(part.place, "bad-chance", chance)
        return None
    return chance
