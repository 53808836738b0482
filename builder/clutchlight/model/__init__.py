"""The values that every stage shares: frozen, without input or output."""

from clutchlight.model.animals import (
    Animal as Animal,
)
from clutchlight.model.animals import (
    Claim as Claim,
)
from clutchlight.model.animals import (
    Coming as Coming,
)
from clutchlight.model.animals import (
    Correction as Correction,
)
from clutchlight.model.animals import (
    LabTest as LabTest,
)
from clutchlight.model.animals import (
    Photo as Photo,
)
from clutchlight.model.animals import (
    Publish as Publish,
)
from clutchlight.model.animals import (
    Reading as Reading,
)
from clutchlight.model.animals import (
    Role as Role,
)
from clutchlight.model.animals import (
    Sex as Sex,
)
from clutchlight.model.animals import (
    Sexed as Sexed,
)
from clutchlight.model.animals import (
    Stated as Stated,
)
from clutchlight.model.animals import (
    Status as Status,
)
from clutchlight.model.animals import (
    When as When,
)
from clutchlight.model.collection import (
    NOBODY as NOBODY,
)
from clutchlight.model.collection import (
    UNRECORDED as UNRECORDED,
)
from clutchlight.model.collection import (
    Clutch as Clutch,
)
from clutchlight.model.collection import (
    Collection as Collection,
)
from clutchlight.model.collection import (
    FreePage as FreePage,
)
from clutchlight.model.collection import (
    Nobody as Nobody,
)
from clutchlight.model.collection import (
    Recorded as Recorded,
)
from clutchlight.model.collection import (
    Settings as Settings,
)
from clutchlight.model.collection import (
    Sire as Sire,
)
from clutchlight.model.collection import (
    Sires as Sires,
)
from clutchlight.model.collection import (
    Tally as Tally,
)
from clutchlight.model.collection import (
    Unrecorded as Unrecorded,
)
from clutchlight.model.collection import (
    sire_called as sire_called,
)
from clutchlight.model.traits import NORMAL as NORMAL
from clutchlight.model.traits import Genotype as Genotype
from clutchlight.model.traits import HarmTogether as HarmTogether
from clutchlight.model.traits import Inheritance as Inheritance
from clutchlight.model.traits import Locus as Locus
from clutchlight.model.traits import Look as Look
from clutchlight.model.traits import SexLinkage as SexLinkage
from clutchlight.model.traits import SexSystem as SexSystem
from clutchlight.model.traits import Species as Species
