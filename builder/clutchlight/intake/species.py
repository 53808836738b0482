"""What people call a species in their lists."""

from __future__ import annotations

import re
from collections.abc import Mapping

from clutchlight.intake.cells import by_word
from clutchlight.reading.catalogue import built_in_species
from clutchlight.reading.text import slug_of

_CALLED: Mapping[str, str] = {
    "ball-python": "royal|royal python|königspython|koenigspython|p. regius|p.regius|p.reg|p. reg|regius|python royal|koningspython",
    "corn-snake": "kornnatter|korn|p. guttatus|p.guttatus|guttatus|serpent des blés|rode rattenslang|red rat snake",
    "western-hognose": "hoggy|hoggie|hogg|hog|hakennasennatter|hakennase|westliche hakennasennatter|h. nasicus|h.nasicus|"
    "nasicus|heterodon|haakneusslang|western hog|plains hognose",
}
"""How people call the species besides, in some languages."""
_BY_WORD = by_word(_CALLED)
_GENERAL = ("snake", "python", "western")


def short_for(written: str, key: str) -> bool:
    """`Corn`, `corns`, `corn snakes` and `Kornnatter` are corn-snake, `BP` is ball-python, `hognose` western-hognose.

    Common practice, no source.
    """
    plain = slug_of(written)
    parts = key.split("-")
    if plain == "".join(part[0] for part in parts) or _BY_WORD.get(written.strip(".")) == key:
        return True
    forms = (plain, plain.removesuffix("s"), plain.removesuffix("-snake"), plain.removesuffix("-snakes"))
    return any(
        one == key or (one in parts and one not in _GENERAL) or key.startswith(f"{one}-") for one in forms if one
    )


def names_species(cell: str) -> bool:
    """Whether a cell calls one of the species that come with the tool."""
    return any(short_for(cell.casefold(), key) for key in built_in_species())


def species_below(heading: str) -> tuple[str, ...]:
    """The species that come with the tool which a heading calls, such as `BALLS`, `My corn snakes` or `Corns 2025`."""
    word = " ".join(re.sub(r"[\d_]|[^\w.]", " ", heading.casefold()).split())
    word = re.sub(r"^(?:my|our|all|the|meine|unsere|mes|nos)\s+", "", word)
    return tuple(key for key in built_in_species() if word and short_for(word, key))
