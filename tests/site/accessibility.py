"""What axe-core finds on a page, in the light and in the dark."""

from __future__ import annotations

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

RULES = {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}
OF_COLOUR = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
"""The rules that the colours of a page decide; all others find the same in the light and in the dark."""
OF_WIDTH = {
    "type": "rule",
    "values": ["target-size", "scrollable-region-focusable", "heading-order", "page-has-heading-one"],
}
"""The rules that the width of a page decides: what a finger reaches, what scrolls, what is not shown."""

RUN = """([runOnly, rules, ofEachKind]) => {
    const kinds = new Map(), numbers = new Map(), first = new Map()
    const kind = one => {
        if (!one) return 0
        if (!kinds.has(one)) {
            const style = getComputedStyle(one)
            const said = [kind(one.parentElement), one.tagName, one.getAttribute('class'), one.checkVisibility(), written(one),
                style.color, style.backgroundColor, style.backgroundImage, style.opacity, style.fontSize, style.fontWeight].join('|')
            if (!numbers.has(said)) numbers.set(said, numbers.size + 1)
            kinds.set(one, numbers.get(said))
        }
        return kinds.get(one)
    }
    const words = part => part.nodeType === 3 && part.data.trim()
    const written = one => one.matches('input, select, textarea') || [...one.childNodes].some(words)
    for (const one of document.body.querySelectorAll('*'))
        if (written(one) && !first.has(kind(one))) first.set(kind(one), one)
    return axe.run(ofEachKind ? {include: [...first.values()]} : document, {runOnly, rules, preload: false, resultTypes: ['violations']})
}"""
"""`ofEachKind`: of the elements that hold words themselves, one of each kind: those alike in colours, size of letters and class, and in
those of all that they stand in. Rows in turns of two colours are of two kinds.

`preload`: axe would ask for the style sheets again, which the policy of our pages refuses; no rule that runs needs them.
"""


def violations(page: Page, *, whole: bool = True) -> list[tuple[str, str, str, str]]:
    """Scheme, rule, element and what is wrong: by every rule in the light, those of colour of one element of each kind, also in the dark.

    Of a page that was looked at in another width not the `whole`: by the rules that the width decides.
    """
    page.evaluate(Axe().axe_script)
    found = []
    others = {name: {"enabled": False} for name in OF_COLOUR["values"]}
    for scheme, rules in (
        (("light", RULES), ("light", OF_COLOUR), ("dark", OF_COLOUR)) if whole else (("light", OF_WIDTH),)
    ):
        page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
        result = page.evaluate(RUN, [rules, others if rules is RULES else {}, rules is OF_COLOUR])
        found += [
            (scheme, violation["id"], node["html"][:120], node.get("failureSummary", "")[:200])
            for violation in result["violations"]
            for node in violation["nodes"]
        ]
    return found
