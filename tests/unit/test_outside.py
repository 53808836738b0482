"""What pages, sheets and drawings may not run or load, however it is written."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from clutchlight import shipped
from clutchlight.site.theme_check import UNKNOWN, drawing_faults, markup_faults, page_faults, sheet_faults

POLICY = "default-src 'none'; img-src 'self'; style-src 'self'; base-uri 'none'; form-action 'none'"
HEAD = f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{POLICY}">
"""


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>",
        "<script defer>alert(1)</script>",
        '<script src="https://x.example/a.js"></script>',
        "<SCRIPT SRC=//x.example/a.js></SCRIPT>",
        '<script src="a.js">alert(1)</script>',
        "<script/src='http:\\\\x.example'></script>",
        "<svg:script>alert(1)</svg:script>",
        '<link rel="stylesheet" href="https://x.example/a.css">',
        '<link rel="canonical stylesheet" href="https://x.example/a.css">',
        '<link rel="preconnect" href="//x.example">',
        '<link rel="icon" href="data:image/png;base64,AA">',
        "<style>@import 'https://x.example/a.css';</style>",
        "<style>p { background: url(https://x.example/a.png) }</style>",
        "<style <p>p {}</style>",
        "<p style=\"background: u\\72l('https://x.example/a.png')\">",
        '<rect fill="url(https://x.example/a.svg#b)"/>',
        '<img src="https://x.example/a.png">',
        "<img src=https://x.example/a.png>",
        '<img alt="a > b" src="//x.example/a.png">',
        '<img src=" \n https://x.example/a.png">',
        '<img src="ht\ntps://x.example/a.png">',
        '<img src="https&colon;//x.example/a.png">',
        '<img src="/\\x.example/a.png">',
        '<img src="a.png" srcset="b.png 1x, https://x.example/a.png 2x">',
        '<input type="image" src="https://x.example/a.png">',
        '<body background="https://x.example/a.png">',
        '<video poster="https://x.example/a.png">',
        '<iframe src="own.html"></iframe>',
        '<iframe srcdoc="&lt;script>"></iframe>',
        '<object data="own.svg"></object>',
        "<embed src='own.svg'>",
        '<base href="https://x.example/">',
        '<use href="https://x.example/a.svg#b"/>',
        '<use xlink:href="https://x.example/a.svg#b"/>',
        '<image href="https://x.example/a.png"/>',
        '<feImage href="https://x.example/a.png"/>',
        '<set attributeName="href" to="javascript:alert(1)"/>',
        "<foreignObject><p>x</p></foreignObject>",
        '<a href="javascript:alert(1)">x</a>',
        '<a href="java\tscript:alert(1)">x</a>',
        '<a href="&#106;avascript:alert(1)">x</a>',
        '<a href="data:text/html,x">x</a>',
        '<a href="own.html" ping="https://x.example/">x</a>',
        '<form action="https://x.example/">',
        '<button formaction="https://x.example/">',
        '<p onclick="alert(1)">',
        "<img/onerror=alert(1)>",
        '<svg onload="alert(1)">',
        '<meta http-equiv="refresh" content="0; url=https://x.example/">',
        "<meta content=\"0;URL='https://x.example/'\" http-equiv=refresh>",
        '<meta http-equiv="set-cookie" content="a=b">',
        '<!-- <img src="https://x.example/a.png"> -->',
        "<div xml:base='https://x.example/'>",
        f'<img src="https://{UNKNOWN}/a.png">',
        f"<p on{UNKNOWN}=x>",
    ],
)
def test_what_would_run_or_load_is_a_fault(text: str) -> None:
    """One of its kind each; in the middle of a page as well."""
    assert list(markup_faults(text))
    assert list(page_faults(f"{HEAD}<title>x</title></head><body><p>{text}</p>"))


@pytest.mark.parametrize(
    "text",
    [
        '<a href="https://x.example/">x</a>',
        '<a href="mailto:a@x.example">x</a> <a href="tel:+49-30">x</a> <a href="#b">x</a>',
        '<img src="../../photos/a.webp" alt="https://x.example/ is our address: onclick=1">',
        '<p title="Note: calm">Prices from: 100; javascript: no</p>',
        '<link rel="canonical" href="https://x.example/a/"><link itemprop="availability" href="https://schema.org/InStock">',
        '<meta property="og:url" content="https://x.example/">',
        '<svg xmlns="http://www.w3.org/2000/svg"><use href="#a"/><rect fill="url(#b)"/></svg>',
        '<style>p { background: url("paper.png") } a::after { content: "//" }</style>',
        '<script src="../style/sentence.js" defer></script>',
        f'<img src="{UNKNOWN}"><link rel="{UNKNOWN}" href="{UNKNOWN}"><a href="{UNKNOWN}">x</a>',
    ],
)
def test_what_stays_on_the_site_is_none(text: str) -> None:
    """Links to other places load nothing; words are no addresses."""
    assert list(markup_faults(text)) == []


