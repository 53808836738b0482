"""The values that every stage shares: frozen, without input or output."""

from clutchlight.model.animals import (
    Animal as Animal,
    Claim as Claim,
    Coming as Coming,
    Correction as Correction,
    LabTest as LabTest,
    Photo as Photo,
    Publish as Publish,
    Reading as Reading,
    Role as Role,
    Sex as Sex,
    Sexed as Sexed,
    Stated as Stated,
    Status as Status,
    When as When,
)
from clutchlight.model.collection import (
    NOBODY as NOBODY,
    UNRECORDED as UNRECORDED,
    Clutch as Clutch,
    Collection as Collection,
    FreePage as FreePage,
    Nobody as Nobody,
    Recorded as Recorded,
    Settings as Settings,
    Sire as Sire,
    Sires as Sires,
    Tally as Tally,
    Unrecorded as Unrecorded,
    sire_called as sire_called,
)
from clutchlight.model.traits import (
    NORMAL as NORMAL,
    Genotype as Genotype,
    HarmTogether as HarmTogether,
    Inheritance as Inheritance,
    Locus as Locus,
    Look as Look,
    SexLinkage as SexLinkage,
    SexSystem as SexSystem,
    Species as Species,
)
