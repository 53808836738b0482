"""The site's data for other programs: what is available, as JSON, and the pedigree, as a PLINK .ped file.

`pedigree.ped` (PLINK 1.9, file format reference, ".ped" and ".fam"): one animal a line, no header; a line that begins with `#`
is a comment. Fields: family, animal, father, mother (`0` = not known), sex (1 male, 2 female, 0 unknown), phenotype (-9 = none).
The family is the species. A parent that may not be named, has no record of its own, or is in doubt is written as `0`.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping

from clutchlight.model import Animal
from clutchlight.statements import day_words
from clutchlight.website import addresses
from clutchlight.website.context import Context, for_sale

AVAILABILITY = "clutchlight/availability/1"
_SEX = {"male": "1", "female": "2", "unknown": "0"}


def to_bytes(document: Mapping[str, object]) -> bytes:
    """JSON as people can read it, always the same bytes: a line for each key, and for each entry of a list of objects."""
    lines = ",\n".join(f" {_dumped(key)}: {_on_lines(value)}" for key, value in document.items())
    return f"{{\n{lines}\n}}\n".encode()


def _on_lines(value: object) -> str:
    if isinstance(value, list) and value and isinstance(value[0], dict):
        entries = ",\n".join(f"  {_dumped(entry)}" for entry in value)
        return f"[\n{entries}\n ]"
    return _dumped(value)


_dumped = json.JSONEncoder(ensure_ascii=False).encode


def availability(context: Context) -> Mapping[str, object]:
    settings = context.collection.settings
    return {
        "schema": AVAILABILITY,
        "collection": settings.name,
        "collection_id": settings.collection_id,
        "animals": [_offer(context, animal) for animal in context.animals if for_sale(animal)],
    }


def _offer(context: Context, animal: Animal) -> Mapping[str, object]:
    stated = context.statement(animal.id)
    amount = day_words.amount(animal.price)
    currency = context.collection.settings.currency
    return {
        "id": animal.id,
        "name": animal.name,
        "page": addresses.animal(animal.id),
        "statement": addresses.animal_statement(animal.id),
        "species": animal.species,
        "scientific_name": context.species(animal.species).scientific_name,
        "sex": animal.sex,
        "hatched": str(animal.hatched) if animal.hatched else None,
        "status": animal.status,
        "price": {"amount": str(amount), "currency": currency} if amount is not None else None,
        "looks": None if stated.looks is None else list(stated.looks),
        "shows": [trait.trait for trait in stated.traits if trait.shows and trait.mentioned],
        "certain": [trait.trait for trait in stated.certain],
        "possible": [
            {"trait": trait.trait, "carries": str(trait.carries), "percent": trait.percent} for trait in stated.possible
        ],
        "advert": stated.advert,
    }


def pedigree(context: Context) -> bytes:
    lines = ["#FID IID PAT MAT SEX PHENOTYPE", *_rows(context)]
    return ("\n".join(lines) + "\n").encode("ascii")


def _rows(context: Context) -> Iterator[str]:
    for key, animal in sorted(context.collection.animals.items()):
        if context.may_name(key):
            parents = context.statement(key).parents
            sire = parents.sires[0].id if len(parents.sires) == 1 else None
            yield " ".join(
                (animal.species, key, _known(context, sire), _known(context, parents.dam), _SEX[animal.sex], "-9")
            )


def _known(context: Context, parent: str | None) -> str:
    return parent if parent is not None and context.may_name(parent) else "0"
