"""Text rules: what a person types means what it says, at its line and column, however the editor saved it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest
import yaml
from tests.rooms import animal, good, md, problems

from clutchlight.problems import Place, Problem
from clutchlight.reading.findings import Findings
from clutchlight.reading.text import Table, WrittenText
from clutchlight.reading.yaml_records import compose


def composed(data: str) -> Table:
    findings = Findings()
    root = compose(data, "a.yaml", findings)
    assert findings.problems == []
    assert isinstance(root, Table)
    return root


@pytest.mark.parametrize("word", ["007", "no", "yes", "1:30", "2024-05", "0x1F", "1e3", "~", "null", "3.10", "on"])
def test_every_scalar_is_the_text_that_was_typed(word: str) -> None:
    """No word turns into a number, a date, a truth value or nothing."""
    assert composed(f"key: {word}\n")["key"] == word


def test_every_scalar_knows_its_line_and_column() -> None:
    """Line and column count from 1, in characters, also behind letters that take several bytes."""
    table = composed("é: {ö: a,\n  b: [x, 'y']}\n")
    inner = table["é"]
    places = [(text.line, text.column) for text in (inner["ö"], *inner["b"])]
    assert places == [(1, 8), (2, 7), (2, 10)]


def test_front_matter_lines_count_from_the_top_of_the_file(tmp_path: Path) -> None:
    """A problem in front matter stands at the line that an editor shows."""
    assert problems(tmp_path, {"animals/F-01.md": "\n---\nid: F-01\n\nsex: femal\n---\n"}) == [
        ("animals/F-01.md", 5, 6, "unknown-word")
    ]


def test_byte_order_mark_and_windows_line_ends_are_fine(tmp_path: Path) -> None:
    """What Windows editors save reads the same."""
    record = b"\xef\xbb\xbf---\r\nid: F-01\r\nname: Bramble\r\n---\r\nOne line.\r\nAnother.\r\n"
    found = good(tmp_path, {"animals/F-01.md": record}).animals["F-01"]
    assert (found.name, found.prose) == ("Bramble", "One line.\nAnother.")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("“Bramble”", "Bramble"),
        ("“Bramble: the second”", "Bramble: the second"),
        ("Bramble’s daughter", "Bramble's daughter"),
        ("'It’s hers'", None),
        ('"the “best” one"', 'the "best" one'),
        ("Bramble\u00a0II", "Bramble II"),
        ("“Bramble” # a comment", "Bramble"),
    ],
)
def test_what_phones_type_is_read_as_the_plain_characters(tmp_path: Path, typed: str, meant: str | None) -> None:
    """Curly quotes and hard spaces in a record mean the plain ones."""
    expected = "It's hers" if meant is None else meant
    assert animal(tmp_path, f"id: F-01\nname: {typed}").name == expected


def test_hard_spaces_indent_like_plain_ones(tmp_path: Path) -> None:
    """An indent pasted from a web page is an indent."""
    found = animal(tmp_path, "id: F-01\nsexed:\n\u00a0\u00a0how: probed")
    assert found.sexed is not None
    assert found.sexed.how == "probed"


def test_prose_keeps_every_character(tmp_path: Path) -> None:
    """Below the second line of dashes nothing is changed, not even quotes or dashes."""
    prose = "She said “no”.\n\n---\n\n<b>bold</b> &amp; more\n  indented"
    found = good(tmp_path, {"animals/F-01.md": md("id: F-01", prose)}).animals["F-01"]
    assert found.prose == prose


COMMENTED: Mapping[str, tuple[str, str | None]] = {
    "one line": ("Plum <!-- zq -->", "Plum"),
    "in the middle": ("Plum <!-- zq --> of June", "Plum  of June"),
    "quoted": ('"Plum <!-- zq: sold -->"', "Plum"),
    "single quotes": ("'<!-- zq -->Plum'", "Plum"),
    "over two lines": ("Plum <!-- zq\n  zq --> of June", "Plum  of June"),
    "folded": (">-\n  Plum <!-- zq\n\n  zq --> of June", "Plum  of June"),
    "as it stands": ("|-\n  Plum <!-- zq\n  zq\n  -->", "Plum"),
    "never closed": ("Plum <!-- zq", "Plum"),
    "never closed, over lines": ("|-\n  Plum <!-- zq\n  zq", "Plum"),
    "written as a code": ('"Plum \\x3c!-- zq --\\u003e"', "Plum"),
    "one in another": ('"Plum <!<!-- x -->-- zq -->"', "Plum"),
    "nothing else": ("<!-- zq -->", None),
    "nothing else, quoted": ('"<!-- zq -->"', None),
    "an arrow is no comment": ('"Plum --> June"', "Plum --> June"),
}


@pytest.mark.parametrize("typed", COMMENTED)
def test_a_comment_is_dropped_from_every_text(tmp_path: Path, typed: str) -> None:
    """HTML comments in a record are read by nobody, one line or many, and what is left reads like a text without one."""
    written, left = COMMENTED[typed]
    found = animal(tmp_path, f"id: F-01\nname: {written}\nsex: female")
    assert (found.name, found.sex) == (left, "female")
    assert "zq" not in repr(found)


def test_a_comment_is_dropped_from_prose_and_from_pages(tmp_path: Path) -> None:
    """What stands in one goes no further than the reader."""
    files = {
        "animals/F-01.md": md("id: F-01", "Calm. <!-- zq -->\n\nEats. <!-- zq\n\nzq -->\nSheds. <!-- zq"),
        "pages/about.md": md("title: About <!-- zq -->", "Hello. <!-- zq -->"),
    }
    found = good(tmp_path, files)
    assert found.animals["F-01"].prose == "Calm. \n\nEats. \nSheds. "
    assert [(page.title, page.prose) for page in found.pages] == [("About", "Hello. ")]


def test_a_comment_over_two_texts_is_refused(tmp_path: Path) -> None:
    """What lies between would be published, and nobody can tell whether it was meant to be."""
    body = "id: F-01\nimpressions:\n  - pale <!-- sold\n  - to a friend\n  - on Monday --> flanks"
    assert problems(tmp_path, {"animals/F-01.md": md(body)}) == [("animals/F-01.md", 4, 5, "comment-in-text")]


HIDDEN = (
    "\\u202e",
    "\\x07",
    "\\e",
    "\\0",
    "\\u200f",
    "\\ufeff",
    "\\N",
    "\\L",
    "\\P",
    "\\u061c",
    "\\U0000206a",
    "\\ufff9",
)


@pytest.mark.parametrize("code", HIDDEN)
@pytest.mark.parametrize("key", ["name", "impressions", "photos", "private"])
def test_a_character_that_nobody_sees_is_refused_as_an_escape(tmp_path: Path, code: str, key: str) -> None:
    """`"\\u202e"` in YAML is the same character as the one that is refused when it is typed."""
    text = f'"Plum{code}mulP"'
    body = {"photos": f"{{file: a.jpg, alt: {text}}}", "private": f"{{note: {text}}}"}.get(key, text)
    (found,) = problems(tmp_path, {"animals/F-01.md": md(f"id: F-01\n{key}: {body}")})
    assert found[1] == 3
    assert found[3] in ("bidi-character", "control-character")


def test_an_escaped_hard_space_is_a_plain_one(tmp_path: Path) -> None:
    """As is one that was typed."""
    assert animal(tmp_path, 'id: F-01\nname: "Bramble\\_II\\u202fA"').name == "Bramble II A"


@pytest.mark.parametrize("loader", [yaml.BaseLoader, getattr(yaml, "CBaseLoader", yaml.BaseLoader)])
@pytest.mark.parametrize("code", ["\\ud83d", "\\U00110000"])
def test_half_a_character_is_one_problem(monkeypatch: pytest.MonkeyPatch, loader: object, code: str) -> None:
    """No escape names what no text can hold, with the loader that is written in C and without it."""
    monkeypatch.setattr("clutchlight.reading.yaml_records._LOADER", loader)
    findings = Findings()
    assert compose(f'name: "Plum {code}"\n', "a.yaml", findings) is None
    assert len(findings.problems) == 1


@pytest.mark.parametrize(
    "reference",
    [
        "&#x202e;",
        "&#x202E",
        "&#8238;",
        "&#0008238;",
        "&rlm;",
        "&lrm;",
        "&ZeroWidthSpace;",
        "&NoBreak;",
        "&#7;",
        "&#x1b;",
    ],
)
def test_a_character_that_nobody_sees_is_refused_as_a_reference_in_prose(tmp_path: Path, reference: str) -> None:
    """Markdown takes `&#x202e;` for the character itself."""
    prose = f"Plum & June &amp; all.\n\nCalm{reference}mlaC"
    found = problems(tmp_path, {"animals/F-01.md": md("id: F-01", prose)})
    assert [place for *place, _ in found] == [["animals/F-01.md", 6, 5]]


@pytest.mark.parametrize(
    "reference", ["&amp;", "&nbsp;", "&eacute;", "&#233;", "&#x1F40D;", "&shy;", "&#133;", "AT&T", "& so"]
)
def test_other_references_are_fine(tmp_path: Path, reference: str) -> None:
    """Letters, spaces and signs that can be seen may be written so."""
    assert good(tmp_path, {"animals/F-01.md": md("id: F-01", f"Calm {reference} all")}).animals["F-01"].prose


def test_a_comment_with_a_space_after_the_hash_is_a_comment(tmp_path: Path) -> None:
    """Comments as they are commonly written lose nothing."""
    assert animal(tmp_path, "id: F-01   # the first\nname: Bramble#2 # with a hash inside").name == "Bramble#2"


def test_a_file_that_cannot_be_parsed_is_one_problem(tmp_path: Path) -> None:
    """Ids in a broken file count as known, so that nothing else complains of it."""
    files = {
        "clutches/C24-01.md": md("id: C24-01\nname: [open\nyoung:\n  - 3 f normal"),
        "animals/F-02.md": md("id: F-02\ndam: C24-01-3"),
    }
    assert problems(tmp_path, files) == [("clutches/C24-01.md", 3, 7, "not-yaml")]


def test_a_record_that_does_not_fit_still_counts_as_known(tmp_path: Path) -> None:
    """A dam whose own record has a mistake is not reported as missing as well."""
    files = {"animals/F-01.md": md("id: F-01\nsex: femal"), "animals/F-02.md": md("id: F-02\ndam: F-01")}
    assert problems(tmp_path, files) == [("animals/F-01.md", 3, 6, "unknown-word")]


def test_a_misspelt_key_is_read_as_the_key_that_was_meant(tmp_path: Path) -> None:
    """One misspelling is one problem: what follows from the missing key is not told as well."""
    body = "id: C24-01\nsyre: unknown\ndam: {}\nhatched: 2024-07-16\negs: 1\nyoung: [1 normal]"
    assert problems(tmp_path, {"clutches/C24-01.md": md(body)}) == [
        ("clutches/C24-01.md", 3, 1, "unknown-key"),
        ("clutches/C24-01.md", 6, 1, "unknown-key"),
    ]


def test_all_mistakes_of_all_files_are_told_at_once_and_in_order(tmp_path: Path) -> None:
    """Problems come sorted by file, line and column."""
    files = {
        "animals/F-02.md": md("id: F-02\nsex: x\nstatus: y"),
        "animals/F-01.yaml": "- {id: F-01, dam: F-99, price: free}\n",
    }
    assert problems(tmp_path, files) == [
        ("animals/F-01.yaml", 1, 19, "unknown-animal"),
        ("animals/F-01.yaml", 1, 32, "bad-price"),
        ("animals/F-02.md", 3, 6, "unknown-word"),
        ("animals/F-02.md", 4, 9, "unknown-word"),
    ]


def test_an_empty_value_is_a_key_left_out(tmp_path: Path) -> None:
    """`sire:` with nothing behind it says nothing."""
    found = animal(tmp_path, "id: F-01\nsire:\nshows:\nphotos:\nprice:")
    assert (found.sire, found.readings, found.photos, found.price) == (None, (), (), None)


def test_private_keys_are_looked_at_by_nobody(tmp_path: Path) -> None:
    """`private:` may stand anywhere and hold anything."""
    body = """