@pytest.mark.parametrize(
    "text",
    [
        "@import 'a.css';",
        "@IMPORT url(a.css);",
        "@\\69mport 'a.css';",
        "p { background: url(https://x.example/a.png) }",
        "p { background: URL( 'https://x.example/a.png' ) }",
        "p { background: u\\72l(https://x.example/a.png) }",
        "p { background: url(\\68ttps://x.example/a.png) }",
        "p { background: url(//x.example/a.png) }",
        "p { background: url(/a.png) }",
        "p { background: url(../a.png) }",
        "p { background: url(a/%2e%2e/%2E./../b.png) }",
        "p { background: url(data:image/png;base64,AA) }",
        "p { background: image-set('https://x.example/a.png' 1x) }",
        "p { background: -webkit-image-set(url(https://x.example/a.png) 1x) }",
        "p { --picture: 'https://x.example/a.png'; background: image-set(var(--picture) 1x) }",
        "@font-face { font-family: x; src: local(y), url(https://x.example/a.woff2) }",
        "@media print { p { background: url(https://x.example/a.png) } }",
        "p { cursor: url(https://x.example/a.cur), auto }",
        "p { color: red",
        "p { color: red } /* still open",
        "p { color: red }}",
        "p { content: 'x\n }",
    ],
)
def test_what_a_sheet_must_not_hold(text: str) -> None:
    """Whatever loads from elsewhere, escaped or not; and what would swallow the sheet that is added to it."""
    assert list(sheet_faults(text))


def test_a_fault_of_a_sheet_is_told_where_it_stands() -> None:
    text = "p {}\n\n/* url(https://a.example) */ q { background:\n  url(https://b.example/c.png) }\n"
    (fault,) = sheet_faults(text)
    assert text[fault.at :].startswith("url(https://b.example")
    assert "'https://b.example/c.png'" in fault.words


@pytest.mark.parametrize(
    "text",
    [
        '<svg xmlns="http://www.w3.org/2000/svg"><script href="a.js"/></svg>',
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:s="http://www.w3.org/2000/svg"><s:script>1</s:script></svg>',
        '<!DOCTYPE svg [<!ENTITY a "b">]><svg/>',
        '<?xml-stylesheet href="https://x.example/a.css"?><svg/>',
        '<svg><style>@import "a.css";</style></svg>',
        '<svg onload="alert(1)"/>',
        '<svg><a href="javascript:alert(1)"/></svg>',
    ],
)
def test_what_a_drawing_must_not_hold(text: str) -> None:
    assert list(drawing_faults(text))


@pytest.mark.parametrize(
    "head",
    [
        "<p>no policy</p>",
        HEAD.replace(POLICY, "default-src *"),
        HEAD.replace(POLICY, f"default-src *; {POLICY}"),
        HEAD.replace("'self'", "'self' https:"),
        HEAD.replace("'self'", "'unsafe-inline'"),
        HEAD.replace("base-uri 'none'", ""),
        HEAD.replace("<head>", "<head><script src='a.js'></script>"),
        HEAD.replace("<meta http", "<!-- <meta http") + "-->",
        "words first" + HEAD,
    ],
)
def test_a_page_without_its_policy_is_a_fault(head: str) -> None:
    """Missing, loosened (of two directives of one name a browser takes the first), in a comment, or too late to count."""
    assert list(page_faults(HEAD)) == []
    assert list(page_faults(head))


def site(repository: Path) -> Iterator[Path]:
    yield from sorted((repository / "site_demo").rglob("*.html"))[::9]


def test_only_the_programs_own_script_may_stand_in_a_page() -> None:
    """Once, to the letter, and nothing beside it."""
    own = "<script>write();</script>"
    assert list(page_faults(f"{HEAD}<title>x</title></head><body>{own}</body>", own)) == []
    for text in (own.replace("write", "read"), own * 2, f"{own}<script>read()</script>"):
        assert list(page_faults(f"{HEAD}<title>x</title></head><body>{text}</body>", own)), text
    assert list(page_faults(f"{HEAD}<title>x</title></head><body>{own}</body>"))


def test_the_pages_of_the_demo_have_no_fault(repository: Path) -> None:
    """Neither have the sheets that come with the program."""
    pages = list(site(repository))
    assert len(pages) > 10
    for page in pages:
        assert list(page_faults(page.read_text(encoding="utf-8"))) == [], page
    for sheet in shipped.themes().rglob("*.css"):
        assert list(sheet_faults(sheet.read_text(encoding="utf-8"))) == [], sheet


def test_a_tag_that_never_closes_is_a_fault_of_a_page() -> None:
    """Else a page could be made that takes hours to look through."""
    assert list(page_faults(f"{HEAD}<p {'a ' * 99}>")) == []
    for text in (f"<p {'a ' * 101}>", "<p <a href='https://x.example/'>", "<p class=a<b>", "<p 'a'<b>"):
        assert list(page_faults(HEAD + text)), text
