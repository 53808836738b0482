"""The statements of a whole collection, animals first, then the clutches that are told through them."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

from clutchlight.statements.animals import state_animal
from clutchlight.statements.asking import Inferred
from clutchlight.statements.clutches import state_clutch
from clutchlight.statements.surprises import surprise_notes
from clutchlight.statements.telling import Telling
from clutchlight.statements.values import Note, Statements


def state_all(inferred: Inferred, inbreeding: Mapping[str, Fraction], telling: Telling | None = None) -> Statements:
    """Every animal and clutch on record, by id, in the collection's order. `inbreeding`: Wright's F by animal.

    `telling`: of the same inference, when it has been asked already. Figures must exist: `inferred.conflicts` is empty (see
    `problems_in`).
    """
    telling = telling or Telling(inferred, inbreeding)
    surprises: dict[str, list[Note]] = {}
    for concerned, note in surprise_notes(telling):
        surprises.setdefault(concerned, []).append(note)
    unexpected = {name: tuple(notes) for name, notes in surprises.items()}
    animals = {animal.id: state_animal(telling, animal, unexpected) for animal in telling.collection.animals.values()}
    caused: dict[str, list[Note]] = {}
    for statement in animals.values():
        for note in statement.notes:
            caused.setdefault(note.cause or "", []).append(note)
    clutches = {
        clutch.id: state_clutch(telling, clutch, animals, (*caused.get(clutch.id, ()),), unexpected.get(clutch.id, ()))
        for clutch in telling.collection.clutches.values()
    }
    return Statements(MappingProxyType(animals), MappingProxyType(clutches))
