"""What is typed at the counter in passing: the other word for an option, blanks between names, slips; all that is wrong is told at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.rooms import FAMILY, log, md
from tests.unit.test_happenings import SALES, run, standing, text_of

from clutchlight.cli import happenings, main
from clutchlight.pipeline import open_book

LAID = {"clutches/C26-02.md": md("id: C26-02\nsire: M-01\ndam: F-02\nlaid: 2026-09-20\neggs: 6")}


def test_the_name_alone_says_how_to_begin() -> None:
    """No mistake is told of somebody who looks for the first time; every command in it is one."""
    said = CliRunner().invoke(main, [], prog_name="clutchlight")
    assert (said.exit_code, said.stderr) == (0, "")
    assert {"start", "intake", "build", "check", "season", "log"} <= {
        line.split()[1] for line in said.stdout.splitlines() if "../" in line
    }


@pytest.mark.parametrize(
    ("names", "died"),
    [
        (["C26-01-1 F-01"], {"C26-01-1", "F-01"}),
        (["C26-01-1", "F-01"], {"C26-01-1", "F-01"}),
        (["C26-01-1,", "F-01"], {"C26-01-1", "F-01"}),
        (["Old Oak C26-01-1"], {"X-1", "C26-01-1"}),
        (["c26-01-1 .. 2", "F-01"], {"C26-01-1", "C26-01-2", "F-01"}),
    ],
)
def test_blanks_part_names_as_commas_do(tmp_path: Path, names: list[str], died: set[str]) -> None:
    """A name of two words stays one where it is on record, and so does a range."""
    FAMILY.write(tmp_path, {"animals/x.yaml": "- {id: X-1, name: Old Oak, sex: male}\n"})
    assert run(tmp_path, "died", *names)[0] == 0
    assert {name for name in ("C26-01-1", "C26-01-2", "F-01", "X-1") if not standing(tmp_path, name)[2]} == died


def test_of_words_between_blanks_those_that_are_no_name_are_told(tmp_path: Path) -> None:
    """Where none is one, they are told together, as one name may be meant."""
    FAMILY.write(tmp_path, {})
    assert "animal 'Oak' has no record" in run(tmp_path, "died", "C26-01-1 Oak")[1]
    assert "animal 'Old Oak' has no record" in run(tmp_path, "died", "Old Oak")[1]


def test_a_price_may_be_called_price(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {})
    assert run(tmp_path, "sold", "C26-01-1", "--yes", "--buyer", "Bo", "--price", "90")[0] == 0
    assert "  buyer: Bo\n  agreed: 90\n" in text_of(tmp_path, SALES)


def test_an_option_that_is_none_is_answered_with_those_there_are(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {})
    code, said = run(tmp_path, "died", "F-01", "--why", "age")
    assert (code, said.splitlines()[0]) == (
        2,
        "what you typed: error: there is no `--why` here; there are `--on`, `--yes` and `--collection`",
    )


def test_the_sire_of_a_clutch_can_be_named_as_it_is_laid(tmp_path: Path) -> None:
    """Beside what the log has, which is kept in view."""
    FAMILY.write(tmp_path, log("2026-10-01,M-02,lock,F-02,,\n"))
    code, said = run(tmp_path, "laid", "F-02", "--by", "M-01", "--on", "2026-11-20")
    assert code == 0
    assert (
        "M-02 was with her 2026-10-01, a lock was seen. He is not among the sires that you named.\nsire: M-01\n" in said
    )


@pytest.mark.parametrize(
    ("gone", "said"),
    [
        (
            "left: {how: died, on: 2026-09-01}",
            "'X-1' is no longer here: died (2026-09-01); look at the animal and the day",
        ),
        ("left: {how: loan, on: 2026-09-01}", "'X-1' is no longer here: loan (2026-09-01)"),
        ("came: {how: bought, on: 2026-11-24}", "'X-1' came later (2026-11-24)"),
    ],
)
def test_a_laying_of_one_that_is_not_here_is_asked_about(tmp_path: Path, gone: str, said: str) -> None:
    """As a row in the log is; eggs of one that had died by then are no record, whoever agrees."""
    FAMILY.write(tmp_path, {"animals/x.yaml": f"- {{id: X-1, sex: female, hatched: 2020-07-01, {gone}}}\n"})
    dead = "died" in gone
    for words in (("laid", "X-1"), ("log", "X-1", "laid", "5"))[dead:]:
        code, told = run(tmp_path, *words, "--on", "2026-11-20")
        assert (code, said in told, "or add --yes if it is right" in told) == (2, True, True)
    for more in ([], ["--yes"])[not dead :]:
        code, told = run(tmp_path, "laid", "X-1", "--on", "2026-11-20", *more)
        why = "error: 'X-1' died 2026-09-01, before 2026-11-20; look at the animal and the day [" in told
        assert (code != 0, why, "nothing was written" in told, "add --yes" in told) == (dead, dead, dead, False)
    assert [problem.message for problem in open_book(tmp_path).problems] == []


def test_all_that_is_wrong_with_a_laying_is_told_at_once(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {})
    code, said = run(tmp_path, "laid", "M-01", "--by", "F-01", "--on", "2018-01-01", "--id", "M-02")
    wrong = {line.partition("error: ")[2].partition(";")[0] for line in said.splitlines()[:-1]}
    assert (code, wrong) == (
        2,
        {
            "'M-01' is on record as male",
            "'F-01' is on record as female",
            "2018-01-01 is before 'M-01' hatched (2020-07-01)",
            "2018-01-01 is before 'F-01' hatched (2019-07-01)",
            "'M-02' is already taken",
        },
    )
    assert "'M-21' is of another species than 'F-02'" in run(tmp_path, "laid", "F-02", "--by", "M-21")[1]


def test_all_animals_that_cannot_leave_are_told_at_once(tmp_path: Path) -> None:
    FAMILY.write(
        tmp_path,
        {"animals/x.yaml": "- {id: X-1, sex: male, left: {how: died}}\n- {id: X-2, sex: male, status: elsewhere}\n"},
    )
    for command in ("died", "sold", "hold"):
        said = run(tmp_path, command, "X-1,X-2")[1]
        assert "'X-1' left already" in said
        assert "'X-2' was never here" in said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("--young 9 --on 2026-11-18", "9 young are more than the 6 good eggs of 'C26-02' (clutches/C26-02.md, line 6)"),
        ("--young 5 --went-bad 2 --on 2026-11-18", "5 young and 2 that failed are more than the 6 good eggs"),
        ("--young 4 --on 2026-11-18", "4 young leave 2 of the 6 good eggs"),
        ("--went-bad 7 --on 2026-11-18", "7 that failed are more than the 6 good eggs"),
        ("--on 2026-09-20", "'C26-02' was laid that very day"),
        ("--on 2026-09-30", "2026-09-30 is 10 days after 'C26-02' was laid, where 55 to 60 are usual"),
        ("--on 2026-11-27", "2026-11-27 has not come yet"),
    ],
)
def test_a_hatching_that_cannot_be_is_refused_in_plain_words(tmp_path: Path, words: str, said: str) -> None:
    """Nothing is written; the record stays as it was."""
    FAMILY.write(tmp_path, LAID)
    code, told = run(tmp_path, "hatched", "C26-02", *words.split())
    assert (code, said in told, text_of(tmp_path, "clutches/C26-02.md")) == (2, True, LAID["clutches/C26-02.md"])


@pytest.mark.parametrize(
    ("rows", "words", "written"),
    [
        (
            "2026-10-02,C26-02,egg lost,,1,\n2026-11-15,C26-02,hatched,,5,\n",
            "",
            ("hatched: 2026-11-15", "went_bad: 1", 5),
        ),
        ("2026-11-14,C26-02,hatched,,2,\n2026-11-15,C26-02,hatched,,4,\n", "", ("hatched: 2026-11-14..15", "", 6)),
        ("2026-11-15,C26-02,hatched,,,\n", "", ("hatched: 2026-11-15", "", 6)),
        ("2026-11-15,C26-02,hatched,,5,\n", "--on 2026-11-16 --young 6", ("hatched: 2026-11-16", "", 6)),
        ("2026-10-02,C26-02,egg lost,,,\n", "--on 2026-11-16", ("hatched: 2026-11-16", "went_bad: 1", 5)),
    ],
)
def test_a_hatching_is_written_as_the_log_has_it(
    tmp_path: Path, rows: str, words: str, written: tuple[str, str, int]
) -> None:
    """It was written of today, with a young for every egg."""
    FAMILY.write(tmp_path, {**LAID, **log(rows)})
    code, told = run(tmp_path, "hatched", "C26-02", *words.split())
    day, lost, young = written
    record = text_of(tmp_path, "clutches/C26-02.md")
    assert (code, day in record, lost in record, "went_bad" in record, record.count(" unknown\n")) == (
        0,
        True,
        True,
        bool(lost),
        young,
    )
    assert ("log's: 2026-11-1" in told) is not bool(words)


def test_a_laying_is_written_as_the_log_has_it(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, log("2026-11-20,F-02,laid,,7,\n"))
    code, told = run(tmp_path, "laid", "F-02", "--by", "M-01")
    assert (code, "laid: 2026-11-20\neggs: 7\n" in told, "The day is the log's: 2026-11-20." in told) == (0, True, True)
    assert "as the log has it, else today" in " ".join(run(tmp_path, "laid", "--help")[1].split())
    run(tmp_path, "undo")
    assert "laid: 2026-11-21\neggs: 6\n" in run(tmp_path, "laid", "F-02", "--on", "2026-11-21", "--eggs", "6")[1]


def test_a_laying_that_is_on_record_or_long_ago_says_nothing_of_a_new_one(tmp_path: Path) -> None:
    clutch = {"clutches/C26-02.md": "---\nid: C26-02\nsire: M-01\ndam: F-02\nlaid: 2026-08-01\n---\n"}
    FAMILY.write(tmp_path, {**clutch, **log("2026-06-01,F-02,laid,,5,\n2026-08-01,F-02,laid,,7,\n")})
    assert "laid: 2026-11-25\n# eggs" in run(tmp_path, "laid", "F-02", "--by", "M-01")[1]


def test_what_is_wrong_with_the_day_and_the_eggs_is_told_at_once(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, LAID)
    told = run(tmp_path, "hatched", "C26-02", "--young", "9", "--on", "2026-09-20")[1]
    assert told.count("error:") == 2


def test_an_odd_incubation_is_written_where_it_is_right(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, LAID)
    assert run(tmp_path, "hatched", "C26-02", "--on", "2026-09-30", "--yes")[0] == 0
    assert "hatched: 2026-09-30" in text_of(tmp_path, "clutches/C26-02.md")


def test_what_came_back_is_offered_again_by_a_word(tmp_path: Path) -> None:
    """At once or later; its day is that of the return."""
    FAMILY.write(tmp_path, {SALES: "- {animals: [C26-01-1], handed_over: 2026-10-01, returned: 2026-10-20}\n"})
    assert standing(tmp_path, "C26-01-1")[0] == "not for sale"
    code, said = run(tmp_path, "returned", "C26-01-1", "--offer")
    assert (code, said) == (0, "made animals/C26-01-1.yaml:\n- id: C26-01-1\n  came: {how: returned, on: 2026-10-20}\n")
    assert standing(tmp_path, "C26-01-1")[0] == "available"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("C26-02 hatched 9 --on 2026-11-18", "9 hatched are more than the 6 good eggs of 'C26-02'"),
        ("F-02 hatched 9 --on 2026-11-18", "9 hatched are more than the 6 good eggs of 'C26-02'"),
        ("C26-02 hatched 6 --on 2026-09-20", "2026-09-20 is no day after 'C26-02' was laid, where 55 to 60 are usual"),
    ],
)
def test_a_hatching_in_the_log_is_measured_by_the_record_of_the_clutch(tmp_path: Path, words: str, said: str) -> None:
    """It is asked about, and nothing is written where nobody can be asked; one that fits is."""
    FAMILY.write(tmp_path, LAID)
    code, told = run(tmp_path, "log", *words.split())
    assert (code, said in told, (tmp_path / "log").exists()) == (2, True, False)
    assert run(tmp_path, "log", "C26-02", "hatched", "6", "--on", "2026-11-18")[0] == 0


def test_nothing_is_asked_about_an_animal_that_is_gone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The refusal comes before the questions who has it and at which price."""
    FAMILY.write(tmp_path, {"animals/x.yaml": "- {id: X-1, sex: male, left: {how: died}}\n"})
    monkeypatch.setattr(happenings, "at_terminal", lambda: True)
    for command in ("sold", "hold"):
        assert "?" not in run(tmp_path, command, "X-1", typed="Bo\n90\n")[1]
