"""Figures into words: what the site says of each animal and clutch, and the files made from that."""

from clutchlight.statements.clutches import state_all
from clutchlight.statements.json_form import to_json
from clutchlight.statements.results import problems_in, problems_of
from clutchlight.statements.values import (
    AnimalStatement,
    ClutchState,
    ClutchStatement,
    Note,
    SireChance,
    StatementLine,
    Statements,
    TraitAtTime,
    TraitStatement,
)

__all__ = [
    "AnimalStatement",
    "ClutchState",
    "ClutchStatement",
    "Note",
    "SireChance",
    "StatementLine",
    "Statements",
    "TraitAtTime",
    "TraitStatement",
    "problems_in",
    "problems_of",
    "state_all",
    "to_json",
]
