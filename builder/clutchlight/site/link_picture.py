"""What the picture that stands for a page shows, and its address.

It is named for what is on it and for the recipe by which it is drawn, so that one that stands already need not be drawn again.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from clutchlight.site import addresses

_RECIPE = "2: photo in its mount on the left, label on the right"


@dataclass(frozen=True, slots=True)
class LinkPicture:
    """`said`: heading and words of each line; `foot`: what stands large below; `photo`: the address of the photo, if there is one."""

    site: str
    heading: str
    said: tuple[tuple[str, str], ...]
    foot: str
    photo: str | None
    colours: tuple[tuple[str, str], ...]

    @property
    def address(self) -> str:
        shown = (_RECIPE, self.site, self.heading, self.said, self.foot, self.photo, self.colours)
        digest = hashlib.sha256(repr(shown).encode("utf-8")).hexdigest()[:20]
        return addresses.photo(f"{digest}-link.{'jpg' if self.photo else 'png'}")
