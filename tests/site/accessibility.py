"""What axe-core finds on a page, in the light and in the dark."""

from __future__ import annotations

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
OF_COLOUR = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
"""The rules that the colours of a page decide; all others find the same in the light and in the dark."""


def violations(page: Page, *, colours: bool = True) -> list[tuple[str, str, str, str]]:
    """Scheme, rule, element and what is wrong: by every rule in the light, then by those of colour in the dark.

    Without `colours` by all other rules alone: the width of a page changes no colour, so one width is enough for those, which take longest.
    """
    page.evaluate(Axe().axe_script)
    found = []
    others = {name: {"enabled": colours} for name in OF_COLOUR["values"]}
    for scheme, rules in (("light", RULES), ("dark", OF_COLOUR)) if colours else (("light", RULES),):
        page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
        result = page.evaluate(
            "([runOnly, rules]) => axe.run({runOnly, rules, resultTypes: ['violations']})", [rules, others]
        )
        found += [
            (scheme, violation["id"], node["html"][:120], node.get("failureSummary", "")[:200])
            for violation in result["violations"]
            for node in violation["nodes"]
        ]
    return found
