"""A room with a place for a text in every free field of every record kind, and what may never come of a text put there.

A place is written `§name§`. A text that `check` refuses in a place, with a problem at its line, is left out there and counts as refused.
"""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from urllib.parse import parse_qs, urlsplit
from xml.etree import ElementTree

from click.testing import CliRunner
from msgspec import Struct
from playwright.sync_api import BrowserContext, Dialog, Page
from tests.rooms import write
from tests.unit.whole_room import picture

from clutchlight.cli import main

PHOTO = "a\" onerror=ran() b='<img src=x>.jpg"
DAY = "2026-11-25"
TEMPLATE: Mapping[str, str] = {
    "collection.yaml": """format: 1
name: §collection-name§
collection_id: 3f6c2f0e-8b1d-4c52-9d4e-0a7b1c2d3e4f
species: [ball-python, sand-viper]
contact:
  mail: §contact-mail§
  telephone: §contact-telephone§
  form: §contact-other§
web_address: §web-address§
currency: §currency§
publish_from_log: [weight, meals, sheds]
about: §about§
law:
  - §law-1§
  - §law-2§
advert:
  - §advert§
private: {rent: §private-1§}
""",
    "animals/M-01.md": f"""---
id: M-01
name: §animal-name§
sex: male
sexed:
  how: §sexed-how§
hatched: 2019-08-01
shows: [Pastel]
claims:
  Piebald:
    chance: 66%
    from: §claim-from§
impressions:
  - §impression-1§
  - §impression-2§
  - §impression-3§
status: breeder
photos:
  - file: {json.dumps(PHOTO)}
    alt: §photo-alt§
corrections:
  - on: 2024-01-09
    key: name
    was: §correction-was§
    because: §correction-because§
private:
  bought_from: §private-2§
  shared:
    with: §shared-with§
    split: §shared-split§
    until: 2026-11-30
---
§prose-1§
""",
    "animals/F-01.md": """---
id: F-01
name: §dam-name§
sex: female
hatched: 2019-08-01
shows:
  - §allele§
claims: {Piebald: 100%}
tests:
  - trait: Clown
    copies: 0
    on: 2022-01-01
    by: §test-by§
status: available
price: ask
---
# A heading

> §prose-2§

| a | b |
|---|---|
| §prose-3§ | x |
""",
    "animals/C24-01-1.md": """---
id: C24-01-1
name: §young-name§
status: sold
left: {on: 2025-03-01, how: sold}
---
- §prose-4§
""",
    "animals/vipers.yaml": """- id: SV-01
  species: sand-viper
  sex: male
  hatched: 2015
  shows:
    - §own-look§
  name: §viper-name§
  status: breeder
- id: SV-02
  species: sand-viper
  sex: female
  hatched: 2015
  claims:
    §own-claimed§: 50%
  status: breeder
""",
    "clutches/C24-01.md": """---
id: C24-01
name: §clutch-name§
sire: M-01
dam: F-01
laid: 2024-05-18
eggs: 4
hatched: 2024-07-14
young:
  - {id: C24-01-1, sex: female, shows: normal}
  - {id: C24-01-2, sex: male, shows: [Piebald], status: available, price: 100}
  - id: C24-01-3
    shows: normal
    status: on hold
    impressions:
      - §young-impression§
tally: [1 x normal]
reported_by: §reported-by§
set_aside:
  Clown: §set-aside§
photos: [pebble.jpg]
---
§prose-5§
""",
    "clutches/C26-01.md": """---
id: C26-01
name: §clutch-name-2§
sire: M-01
dam: F-01
laid: 2026-10-20
eggs: 6
---
""",
    "traits/own.yaml": """species: ball-python
loci:
  - locus: frosty
    inheritance: incomplete dominant
    alleles:
      - §allele§
      - §allele-2§
    two_copies:
      §allele§: §two-copies§
    together:
      §together-key§: §together§
    also_called:
      §allele§:
        - §also-called§
    welfare: §welfare§
    welfare_source: §welfare-source§
    what: §what§
    gene: §gene§
    gene_source: §gene-source§
    source: §source§
    two_copies_harm:
      §allele§: §harm§
  - locus: pale-flank
    inheritance: line-bred
    alleles:
      - §line-bred§
    what: §line-bred-what§
combos:
  §combo§: [Pastel, Piebald]
""",
    "traits/sand-viper.yaml": """species: sand-viper
name: §species-name§
scientific_name: §scientific-name§
also_called:
  - §species-also§
sex_determination:
  system: ZW
  source: §sex-source§
clutch:
  usual: 8
  source: §clutch-source§
incubation_days:
  from: 40
  to: 60
  source: §incubation-source§
ready_when:
  meals: 3
  sheds: 1
  text: §ready-text§
  source: §ready-source§
readiness:
  male:
    age_months: {from: 18, to: 24}
    weight_g: {from: 90, to: 120}
    text: §grown-text§
    source: §grown-source§
  female:
    age_months: {from: 30, to: 36}
    weight_g: {from: 150, to: 200}
    text: §grown-text-2§
    source: §grown-source-2§
season:
  male:
    pairings_per_7_days: 2
    rest_days: 2
    weight_loss_percent: 10
    refusals: 1
    small_below_g: 80
    small_or_first_season: {pairings_per_7_days: 1, rest_days: 3, weight_loss_percent: 8, refusals: 1}
    source: §season-source§
  windows:
    - after: laid
      comes: hatched
      days: {from: 40, to: 60}
      source: §window-source§
stored_sperm:
  note: §sperm-note§
  source: §sperm-source§
cautions:
  - about: §caution-about§
    text: §caution-text§
    source: §caution-source§
law:
  - name: §rule-name§
    text: §rule-text§
    source: §rule-source§
looks_source: §looks-source§
loci:
  - locus: bright
    inheritance: dominant
    alleles:
      - §own-look§
    source: §own-source§
  - locus: dull
    inheritance: recessive
    alleles:
      - §own-claimed§
""",
    "log/2026.csv": """date,animal,event,with,value,note
2026-11-03,M-01,paired,F-01,,§log-note-1§
2026-11-09,M-01,refused,,,§log-note-2§
2026-11-10,F-01,meal,,§log-value-1§,§log-note-3§
2026-11-11,SV-01,refused,,§log-value-2§,
2026-11-12,SV-01,paired,SV-02,,
2026-11-12,F-01,treatment,,§log-value-3§,§log-note-4§
2026-11-13,F-01,note,,§log-value-4§,§log-note-5§
2026-11-14,C26-01,candled,,5,§log-note-6§
2026-11-15,M-01,weight,,900,§log-note-7§
""",
    "season/2026.yaml": """- female: F-01
  males: [M-01]
  from: 2026-10-01
  until: 2027-03-31
  want:
    - §allele§
  public: yes
  note: §plan-note§
- female: SV-02
  males: [SV-01]
  result: §plan-result§
""",
    "sales/2025.yaml": """- animals: [C24-01-1]
  buyer: §buyer§
  agreed: 400
  payments: [{on: 2024-12-01, amount: 50}]
  handed_over: 2025-03-01
  how: §sale-how§
  terms: §sale-terms§
  told:
    - on: 2025-03-02
      about: §told-about§
  note: §sale-note§
- animals: [C24-01-3]
  buyer: §buyer-2§
  held: 2026-11-20
  until: 2026-12-01
  terms: §sale-terms-2§
""",
    "pages/terms.md": """---
title: §page-title§
---
Terms.

§prose-6§
""",
}
_PLACE = re.compile("§([a-z0-9-]+)§")
PLACES: tuple[str, ...] = tuple(dict.fromkeys(name for text in TEMPLATE.values() for name in _PLACE.findall(text)))

