"""Figures into words: what the site says of each animal and clutch, and the files made from that."""

from clutchlight.statements.answers import Inferred
from clutchlight.statements.clutches import state_all
from clutchlight.statements.json_form import to_json
from clutchlight.statements.results import problems_in, problems_of
from clutchlight.statements.values import (
    AllOf,
    AnimalStatement,
    ClutchState,
    ClutchStatement,
    Comparison,
    Line,
    NotComputedTrait,
    Note,
    NoteKind,
    Parents,
    Review,
    SireChance,
    Standing,
    Statements,
    TraitStatement,
    Unexpected,
)

__all__ = [
    "AllOf",
    "AnimalStatement",
    "ClutchState",
    "ClutchStatement",
    "Comparison",
    "Inferred",
    "Line",
    "NotComputedTrait",
    "Note",
    "NoteKind",
    "Parents",
    "Review",
    "SireChance",
    "Standing",
    "Statements",
    "TraitStatement",
    "Unexpected",
    "problems_in",
    "problems_of",
    "state_all",
    "to_json",
]
