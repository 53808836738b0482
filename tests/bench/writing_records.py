"""A generated collection as the files that a breeder would have written.

Founders have a file each, with what was claimed of them; a clutch is one file with its young as lines; a young that was bred from has
a file of its own besides, as one does for a holdback. The young of the last season are for sale.

>>> from tempfile import TemporaryDirectory
>>> from clutchlight.pipeline import open_book
>>> made = generate(Shape(animals=60), seed=2)
>>> with TemporaryDirectory() as folder:
...     write(made.collection, Path(folder))
...     book = open_book(Path(folder)).book
>>> book is not None and sorted(book.collection.animals) == sorted(made.collection.animals)
True
"""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from tests.bench.generating import Shape, generate

from clutchlight.model import Animal, Clutch, Collection, Inheritance, Locus

__all__ = ["Shape", "clutch_file", "generate", "write"]

SETTINGS = """\
format: 1
name: A generated room
collection_id: 5f0c5c1e-3b1f-4f0a-9a53-6c2e8f41b7d9
species: [ball-python]
contact: {mail: room@example.org}
web_address: https://room.example.org/
currency: EUR
"""


def write(collection: Collection, folder: Path) -> None:
    """Write every record of a collection that `generate` made into a folder."""
    for name in ("animals", "clutches", "traits"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    (folder / "collection.yaml").write_text(SETTINGS, encoding="utf-8")
    for species in collection.species.values():
        lines = [f"species: {species.key}", "loci:", *(_locus(locus) for locus in species.loci.values())]
        (folder / f"traits/{species.key}.yaml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    last = max((clutch.hatched.last.year for clutch in collection.clutches.values() if clutch.hatched), default=0)
    parents = {parent for clutch in collection.clutches.values() for parent in (*clutch.sires.ids, clutch.dam)}
    for animal in collection.animals.values():
        if animal.clutch is None:
            (folder / f"animals/{animal.id}.md").write_text(_founder(animal), encoding="utf-8")
        elif animal.id in parents:
            (folder / f"animals/{animal.id}.md").write_text(_holdback(animal), encoding="utf-8")
    for clutch in collection.clutches.values():
        text = clutch_file(clutch, collection, last, parents)
        (folder / f"clutches/{clutch.id}.md").write_text(text, encoding="utf-8")


def _locus(locus: Locus) -> str:
    kind = "incomplete dominant" if locus.inheritance is Inheritance.INCOMPLETE_DOMINANT else "recessive"
    linked = f", sex_linked: {{crossover: {locus.sex_linked.crossover}}}" if locus.sex_linked else ""
    return f"  - {{locus: {locus.key}, inheritance: {kind}, alleles: [{', '.join(locus.alleles)}]{linked}}}"


def _founder(animal: Animal) -> str:
    lines = [f"id: {animal.id}", f"sex: {animal.sex}", "status: breeder", *_shows(animal)]
    if animal.claims:
        lines += [
            "claims:",
            *(f"  {claim.trait}: {'100%' if claim.chance == 1 else claim.chance}" for claim in animal.claims),
        ]
    return _record(lines, "Came to us as an adult.")


def _holdback(animal: Animal) -> str:
    return _record([f"id: {animal.id}", "status: breeder", *_tests(animal)], "Held back from its clutch.")


def _tests(animal: Animal) -> list[str]:
    return [
        f"tests: [{{trait: {test.trait}, copies: {test.copies}, on: {test.on.last}"
        + (f", error: {test.error}}}]" if test.error else "}]")
        for test in animal.tests[:1]
        if test.on
    ]


def _shows(animal: Animal) -> list[str]:
    return [f"shows: {_look(animal)}"] if animal.readings else []


def _look(animal: Animal) -> str:
    looks = animal.readings[0].shows
    return f"[{', '.join(looks)}]" if looks else "normal"


def clutch_file(clutch: Clutch, collection: Collection, last: int, parents: set[str]) -> str:
    """The file of a clutch; its young are for sale when they hatched in the year `last`, sold when they were not bred from."""
    hatched = clutch.hatched
    if hatched is None:
        raise ValueError(f"{clutch.id} has not hatched")
    lines = [
        f"id: {clutch.id}",
        f"sire: {_sires(clutch)}",
        f"dam: {clutch.dam}",
        f"laid: {hatched.last - timedelta(days=58)}",
        f"hatched: {hatched.last}",
    ]
    if clutch.eggs is not None:
        lines += [f"eggs: {clutch.eggs}", f"went_bad: {clutch.went_bad}"]
    if not clutch.complete:
        lines.append("complete: no")
    if clutch.young:
        lines.append("young:")
    for key in clutch.young:
        animal = collection.animals[key]
        said = [f"id: {key}", f"sex: {animal.sex}", *_shows(animal)]
        if key not in parents:
            said += (
                ["status: available", "price: 150"] if hatched.last.year == last else ["status: sold", *_tests(animal)]
            )
        lines.append(f"  - {{{', '.join(said)}}}")
    return _record(lines, "All ate within a month.")


def _sires(clutch: Clutch) -> str:
    if clutch.sires.kind == "one":
        return clutch.sires.ids[0]
    kind = "one_of" if clutch.sires.kind == "one of" else "mixed"
    return f"{{{kind}: {{{', '.join(f'{name}: {chance}' for name, chance in clutch.sires.candidates)}}}}}"


def _record(lines: list[str], prose: str) -> str:
    return "\n".join(["---", *lines, "---", prose]) + "\n"
