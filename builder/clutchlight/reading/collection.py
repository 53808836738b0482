"""A folder of records → one checked collection, or every problem in it at once.

Order of work: find and compose files; fit each to its shape; enter every id; load the species; read animals and clutches
against ids and species; check records against each other. Each step goes on as far as it can after a mistake, so that
one run shows all of them; what failed in one step still counts as known in the next, so that no mistake is told twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from pathlib import Path
from types import MappingProxyType

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.model import Animal, Clutch, Collection, FreePage, Settings, Sex, Species
from clutchlight.problems import Place, Problem, errors_in, in_order
from clutchlight.reading.animals import Surroundings, add_animal
from clutchlight.reading.catalogue import built_in_species, load
from clutchlight.reading.checks import check_all, check_future
from clutchlight.reading.clutches import add_clutch
from clutchlight.reading.fields import MAX_COUNT, fault_of_slug
from clutchlight.reading.files import Folder, RecordFile
from clutchlight.reading.findings import Findings, in_words, or_nearest
from clutchlight.reading.ids import (
    AnimalDraft,
    ClutchDraft,
    Register,
    check_missing_clutches,
    ids_in,
    parents_named,
    with_parents_by_id,
)
from clutchlight.reading.names import Names
from clutchlight.reading.settings import PageRecord, SettingsRecord, settings_from
from clutchlight.reading.shapes import AnimalRecord, ClutchRecord
from clutchlight.reading.species_files import SpeciesRecord
from clutchlight.reading.strict import RecordShape, Shape, read_as, tables_in
from clutchlight.reading.text import Items, Table, Written, WrittenText

MAX_RECORDS = 50_000
SETTINGS_FILE = "collection.yaml"


class ReadResult(Struct, frozen=True):
    """What reading gave: a collection, or None when any problem is an error; and all problems, in order.

    For the private side: `private`, by the id of an animal or clutch; `season`, as collection.yaml has it; `species`, as it seems
    to name them; `register`: every id, None where a file could not be looked into.
    """

    collection: Collection | None
    problems: tuple[Problem, ...]
    private: tuple[tuple[WrittenText, Table], ...] = ()
    season: Table | None = None
    species: tuple[str, ...] = ()
    register: Register | None = None


def read_collection(folder: Path, until: date | None = None, today: date | None = None) -> ReadResult:
    """Reads and checks every public record under `folder`.

    `until`: the day up to which evidence counts; it is only handed on. `today`: dates after it are warned of; nothing here
    reads a clock.
    """
    return _CollectionReader(folder, until, today).read()


class _CollectionReader:
    def __init__(self, folder: Path, until: date | None, today: date | None) -> None:
        self.findings = Findings(today)
        self.folder = Folder(folder, self.findings)
        self.until = until
        self.register = Register()
        self.broken_traits: set[str] = set()
        self.private: list[tuple[WrittenText, Table]] = []
        self.season: Table | None = None
        self.species: tuple[str, ...] = ()

    def read(self) -> ReadResult:
        if not (self.folder.path / SETTINGS_FILE).exists():
            said = "this folder has no collection.yaml; go to your collection's folder, or make one with `clutchlight start FOLDER`"
            self.findings.report(Place(SETTINGS_FILE), "no-collection", said)
            return self._result(None)
        self.folder.look_for_strays()
        settings, wanted = self._settings()
        own = self._trait_files()
        animal_records = self._records("animals", AnimalRecord)
        clutch_records = self._records("clutches", ClutchRecord)
        species = self._species(wanted, own, [record.species for record, _ in animal_records if record.species])
        drafts, laid = self._register(animal_records, clutch_records)
        around = Surroundings(
            self.findings,
            self.register,
            {key: Names(value, quiet=not self._trusted(key)) for key, value in species.items()},
            self.folder.photos(),
        )
        clutches = self._enter(drafts, laid, wanted[0] if wanted else "", around)
        animals = MappingProxyType(dict(sorted(around.animals.items())))
        check_all(animals, clutches, species, settings, self.findings)
        pages = tuple(self._pages())
        if settings is None:
            return self._result(None)
        used = {animal.species for animal in animals.values()} | set(settings.species)
        return self._result(
            Collection(
                settings=settings,
                species=MappingProxyType({key: species[key] for key in sorted(used) if key in species}),
                animals=with_sexes(animals, clutches),
                clutches=clutches,
                pages=pages,
                until=self.until,
            )
        )

    def _result(self, collection: Collection | None) -> ReadResult:
        check_future(self.findings)
        problems = in_order(self.findings.problems)
        sound = None if errors_in(problems) else collection
        closed = any(problem.code in ("no-collection", "cannot-read", "outside-collection") for problem in problems)
        register = None if closed else self.register
        return ReadResult(sound, problems, tuple(self.private), self.season, self.species, register)

    # ---- files

    def _settings(self) -> tuple[Settings | None, tuple[str, ...]]:
        source = self.folder.read(SETTINGS_FILE)
        if source is None or source.root is None:
            return None, ()
        self.species = species_in(source.root)
        season = source.root.get("season") if isinstance(source.root, Table) else None
        self.season = season if isinstance(season, Table) else None
        record = read_as(SettingsRecord, source.root, self.findings)
        if record is None:
            return None, tuple(name for name in self.species if name in built_in_species())
        settings = settings_from(record, self.findings)
        return settings, settings.species

    def _trait_files(self) -> list[SpeciesRecord]:
        found: list[SpeciesRecord] = []
        for source in self.folder.sources("traits"):
            before = self.findings.errors
            record = None if source.root is None else read_as(SpeciesRecord, source.root, self.findings)
            if record is None:
                self._distrust(*species_in(source.root))
                continue
            found.append(record)
            if self.findings.errors > before:
                self._distrust(record.species)
        return found

    def _distrust(self, *species: str) -> None:
        """Names of these species ("": of any, when not even that is known) may be right although they are unknown."""
        self.broken_traits.update(species or ("",))

    def _trusted(self, species: str) -> bool:
        """Whether no file that may be about this species is broken."""
        return self.broken_traits.isdisjoint(("", species))

    def _records(self, folder: str, shape: type[Shape]) -> list[tuple[Shape, str]]:
        """The records of a folder, each with the prose of its file."""
        sources = self.folder.sources(folder)
        return [(record, source.prose) for source in sources for record in self._fitted(source, shape)]

    def _fitted(self, source: RecordFile, shape: type[Shape]) -> Iterable[Shape]:
        """The records of a file that fit their shape; the ids of the others become known all the same."""
        if source.root is None:
            self.register.add_broken(source.text, source.file)
            return
        for table in self._tables(source, source.root, shape):
            if (record := read_as(shape, table, self.findings)) is not None:
                self._keep_private(record)
                yield record
            else:
                self.register.add_known(ids_in(table, clutch=shape is ClutchRecord))

    def _keep_private(self, record: RecordShape) -> None:
        young = record.young if isinstance(record, ClutchRecord) else ()
        for one in (record, *young):
            if one.private is not None and isinstance(name := getattr(one, "id", None), WrittenText):
                self.private.append((name, one.private))

    def _tables(self, source: RecordFile, root: Written, shape: type[RecordShape]) -> Iterable[Table]:
        if isinstance(root, Items) and not source.markdown and len(root) > MAX_RECORDS:
            said = f"a file holds at most {MAX_RECORDS} records; split it"
            self.findings.report(root.place, "too-many-records", said)
            return ()
        wanted = f"write keys of {shape.noun}, such as `id: ...`" + ("" if source.markdown else ", or a list of them")
        of_each = f"each item of the list is {shape.noun} with its keys"
        return tables_in(root, self.findings, wanted, of_each, several=not source.markdown)

    def _pages(self) -> Iterator[FreePage]:
        for source in self.folder.sources("pages"):
            if source.root is None:
                continue
            record = read_as(PageRecord, source.root, self.findings)
            slug = Path(source.file).stem
            if fault := fault_of_slug(slug):
                self.findings.report(Place(source.file), "bad-key", f"the file's name {fault}")
            elif record is not None:
                yield FreePage(slug, record.title, source.prose, record.place)

    # ---- species

    def _species(
        self, wanted: tuple[str, ...], own: list[SpeciesRecord], named: Iterable[WrittenText]
    ) -> Mapping[str, Species]:
        """The species that anything names: a file of the breeder's own, the settings, an animal."""
        known = tuple(dict.fromkeys((*built_in_species(), *(str(record.species) for record in own))))
        asked = {str(record.species): record.place for record in own}
        for key in wanted:
            asked.setdefault(key, Place(SETTINGS_FILE))
        for name in named:
            asked.setdefault(str(name), name.place)
        species: dict[str, Species] = {}
        for key, place in asked.items():
            if key not in known:
                if self._trusted(key):
                    near = or_nearest(key, known, f"the known ones are {in_words(known, 'and')}")
                    said = f"'{key}' is no species on record{near}; a new species is described in traits/"
                    self.findings.report(place, "unknown-species", said)
                continue
            before = self.findings.errors
            if (loaded := load(key, own, self.findings)) is not None:
                species[key] = loaded
            if self.findings.errors > before:
                self._distrust(key)
        return MappingProxyType(dict(sorted(species.items())))

    # ---- records

    def _register(
        self, animals: list[tuple[AnimalRecord, str]], clutches: list[tuple[ClutchRecord, str]]
    ) -> tuple[dict[str, AnimalDraft], list[ClutchDraft]]:
        """Enters every id and every name; joins young with their files in animals/."""
        drafts: dict[str, AnimalDraft] = {}
        earlier: dict[str, AnimalDraft] = {}
        for animal, prose in animals:
            if self.register.add(animal.id, "animal", self.findings):
                draft = drafts[str(animal.id)] = AnimalDraft(str(animal.id), animal.place, own=animal, prose=prose)
                earlier.update((str(name), draft) for name in animal.was)
        laid = [ClutchDraft(clutch, prose) for clutch, prose in clutches if self._new_clutch(clutch)]
        for clutch in laid:
            clutch.young = self._young_of(clutch.record, drafts, earlier)
        for draft in drafts.values():
            for name in (name for record in draft.records for name in record.was):
                if draft.young is None or name != draft.young.id or name == draft.id:
                    self.register.add(name, "earlier id", self.findings, now=draft.id)
        for clutch in laid:
            for name in clutch.record.was:
                self.register.add(name, "earlier id", self.findings, now=str(clutch.record.id))
        called = [(record.name, draft.id) for draft in drafts.values() for record in draft.records]
        called += [(clutch.record.name, str(clutch.record.id)) for clutch in laid]
        for word, of in called:
            self.register.add_name(word, of)
        for draft in drafts.values():
            if draft.own is not None:
                draft.own = with_parents_by_id(draft.own, self.register)
        for clutch in laid:
            clutch.record = with_parents_by_id(clutch.record, self.register)
            for draft in clutch.young:
                draft.clutch = clutch.record
        ids = list(self.register.of_kind("clutch"))
        check_missing_clutches(drafts.values(), ids, self.register.entries, self.findings)
        return drafts, laid

    def _new_clutch(self, clutch: ClutchRecord) -> bool:
        """Enters a clutch. One whose id is taken is one mistake: its young count as known, and nothing more is said of it."""
        if self.register.add(clutch.id, "clutch", self.findings):
            return True
        self.register.add_known(young.id for young in clutch.young if young.id is not None)
        return False

    def _young_of(
        self, clutch: ClutchRecord, drafts: dict[str, AnimalDraft], earlier: Mapping[str, AnimalDraft]
    ) -> list[AnimalDraft]:
        found: list[AnimalDraft] = []
        if len(clutch.young) > MAX_COUNT:
            said = f"{len(clutch.young)} young are more than the {MAX_COUNT} that can be right here; look at the list"
            self.findings.report(clutch.at.key("young"), "bad-number", said)
            return found
        taken = {str(young.id) for young in clutch.young}
        for young in clutch.young:
            if (name := young.id) is None:
                free = next(number for number in range(1, len(taken) + 2) if f"{clutch.id}-{number}" not in taken)
                said = f"`id` is missing; add one, such as `id: {clutch.id}-{free}`"
                self.findings.report(young.place, "missing-key", said)
                continue
            held = drafts.get(name) or earlier.get(name)
            if held is not None and held.young is not None and held.clutch is clutch:
                said = f"'{name}' stands twice in this clutch, here and in line {held.young.place.line}"
                self.findings.report(young.place, "duplicate-id", f"{said}; give one of them another number")
            elif held is not None and held.young is None and held.own is not None:
                held.young, held.clutch = young, clutch
                if held.id != name:
                    self.register.add(name, "earlier id", self.findings, now=held.id)
                found.append(held)
            elif self.register.add(name, "animal", self.findings):
                draft = drafts[str(name)] = AnimalDraft(str(name), young.place, young=young, clutch=clutch)
                found.append(draft)
        return found

    def _enter(
        self, drafts: Mapping[str, AnimalDraft], laid: list[ClutchDraft], default: str, around: Surroundings
    ) -> Mapping[str, Clutch]:
        for draft in drafts.values():
            if draft.clutch is None:
                species = _species_of(draft, drafts, default)
                add_animal(draft, species, around, sire=None, dam=None, egg=draft.id)
        clutches: dict[str, Clutch] = {}
        for one in laid:
            species = _species_of(_parent(one.record, drafts), drafts, default)
            if (clutch := add_clutch(one, species, around)) is not None:
                clutches[clutch.id] = clutch
        return MappingProxyType(dict(sorted(clutches.items())))


