"""A small room that says something under almost every key of the record format, and holds no mistake.

What the fuzz mutilates, and where hostile strings are put: each key stands here once at least, with a value that is good.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from pathlib import Path

from PIL import Image
from tests.rooms import md, write

Files = Mapping[str, str | bytes]


def picture(size: tuple[int, int] = (24, 18), kind: str = "JPEG") -> bytes:
    """A photo of one colour."""
    target = io.BytesIO()
    Image.new("RGB", size, "olive").save(target, kind)
    return target.getvalue()


COLLECTION = """format: 1
name: The Whole Room
collection_id: 3f6c2f0e-8b1d-4c52-9d4e-0a7b1c2d3e4f
species: [ball-python, corn-snake, sand-viper]
contact: {mail: room@example.org, telephone: "+49 30 5550100", form: By letter}
web_address: https://room.example.org/
currency: EUR
theme: own
thresholds: {mention_from: 1/16, doubt_below: 5%}
law: [Ask your authority before you buy.]
advert: [Bred here.]
publish_from_log: [weight, meals, sheds]
about: A room for tests.
season:
  male:
    pairings_per_7_days: 3
    rest_days: 2
    weight_loss_percent: 10
    refusals: 3
    small_below_g: 600
    small_or_first_season: {pairings_per_7_days: 2, rest_days: 3, weight_loss_percent: 8, refusals: 2}
  readiness: {female: {age_months: 24, weight_g: 1500}, male: {age_months: 12, weight_g: 500.5}}
  windows: [{after: ovulation, comes: pre-lay shed, days: {from: 14, to: 24}}]
  sire_window_days: 200
  corn-snake: {male: {rest_days: 5}}
private: {rent: 12}
"""

ANIMALS: Mapping[str, str] = {
    "animals/M-01.md": md(
        """
id: M-01
name: Pebble
sex: 1.0
sexed: {how: probed, on: 2019-10-01}
hatched: 2019-08
shows: [Pastel, Pinstripe]
claims:
  Piebald: {chance: 66%, from: a seller, on: 2019-11-01}
  Pinstripe: {two_copies: 50%}
status: breeder
came: {on: 2019-11-01, how: bought}
origin: captive bred
photos: [pebble.jpg, {file: far/side.png, on: 2020-05-01, alt: From the left}]
impressions: [dark head]
private: {bought_from: somebody, paid: 300, shared: {with: A friend, split: 50/50, since: 2020-01-01, until: 2030-01-01}}
""",
        "He is **calm**. See [her](F-01), [the clutch](C24-01), [terms](pages/terms.md), [a site](https://example.org/x).\n\n"
        "![him](pebble.jpg)\n\n| a | b |\n|---|---|\n| 1 | 2 |\n",
    ),
    "animals/M-02.md": md(
        "id: M-02\nsex: male\nhatched: 2020\nshows: Banana\nclaims: {Banana: {came_from: dam}}\nstatus: breeder"
    ),
    "animals/F-01.md": md(
        """
id: F-01
name: Juniper
was: [F-1]
sex: female
hatched: about 2019
shows: normal
claims: {Piebald: 100%, Clown: {chance: 1/2, withdrawn: 2024-12-01}}
tests: [{trait: Clown, copies: 0, on: 2025-02-01, by: shed test}]
status: breeder
came: {on: before 2020-06, how: trade}
origin: farmed
price: ask
corrections: [{on: 2022-01-09, key: sex, was: male, because: re-probed}]
""",
        "Prose of hers.\n",
    ),
    "animals/F-02.md": md(
        """
id: F-02
sex: 0.1
hatched: 2021-07-14
sire: M-02
dam: {shows: normal, claims: {Albino: 100%}}
looks:
  - {on: 2021-10-01, shows: normal, without: [Yellow Belly]}
  - {on: 2021-12-05, shows: [Banana], cannot_tell: [Clown]}
stated: {Albino: 50%}
tests: [{trait: Albino, copies: 1, on: 2023-02-01, by: shed test, error: 1%}]
status: holdback
publish: name only
"""
    ),
    "animals/F-03.md": md("id: F-03\nsex: female\nshows: Clown\nstatus: elsewhere\npublish: no\norigin: wild"),
    "animals/C24-01-4.md": md(
        "id: C24-01-4\nname: Moss\nstatus: sold\nleft: {on: 2025-03-01, how: sold}\nphotos: [pebble.jpg]",
        "It left.\n",
    ),
    "animals/more.yaml": """- {id: CS-01, species: corn-snake, sex: male, shows: Amelanistic,
   claims: {Anerythristic: 2/3}, hatched: 2020-07-01}
