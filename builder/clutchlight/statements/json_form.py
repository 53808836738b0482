"""statement.json: an animal's or a clutch's statement as plain data, keys in the order in which the format's page lists them.

Chances are strings in lowest terms. The result fits schemas/statement.json.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, TypeAlias

from clutchlight.model import When
from clutchlight.statements.values import (
    AnimalStatement,
    ClutchStatement,
    NotComputedTrait,
    Note,
    Parents,
    SireChance,
    TraitAtTime,
    TraitStatement,
)

Json: TypeAlias = "bool | int | str | list[Json] | dict[str, Json] | None"


def to_json(
    statement: AnimalStatement | ClutchStatement, made: Mapping[str, dict[str, Json]] = MappingProxyType({})
) -> dict[str, Json]:
    """The statement as plain data. `made`: that of its young, where it was made already."""
    return _animal(statement) if isinstance(statement, AnimalStatement) else _clutch(statement, made)


def _animal(said: AnimalStatement) -> dict[str, Json]:
    return {
        "schema": SCHEMA,
        "kind": "animal",
        "id": said.id,
        "name": said.name,
        "species": said.species,
        "since": said.since.isoformat() if said.since else None,
        "sex": said.sex,
        "hatched": _when(said.hatched),
        "looks": None if said.looks is None else list(said.looks),
        "under_review": list(said.under_review),
        "parents": _parents(said.parents),
        "inbreeding": str(said.inbreeding),
        "traits": [
            *(_without_figure(trait) if trait.under_review else _trait(trait) for trait in said.traits),
            *(_without_figure(trait) for trait in said.not_computed),
        ],
        "all_of": {
            "traits": list(said.all_of.traits),
            "chance": str(said.all_of.every),
            "none": str(said.all_of.none),
        }
        if said.all_of
        else None,
        "advert": said.advert,
        "maker": said.maker,
        "notes": [_note(note) for note in said.notes],
        "surprises": [{"trait": note.trait, "text": note.text} for note in said.surprises],
        "digest": digest_of(said),
    }


def _clutch(said: ClutchStatement, made: Mapping[str, dict[str, Json]]) -> dict[str, Json]:
    clutch = said.clutch
    return {
        "schema": SCHEMA,
        "kind": "clutch",
        "id": clutch.id,
        "name": clutch.name,
        "species": clutch.species,
        "since": said.since.isoformat() if said.since else None,
        "state": said.state,
        "sires": _sires(said.sires),
        "dam": said.dam,
        "laid": _when(clutch.laid),
        "hatched": _when(clutch.hatched),
        "ended": _when(clutch.ended),
        "eggs": {
            "good": clutch.eggs,
            "slugs": clutch.slugs,
            "went_bad": clutch.went_bad,
            "unseen": clutch.unseen,
            "to_sort": clutch.to_sort,
        },
        "complete": clutch.complete,
        "counts": clutch.counts,
        "young": [made.get(young.id) or _animal(young) for young in said.young],
        "notes": [_note(note) for note in said.notes],
        "surprises": [{"trait": note.trait, "text": note.text} for note in said.surprises],
    }


def _trait(trait: TraitStatement) -> dict[str, Json]:
    return {
        "locus": trait.locus,
        "trait": trait.trait,
        "shows": trait.shows,
        "copies": {str(count): str(chance) for count, chance in enumerate(trait.copies)},
        "carries": str(trait.carries),
        "percent": trait.percent,
        "label": trait.label,
        "certainty": trait.certainty,
        "grounds": trait.grounds.kind,
        "proven_by": trait.grounds.proven_by,
        "rests_on": list(trait.rests_on),
        "when_hatched": _standing(trait.when_hatched),
        "when_sold": _standing(trait.when_sold),
    }


def _without_figure(trait: NotComputedTrait | TraitStatement) -> Json:
    """A trait that is not computed, or is under review, keeps its place: leaving it out would read as a chance of nothing."""
    unknown = dict.fromkeys(("copies", "carries", "percent", "certainty", "grounds"))
    return {**_trait(TraitStatement(trait.locus, trait.trait)), **unknown, "label": trait.label}


def _standing(then: TraitAtTime | None) -> Json:
    return {"carries": str(then.carries), "percent": then.percent} if then else None


def _when(when: When | None) -> str | None:
    return str(when) if when else None


def _parents(parents: Parents) -> Json:
    return {"sires": _sires(parents.sires), "dam": parents.dam, "clutch": parents.clutch}


def _sires(sires: tuple[SireChance, ...]) -> Json:
    return [
        {
            "id": None if said.sire is None else str(said.sire),
            "chance": None if said.chance is None else str(said.chance),
        }
        for said in sires
    ]


def _note(note: Note) -> Json:
    return {"kind": note.kind, "trait": note.trait, "text": note.text}


SCHEMA = "clutchlight/statement/1"


def digest_of(said: AnimalStatement) -> str:
    """ "sha256:" and 64 hexadecimal digits."""
    return f"sha256:{hashlib.sha256(canonical(covered_by(said)).encode('utf-8')).hexdigest()}"


def canonical(value: object) -> str:
    """RFC 8785 for what a ledger holds: objects, lists, text, small whole numbers, true, false and null, under ASCII keys.

    For these, Python's own writer gives the same bytes as a full RFC 8785 one, many times quicker; a test holds the two together.
    """
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def covered_by(said: AnimalStatement) -> dict[str, Any]:
    """What the digest of a statement covers, as plain data: `figures` of a dated record; of what is under review that it is, no figure."""
    traits = ("locus", "trait", "copies", "carries", "grounds", "proven_by")
    aside = {"under_review": sorted(said.under_review)} if said.under_review else {}
    return {
        "schema": SCHEMA,
        "id": said.id,
        "species": said.species,
        "sex": said.sex,
        "hatched": _when(said.hatched),
        "looks": None if said.looks is None else list(said.looks),
        "parents": _parents(said.parents),
        "traits": [
            {key: row[key] for key in traits} for row in (_trait(one) for one in said.traits if not one.under_review)
        ],
        **aside,
    }