# Names that have to differ from each other.
_ONE_OF_ITS_KIND = {
    *("allele", "allele-2", "two-copies", "together", "also-called", "line-bred", "combo", "own-look", "own-claimed"),
}
_USUAL = {"web-address": "https://room.example.org/", "currency": "EUR", "contact-mail": "room@example.org"}


def _usual(place: str) -> str:
    return _USUAL.get(place, f"Usual {place}")


def _put(place: str, texts: Mapping[str, str], file: str) -> str:
    """The text of a place, written as its file takes it."""
    if place == "together-key":
        return json.dumps(" + ".join(_text("allele" + end, texts) for end in ("", "-2")), ensure_ascii=False)
    text = _text(place, texts)
    if place.startswith("prose"):
        return text
    if file.endswith(".csv"):
        row = io.StringIO()
        csv.writer(row, quoting=csv.QUOTE_ALL).writerow([text])
        return row.getvalue().removesuffix("\r\n")
    return json.dumps(text, ensure_ascii=False)


def _text(place: str, texts: Mapping[str, str]) -> str:
    if place not in texts:
        return _usual(place)
    text = texts[place]
    return f"{text} {sorted(_ONE_OF_ITS_KIND).index(place)}" if place in _ONE_OF_ITS_KIND else text


def room_files(texts: Mapping[str, str]) -> dict[str, str | bytes]:
    """The room with these texts in their places, and usual ones in the others."""
    files: dict[str, str | bytes] = {
        name: _PLACE.sub(lambda found, name=name: _put(found[1], texts, name), text)  # type: ignore[misc]
        for name, text in TEMPLATE.items()
    }
    return {**files, f"photos/{PHOTO}": picture(), "photos/pebble.jpg": picture()}