- {id: CS-02, species: corn-snake, sex: female, shows: [Snow], hatched: 2020-07-01, status: not for sale}
- {id: CS-03, species: corn-snake, sire: CS-01, dam: CS-02, shows: Amelanistic, hatched: 2024-08, status: available, price: 80.50}
- {id: SV-01, species: sand-viper, sex: male, hatched: 2015, shows: Bright, status: growing on}
- {id: SV-02, species: sand-viper, sex: female, hatched: 2015, shows: normal, left: {on: 2020, how: died}}
""",
}

CLUTCHES: Mapping[str, str] = {
    "clutches/C24-01.md": md(
        """
id: C24-01
name: The first
sire: {one_of: {M-01: 80%, unknown: 20%}}
dam: F-01
laid: 2024-05-18..20
eggs: 9
slugs: 1
went_bad: 1
unseen: 1
hatched: 2024-07-14..16
young:
  - 1 f Piebald; available 250
  - {id: C24-01-2, sex: male, shows: [Pastel], status: available, price: 300, photos: [pebble.jpg]}
  - {id: C24-01-3, sex: male, shows: [Pastel], same_egg_as: C24-01-2, status: on hold}
  - {id: C24-01-4, sex: female, shows: normal, without: [Yellow Belly]}
  - {id: C24-01-5, shows: normal}
tally: [2 x normal, {count: 1, sex: male, shows: Pinstripe, cannot_tell: [Clown]}]
to_sort: 0
set_aside: {Clown: two photos disagree}
photos: [{file: pebble.jpg, on: 2024-07-20, alt: All of them}]
""",
        "A clutch of [M-01](M-01).\n",
    ),
    "clutches/C25-01.md": md(
        "id: C25-01\nwas: C25-1\nsire: {mixed: [M-01, M-02]}\ndam: F-02\nlaid: 2025-05-01\neggs: 4\nhatched: 2025-06-30\n"
        "complete: no\ncounts: yes\nreported_by: a buyer\nyoung: [1 normal, 2 m Banana]\nto_sort: 1"
    ),
    "clutches/C25-02.md": md(
        "id: C25-02\nsire: none\ndam: F-01\nlaid: 2025-06-01\neggs: 2\nhatched: 2025-08-01\nyoung: [1 f, 2 f normal]"
    ),
    "clutches/C26-01.md": md("id: C26-01\nsire: M-01\ndam: F-01\nlaid: 2026-10-20\neggs: 6"),
    "clutches/C26-02.yaml": "- {id: C26-02, sire: [M-01, M-02], dam: F-02, laid: 2026-04-01, eggs: 3, ended: 2026-06-01}\n",
}

OTHERS: Files = {
    "traits/own.yaml": """species: ball-python
loci:
  - {locus: frosty, inheritance: incomplete dominant, alleles: [Frosty, Icy], two_copies: {Frosty: dies, Icy: Super Icy},
     together: {Frosty + Icy: Frozen}, also_called: {Icy: [Ice]}, hides: {Icy: [clown]}, subtle: [Frosty], background: {Icy: 1/200},
     welfare: May wobble., welfare_source: our own eye, what: White., gene: NOTKNOWN1, gene_source: nobody, source: common practice,
     two_copies_harm: {Icy: small eyes}, together_harm: {Frosty + Icy: weak}}
  - {locus: banana, sex_linked: {crossover: 1/15, source: ours}}
  - {locus: pale-flank, inheritance: line-bred, alleles: [Pale Flank], what: Pale.}
  - {locus: piebald, kept_in_parthenogenesis: 1/3}
combos: {Cold: [Icy, Pastel]}
""",
    "traits/sand-viper.yaml": """species: sand-viper
name: Sand viper
scientific_name: Vipera inventa
also_called: [Dune viper]
sex_determination: {system: ZW, source: a book}
clutch: {usual: 8, hatch_rate: 80%, source: a book}
incubation_days: {from: 40, to: 60, source: a book}
ready_when: {meals: 3, sheds: 1, text: Three meals and a shed., source: common practice}
readiness:
  male: {age_months: {from: 18, to: 24}, weight_g: {from: 90, to: 120}, text: Grown., source: common practice}
  female: {age_months: {from: 30, to: 36}, weight_g: {from: 150.5, to: 200}, text: Grown., source: common practice}
season:
  male:
    pairings_per_7_days: 2
    rest_days: 2
    weight_loss_percent: 10
    refusals: 3
    small_below_g: 80
    small_or_first_season: {pairings_per_7_days: 1, rest_days: 3, weight_loss_percent: 8, refusals: 2}
    source: common practice
  windows:
    - {after: laid, comes: pipped, days: {from: 40, to: 60}, source: common practice}
    - {after: hatched, comes: first shed, days: {from: 7, to: 14}, source: common practice}
stored_sperm: {note: May keep it., source: a book}
parthenogenesis: {note: Seen once., source: a book}
cautions: [{about: weight, text: Ask a veterinarian., source: common practice}]
law: [{name: CITES, text: Look it up., source: cites.org}]
looks_source: a book
loci:
  - {locus: bright, inheritance: dominant, alleles: [Bright], source: a book}
  - {locus: dull, inheritance: recessive, alleles: [Dull], source: a book}
