"""The values that every stage shares: frozen, without input or output."""

from clutchlight.model.animal import (
    Animal,
    Claim,
    Coming,
    Correction,
    LabTest,
    Photo,
    Publish,
    Reading,
    Sex,
    Sexed,
    Stated,
    Status,
)
from clutchlight.model.clutch import NO_SIRE, UNKNOWN_SIRE, Clutch, Sires, Tally
from clutchlight.model.collection import Collection, FreePage, Settings
from clutchlight.model.dates import When
from clutchlight.model.traits import NORMAL, Genotype, Inheritance, Locus, Look, SexLinkage, SexSystem, Species

__all__ = [
    "NORMAL",
    "NO_SIRE",
    "UNKNOWN_SIRE",
    "Animal",
    "Claim",
    "Clutch",
    "Collection",
    "Coming",
    "Correction",
    "FreePage",
    "Genotype",
    "Inheritance",
    "LabTest",
    "Locus",
    "Look",
    "Photo",
    "Publish",
    "Reading",
    "Settings",
    "Sex",
    "SexLinkage",
    "SexSystem",
    "Sexed",
    "Sires",
    "Species",
    "Stated",
    "Status",
    "Tally",
    "When",
]
