"""Drawings: pedigrees in the published notation, chances as counts, a chance over time.

Pure values in, SVG and words out. `draw(pedigree)` is what a page needs; see `drawing` for the notation and its sources.
"""

from clutchlight.diagrams.chance_steps import StepPoint, steps
from clutchlight.diagrams.counts import CountPart, Figure, eggs, snakes
from clutchlight.diagrams.dot_text import to_dot
from clutchlight.diagrams.drawing import Drawing, draw, to_svg
from clutchlight.diagrams.engine import Positions, layout
from clutchlight.diagrams.generations import levels
from clutchlight.diagrams.in_words import in_words
from clutchlight.diagrams.pedigree import Mark, Pedigree, PedigreeAnimal, PedigreeFamily, Sire
from clutchlight.diagrams.selection import Parents, Selection, ancestors, grouped

__all__ = [
    "CountPart",
    "Drawing",
    "Figure",
    "Mark",
    "Parents",
    "Pedigree",
    "PedigreeAnimal",
    "PedigreeFamily",
    "Positions",
    "Selection",
    "Sire",
    "StepPoint",
    "ancestors",
    "draw",
    "eggs",
    "grouped",
    "in_words",
    "layout",
    "levels",
    "snakes",
    "steps",
    "to_dot",
    "to_svg",
]
