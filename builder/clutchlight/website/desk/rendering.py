"""From the desk's page objects to bytes: templates and style from the folder `desk/` of a theme, with the theme's own colours.

The desk's pages carry the public site's strict policy: style from its own folder, no script at all. The one page that must
stand alone, phone.html, holds its style inline and names it in its policy by its SHA-256; nothing else may load or run there.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

from markupsafe import Markup

from clutchlight.website.desk import pages
from clutchlight.website.desk.pages import DeskPage, Inline
from clutchlight.website.rendering import printed, templates_of
from clutchlight.website.sandbox import Sandbox
from clutchlight.website.theme import Theme

TEMPLATE_OF: Mapping[type[object], str] = MappingProxyType(
    {
        pages.TodayPage: "today.html",
        pages.PairingsPage: "pairings.html",
        pages.ProvingPage: "proving.html",
        pages.WeightsPage: "weights.html",
        pages.PeoplePage: "people.html",
        pages.PhonePage: "phone.html",
        pages.SheetPage: "room_sheet.html",
    }
)


@dataclass(frozen=True)
class DeskTheme:
    """A theme as the desk uses it: its colours, its sheet, and the desk's own sheet after them."""

    theme: Theme

    @cached_property
    def sheets(self) -> Mapping[str, bytes]:
        """The style sheets by name, in the order in which pages link them."""
        found = {name: self.theme.style[name] for name in self.theme.sheets}
        found.update(self.theme.desk_style)
        return MappingProxyType(found)

    @cached_property
    def inline(self) -> Inline:
        """All sheets in one, for a page that must stand alone."""
        css = "".join(sheet.decode("utf-8") for sheet in self.sheets.values()).replace("</", "<\\/")
        digest = base64.b64encode(hashlib.sha256(css.encode("utf-8")).digest()).decode("ascii")
        policy = f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
        return Inline(Markup(css), policy)  # noqa: S704 - the theme's own sheets, which cannot close the element

    @cached_property
    def _templates(self) -> Sandbox:
        return templates_of(self.theme, "desk")

    def render(self, page: DeskPage) -> bytes:
        """The page as UTF-8. RecordsError when a theme of the collection's own has a mistake in a template."""
        return printed(self._templates, f"themes/{self.theme.name}/desk", TEMPLATE_OF[type(page)], page)