class Made(Struct, frozen=True):
    """A room that `check` accepts, and what was built of it. `refused`: the places whose text `check` would not have."""

    folder: Path
    site: Path
    desk: Path
    placed: tuple[str, ...]
    refused: Mapping[str, str]


def make(texts: Mapping[str, str], home: Path) -> Made:
    """Puts texts into places, takes out what `check` refuses, and builds site and desk."""
    kept, refused = dict(texts), dict[str, str]()
    folder = home / "room"
    while True:
        shutil.rmtree(folder, ignore_errors=True)
        write(folder, room_files(kept))
        told = _errors(folder)
        if not told:
            break
        blamed = dict(_blamed(told, kept))
        if not blamed:
            raise AssertionError(told)
        for place in blamed:
            del kept[place]
        refused |= blamed
    site, desk = home / "site", home / "desk"
    built = CliRunner().invoke(main, ["build", str(folder), "--out", str(site), "--desk", str(desk), "--on", DAY])
    assert built.exit_code == 0, built.stderr or built.exc_info
    return Made(folder, site, desk, tuple(kept), refused)


def _errors(folder: Path) -> list[tuple[str, int, str]]:
    result = CliRunner().invoke(main, ["check", str(folder), "--json"])
    assert result.exit_code in (0, 1), result.exc_info
    problems = json.loads(result.stdout)["problems"]
    return [(one["file"], one["line"], one["message"]) for one in problems if one["level"] == "error"]