""",
    "log/2026.csv": """date,animal,event,with,value,note
2026-01-03,M-01,paired,F-01,,first
2026-01-04,M-01,lock,F-01,,
2026-01-06,M-01,parted,F-01,,
2026-01-08,M-01,paired,F-01,,
2026-01-09,M-01,refused,,,
2026-01-10,M-01,weight,,980,
2026-02-10,M-01,weight,,860.5,thin
2026-03-01,F-01,building,,,
2026-03-20,F-01,ovulation,,,
2026-04-10,F-01,pre-lay shed,,,
2026-10-20,C26-01,laid,,6,
2026-11-01,C26-01,candled,,5,
2026-09-01,F-02,weight,,1500,
2026-09-02,F-02,meal,,rat,
2026-09-03,C24-01-1,shed,,,
2026-09-03,C24-01-1,sexed,,f,
2026-09-04,C24-01-1,treatment,,,mites
2026-09-05,M-02,quarantine,,,
2026-09-06,F-02,cooled,,,
""",
    "season/2026.yaml": """- {female: F-01, males: [M-01], backup: M-02, from: 2026-10-01, until: 2027-03-31,
   want: [Piebald], purpose: prove, public: yes, note: a try}
- {female: F-02, males: [M-02, M-01], from: 2025-10-01, until: 2026-03-31, want: [Banana, Pastel], purpose: produce, result: none}
- {female: SV-02, males: [SV-01]}
""",
    "sales/2025.yaml": """- animals: [C24-01-4]
  buyer: Somebody
  agreed: 400
  held: 2024-12-01
  until: 2025-02-01
  deposit: 50
  payments: [{on: 2024-12-01, amount: 50}, {on: 2025-02-20, amount: 300.50}]
  ready_to_go: 2024-12-15
  handed_over: 2025-03-01
  how: collected
  terms: As written
  told: [{on: 2025-03-02, about: its statement}]
  note: nice
- {animals: [C24-01-3], buyer: Another, held: 2026-11-20, until: 2026-12-01}
- {animals: [CS-03], buyer: A third, agreed: 80.5, handed_over: 2025-01-01, returned: 2025-02-01}
""",
    "pages/terms.md": md("title: Terms", "How we sell. [Home](index.html)\n"),
    "photos/pebble.jpg": picture(),
    "photos/far/side.png": picture((30, 40), "PNG"),
    "themes/own/theme.yaml": "name: own\nneeds: 1\nextends: paper\n",
    "themes/own/style/own.css": "body { color: teal }\n",
}

ROOM: Files = {"collection.yaml": COLLECTION, **ANIMALS, **CLUTCHES, **OTHERS}


def write_room(folder: Path) -> Path:
    """The room as files."""
    return write(folder, ROOM)


def part(keep: frozenset[str], species: str) -> Files:
    """What remains of the room when only these animals and clutches were ever in it."""
    found: dict[str, str | bytes] = {}
    for name, content in ROOM.items():
        folder, _, plain = name.partition("/")
        if folder in ("animals", "clutches") and plain != "more.yaml":
            if plain.partition(".")[0] in keep:
                found[name] = content
        elif isinstance(content, bytes) or folder in ("pages", "themes"):
            found[name] = content
        elif name == "collection.yaml":
            found[name] = _of_species(content, species)
        elif folder == "traits":
            if f"species: {species}\n" in content:
                found[name] = content
        else:
            rows = [row for row in re.split(r"(?m)^(?=- |20)", content) if row and set(_ID.findall(row)) <= keep]
            if any(_ID.search(row) for row in rows):
                found[name] = "".join(rows)
    return found


_ID = re.compile(r"(?<![\w-])[A-Z]{1,2}\d*-\d\d(?:-\d+)?(?![\w-])")


def _of_species(settings: str, species: str) -> str:
    settings = settings.replace("[ball-python, corn-snake, sand-viper]", f"[{species}]")
    return settings.replace("  corn-snake: {male: {rest_days: 5}}\n", "").replace("theme: own", "theme: paper")


YOUNG = frozenset(f"C24-01-{number}" for number in range(1, 6))
PARTS: Mapping[str, Files] = {
    "whole": ROOM,
    "pair": part(frozenset({"M-01", "F-01", "C24-01", "C26-01", *YOUNG}), "ball-python"),
    "doubt": part(frozenset({"M-01", "M-02", "F-01", "F-02", "C25-01", "C25-02", "C26-02"}), "ball-python"),
    "vipers": part(frozenset({"SV-01", "SV-02"}), "sand-viper"),
    "corn": part(frozenset({"CS-01", "CS-02", "CS-03"}), "corn-snake"),
}
