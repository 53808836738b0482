"""What the documentation says of the program is what the program does."""

from __future__ import annotations

import json
import re
import shlex
from collections.abc import Mapping
from html import unescape
from pathlib import Path

import pytest
from click.testing import CliRunner

from clutchlight.cli import main

pytestmark = pytest.mark.slow


def blocks(repository: Path) -> list[tuple[str, str]]:
    """The README's examples: a command after `$ ` and what it prints."""
    text = (repository / "README.md").read_text(encoding="utf-8")
    return [
        (command, printed) for command, printed in re.findall(r"```\n\$ clutchlight ([^\n]+)\n(.*?)```", text, re.S)
    ]


def test_every_example_of_the_readme_prints_what_it_says(
    repository: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each command that is shown with its output is run, in order, beside the demo collection; only its seconds may differ."""
    (tmp_path / "content").symlink_to(repository / "content", target_is_directory=True)
    monkeypatch.chdir(tmp_path)
    examples = blocks(repository)
    assert len(examples) >= 4
    for command, printed in examples:
        result = CliRunner().invoke(main, shlex.split(command))
        assert (result.exit_code, timeless(result.stdout)) == (0, timeless(printed)), command


def timeless(printed: str) -> str:
    return re.sub(r"; [0-9.]+ s$", "; ... s", printed.rstrip())


def test_the_figures_that_the_readme_quotes_are_those_of_the_demo(repository: Path) -> None:
    """The excerpt of a statement.json stands in that file."""
    text = (repository / "README.md").read_text(encoding="utf-8")
    quoted = re.findall(r"`site/(animals/[^`]+/statement\.json)` says:\n\n```json\n(.*?)```", text, re.S)
    assert quoted
    for address, excerpt in quoted:
        statement = json.loads((repository / "site_demo" / address).read_text(encoding="utf-8"))
        assert json.loads(excerpt) in statement["traits"]


def test_the_readme_names_every_command(repository: Path) -> None:
    """Nothing that the program can do is left unsaid."""
    text = (repository / "README.md").read_text(encoding="utf-8")
    assert [name for name in main.every if not re.search(rf"`{name}\b", text)] == []


def test_the_lines_that_the_readme_opens_with_are_those_of_the_demo(
    repository: Path, demo_desk: Mapping[str, bytes]
) -> None:
    """A figure, a clutch, a proof on the site; the message on the desk."""
    text = (repository / "README.md").read_text(encoding="utf-8")
    shown = re.findall(r"^> (.*)$", text, re.M)
    assert len(shown) == 6
    site = {name: heard(repository / "site_demo" / name / "index.html") for name in ("animals/F-09", "clutches/C25-02")}
    for page, said in (
        ("animals/F-09", "proven by clutch C25-02"),
        ("animals/F-09", "33% possible het Piebald"),
        (
            "animals/F-09",
            "Clutch C25-02 with a het Piebald mate had six eggs, of which one gave Piebald young: 1/3 → 1",
        ),
        ("clutches/C25-02", "66% possible het Piebald"),
        ("clutches/C25-02", "two available"),
    ):
        assert said in site[page]
        assert any(part in " ".join(shown) for part in (said, said.replace("two available", "two young available")))
    message = " ".join(re.sub(r"<[^>]+>", " ", unescape(demo_desk["people.html"].decode("utf-8"))).split()).replace(
        "- Piebald", "Piebald"
    )
    for sentence in re.split(r"(?<=[.)])\s", " ".join(line.strip("*") for line in shown[3:]).partition("*")[2]):
        assert sentence.strip("* .") in message, sentence


def heard(page: Path) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", unescape(page.read_text(encoding="utf-8"))).split())
