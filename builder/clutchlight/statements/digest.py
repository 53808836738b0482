"""The digest of a statement: a fingerprint of its figures and nothing else.

Covers schema, id, species, sex, hatched, looks, parents, and per locus and allele copies, carries, grounds and proven_by, all as they
stand in statement.json, so that a reader can make it again. Labels, notes and every other word are outside, so that a reworded
sentence changes nothing. Canonical JSON by RFC 8785, then SHA-256 (FIPS 180-4).
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

import rfc8785

from clutchlight.model import Animal, When
from clutchlight.statements.values import AnimalStatement, Parents, TraitStatement

SCHEMA = "clutchlight/statement/1"


def digest_of(animal: Animal, looks: Sequence[str] | None, parents: Parents, traits: Sequence[TraitStatement]) -> str:
    """ "sha256:" and 64 hexadecimal digits."""
    covered = _covered(animal.id, animal.species, animal.sex, animal.hatched, looks, parents, traits)
    return f"sha256:{hashlib.sha256(rfc8785.dumps(covered)).hexdigest()}"


def covered_by(said: AnimalStatement) -> dict[str, Any]:
    """What the digest of a statement covers, as plain data: `figures` of a dated record."""
    return _covered(said.id, said.species, said.sex, said.hatched, said.looks, said.parents, said.traits)


def _covered(
    ident: str,
    species: str,
    sex: str,
    hatched: When | None,
    looks: Sequence[str] | None,
    parents: Parents,
    traits: Sequence[TraitStatement],
) -> dict[str, Any]:
    return {
        "schema": SCHEMA,
        "id": ident,
        "species": species,
        "sex": sex,
        "hatched": str(hatched) if hatched else None,
        "looks": None if looks is None else list(looks),
        "parents": {
            "sires": [
                {"id": sire.id, "chance": None if sire.chance is None else str(sire.chance)} for sire in parents.sires
            ],
            "dam": parents.dam,
            "clutch": parents.clutch,
        },
        "traits": [
            {
                "locus": trait.locus,
                "trait": trait.trait,
                "copies": {str(count): str(chance) for count, chance in enumerate(trait.copies)},
                "carries": str(trait.carries),
                "grounds": trait.grounds.kind,
                "proven_by": trait.grounds.proven_by,
            }
            for trait in traits
        ],
    }