def _species_of(draft: AnimalDraft | None, drafts: Mapping[str, AnimalDraft], default: str) -> str:
    """As written, else its dam's, else its sire's, else the collection's first."""
    seen: set[str] = set()
    while draft is not None and draft.id not in seen:
        seen.add(draft.id)
        if draft.own is not None and draft.own.species is not None:
            return str(draft.own.species)
        draft = _parent(draft.birth, drafts)
    return default


def _parent(birth: AnimalRecord | ClutchRecord | None, drafts: Mapping[str, AnimalDraft]) -> AnimalDraft | None:
    """The first parent on record that a record names, the dam before a sire."""
    return next((drafts[name] for name in parents_named(birth) if name in drafts), None)


def species_in(root: object) -> tuple[str, ...]:
    """What a file seems to name as species, although something in it does not fit."""
    written = root.get("species") if isinstance(root, Table) else None
    names = written if isinstance(written, Items) else [written]
    return tuple(str(name) for name in names if isinstance(name, WrittenText))


def with_sexes(animals: Mapping[str, Animal], clutches: Mapping[str, Clutch]) -> Mapping[str, Animal]:
    """The animals, each with the sex that the records leave it."""
    known: dict[str, Sex] = {}
    for clutch in clutches.values():
        known[clutch.dam] = "female"
        known.update(dict.fromkeys(clutch.sires.ids, "male"))
    known.update({animal.dam: "female" for animal in animals.values() if animal.dam})
    known.update({animal.sire: "male" for animal in animals.values() if animal.sire})
    known.update({animal.id: animal.sex for animal in animals.values() if animal.sex != "unknown"})
    of_egg = {animal.egg: known[animal.id] for animal in animals.values() if animal.egg and animal.id in known}
    sexes = {name: known.get(name) or of_egg.get(animal.egg, "unknown") for name, animal in animals.items()}
    return MappingProxyType(
        {name: one if one.sex == sexes[name] else replace(one, sex=sexes[name]) for name, one in animals.items()}
    )
