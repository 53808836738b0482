"""What the documentation says of the program is what the program does."""

from __future__ import annotations

import json
import re
import shlex
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
    assert [name for name in main.commands if not re.search(rf"`{name}\b", text)] == []