id: F-01
came: {on: 2021, how: bought, private: {paid: 400}}
claims: {Piebald: {chance: 66%, private: {said: [by, phone]}}, private: {x: y}}
private: {bought_from: somebody, permits: [a, {b: c}]}
"""
    found = animal(tmp_path, body)
    assert [claim.trait for claim in found.claims] == ["Piebald"]
    assert "somebody" not in repr(found)


def test_control_characters_are_escaped_in_messages() -> None:
    """A message cannot move the cursor, wherever its words are from."""
    problem = Problem.at(Place("animals/F-01.md", 3, 6), "unknown-animal", "there is no animal '\x1b[2J'")
    assert str(problem) == "animals/F-01.md:3:6: error: there is no animal '\\x1b[2J' [unknown-animal]"


def test_places_survive_a_list_of_many_records(tmp_path: Path) -> None:
    """An animal of a list knows the line of its own first key."""
    found = good(tmp_path, {"animals/all.yaml": "- id: F-01\n  sex: f\n\n- {id: F-02}\n"})
    assert [(item.place.line, item.place.column) for item in found.animals.values()] == [(1, 3), (4, 3)]


def test_text_keeps_its_place_when_it_is_taken_apart() -> None:
    """A part of a text knows where it begins."""
    whole = WrittenText.put("3 f Pastel", "a.md", 7, 5)
    assert (whole.part("Pastel", 4).line, whole.part("Pastel", 4).column) == (7, 9)


@pytest.mark.parametrize(("levels", "codes"), [(16, []), (17, ["too-deep"])])
@pytest.mark.parametrize(("opened", "closed"), [("[", "]"), ("{a: ", "}")])
def test_records_are_nested_sixteen_levels_deep_and_no_deeper(
    levels: int, codes: list[str], opened: str, closed: str
) -> None:
    findings = Findings()
    compose(f"{opened * levels}b{closed * levels}", "a.yaml", findings)
    assert [problem.code for problem in findings.problems] == codes
