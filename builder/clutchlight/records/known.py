"""Which animals and clutches a private record may name: those of the collection, by their present or an earlier id."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from clutchlight.model import Animal, Clutch, Collection
from clutchlight.plaintext.findings import Findings, nearest
from clutchlight.plaintext.values import Text
from clutchlight.records.missing_clutches import remedy_for_unknown


def as_unknown(name: str, collection: Collection) -> str:
    """What to do about an id that names no animal."""
    animals = [key for key in collection.animals if ":" not in key]
    taken = {key.casefold() for key in (*animals, *collection.clutches)}
    return remedy_for_unknown(name, collection.clutches, animals, taken, nearest)


@dataclass(frozen=True)
class Known:
    """Without a collection (its own records have errors) every id is taken as it stands, so that no mistake is told twice."""

    collection: Collection | None

    def animal(self, name: Text, findings: Findings) -> str | None:
        """The present id of an animal; None, with a problem, when there is none."""
        if self.collection is None:
            return str(name)
        found = self._by_name.get(name.casefold())
        if found is not None:
            return found
        clutch = name.casefold() in {key.casefold() for key in self.collection.clutches}
        if clutch:
            findings.report(name.place, "not-an-animal", f"'{name}' is a clutch; name one animal of it, or its dam")
        else:
            remedy = as_unknown(name, self.collection)
            findings.report(name.place, "unknown-animal", f"animal '{name}' has no record; {remedy}")
        return None

    def animals(self, names: Iterable[Text], findings: Findings) -> tuple[str, ...]:
        """As `animal`, for several; the unknown ones are left out."""
        found = [self.animal(name, findings) for name in names]
        return tuple(dict.fromkeys(name for name in found if name is not None))

    def clutch(self, name: Text) -> Clutch | None:
        return None if self.collection is None else self.collection.clutches.get(str(name))

    def record(self, animal: str | None) -> Animal | None:
        return None if self.collection is None or animal is None else self.collection.animals.get(animal)

    @cached_property
    def _by_name(self) -> Mapping[str, str]:
        if self.collection is None:
            return {}
        animals = self.collection.animals
        found = {name.casefold(): animal.id for animal in animals.values() for name in animal.was}
        found.update({key.casefold(): key for key, animal in animals.items() if not animal.nameless})
        return found
