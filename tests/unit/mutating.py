"""Mutated collections: what slips of the hand, extreme values and failing disks make of good records, drawn by a seed.

A collection is a mapping from file names to bytes. Same files, same seed: same mutation, on every machine.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Mapping

from tests.unit.whole_room import PARTS

Files = Mapping[str, bytes]

DATES = (
    *("0001", "0001-01-01", "0204-05-18", "1899-12-31", "1900", "1900-01-01", "2199", "2199-12-31", "2200-01-01"),
    *("9999", "9999-12", "9999-12-31", "about 9999", "about 0001", "before 0001-01-02", "before 9999-12-31"),
    *(
        "2024-02-29",
        "2023-02-29",
        "2024-07-14..16",
        "2024-07-16..14",
        "1900-01-01..2199-12-31",
        "2024-07-14..2024-07-14",
    ),
    *("0001-01-01..9999-12-31", "2024", "2026-11-25", "2026-11-26", "before 2024", "about 2024-07", "2025-01-01"),
)
NUMBERS = (
    *(
        "0",
        "00",
        "1",
        "2",
        "3",
        "7",
        "0.5",
        "0.000001",
        "1.50",
        "-1",
        "1e9",
        "99",
        "200",
        "201",
        "365",
        "366",
        "500",
        "501",
    ),
    *("36500", "99999", "999999", "1000000", "999999999", "999999999.99", "1000000000", "9" * 30, "9" * 5000, "²", "٣"),
)
CHANCES = (
    *("0%", "1%", "33%", "50%", "66%", "66.6%", "67%", "99.999999%", "100%", "101%", "0.000001%", "1/2", "1/3", "2/3"),
    *("0/1", "1/1", "1/0", "1/999999999", "999999998/999999999", "999999999/999999999", "1/16", "15/16"),
)
WORDS = (
    *(
        "normal",
        "unknown",
        "none",
        "no",
        "yes",
        "male",
        "female",
        "m",
        "f",
        "Piebald",
        "Pastel",
        "Clown",
        "Banana",
        "Albino",
    ),
    *(
        "Super Pastel",
        "Cold",
        "Frozen",
        "Super Icy",
        "Bright",
        "Snow",
        "Amelanistic",
        "everything",
        "dies",
        "recessive",
    ),
    *("dominant", "incomplete dominant", "line-bred", "not known", "available", "on hold", "sold", "elsewhere", "died"),
    *(
        "returned",
        "loan",
        "ask",
        "dam",
        "sire",
        "prove",
        "produce",
        "page",
        "name only",
        "ZW",
        "XY",
        "private",
        "~",
        "null",
    ),
    *("laid", "pipped", "hatched", "ovulation", "first shed", "first meal", "x" * 300, "e\u0301" * 40, "العربية", "🐍"),
    *(
        "<b>x</b>",
        "{{ x }}",
        "=1+1",
        "a: b",
        "[F-01](F-01)",
        "[x](nowhere)",
        "![x](nowhere.jpg)",
        "pebble.jpg",
        "paper",
        "own",
    ),
)
SCRAPS = (
    *(
        "---",
        "- ",
        "  ",
        "\t",
        ": ",
        " #",
        "#4",
        "[",
        "]",
        "{",
        "}",
        "&a",
        "*a",
        "!t",
        "<<: {a: b}",
        '"',
        "'",
        "|",
        ">",
        "%",
    ),
    *(
        "@",
        "“",
        "”",
        "’",
        "\u00a0",
        "\u200b",
        "\u202e",
        "\x00",
        "\x1b",
        "\r",
        "\u2028",
        "é",
        "🐍",
        "\ud800",
        "~",
        "null",
        "² ",
    ),
    *("1/0", "[" * 40, "{a: " * 40, ",", ";", "x: " * 40, "none", "unknown", "<!-- a", "-->"),
)
KEYS = (
    *(
        "sex: male",
        "sex: female",
        "sex: unknown",
        "shows: normal",
        "shows: [Piebald]",
        "shows: [Pastel]",
        "sire: M-01",
        "dam: F-01",
    ),
    *(
        "status: available",
        "status: sold",
        "publish: no",
        "publish: name only",
        "price: 10",
        "price: ask",
        "hatched: 2024",
    ),
    *("laid: 2024-05-01", "hatched: 2024-07-01", "eggs: 3", "complete: no", "counts: no", "to_sort: 2", "unseen: 1"),
    *(
        "left: {on: 2025-01-01, how: died}",
        "came: loan",
        "origin: wild",
        "claims: {Piebald: 100%}",
        "claims: {Clown: 1/2}",
    ),
    *(
        "tests: [{trait: Piebald, copies: 1, on: 2025-01-01}]",
        "tests: [{trait: Piebald, copies: 0, on: 2025-01-01, error: 49%}]",
    ),
    *(
        "was: OLD-1",
        "name: Twice",
        "set_aside: {Piebald: x}",
        "reported_by: x",
        "sire: none",
        "sire: unknown",
        "sire: {mixed: [M-01, M-02]}",
    ),
    *(
        "background: 1/200",
        "sex_linked: {crossover: 1/2}",
        "sex_linked: {}",
        "hides: {Icy: [piebald]}",
        "private: {a: b}",
    ),
    *(
        "web_address: http://[::1]/",
        "currency: €",
        "theme: slate",
        "theme: nowhere",
        "publish_from_log: []",
        "law: [x]",
    ),
    *(
        "photos: [pebble.jpg]",
        "corrections: [{on: 2025-01-01, key: sex, was: x, because: y}]",
        "stated: {Piebald: 50%}",
    ),
)
EVENTS = (
    *(
        "weight",
        "meal",
        "refused",
        "shed",
        "paired",
        "lock",
        "parted",
        "plug",
        "cooled",
        "warmed",
        "building",
        "ovulation",
    ),
    *(
        "pre-lay shed",
        "laid",
        "slugs only",
        "candled",
        "egg lost",
        "pipped",
        "hatched",
        "sexed",
        "first shed",
        "first meal",
    ),
    *("assisted", "treatment", "quarantine", "note"),
)

_DATE = re.compile(r"\b(?:about |before )?\d{4}(?:-\d\d(?:-\d\d(?:\.\.\d+)?)?)?\b(?![-.\w])")
_CHANCE = re.compile(r"\b\d+(?:\.\d+)?%|\b\d+/\d+\b")
_NUMBER = re.compile(r"(?<![-\w./])\d+(?:\.\d+)?(?![-\w./%])")
_WORD = re.compile(r"(?<=[:,\[{] )[A-Za-z][\w -]*")
_ID = re.compile(r"\b[A-Z]{1,2}\d*-\d\d(?:-\d+)?\b")


# How often each part of the room is what is mutated.
_SHARES = {"whole": 10, "pair": 35, "doubt": 30, "vipers": 15, "corn": 10}


def mutated_part(seed: int) -> tuple[str, dict[str, bytes]]:
    """A part of the room, mutated, with its name."""
    name = random.Random(seed).choices(list(_SHARES), list(_SHARES.values()))[0]
    plain = {file: text if isinstance(text, bytes) else text.encode() for file, text in PARTS[name].items()}
    return name, mutated(plain, seed)


def mutated(files: Files, seed: int) -> dict[str, bytes]:
    """The files after one mutation to four, most often one or two."""
    draw = random.Random(seed)
    made = dict(files)
    for _ in range(draw.choice((1, 1, 1, 2, 2, 3, 4))):
        draw.choices(list(_KINDS), list(_KINDS.values()))[0](made, draw)
    return made


def _text_file(made: dict[str, bytes], draw: random.Random) -> str:
    return draw.choice([name for name in sorted(made) if _is_text(made[name])])


def _is_text(content: bytes) -> bool:
    try:
        content.decode("utf-8", "surrogatepass")
    except UnicodeDecodeError:
        return False
    return True


def _of(made: dict[str, bytes], name: str) -> str:
    return made[name].decode("utf-8", "surrogatepass")


def _put(made: dict[str, bytes], name: str, text: str) -> None:
    made[name] = text.encode("utf-8", "surrogatepass")


def _value(made: dict[str, bytes], draw: random.Random) -> None:
    """Another value in the place of one, most often of its kind, at times of any."""
    name = _text_file(made, draw)
    text = _of(made, name)
    kinds = ((_DATE, DATES), (_CHANCE, CHANCES), (_NUMBER, NUMBERS), (_WORD, WORDS), (_ID, tuple(ids_in(made))))
    found = [(match, pool) for pattern, pool in kinds for match in pattern.finditer(text) if pool]
    if not found:
        return
    match, pool = draw.choice(found)
    if draw.random() < 0.15:
        pool = draw.choice([pool for _, pool in kinds if pool])
    _put(made, name, text[: match.start()] + draw.choice(pool) + text[match.end() :])


def ids_in(made: Files) -> list[str]:
    """What looks like an id in the files, in order."""
    texts = (
        content.decode("utf-8", "replace") for name, content in sorted(made.items()) if name.endswith((".md", ".yaml"))
    )
    return sorted({match for text in texts for match in _ID.findall(text)})


def _slip(made: dict[str, bytes], draw: random.Random) -> None:
    """A slip of the hand in a line."""
    name = _text_file(made, draw)
    lines = _of(made, name).split("\n")
    row = draw.randrange(len(lines))
    column = draw.randrange(len(lines[row]) + 1)
    scrap = draw.choice(SCRAPS)
    kind = draw.randrange(9)
    if kind == 0:
        del lines[row]
    elif kind == 1:
        lines.insert(row, lines[row])
    elif kind == 2:
        other = draw.randrange(len(lines))
        lines[row], lines[other] = lines[other], lines[row]
    elif kind == 3:
        lines[row] = lines[row][:column] + scrap + lines[row][column:]
    elif kind == 4:
        lines[row] = lines[row][:column] + scrap + lines[row][column + len(scrap) :]
    elif kind == 5:
        lines[row:] = [lines[row][:column]]
    elif kind == 6:
        lines[row] = " " * draw.randrange(4) + lines[row].lstrip()
    elif kind == 7:
        lines[row] = lines[row][:column] + lines[row][column + 1 :]
    else:
        theirs = _of(made, _text_file(made, draw)).split("\n")
        lines.insert(row, draw.choice(theirs))
    _put(made, name, "\n".join(lines))


def _key(made: dict[str, bytes], draw: random.Random) -> None:
    """A line more, or a line less, at the top of a record."""
    name = _text_file(made, draw)
    lines = _of(made, name).split("\n")
    if draw.random() < 0.4 and len(lines) > 2:
        del lines[draw.randrange(1, len(lines))]
    else:
        lines.insert(min(len(lines), draw.randrange(1, 5)), draw.choice(KEYS))
    _put(made, name, "\n".join(lines))


def _file(made: dict[str, bytes], draw: random.Random) -> None:
    """A file less, a file twice under another name, or two files whose contents are exchanged."""
    name, other = draw.choice(sorted(made)), draw.choice(sorted(made))
    kind = draw.randrange(4)
    if kind == 0 and name != "collection.yaml":
        del made[name]
    elif kind == 1:
        made[name], made[other] = made[other], made[name]
    elif kind == 2:
        folder, _, plain = name.rpartition("/")
        text = made[name]
        old = _ID.search(text.decode("utf-8", "replace"))
        made[f"{folder}/copy-{plain}" if folder else f"copy-{plain}"] = (
            text.replace(old[0].encode(), f"X-{draw.randrange(10, 99)}".encode()) if old else text
        )
    else:
        content = made[name]
        cut = draw.randrange(len(content) + 1)
        made[name] = content[:cut]


def _log_row(made: dict[str, bytes], draw: random.Random) -> None:
    """Some log rows more."""
    known = ids_in(made) or ["F-01"]
    rows = []
    for _ in range(draw.randrange(1, 6)):
        on = (
            draw.choice(DATES)
            if draw.random() < 0.3
            else f"20{draw.randrange(19, 28)}-{draw.randrange(1, 13):02}-{draw.randrange(1, 29):02}"
        )
        value = draw.choice(("", draw.choice(NUMBERS), draw.choice(WORDS).replace(",", " ")))
        rows.append(f"{on},{draw.choice(known)},{draw.choice(EVENTS)},{draw.choice(['', draw.choice(known)])},{value},")
    before = made.get("log/2026.csv", b"date,animal,event,with,value,note\n")
    made["log/2026.csv"] = before + ("\n".join(rows) + "\n").encode()


_KINDS: Mapping[Callable[[dict[str, bytes], random.Random], None], int] = {
    _value: 60,
    _slip: 12,
    _key: 14,
    _file: 5,
    _log_row: 9,
}
