"""The collection in open formats: PLINK .ped and .fam, a GA4GH pedigree, CSV, JSON and DOT. Pure; no private record is known here.

What is not published is left out (`published`), unless it is asked for: unlisted animals and clutches, and of animals by name only what
stands on a page of their own. A parent that is not listed is one not known.

`ped`: PLINK 1.9, file format reference (".ped", ".fam"): family, individual, father, mother, sex (1 male, 2 female, 0 unknown),
phenotype (-9 none), the father first; no header, no genotype columns. The family is the species; `0` is a parent not known.

`ga4gh`: the GA4GH Pedigree model as the Phenopacket schema's documentation sets it out (docs/ga4gh-pedigree.rst): individuals
with a subject, relationships {individualId, relation, relativeId} with the terms KIN:027 (biological mother) and KIN:028
(biological father) of the Kinship Ontology. It was made for people: the species stands in `narrative`.

A sire in doubt is written as not known in both: neither format has a place for a chance. CSV, JSON and DOT say who may be the sire.

`dot`: the DOT language of Graphviz, to lay out and colour elsewhere: a box for a male, an ellipse for a female, a diamond where the sex
is not known; a point for each clutch, from which its young descend; the lines of sires in doubt dashed, with their chances.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from types import MappingProxyType

from msgspec.structs import replace

from clutchlight.model import Animal, Clutch, Collection, Recorded, When
from clutchlight.model.as_published import as_published, is_unlisted
from clutchlight.problems import RecordsError
from clutchlight.reading.tables import cells_as_line, without_formula

_SEX = {"male": "1", "female": "2", "unknown": "0"}
_GA4GH_SEX = {"male": "MALE", "female": "FEMALE", "unknown": "UNKNOWN_SEX"}
_SHAPES = {"male": "box", "female": "ellipse", "unknown": "diamond"}
COLUMNS = ("id", "name", "species", "sex", "hatched", "sire", "dam", "clutch", "shows", "status", "origin")
RECORDS = "clutchlight/records/1"


def published(collection: Collection) -> Collection:
    """The collection with nothing in it but what the site tells."""
    seen = as_published(collection)
    animals = {key: _by_name(one) if one.publish == "name only" else one for key, one in seen.animals.items()}
    return replace(seen, animals=MappingProxyType(animals))


def _by_name(animal: Animal) -> Animal:
    """What is told of an animal that has no page of its own; a clutch tells its day and what became of its young."""
    named = replace(animal, was=(), claims=(), tests=(), origin=None)
    return named if _clutch(animal) else replace(named, hatched=None, left=None, status="not for sale")


def parents_of(collection: Collection, animal: Animal) -> tuple[str | None, str | None]:
    """(sire, dam) by id, each None when it is not known, in doubt, or described in place only."""
    sire, dam = animal.sire, animal.dam
    clutch = collection.clutches.get(animal.clutch or "")
    if clutch is not None:
        sire, dam = clutch.sires.certain, clutch.dam
    return _named(collection, sire), _named(collection, dam)


def to_ped(collection: Collection) -> str:
    """The first six columns of a .ped file, which are a .fam file. Raises RecordsError for an id that the format cannot hold."""
    lines = []
    for animal in _named_animals(collection):
        if animal.id == "0":
            said = "the id '0' means 'not known' in this format; choose another id"
            raise RecordsError.at(animal.place, "cannot-write", said)
        sire, dam = parents_of(collection, animal)
        lines.append(ped_row(animal, sire, dam))
    return "".join(f"{line}\n" for line in lines)


def ped_row(animal: Animal, sire: str | None, dam: str | None) -> str:
    return " ".join((animal.species, animal.id, sire or "0", dam or "0", _SEX[animal.sex], "-9"))


def to_ga4gh(collection: Collection) -> str:
    """A GA4GH pedigree of the whole collection, as JSON."""
    terms = {"id": "KIN:027", "label": "isBiologicalMotherOf"}, {"id": "KIN:028", "label": "isBiologicalFatherOf"}
    relationships = [
        {"individualId": parent, "relation": relation, "relativeId": animal.id}
        for animal in _named_animals(collection)
        for parent, relation in zip(parents_of(collection, animal)[::-1], terms, strict=True)
        if parent is not None
    ]
    species = ", ".join(sorted({one.scientific_name for one in collection.species.values()}))
    return _json(
        {
            "id": collection.settings.collection_id,
            "narrative": f"{collection.settings.name}: {species}",
            "individuals": [{"id": animal.id, "subject": _subject(animal)} for animal in _named_animals(collection)],
            "relationships": relationships,
        }
    )


def to_csv(collection: Collection) -> str:
    """One animal a row. Several sires that are possible stand in one cell with their chances."""
    rows = [COLUMNS, *(_cells(collection, animal) for animal in _named_animals(collection))]
    return "".join(f"{cells_as_line([without_formula(cell) for cell in row], ',')}\n" for row in rows)


def to_json(collection: Collection) -> str:
    """Animals and clutches as recorded: what was seen, said and counted, without any computed figure.

    A clutch is complete if all that hatched stand among its young here.
    """
    return _json(
        {
            "schema": RECORDS,
            "collection": collection.settings.name,
            "collection_id": collection.settings.collection_id,
            "animals": [_animal(collection, animal) for animal in _named_animals(collection)],
            "clutches": [
                {
                    "id": clutch.id,
                    "species": clutch.species,
                    "sires": [{"id": name, "chance": str(chance)} for name, chance in _candidates(collection, clutch)],
                    "dam": _named(collection, clutch.dam),
                    **_fields(clutch, "laid eggs slugs went_bad unseen hatched ended"),
                    "complete": clutch.complete and len(_young(clutch)) == clutch.hatchlings,
                    "young": _young(clutch),
                }
                for clutch in collection.clutches.values()
                if not is_unlisted(clutch.id)
            ],
        }
    )


def to_dot(collection: Collection) -> str:
    """Who descends from whom, as a graph with labels."""
    from graphviz import Digraph, escape

    graph = Digraph("pedigree", edge_attr={"arrowhead": "none"})
    families: dict[str, list[str]] = {}
    for animal in _named_animals(collection):
        label = "\\n".join(escape(text) for text in (animal.name, animal.id, _looks(animal)) if text)
        graph.node(animal.id, label, shape=_SHAPES[animal.sex])
        if parents := _possible_parents(collection, animal):
            clutch = _clutch(animal)
            family = f"clutch {clutch}" if clutch else f"young of {' and '.join(parents)}"
            families.setdefault(family, []).append(animal.id)
    for family, young in families.items():
        graph.node(family, "", shape="point")
        for parent, chance in _possible_parents(collection, collection.animals[young[0]]).items():
            graph.edge(parent, family, **({"label": chance, "style": "dashed"} if chance else {}))
        for one in young:
            graph.edge(family, one)
    return str(graph.source)


FORMATS: Mapping[str, Callable[[Collection], str]] = {
    "ped": to_ped,
    "ga4gh": to_ga4gh,
    "csv": to_csv,
    "json": to_json,
    "dot": to_dot,
}


def _named_animals(collection: Collection) -> Iterator[Animal]:
    """Every listed animal with an id of its own, in order of id."""
    return (animal for animal in collection.animals.values() if _named(collection, animal.id))


def _named(collection: Collection, name: str | None) -> str | None:
    found = collection.animals.get(name or "")
    return found.id if found is not None and not found.nameless and not is_unlisted(found.id) else None


def _candidates(collection: Collection, clutch: Clutch) -> Iterator[tuple[str | None, Fraction]]:
    """Who may be the sire, with his chance; those that have no name here together."""
    found: dict[str | None, Fraction] = {}
    for sire, chance in clutch.sires.candidates:
        shown = _named(collection, sire.id) if isinstance(sire, Recorded) else str(sire)
        found[shown] = found.get(shown, Fraction(0)) + chance
    yield from found.items()


def _young(clutch: Clutch) -> list[str]:
    return [name for name in clutch.young if not is_unlisted(name)]


def _clutch(animal: Animal) -> str | None:
    return None if animal.clutch is None or is_unlisted(animal.clutch) else animal.clutch


def _subject(animal: Animal) -> dict[str, object]:
    subject: dict[str, object] = {"id": animal.id, "sex": _GA4GH_SEX[animal.sex]}
    if animal.was:
        subject["alternateIds"] = list(animal.was)
    return subject


def _cells(collection: Collection, animal: Animal) -> tuple[str, ...]:
    _, dam = parents_of(collection, animal)
    return (
        animal.id,
        animal.name or "",
        animal.species,
        animal.sex,
        str(animal.hatched or ""),
        _sires(collection, animal),
        dam or "",
        _clutch(animal) or "",
        _looks(animal),
        _status(animal),
        animal.origin or "",
    )


def _sires(collection: Collection, animal: Animal) -> str:
    clutch = collection.clutches.get(animal.clutch or "")
    if clutch is None or clutch.sires.only is not None:
        return parents_of(collection, animal)[0] or ""
    return "; ".join(f"{name or 'not listed'} {chance}" for name, chance in _candidates(collection, clutch))


def _possible_parents(collection: Collection, animal: Animal) -> dict[str, str]:
    """Every parent with an id of its own, and the chance of a sire in doubt."""
    sire, dam = parents_of(collection, animal)
    clutch = collection.clutches.get(animal.clutch or "")
    found = {sire: ""} if sire else {}
    if clutch is not None and clutch.sires.only is None:
        found = {
            name: str(chance) for name, chance in _candidates(collection, clutch) if name and _named(collection, name)
        }
    return found | ({dam: ""} if dam else {})


def _looks(animal: Animal) -> str:
    reading = animal.reading
    if reading is None or reading.shows is None:
        return ""
    return "; ".join((*reading.shows, *(f"{name} (line not known)" for name in reading.loose))) or "normal"


def _animal(collection: Collection, animal: Animal) -> dict[str, object]:
    sire, dam = parents_of(collection, animal)
    reading = animal.reading
    return {
        **_fields(animal, "id name was species sex hatched"),
        "sire": sire,
        "dam": dam,
        "clutch": _clutch(animal),
        "looks": None if reading is None or reading.shows is None else [*reading.shows, *reading.loose],
        "claims": [
            {"trait": claim.trait, "chance": None if claim.chance is None else str(claim.chance), "from": claim.said_by}
            for claim in animal.claims
        ],
        "tests": [
            {"trait": test.trait, "copies": test.copies, "on": str(test.on), "error": str(test.error), "lab": test.lab}
            for test in animal.tests
        ],
        "status": _status(animal),
        "origin": animal.origin,
    }


def _status(animal: Animal) -> str:
    """Its status here, or how it left."""
    how = animal.away.how if animal.away is not None else animal.status
    return {"loan": "on loan", "returned": "returned to its owner"}.get(how, how)


def _fields(record: Animal | Clutch, names: str) -> dict[str, object]:
    """Fields of a record by their names; dates as text."""
    values = ((name, getattr(record, name)) for name in names.split())
    return {name: str(value) if isinstance(value, When) else value for name, value in values}


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, indent=1) + "\n"
