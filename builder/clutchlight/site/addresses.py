"""Where every public page and file stands, and how one page links to another.

Convention: a path is relative to the site's root, with forward slashes ("animals/F-03/index.html"). Links are relative and
name the file itself, so that the site works from a folder, under a sub-path and on a host alike. Ids and slugs hold ASCII
letters, digits, `.`, `_` and `-` only, so no link needs quoting.
"""

from __future__ import annotations

from urllib.parse import urlsplit

HOME = "index.html"
LINEAGE = "lineage/index.html"
METHOD = "method/index.html"
PLANS = "plans/index.html"
CHANGES = "changes/index.html"
CHANGES_FEED = "changes/feed.xml"
NOT_FOUND = "404.html"
AVAILABILITY_JSON = "open/availability.json"
PEDIGREE_PED = "open/pedigree.ped"
SITEMAP = "sitemap.xml"
ROBOTS = "robots.txt"


def animal(key: str) -> str:
    return f"animals/{key}/index.html"


def animal_statement(key: str) -> str:
    return f"animals/{key}/statement.json"


def animal_of_statement(address: str) -> str | None:
    """The animal whose statement has that address.

    >>> animal_of_statement(animal_statement("F-03")), animal_of_statement("index.html")
    ('F-03', None)
    """
    folder, _, rest = address.partition("/")
    key, _, file = rest.partition("/")
    return key if (folder, file) == ("animals", "statement.json") else None


def clutch(key: str) -> str:
    return f"clutches/{key}/index.html"


def clutch_statement(key: str) -> str:
    return f"clutches/{key}/statement.json"


def clutch_feed(key: str) -> str:
    return f"clutches/{key}/feed.xml"


def clutch_cards(key: str) -> str:
    return f"clutches/{key}/card.html"


def animal_card(key: str) -> str:
    """The card of an animal that hatched in no recorded clutch."""
    return f"animals/{key}/card.html"


def plan(female: str, male: str) -> str:
    """Of a planned pairing; no id holds a slash, so no two pairs share one."""
    return f"plans/{female}/{male}/index.html"


def trait(species: str, locus: str) -> str:
    return f"traits/{species}/{locus}/index.html"


def free_page(slug: str) -> str:
    return f"pages/{slug}/index.html"


def schema(name: str) -> str:
    return f"open/schema/{name}"


def style(name: str) -> str:
    return f"style/{name}"


def photo(name: str) -> str:
    return f"photos/{name}"


def link(page: str, target: str) -> str:
    """The address of `target` as written in a link on `page`; a fragment on the target is kept.

    >>> link("animals/F-03/index.html", "clutches/C24-03/index.html#young")
    '../../clutches/C24-03/index.html#young'
    >>> link("index.html", "index.html")
    'index.html'
    """
    if not target.startswith(page[: page.find("/") + 1] or "/"):
        return "../" * page.count("/") + target
    here, there = page.split("/"), target.split("/")
    same = 0
    while same < len(here) - 1 and same < len(there) - 1 and here[same] == there[same]:
        same += 1
    return "../" * (len(here) - 1 - same) + "/".join(there[same:])


def rooted(web_address: str | None, target: str) -> str:
    """The address of `target` for a page that may be shown at any depth, such as 404.html.

    With a web address it is the path on that host; without one it is relative to the root.

    >>> rooted("https://example.org/snakes/", "style/paper.css")
    '/snakes/style/paper.css'
    """
    if web_address is None:
        return target
    return f"{urlsplit(web_address).path.removesuffix('/')}/{target}"


def absolute(web_address: str, target: str) -> str:
    """The whole address of a page; `index.html` at its end is left out, as a host serves it.

    >>> absolute("https://example.org", "animals/F-03/index.html")
    'https://example.org/animals/F-03/'
    """
    path = target.removesuffix("index.html") if target == HOME or target.endswith("/index.html") else target
    return f"{web_address.removesuffix('/')}/{path}"
