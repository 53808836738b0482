"""Clutches as they are written: short lines, sires in doubt, twins, tallies, and young with files of their own."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from tests.rooms import PARENTS, clutch_of, good, md, problems, read, write

from clutchlight.pipeline import read_everything

HATCHED = "hatched: 2024-07-16\n"


@pytest.mark.parametrize(
    ("line", "name", "sex", "shows", "status", "price"),
    [
        ("3 f Pastel Piebald; holdback", "C24-01-3", "female", ("Pastel", "Piebald"), "holdback", None),
        ("4 normal", "C24-01-4", "unknown", (), "not for sale", None),
        ("1 1.0 Pied; available 250", "C24-01-1", "male", ("Piebald",), "available", "250"),
        ("12 male pastel, clown; on hold, 99.50", "C24-01-12", "male", ("Pastel", "Clown"), "on hold", "99.50"),
        ("7 0.0.1 normal; 120 available", "C24-01-7", "unknown", (), "available", "120"),
        ("2 f normal; available ask", "C24-01-2", "female", (), "available", "ask"),
        ("03 m normal;", "C24-01-3", "male", (), "not for sale", None),
    ],
)
def test_a_hatchlings_short_line_is_number_sex_looks_status_price(
    tmp_path: Path, line: str, name: str, sex: str, shows: tuple[str, ...], status: str, price: str | None
) -> None:
    """`3 f Pastel Piebald; holdback` is the animal C24-01-3 (records#young)."""
    collection, clutch = clutch_of(tmp_path, f"sire: M-01\n{HATCHED}eggs: 1\nyoung:\n  - {line}")
    young = collection.animals[name]
    assert clutch.young == (name,)
    assert young.reading is not None
    assert (young.sex, young.reading.shows, young.status, young.price) == (sex, shows, status, price)
    assert (young.sire, young.dam, young.clutch, str(young.hatched)) == ("M-01", "F-01", "C24-01", "2024-07-16")


def test_a_short_line_without_looks_was_never_looked_at(tmp_path: Path) -> None:
    """`5 f` says that a female hatched, not that she is normal."""
    collection, _ = clutch_of(tmp_path, f"sire: M-01\n{HATCHED}eggs: 1\nyoung: [5 f]")
    young = collection.animals["C24-01-5"]
    assert (young.sex, young.readings) == ("female", ())


def test_looks_in_a_short_line_know_their_column(tmp_path: Path) -> None:
    """A misspelt look in a short line is reported where it stands."""
    files = {
        **PARENTS,
        "clutches/C24-01.md": md(
            f"id: C24-01\ndam: F-01\nsire: M-01\n{HATCHED}eggs: 1\nyoung:\n  - 3 f Pastel Piebold"
        ),
    }
    assert problems(tmp_path, files) == [("clutches/C24-01.md", 8, 16, "unknown-look")]


def test_a_day_of_laying_that_cannot_be_read_hides_nothing_else(tmp_path: Path) -> None:
    young = "egs: 3\nyoung:\n  - 3 f Piebold\n  - 4 m normal"
    files = {
        **PARENTS,
        "clutches/C24-01.md": md(f"id: C24-01\ndam: F-01\nsire: M-01\nlaid: 1/5/2024\n{HATCHED}{young}"),
    }
    assert [code for *_, code in problems(tmp_path, files)] == ["bad-date", "unknown-key", "egg-count", "unknown-look"]


def test_all_that_is_wrong_in_a_short_line_is_told_at_once(tmp_path: Path) -> None:
    """A status or a price that does not fit hides neither its look nor what stands in other lines."""
    young = "young:\n  - 3 f Piebold; holdbak\n  - 4 m Piebold; available 12x\n  - 5 f Piebold; available €120"
    files = {**PARENTS, "clutches/C24-01.md": md(f"id: C24-01\ndam: F-01\nsire: M-01\n{HATCHED}eggs: 3\n{young}")}
    assert [(line, code) for _, line, _, code in problems(tmp_path, files)] == [
        (8, "unknown-look"),
        (8, "unknown-word"),
        (9, "unknown-look"),
        (9, "bad-price"),
        (10, "unknown-look"),
        (10, "bad-price"),
    ]


@pytest.mark.parametrize(
    ("written", "kind", "candidates"),
    [
        ("M-01", "one", [("M-01", Fraction(1))]),
        ("[M-01]", "one", [("M-01", Fraction(1))]),
        ("[M-01, M-02]", "one of", [("M-01", Fraction(1, 2)), ("M-02", Fraction(1, 2))]),
        ("{one_of: {M-01: 80%, M-02: 20%}}", "one of", [("M-01", Fraction(4, 5)), ("M-02", Fraction(1, 5))]),
        ("{one_of: {M-01: 67%, M-02: 33%}}", "one of", [("M-01", Fraction(2, 3)), ("M-02", Fraction(1, 3))]),
        ("{mixed: [M-01, unknown]}", "mixed", [("M-01", Fraction(1, 2)), ("unknown", Fraction(1, 2))]),
        ("[M-01, none]", "one of", [("M-01", Fraction(1, 2)), ("none", Fraction(1, 2))]),
        ("unknown", "one", [("unknown", Fraction(1))]),
        ("none", "one", [("none", Fraction(1))]),
        ("None", "one", [("none", Fraction(1))]),
        ("[M-01, Unknown]", "one of", [("M-01", Fraction(1, 2)), ("unknown", Fraction(1, 2))]),
        ("{shows: Pastel}", "one", [("C24-01:sire", Fraction(1))]),
        ("{}", "one", [("C24-01:sire", Fraction(1))]),
    ],
)
def test_a_sire_may_be_one_several_unknown_none_or_nameless(
    tmp_path: Path, written: str, kind: str, candidates: list[tuple[str, Fraction]]
) -> None:
    """Every form of `sire` (records#sire), with its chances."""
    _, clutch = clutch_of(tmp_path, f"sire: {written}")
    assert (clutch.sires.kind, [(str(sire), chance) for sire, chance in clutch.sires.candidates]) == (kind, candidates)


def test_young_of_a_sire_in_doubt_have_no_sire_of_their_own(tmp_path: Path) -> None:
    """The clutch says who may have sired them."""
    collection, _ = clutch_of(tmp_path, f"sire: [M-01, M-02]\n{HATCHED}eggs: 1\nyoung: [1 normal]")
    assert collection.animals["C24-01-1"].sire is None


def test_twins_share_an_egg_and_count_once(tmp_path: Path) -> None:
    """Two young of one egg fill one egg; a chain of twins is one egg too."""
    body = f"""sire: M-01
{HATCHED}eggs: 2
young:
  - 1 f normal
  - {{id: C24-01-2, shows: normal, same_egg_as: C24-01-1}}
  - {{id: C24-01-3, shows: normal, same_egg_as: C24-01-2}}
  - 4 m normal"""
    collection, _ = clutch_of(tmp_path, body)
    assert dict(collection.eggs)["C24-01-1"] == ("C24-01-1", "C24-01-2", "C24-01-3")
    assert collection.animals["C24-01-4"].egg == "C24-01-4"


def test_every_egg_is_accounted_for(tmp_path: Path) -> None:
    """Young, tally, unseen, went_bad and to_sort add up to the eggs; slugs stand apart."""
    body = f"""sire: M-01
{HATCHED}eggs: 9
slugs: 3
went_bad: 1
unseen: 1
to_sort: 2
young: [1 normal]
tally:
  - 2 x normal
  - {{count: 1, sex: male, shows: [Pastel]}}
  - 1 x f Pied"""
    _, clutch = clutch_of(tmp_path, body)
    tally = [(line.count, line.sex, line.reading.shows) for line in clutch.tally]
    assert tally == [(2, "unknown", ()), (1, "male", ("Pastel",)), (1, "female", ("Piebald",))]
    assert clutch.weighs is False


def test_an_incomplete_clutch_may_leave_eggs_out(tmp_path: Path) -> None:
    """`complete: no` needs no sum, but can hold no more young than eggs."""
    _, clutch = clutch_of(tmp_path, f"sire: M-01\n{HATCHED}eggs: 8\ncomplete: no\nyoung: [1 normal]")
    assert (clutch.complete, clutch.weighs) == (False, False)


def test_a_look_is_set_aside_also_before_a_reason_is_written(tmp_path: Path) -> None:
    _, clutch = clutch_of(tmp_path, "sire: M-01\nset_aside: {Piebald: }")
    assert dict(clutch.set_aside) == {"piebald": ""}


def test_set_aside_names_a_locus_by_any_of_its_traits(tmp_path: Path) -> None:
    """The trait that is under review stands for its locus."""
    _, clutch = clutch_of(tmp_path, "sire: M-01\nset_aside: {Pied: two photos disagree}")
    assert dict(clutch.set_aside) == {"piebald": "two photos disagree"}


def test_a_file_of_its_own_adds_to_a_hatchling(tmp_path: Path) -> None:
    """The clutch holds birth facts, the file in animals/ everything later; both make one animal."""
    own = md("id: C24-01-1\nname: Sundew\nsex: f\nlooks:\n  - {on: 2024-12-01, shows: Pastel}", "Later prose.")
    collection, clutch = clutch_of(
        tmp_path, f"sire: M-02\n{HATCHED}eggs: 1\nyoung: [1 f normal; holdback]", {"animals/C24-01-1.md": own}
    )
    young = collection.animals["C24-01-1"]
    assert clutch.young == ("C24-01-1",)
    assert (young.name, young.status, young.prose, young.clutch) == ("Sundew", "holdback", "Later prose.", "C24-01")
    assert [(str(reading.on), reading.shows) for reading in young.readings] == [
        ("None", ()),
        ("2024-12-01", ("Pastel",)),
    ]


def test_a_hatchling_may_be_renamed_in_its_own_file(tmp_path: Path) -> None:
    """`was` joins the new id with the line in the clutch; the clutch lists the present id."""
    own = md("id: SUNDEW\nwas: C24-01-1\nname: Sundew")
    collection, clutch = clutch_of(
        tmp_path, f"sire: M-01\n{HATCHED}eggs: 1\nyoung: [1 f normal]", {"animals/SUNDEW.md": own}
    )
    assert clutch.young == ("SUNDEW",)
    assert "C24-01-1" not in collection.animals
    assert collection.animals["SUNDEW"].was == ("C24-01-1",)


def test_a_date_that_could_fit_is_not_held_against_anybody(tmp_path: Path) -> None:
    """A parent hatched "2023" may be old enough in May 2024; "about 2024" is never an error."""
    files = {
        "animals/F-01.md": md("id: F-01\nsex: f\nhatched: 2023"),
        "animals/M-01.md": md("id: M-01\nsex: m\nhatched: about 2024"),
        "clutches/C24-01.md": md("id: C24-01\nsire: M-01\ndam: F-01\nlaid: 2024-05"),
    }
    assert good(tmp_path, files).clutches["C24-01"].dam == "F-01"


def test_clutches_may_stand_in_a_list(tmp_path: Path) -> None:
    """A .yaml file holds many; the order of files and lines changes nothing."""
    text = "- {id: B, sire: unknown, dam: F-01}\n- {id: A, sire: unknown, dam: F-01}\n"
    assert list(good(tmp_path, {**PARENTS, "clutches/old.yaml": text}).clutches) == ["A", "B"]


TWO = "id: C24-01\nsire: M-01\ndam: F-01\nhatched: 2024-07-16\neggs: 3\nyoung:\n  - 1 f normal\n  - 2 m normal\n  - 2 m normal"


def test_a_number_given_twice_is_told_with_both_lines_of_the_clutch(tmp_path: Path) -> None:
    """Also where the young has a file of its own in animals/, which is not where the mistake is."""
    files = {**PARENTS, "clutches/C24-01.md": md(TWO), "animals/C24-01-2.md": md("id: C24-01-2\nname: Rook")}
    (problem,) = read(tmp_path, files).problems
    assert (problem.file, problem.line, problem.code) == ("clutches/C24-01.md", 10, "duplicate-id")
    assert problem.message.startswith("'C24-01-2' stands twice in this clutch, here and in line 9;")


def test_a_copied_clutch_file_is_one_mistake(tmp_path: Path) -> None:
    """The clutch is named, not each of its young; an animal that is only in the second file counts as known."""
    first = "id: C24-01\nsire: M-01\ndam: F-01\nhatched: 2024-07-16\neggs: 2\nyoung: [1 f normal, 2 m normal]"
    second = first.replace("eggs: 2", "eggs: 3").replace("2 m normal", "2 m normal, 3 f normal")
    files = {
        **PARENTS,
        "clutches/C24-01.md": md(first),
        "clutches/copy.md": md(second),
        "animals/X-01.md": md("id: X-01\ndam: C24-01-3"),
    }
    (problem,) = read(tmp_path, files).problems
    assert (problem.file, problem.line, problem.code) == ("clutches/copy.md", 2, "duplicate-id")
    assert problem.message.endswith("give one of them another id, or delete the copy")


def test_a_hatching_date_in_the_future_is_one_mistake_at_its_own_line(tmp_path: Path) -> None:
    """2042 for 2022: neither the young that bred since, nor their dates, nor the log are told of; the slip is."""
    files = {
        **PARENTS,
        "clutches/C22-01.md": md(
            "id: C22-01\nsire: M-01\ndam: F-01\nlaid: 2022-05-20\nhatched: 2042-07-16\neggs: 2\nyoung: [1 f normal, 2 m normal]"
        ),
        "clutches/C24-01.md": md("id: C24-01\nsire: C22-01-2\ndam: C22-01-1\nlaid: 2024-05-20"),
        "animals/C22-01-1.md": md("id: C22-01-1\nsexed: {how: probed, on: 2023-01-01}"),
        "log/2023.csv": "date,animal,event,value\n2023-02-01,C22-01-2,meal,rat\n",
    }
    folder = write(tmp_path, files)
    (told,) = [str(problem) for problem in read_everything(folder, today=date(2026, 11, 25)).problems]
    assert told == (
        "clutches/C22-01.md:6:10: error: 2042-07-16 is in the future, but other records are of before it"
        " (animals/C22-01-1.md, line 3, and 2 more); correct the year [dates-out-of-order]"
    )
    (folder / "clutches/C24-01.md").unlink()
    (folder / "animals/C22-01-1.md").unlink()
    by_log = [str(problem) for problem in read_everything(folder, today=date(2026, 11, 25)).problems]
    assert by_log[0] == (
        "clutches/C22-01.md:6:10: error: 2042-07-16 is in the future, but other records are of before it"
        " (log/2023.csv, line 2); correct the year [dates-out-of-order]"
    )
    assert len(by_log) == 2
    assert "[future-date]" in by_log[1]


@pytest.mark.parametrize(
    ("day", "codes"), [("2024-05-19", ["dates-out-of-order"]), ("2024-05-20", []), ("2024-05", [])]
)
def test_a_photo_of_a_clutch_is_not_older_than_its_eggs(tmp_path: Path, day: str, codes: list[str]) -> None:
    body = f"id: C24-01\ndam: F-01\nsire: M-01\nlaid: 2024-05-20\neggs: 4\nphotos: [{{file: a.jpg, on: {day}}}]"
    files = {**PARENTS, "clutches/C24-01.md": md(body), "photos/a.jpg": "x"}
    assert [code for _, _, _, code in problems(tmp_path, files)] == codes


@pytest.mark.parametrize("key", ["photo", "Photo", "NAME"])
def test_a_key_of_another_name_is_told_its_own_in_any_case(tmp_path: Path, key: str) -> None:
    body = f"id: C24-01\ndam: F-01\nsire: M-01\nlaid: 2024-05-20\neggs: 4\nphotos: [{{{key}: a.jpg}}]"
    found = read(tmp_path, {**PARENTS, "clutches/C24-01.md": md(body), "photos/a.jpg": "x"})
    assert any("write `file`" in problem.message for problem in found.problems)


@pytest.mark.parametrize(("trait", "codes"), [("Piebald", []), ("piebald", []), ("Unicorn", ["unknown-trait"])])
def test_looks_are_set_aside_at_a_locus_that_there_is(tmp_path: Path, trait: str, codes: list[str]) -> None:
    body = f"id: C24-01\ndam: F-01\nsire: M-01\nlaid: 2024-05-20\neggs: 4\nset_aside: {{{trait}: two photos disagree}}"
    assert [code for _, _, _, code in problems(tmp_path, {**PARENTS, "clutches/C24-01.md": md(body)})] == codes


def test_young_apart_are_sent_to_the_clutch_that_is_on_record(tmp_path: Path) -> None:
    """A clutch written anew beside it counted twice."""
    body = f"id: C24-01\ndam: F-01\nsire: M-01\neggs: 4\n{HATCHED}complete: no\nyoung: [1 f normal]"
    apart = "".join(
        f"- {{id: S-{n}, sex: male, hatched: 2024-07-16, sire: M-01, dam: F-01, shows: normal}}\n" for n in (1, 2)
    )
    found = read(tmp_path, {**PARENTS, "clutches/C24-01.md": md(body), "animals/apart.yaml": apart})
    (said,) = [problem.message for problem in found.problems if problem.code == "siblings-apart"]
    assert said.endswith("put their records under `young` of 'C24-01' (clutches/C24-01.md) if they are of it")