def _blamed(told: Sequence[tuple[str, int, str]], kept: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """The places on the lines told of that have a text still; where a line has none, the prose of the file."""
    for file, line, said in told:
        lines = TEMPLATE[file].split("\n")
        here = _PLACE.findall(lines[line - 1]) if line <= len(lines) else []
        if here[:1] == ["together-key"]:  # made of the alleles' names
            here = [name for name in ("allele", "allele-2") if name in kept] or here
        prose = [name for name in _PLACE.findall(TEMPLATE[file]) if name.startswith("prose")]
        for place in [name for name in here if name in kept] or [name for name in prose if name in kept]:
            yield place, said


# -- what may never come of it -----------------------------------------------------------------------------------------

_POLICY = re.compile(rb'<meta http-equiv="Content-Security-Policy"[^>]*>')

# Runs in the page: everything in it that could run or lead astray.
_LOOK = """() => {
  const found = [];
  const schemes = ['http:', 'https:', 'mailto:', 'tel:', 'file:'];
  const never = ['iframe', 'object', 'embed', 'base', 'frame', 'applet', 'foreignobject', 'animate', 'set', 'audio', 'video'];
  const links = ['href', 'src', 'action', 'formaction', 'xlink:href', 'srcset', 'poster', 'data', 'ping', 'background', 'cite'];
  const inside = /^0; ?url=[./\\w-]+$/i;
  const phone = location.pathname.endsWith('/phone.html');
  if (window.__ran) found.push('it ran');
  for (const element of document.querySelectorAll('*')) {
    const name = element.localName;
    if (never.includes(name.toLowerCase())) found.push('element ' + name);
    const own = phone && element === document.querySelector('script');
    if (name === 'script' && !own && !(element.getAttribute('src') || '').endsWith('.js')) found.push('script');
    if (name === 'style' && !(phone && element === document.querySelector('style'))) found.push('style');
    if (name === 'meta' && /refresh/i.test(element.httpEquiv) && !inside.test(element.content)) found.push('refresh ' + element.content);
    for (const attribute of element.attributes) {
      if (/^on/i.test(attribute.name)) found.push(name + ' ' + attribute.name);
      if (attribute.name === 'style') found.push(name + ' style');
      if (!links.includes(attribute.name)) continue;
      for (const part of attribute.name === 'srcset' ? attribute.value.split(',') : [attribute.value]) {
        const written = part.trim().split(' ')[0];
        let address;
        try { address = new URL(written, document.baseURI); } catch (mistake) { found.push('address ' + part); continue; }
        if (!schemes.includes(address.protocol)) found.push(name + ' leads to ' + part);
        if (!['a', 'link'].includes(name) && address.protocol !== 'file:') found.push(name + ' asks for ' + part);
      }
    }
  }
  const mails = [...document.querySelectorAll('a[href^="mailto:"]')].map(link => link.getAttribute('href'));
  return [found, mails];
}"""


def without_policy(folder: Path) -> Path:
    """A copy of a site whose pages have lost their security policy, which each had."""
    copy = folder.with_name(f"{folder.name}-open")
    shutil.copytree(folder, copy)
    for page in copy.rglob("*.html"):
        text, count = _POLICY.subn(b"", page.read_bytes())
        assert count == 1, page
        page.write_bytes(text)
    return copy


def faults_of_pages(folder: Path, context: BrowserContext) -> list[str]:
    """Opens every page of a folder without its policy: what ran, was asked for elsewhere, or could run."""
    open_folder = without_policy(folder)
    faults: list[str] = []

    def dismissed(dialog: Dialog) -> None:
        faults.append("a dialog")
        dialog.dismiss()

    page = context.new_page()
    page.on("request", lambda request: _asked(request.url, open_folder, faults))
    page.on("dialog", dismissed)
    page.on("popup", lambda popup: faults.append(f"a window: {popup.url}"))
    page.on("pageerror", lambda mistake: faults.append(f"a script failed: {mistake}"))
    page.add_init_script("window.ran = () => { window.__ran = true; };")
    for path in sorted(open_folder.rglob("*.html")):
        page.goto(path.as_uri())
        found, mails = page.evaluate(_LOOK)
        faults += [f"{path.relative_to(open_folder)}: {fault}" for fault in found]
        faults += [f"{path.relative_to(open_folder)}: {fault}" for mail in mails for fault in _of_mail(mail)]
        if path == open_folder / "index.html":
            _use(page)
    page.close()
    shutil.rmtree(open_folder)
    return faults


def _asked(url: str, folder: Path, faults: list[str]) -> None:
    if not url.startswith(
        (folder.as_uri(), "file:///style/")
    ):  # 404.html is read at any address, so it counts from the top
        faults.append(f"asked for {url}")


def _use(page: Page) -> None:
    """Completes the sentence on the front page in every way, so that its script meets every text."""
    page.evaluate(
        """() => { for (const choice of document.querySelectorAll('select')) for (const option of choice.options) {
             choice.value = option.value; choice.dispatchEvent(new Event('change', {bubbles: true})); } }"""
    )


def _of_mail(address: str) -> Iterator[str]:
    parts = urlsplit(address)
    if set(parse_qs(parts.query, keep_blank_values=True)) - {"subject", "body"} or "\n" in address or "," in parts.path:
        yield f"a mail with more than a subject and a letter: {address}"


def faults_of_data(site: Path) -> list[str]:
    """Feeds, site map, JSON and tables of a site that another program could not read."""
    faults: list[str] = []
    for path in sorted(site.rglob("*")):
        try:
            if path.suffix == ".json":
                json.loads(path.read_text(encoding="utf-8"))
            elif path.suffix == ".xml":
                ElementTree.parse(path)  # noqa: S314 - made by this program
            elif path.suffix == ".ped":
                lines = path.read_text(encoding="ascii").splitlines()
                faults += [f"{path.name}: {line!r}" for line in lines if len(line.split(" ")) != 6]
        except (ValueError, ElementTree.ParseError) as mistake:
            faults.append(f"{path.relative_to(site)} does not parse: {mistake}")
    return faults


def faults_of_exports(folder: Path) -> list[str]:
    """What `export` gives, and what goes to the terminal."""
    faults: list[str] = []
    for kind in ("ped", "ga4gh", "csv", "json"):
        result = CliRunner().invoke(main, ["export", "--as", kind, "--collection", str(folder)])
        try:
            if result.exit_code != 0:
                faults.append(f"export {kind}: {result.stderr}")
            elif kind in ("json", "ga4gh"):
                json.loads(result.stdout)
            elif kind == "csv":
                rows = list(csv.reader(io.StringIO(result.stdout), strict=True))
                faults += [f"csv: {row}" for row in rows if len(row) != len(rows[0])]
            else:
                faults += [f"ped: {line!r}" for line in result.stdout.splitlines() if len(line.split(" ")) != 6]
        except (ValueError, csv.Error) as mistake:
            faults.append(f"export {kind} does not parse: {mistake}")
    for words in (("check", folder), ("season", folder, "--on", DAY), ("why", "C24-01-2", "--collection", folder)):
        printed = CliRunner().invoke(main, [str(word) for word in words])
        if printed.exit_code != 0 or any(ord(letter) < 32 and letter not in "\n\t" for letter in printed.output):
            faults.append(f"{words[0]} printed {printed.output!r}")
    return faults
