"""Courses, changes and timelines: every figure through time, exact at each date, in the words of that moment."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace
from tests.rooms import BARE, SETTINGS, book_of, good, page_of, site_of

from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import Event
from clutchlight.model import Collection
from clutchlight.reading.collection import read_collection
from clutchlight.site.context import Context
from clutchlight.statements.answers import Answers
from clutchlight.statements.asked import computed
from clutchlight.statements.changes import Changes, TimelineRow, animal_timeline, changes_of, clutch_timeline
from clutchlight.statements.clutches import state_all
from clutchlight.statements.family import corrected_kin, happening


class Told:
    """A collection with its inference, changes and timelines."""

    def __init__(self, collection: Collection) -> None:
        self.collection = collection
        self.inference = infer(collection)
        answers = Answers(self.inference)
        self.statements = state_all(answers)
        self.changes: Changes = changes_of(answers, self.statements)
        self.telling = Answers(self.inference)

    def texts(self) -> list[str]:
        return [f"{change.animal}: {change.with_cause}" for change in self.changes.newest_first]

    def animal(self, ident: str) -> tuple[TimelineRow, ...]:
        return animal_timeline(self.telling, self.collection.animals[ident], self.changes)

    def clutch(self, ident: str) -> tuple[TimelineRow, ...]:
        return clutch_timeline(self.telling, self.collection.clutches[ident], self.changes)


def told(folder: Path, records: Mapping[str, str]) -> Told:
    return Told(good(folder, records))


@pytest.fixture(scope="module")
def demo(content_dir: Path) -> Told:
    collection = read_collection(content_dir).collection
    assert collection is not None
    return Told(collection)


ANIMALS = """\
- {id: M-01, sex: male, hatched: 2020-06-01, shows: normal, claims: {Piebald: 66%}, came: {on: 2020-10-01, how: bought}}
- {id: F-01, sex: female, hatched: 2020-07-01, shows: [Piebald]}
- {id: F-02, sex: female, hatched: 2020-07-02, shows: normal, claims: {Clown: 100%}}
- {id: M-02, sex: male, hatched: 2020-07-03, shows: [Clown]}
- {id: X-09, sex: male, hatched: 2020-07-03, shows: normal, publish: no, claims: {Piebald: 50%}}
"""
NONE = "id: C23-01\nsire: M-01\ndam: F-01\nlaid: 2023-05-02\neggs: 1\nhatched: 2023-07-01\nyoung: [{id: C23-01-1, shows: normal}]\n"
PROOF = "id: C24-01\nsire: M-01\ndam: F-01\neggs: 1\nhatched: 2024-07-01\nyoung: [{id: C24-01-1, shows: Piebald}]\n"
CLOWN = "id: C24-02\nsire: M-02\ndam: F-02\neggs: 1\nhatched: 2024-08-01\nyoung: [{id: C24-02-1, shows: Clown}]\n"
UNLISTED = "id: C24-03\nsire: X-09\ndam: F-01\neggs: 1\nhatched: 2024-09-01\nyoung: [{id: C24-03-1, shows: Piebald, publish: no}]\n"


@pytest.fixture
def room(tmp_path: Path) -> Told:
    clutches = {f"clutches/{text[4:10]}.yaml": text for text in (NONE, PROOF, CLOWN, UNLISTED)}
    return told(tmp_path, {"animals/all.yaml": ANIMALS, **clutches})


# Courses


@pytest.mark.slow
def test_every_course_ends_with_what_is_said_now(demo: Told) -> None:
    """The last label of a course is the label of the statement; nothing said is nothing."""
    for ident, courses in demo.changes.courses.items():
        for course in courses:
            now = demo.statements.animals[ident].trait(course.trait)
            assert course.moments[-1].label == (now.label if now else ""), (ident, course.trait)


def test_a_course_begins_with_what_was_said_when_it_hatched(demo: Told) -> None:
    """The first chance of a young is the statement's "when hatched"."""
    for ident, courses in demo.changes.courses.items():
        for course in courses:
            now = demo.statements.animals[ident].trait(course.trait)
            if now and now.when_hatched and demo.collection.animals[ident].clutch:
                assert course.moments[0].carries == now.when_hatched.carries, (ident, course.trait)


# Changes


def test_a_clutch_tells_what_came_later_in_the_order_of_days(room: Told) -> None:
    """Whatever order the changes of its young come in."""
    later = [
        replace(
            room.changes.newest_first[0],
            animal="C23-01-1",
            clutch="C23-01",
            event=Event(date(2025, month, 1), 0, "F-01", "test"),
        )
        for month in (3, 1, 2)
    ]
    rows = clutch_timeline(room.telling, room.collection.clutches["C23-01"], Changes({}, tuple(later)))
    assert [row.on.last.month for row in rows[-3:] if row.on] == [1, 2, 3]
    assert all(row.dated for row in rows)


def test_a_proof_names_what_proved_it(room: Told) -> None:
    """Before, after, and the clutch that did it."""
    assert "M-01: 50% possible het Piebald → het Piebald, proven by C24-01" in room.texts()


def test_a_look_read_again_proves_and_is_no_test(tmp_path: Path) -> None:
    """Of a Piebald Enchi or a normal male; her Enchi is seen in November: he is her sire, so she is het Piebald."""
    animals = """- {id: M-01, sex: male, hatched: 2020, shows: [Enchi, Piebald]}
- {id: M-02, sex: male, hatched: 2020, shows: normal}
- {id: F-01, sex: female, hatched: 2020, shows: normal}
"""
    looks = "[{on: 2024-07-01, shows: normal}, {on: 2024-11-20, shows: [Enchi]}]"
    clutch = f"id: C24-01\nsire: [M-01, M-02]\ndam: F-01\neggs: 1\nhatched: 2024-07-01\nyoung: [{{id: C24-01-1, looks: {looks}}}]\n"
    files = {"animals/all.yaml": animals, "clutches/C24-01.yaml": clutch}
    proven = "het Piebald, proven by its own look"
    assert any(text.endswith(proven) for text in told(tmp_path, files).texts())
    assert "proven by its own look" in BARE.page(tmp_path / "site", files, "animals/C24-01-1/index.html")


def test_a_clutch_without_a_visual_lowers_the_figure(room: Told) -> None:
    """2 in 3 before, 1 in 2 after one normal hatchling with a visual mate: (2/3 x 1/2) / (2/3 x 1/2 + 1/3)."""
    change = next(change for change in room.changes.newest_first if change.on == date(2023, 7, 1))
    assert (
        f"{change.animal}: {change.with_cause}"
        == "M-01: 66% possible het Piebald → 50% possible het Piebald, after clutch C23-01 hatched"
    )
    assert change.why.startswith("Clutch C23-01 with a Piebald mate had one hatchling, which is not Piebald")


def test_the_proof_of_a_claim_is_a_change_although_the_figure_stays(room: Told) -> None:
    """What was the seller's word is now proven."""
    assert "F-02: het Clown, on the seller's word → het Clown, proven by C24-02" in room.texts()


def test_changes_come_newest_first_and_unlisted_animals_not_at_all(room: Told) -> None:
    """X-09 was proven by its young; neither of them is named."""
    days = [change.on for change in room.changes.newest_first]
    assert days == sorted(days, reverse=True)
    assert not any("X-09" in text or "C24-03-1" in text for text in room.texts())


def test_what_no_reader_can_see_is_no_change(tmp_path: Path) -> None:
    """A figure that moves from 49/99 to 98/199 or the like is printed the same."""
    found = told(
        tmp_path,
        {
            "animals/all.yaml": ANIMALS.replace(
                "shows: normal, claims: {Piebald: 66%}",
                "shows: normal, claims: {Piebald: 66%}, tests: [{trait: Piebald, copies: 1, on: 2022-01-01, error: 2/1001}, "
                "{trait: Piebald, copies: 1, on: 2022-02-01, error: 1/3, lab: Other}]",
            )
        },
    )
    last = found.changes.newest_first[0]
    assert (last.before_words, last.after_words) == ("66% possible het Piebald", "99% possible het Piebald")
    assert all(change.before_words != change.after_words for change in found.changes.newest_first)


def test_sold_animals_are_among_the_changes(demo: Told) -> None:
    """Two young were sold before their sibling's clutch changed their figures."""
    sold = {change.animal for change in demo.changes.newest_first if demo.statements.animals[change.animal].sold_on}
    assert {"C22-02-1", "C22-02-2"} <= sold


def test_no_two_changes_of_one_figure_on_one_day_are_confused(demo: Told) -> None:
    """Animal, trait, day and place tell every change apart: feeds make their ids of them."""
    keys = [
        (change.animal, change.locus, change.trait, change.on, change.place) for change in demo.changes.newest_first
    ]
    assert len(set(keys)) == len(keys)


# Timelines


def test_a_timeline_tells_what_was_recorded_and_what_it_did(room: Told) -> None:
    """Hatched, came, and each clutch with before and after."""
    assert [(str(row.on), row.what, row.figures) for row in room.animal("M-01")] == [
        ("2020-06-01", "Hatched.", ("66% possible het Piebald",)),
        ("2020-10-01", "Came here.", ()),
        (
            "2023-07-01",
            "Clutch C23-01 with a Piebald mate had one hatchling, which is not Piebald.",
            ("66% possible het Piebald → 50% possible het Piebald",),
        ),
        (
            "2024-07-01",
            "Clutch C24-01 with a Piebald mate had one hatchling, which is Piebald.",
            ("50% possible het Piebald → het Piebald, proven by C24-01",),
        ),
    ]


def test_a_loan_ends_with_the_return(tmp_path: Path) -> None:
    """It stays on record when the animal leaves again."""
    again = "left: {how: loan, on: 2024-09-01, back: 2024-10-01, then: {how: sold, on: 2024-11-01}}"
    rows = told(
        tmp_path / "again", {"animals/all.yaml": ANIMALS.replace("came: {on: 2020-10-01, how: bought}", again)}
    ).animal("M-01")
    assert [row.what for row in rows][-3:] == ["Went out on loan.", "Came back.", "Sold."]
    lent = ANIMALS.replace("came: {on: 2020-10-01, how: bought}", "left: {how: loan, on: 2024-09-01, back: 2024-10-01}")
    rows = told(tmp_path, {"animals/all.yaml": lent, "clutches/C23-01.yaml": NONE}).animal("M-01")
    assert [(str(row.on), row.what) for row in rows][-2:] == [
        ("2024-09-01", "Went out on loan."),
        ("2024-10-01", "Came back."),
    ]


def test_one_that_goes_from_keeper_to_keeper_does_not_come_back_in_between(tmp_path: Path) -> None:
    then = "then: {how: loan, on: 2024-10-01, back: 2024-11-01}"
    lent = f"left: {{how: loan, on: 2024-09-01, back: 2024-10-01, {then}}}"
    rows = told(tmp_path, {"animals/all.yaml": ANIMALS.replace("came: {on: 2020-10-01, how: bought}", lent)})
    last = [(str(row.on), row.what) for row in rows.animal("M-01")][-3:]
    assert last == [
        ("2024-09-01", "Went out on loan."),
        ("2024-10-01", "Went out on loan."),
        ("2024-11-01", "Came back."),
    ]


def test_a_clutch_that_changed_nothing_stands_in_its_parents_timeline(room: Told) -> None:
    """An empty result is a result."""
    assert [row.what for row in room.animal("F-01") if row.figures == ("no figure changed",)] == [
        "Clutch C23-01 hatched: one hatchling.",
        "Clutch C24-01 hatched: one hatchling.",
        "Clutch C24-03 hatched: one hatchling.",
    ]


def test_the_timeline_of_a_clutch_tells_what_it_proved_and_what_became_of_its_young(demo: Told) -> None:
    """Laid, hatched, and years later a figure of two sold young."""
    rows = demo.clutch("C22-02")
    assert [str(row.on) for row in rows] == ["2022-06-11", "2022-08-08", "2025-07-21"]
    assert rows[-1].figures[0] == "C22-02-1: 33% possible het Piebald → 50% possible het Piebald"
    assert demo.clutch("C25-03")[-1].figures == (
        "F-05: nothing said of Desert Ghost → het Desert Ghost, proven by C25-03, resting on an unexpected result",
    )


GREAT = {
    "animals/G-01.md": "---\nid: G-01\nsex: male\nshows: normal\n---\n",
    "animals/G-02.md": "---\nid: G-02\nsex: female\nshows: normal\ntests:\n  - {trait: Piebald, copies: 0, on: 2020-01-05}\n---\n",
    "animals/M-01.md": "---\nid: M-01\nsex: male\nshows: Piebald\n---\n",
    "clutches/C20-01.md": (
        "---\nid: C20-01\nsire: G-01\ndam: G-02\nhatched: 2020-07-01\neggs: 2\nyoung:\n  - 1 f normal\n  - 2 m normal\n---\n"
    ),
    "clutches/C23-01.md": (
        "---\nid: C23-01\nsire: M-01\ndam: C20-01-1\nhatched: 2023-07-01\neggs: 2\nyoung:\n  - 1 f Piebald\n  - 2 m normal\n---\n"
    ),
}


def test_a_clutch_of_a_daughter_proves_her_sire_in_other_words_than_her(tmp_path: Path) -> None:
    """Her dam was tested to carry nothing, so the copy that a visual young needs came from the sire; it is not his own young."""
    made = told(tmp_path, GREAT)
    (grandsire,) = (trait for trait in made.statements.animals["G-01"].traits if trait.trait == "Piebald")
    (dam,) = (trait for trait in made.statements.animals["C20-01-1"].traits if trait.trait == "Piebald")
    assert (grandsire.grounds.kind, grandsire.grounds.proven_by) == ("proven", "C23-01")
    assert grandsire.because == ("Since clutch C23-01 hatched, our records leave no other way: it carries Piebald.",)
    assert dam.because == (
        "Clutch C23-01 proved it: one of the two hatchlings is Piebald, and a Piebald has a copy from each parent.",
    )


def test_a_change_up_to_the_threshold_itself_is_no_small_one(tmp_path: Path) -> None:
    """A daughter of a 25% possible het is 1/8, her daughter 1/16; only below what is mentioned is a figure small."""
    records = {
        "animals/M-01.md": "---\nid: M-01\nsex: male\nshows: normal\nclaims: {Piebald: 25%}\n---\n",
        "animals/F-01.md": "---\nid: F-01\nsex: female\nshows: normal\n---\n",
        "animals/M-02.md": "---\nid: M-02\nsex: male\nshows: normal\n---\n",
        "clutches/C20-01.md": "---\nid: C20-01\nsire: M-01\ndam: F-01\nhatched: 2020-07-01\neggs: 1\nyoung:\n  - 1 f normal\n---\n",
        "clutches/C23-01.md": "---\nid: C23-01\nsire: M-02\ndam: C20-01-1\nhatched: 2023-07-01\neggs: 1\nyoung:\n  - 1 f normal\n---\n",
    }
    made = told(tmp_path, records)
    (course,) = made.changes.courses["C23-01-1"]
    assert [str(moment.carries) for moment in course.moments] == ["1/16"]
    assert not course.small
    settings = {"collection.yaml": SETTINGS + "thresholds: {mention_from: 1/15}\n"}
    (course,) = told(tmp_path, {**records, **settings}).changes.courses["C23-01-1"]
    assert course.small


def test_a_male_that_what_hatched_has_ruled_out_did_not_breed_the_clutch(tmp_path: Path) -> None:
    """Two males were with her, and a visual young needs a copy from its sire: the tested one has none. The other is a proven breeder."""
    records = {
        "animals/M-01.md": (
            "---\nid: M-01\nsex: male\nshows: normal\ntests:\n  - {trait: Piebald, copies: 0, on: 2019-01-05}\n---\n"
        ),
        "animals/M-02.md": "---\nid: M-02\nsex: male\nshows: Piebald\n---\n",
        "animals/F-01.md": "---\nid: F-01\nsex: female\nshows: Piebald\n---\n",
        "clutches/C20-01.md": (
            "---\nid: C20-01\nsire: [M-01, M-02]\ndam: F-01\nhatched: 2020-07-01\neggs: 1\nyoung:\n  - 1 f Piebald\n---\n"
        ),
    }
    made = told(tmp_path, records)
    context = Context(made.collection, made.statements)
    assert [context.bred(animal) for animal in ("M-01", "M-02", "F-01")] == [(), ("C20-01",), ("C20-01",)]
    assert made.statements.animals["M-01"].proven_breeder == ""
    assert made.statements.animals["M-02"].proven_breeder == "proven breeder: 1 clutch, in 2020"
    shared = {**records, "animals/M-01.md": "---\nid: M-01\nsex: male\nshows: normal\n---\n"}
    shared["clutches/C20-01.md"] = (
        "---\nid: C20-01\nsire: {mixed: [M-01, M-02]}\ndam: F-01\nhatched: 2020-07-01\neggs: 2\n"
        "young:\n  - 1 f Piebald\n  - 2 f normal\n---\n"
    )
    bred = told(tmp_path / "shared", shared).statements.animals
    assert [bred[male].proven_breeder for male in ("M-01", "M-02")] == ["proven breeder: 1 clutch, in 2020", ""]


def test_what_was_proven_later_stood_on_an_assumption_until_then(tmp_path: Path) -> None:
    """Her daughter is proven in 2022: it came from F-10, if M-10 carries nothing; a young of her own proves F-10 in 2024."""
    young = "eggs: 1, hatched: 20{0}-07-01, young: [1 f {1}]}}\n"
    records = {
        "animals/all.yaml": "- {id: F-10, sex: female, hatched: 2015-07-01, shows: normal, claims: {Piebald: 50%}}\n"
        "- {id: M-10, sex: male, hatched: 2015-07-01, shows: normal}\n"
        "- {id: M-11, sex: male, hatched: 2015-07-01, shows: [Piebald]}\n",
        "clutches/all.yaml": f"- {{id: C20-01, sire: M-10, dam: F-10, {young.format(20, 'normal')}"
        f"- {{id: C22-01, sire: M-11, dam: C20-01-1, {young.format(22, 'Piebald')}"
        f"- {{id: C24-01, sire: M-11, dam: F-10, {young.format(24, 'Piebald')}",
    }
    stood = "het Piebald, if M-10 carries nothing unrecorded"
    assert [text for text in told(tmp_path, records).texts() if text.startswith("F-10")] == [
        f"F-10: {stood} → het Piebald, proven by C24-01",
        f"F-10: 50% possible het Piebald → {stood}, after clutch C22-01 hatched",
    ]


def test_what_hangs_on_an_unexpected_result_is_told_with_that(tmp_path: Path) -> None:
    """F-1 was said to be het, M-1 was not; a Piebald proves both, and gives its sister a chance. What was said of F-1 before is told
    without; so is what a clutch of T, which never met them, did to T."""
    said = told(
        tmp_path,
        {
            "animals/all.yaml": "- {id: F-1, sex: female, hatched: 2018, shows: normal, claims: {Piebald: 100%}}\n"
            "- {id: M-1, sex: male, hatched: 2018, shows: normal}\n- {id: V, sex: male, hatched: 2018, shows: [Piebald]}\n"
            "- {id: T, sex: female, hatched: 2018, shows: normal, claims: {Piebald: 50%}}\n",
            "clutches/all.yaml": "- {id: C22, sire: M-1, dam: F-1, eggs: 1, hatched: 2022-07-01, young: [1 f normal]}\n"
            "- {id: C23, sire: M-1, dam: F-1, eggs: 1, hatched: 2023-07-01, young: [1 Piebald]}\n"
            "- {id: C24, sire: V, dam: T, eggs: 1, hatched: 2024-07-01, young: [1 normal]}\n",
        },
    )
    assert said.texts() == [
        "T: 50% possible het Piebald → 33% possible het Piebald, after clutch C24 hatched",
        "C22-1: 50% possible het Piebald → 66% possible het Piebald, resting on an unexpected result, after clutch C23 hatched",
        "F-1: het Piebald, on the seller's word → het Piebald, proven by C23, resting on an unexpected result",
        "M-1: nothing said of Piebald → het Piebald, proven by C23, resting on an unexpected result",
    ]
    labels = {
        name: [trait.label for trait in said.statements.animals[name].traits] for name in ("C22-1", "F-1", "T", "V")
    }
    assert labels == {
        "C22-1": ["66% possible het Piebald, resting on an unexpected result"],
        "F-1": ["het Piebald, resting on an unexpected result"],
        "T": ["33% possible het Piebald"],
        "V": ["Piebald"],
    }


LOOKED_AT_LATER = {
    "animals/all.yaml": "- {id: F-1, sex: female, hatched: 2019, shows: normal, claims: {Piebald: 66%}}\n"
    "- {id: M-1, sex: male, hatched: 2019, looks: [{on: 2019-05-05, shows: normal}, {on: 2026-01-02, shows: [Pastel]}],"
    " claims: {Piebald: 66%}}\n",
    "clutches/all.yaml": "- {id: C25-01, sire: M-1, dam: F-1, eggs: 2, hatched: 2025-07-01, young:"
    " [1 f Pastel, {id: C25-01-2, sex: male, looks: [{on: 2025-07-12, shows: [Piebald]}]}]}\n",
}


def test_what_records_that_did_not_fit_said_of_a_look_is_the_look(tmp_path: Path) -> None:
    """C25-01-1 showed Pastel when it hatched, though its sire was read as normal then."""
    lines = BARE.page(tmp_path, LOOKED_AT_LATER, "animals/C25-01-1/index.html")
    assert "Pastel | shows it | shows it" in lines


def test_a_clutch_tells_what_a_later_look_of_its_young_proved_of_its_parents(tmp_path: Path) -> None:
    """C25-01-2 was looked at after its first shed: by its heading, its notes and its days."""
    lines = BARE.page(tmp_path, LOOKED_AT_LATER, "clutches/C25-01/index.html")
    assert "Proved: F-1 and M-1 are het Piebald." in lines
    assert "### Short of proof" not in lines
    after = lines[lines.index("The look of C25-01-2 was read as Piebald.") :]
    assert "F-1: 62% possible het Piebald → het Piebald, proven by C25-01-2" in after


def test_what_the_first_looks_of_young_or_sire_told_of_the_dam_is_not_nothing(tmp_path: Path) -> None:
    """Both clutches had no Piebald: one was looked at late, of the other the sire."""
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, hatched: 2021, shows: normal, claims: {Piebald: 66%}}\n"
        "- {id: F-2, sex: female, hatched: 2021, shows: normal, claims: {Piebald: 66%}}\n"
        "- {id: M-1, sex: male, hatched: 2021, shows: [Piebald]}\n"
        "- {id: M-2, sex: male, hatched: 2020, looks: [{on: 2026-01-02, shows: [Piebald]}]}\n",
        "clutches/all.yaml": "- {id: C25-01, sire: M-2, dam: F-2, eggs: 2, hatched: 2025-07-02, young: [1 f normal, 2 m normal]}\n"
        "- {id: C26-01, sire: M-1, dam: F-1, eggs: 1, hatched: 2026-07-01, young:"
        " [{id: C26-01-1, sex: female, looks: [{on: 2026-07-12, shows: normal}]}]}\n",
    }
    looked = BARE.page(tmp_path, files, "clutches/C25-01/index.html")
    assert "F-2: 66% possible het Piebald → 33% possible het Piebald" in looked
    for page in (looked, BARE.page(tmp_path, files, "clutches/C26-01/index.html")):
        assert "proved nothing new" not in " ".join(page)
    for publish, whose in (("", "its mate M-2"), (" publish: no,", "M-2")):
        files["clutches/all.yaml"] = files["clutches/all.yaml"].replace("C25-01,", f"C25-01,{publish}")
        dam = " ".join(BARE.page(tmp_path, files, "animals/F-2/index.html"))
        assert f"The look of {whose} was read as Piebald" in dam


def test_a_mate_with_two_copies_is_no_het(tmp_path: Path) -> None:
    """One copy may be certain beside a second, as here by a test of an animal at which nobody has looked."""
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, hatched: 2019, shows: normal, claims: {Piebald: 66%}}\n"
        "- {id: M-1, sex: male, hatched: 2019, tests: [{trait: Piebald, copies: 2, on: 2024-01-02, by: shed test}]}\n",
        "clutches/all.yaml": "- {id: C25-01, sire: M-1, dam: F-1, eggs: 1, hatched: 2025-07-01, young: [1 f normal]}\n",
    }
    assert (
        "F-1: 66% possible het Piebald → 50% possible het Piebald, after clutch C25-01 hatched"
        in told(tmp_path, files).texts()
    )
    lines = BARE.page(tmp_path, files, "animals/F-1/index.html")
    assert "Clutch C25-01 with a mate that carries Piebald had one hatchling, which is not Piebald." in lines


@pytest.mark.parametrize(
    ("chance", "certain"), [("100%", True), ("{chance: 100%, withdrawn: 2024-05-01}", False), ("50%", False)]
)
def test_what_was_withdrawn_is_not_claimed_for_certain(tmp_path: Path, chance: str, certain: bool) -> None:
    record = f"- {{id: F-1, sex: female, hatched: 2018, shows: normal, claims: {{Clown: {chance}, Piebald: 50%}}}}\n"
    made = told(tmp_path, {"animals/all.yaml": record})
    asked = {one.trait: one for one in computed(made.telling, made.collection.animals["F-1"])}
    assert [asked[trait].claimed_for_certain() for trait in ("Clown", "Piebald")] == [certain, False]
    assert asked["Clown"].claimed_for_certain("first") is (chance != "50%")


def test_a_withdrawn_claim_is_called_what_was_claimed(tmp_path: Path) -> None:
    """She shows Pinstripe and he Banana, which nobody took back: a second copy of hers was, and the parent that his came from."""
    records = {
        "animals/all.yaml": "- {id: F-1, sex: female, hatched: 2018, shows: [Pinstripe],"
        " claims: {Pinstripe: {two_copies: 50%, withdrawn: 2024-05-01}}}\n"
        "- {id: M-1, sex: male, hatched: 2018, shows: [Banana], claims: {Banana: {came_from: dam, withdrawn: 2024-06-01}}}\n"
        "- {id: F-2, sex: female, hatched: 2018, shows: normal,"
        " claims: {Clown: {chance: 50%, withdrawn: 2024-05-01}, Piebald: {chance: 100%, withdrawn: 2024-05-01}}}\n",
    }
    made = told(tmp_path, records)
    both = happening(made.telling, Event(date(2024, 5, 1), 3, "F-2", "withdrawn"), made.telling.named("F-2"))
    assert both == "the claims that F-2 is 50% possible het Clown and is het Piebald were withdrawn"
    assert [str(row.what) for row in made.animal("F-1")][1:] == [
        "The claim that it has two copies of Pinstripe with a chance of 50% was withdrawn."
    ]
    withdrawn = Event(date(2024, 6, 1), 3, "M-1", "withdrawn")
    said = happening(made.telling, withdrawn, made.telling.named("M-1"))
    assert said == "the claim that M-1 has Banana from its own dam was withdrawn"


def test_a_proof_is_unexpected_only_from_the_day_on_which_nothing_else_speaks_for_it(tmp_path: Path) -> None:
    """What was said of M-1 stood when their Piebald hatched, and was withdrawn a year later: she was proven as expected, and so was he."""
    records = {
        "animals/all.yaml": "- {id: F-1, sex: female, hatched: 2018, shows: normal, claims: {Piebald: 100%}}\n"
        "- {id: M-1, sex: male, hatched: 2018, shows: normal, claims: {Piebald: {chance: 50%, withdrawn: 2024-05-01}}}\n",
        "clutches/all.yaml": "- {id: C23, sire: M-1, dam: F-1, eggs: 1, hatched: 2023-07-01, young: [1 Piebald]}\n",
    }
    texts = told(tmp_path, records).texts()
    assert "F-1: het Piebald, on the seller's word → het Piebald, proven by C23" in texts
    assert "M-1: 50% possible het Piebald → het Piebald, proven by C23" in texts


def test_the_course_of_each_of_clutch_mates_alike_is_its_own(tmp_path: Path) -> None:
    """The tenth comes before the second, the first of its like, in order of id."""
    young = ", ".join(f"{number} {'f Pastel' if number == 1 else 'm normal'}" for number in range(1, 11))
    records = {
        "animals/all.yaml": "- {id: F-01, sex: female, shows: normal, claims: {Piebald: 66%}}\n- {id: M-01, sex: male, shows: [Pastel]}\n",
        "clutches/all.yaml": "- {id: C24-01, sire: M-01, dam: F-01, laid: 2024-05-01, eggs: 10, hatched: 2024-07-01, "
        f"young: [{young}]}}\n",
    }
    courses = told(tmp_path, records).changes.courses
    assert {"C24-01-2", "C24-01-10"} < set(courses)
    assert all({course.animal for course in found} == {name} for name, found in courses.items())


@pytest.mark.parametrize(
    ("was", "told"),
    [
        ("M-2", "sire M-2"),
        ("Tarn", "sire Tarn"),
        ("M-1 or M-2", "sire M-1 or M-2"),
        ('"M-1, Tarn"', "sire M-1 or Tarn"),
        ("[M-1, M-2]", "sire M-1 or M-2"),
        ("unknown", "sire unknown"),
        ("[M-1, M-9]", "sire M-1 or one not named"),
        ("M-9", "sire not named"),
    ],
)
def test_a_sire_that_was_corrected_is_told_as_the_record_had_it(tmp_path: Path, was: str, told: str) -> None:
    """M-9 is not listed: neither his id nor his name stands on a page."""
    files = {
        "animals/all.yaml": "- {id: M-1, name: Osk, sex: male, shows: normal}\n- {id: M-2, name: Tarn, sex: male, shows: normal}\n"
        "- {id: F-1, sex: female, shows: normal}\n- {id: M-9, sex: male, shows: normal, publish: no}\n",
        "clutches/C1.yaml": "id: C1\nsire: M-1\ndam: F-1\nhatched: 2026-06-01\neggs: 1\nyoung: [1 f normal]\n"
        f"corrections: [{{on: 2026-08-01, key: sire, was: {was}, because: remembered}}]\n",
    }
    lines = " ".join(page_of(book_of(BARE.write(tmp_path, files)), "clutches/C1/index.html"))
    assert f"Until 1 August 2026 our record said “{told}”." in lines


def test_of_excluded_males_before_only_those_that_are_listed_are_named(tmp_path: Path) -> None:
    files = {
        "animals/all.yaml": "- {id: M-1, sex: male, shows: normal}\n- {id: F-1, sex: female, shows: normal}\n"
        "- {id: M-9, name: Secret Sam, sex: male, shows: normal, publish: no}\n",
        "clutches/C1.yaml": "id: C1\nsire: M-1\ndam: F-1\nhatched: 2026-06-01\neggs: 1\nyoung: [1 f normal]\n"
        "corrections: [{on: 2026-08-01, key: not_by, was: M-9, because: remembered}]\n",
    }
    site = site_of(book_of(BARE.write(tmp_path, files)))
    assert "our record said “excluded male not named”" in site["clutches/C1/index.html"].decode()
    assert not any(b"M-9" in page or b"Secret Sam" in page for page in site.values())


def test_a_correction_of_the_clutch_of_the_dam_is_told_once_where_she_is_a_daughter_of_the_sire(tmp_path: Path) -> None:
    files = {
        "animals/all.yaml": "- {id: M-1, sex: male, shows: Piebald}\n- {id: M-2, sex: male, shows: normal}\n"
        "- {id: F-1, sex: female, shows: normal}\n",
        "clutches/all.yaml": "- {id: C22, sire: M-1, dam: F-1, eggs: 1, hatched: 2022-07-01, young: [1 f normal], "
        "corrections: [{on: 2026-08-01, key: sire, was: M-2, because: the log}]}\n"
        "- {id: C25, sire: M-1, dam: C22-1, eggs: 1, hatched: 2025-07-01, young: [1 f normal]}\n",
    }
    page = " ".join(page_of(book_of(BARE.write(tmp_path, files)), "animals/C25-1/index.html"))
    assert page.count("said “sire M-2”") == 1


def test_a_correction_of_the_dam_is_told_once_where_she_is_a_daughter_of_the_sire(tmp_path: Path) -> None:
    """She is a parent, and what was corrected makes her young of one."""
    files = {
        "animals/all.yaml": "- {id: M-1, sex: male, shows: Piebald}\n- {id: M-2, sex: male, shows: normal}\n"
        "- {id: F-1, sex: female, shows: normal}\n"
        "- {id: F-2, sex: female, hatched: 2019-07-01, shows: normal, sire: M-1, dam: F-1, "
        "corrections: [{on: 2026-08-01, key: sire, was: M-2, because: the log}]}\n"
        "- {id: F-3, sex: female, hatched: 2024-07-01, shows: normal, sire: M-1, dam: F-2}\n"
    }
    page = " ".join(page_of(book_of(BARE.write(tmp_path, files)), "animals/F-3/index.html"))
    assert page.count("said “sire M-2”") == 1


@pytest.mark.parametrize(("key", "eggs"), [("unseen", 2), ("went_bad", 2), ("slugs", 1)])
def test_a_count_of_a_clutch_that_was_corrected_is_told_with_both_numbers(tmp_path: Path, key: str, eggs: int) -> None:
    corrected = f"corrections: [{{on: 2026-08-01, key: {key}, was: 0, because: forgotten}}]"
    files = {
        "animals/all.yaml": "- {id: M-1, sex: male, shows: normal}\n- {id: F-1, sex: female, shows: normal}\n",
        "clutches/all.yaml": f"- {{id: C25, sire: M-1, dam: F-1, eggs: {eggs}, hatched: 2025-07-01, young: [1 f normal], {key}: 1, "
        f"{corrected}}}\n",
    }
    page, words = page_of(book_of(BARE.write(tmp_path, files)), "clutches/C25/index.html"), key.replace("_", " ")
    assert f"Our record was corrected: from {words} 0 to {words} 1." in page


def test_a_correction_is_told_once_where_both_parents_hatched_in_its_clutch(tmp_path: Path) -> None:
    """And those of whom a record of the sire had spoken, several of them too, are kin of the young."""
    corrected = "corrections: [{on: 2026-08-01, key: sire, was: [M-2, M-3], because: the log}]"
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: normal}\n- {id: M-1, sex: male, shows: Piebald}\n"
        "- {id: M-2, sex: male, shows: normal}\n- {id: M-3, sex: male, shows: normal}\n",
        "clutches/all.yaml": "- {id: C22, sire: M-1, dam: F-1, eggs: 2, hatched: 2022-07-01, young: [1 m normal, 2 f normal], "
        f"{corrected}}}\n"
        "- {id: C25, sire: C22-1, dam: C22-2, eggs: 1, hatched: 2025-07-01, young: [1 f normal]}\n",
    }
    book = book_of(BARE.write(tmp_path, files))
    page = " ".join(page_of(book, "animals/C25-1/index.html"))
    assert page.count("said “sire M-2 or M-3”") == 1
    collection = book.published.collection
    assert set(corrected_kin(collection, collection.clutches.values())) >= {"M-2", "M-3", "C25-1"}


def test_of_a_trait_under_review_no_figure_and_no_change_is_told(tmp_path: Path) -> None:
    """Not of the other form of its gene either, nor that its records were changed by one."""
    clutch = "- {id: %s, sire: M-1, dam: %s, eggs: 2, hatched: %s-07-01, young: [1 m %s, 2 f normal]%s}\n"
    aside = ", set_aside: {Candy: photo unclear, Piebald: also}"
    files = {
        "animals/all.yaml": "- {id: M-1, sex: male, shows: normal, claims: {Albino: 50%, Candy: 30%, Piebald: 30%}}\n"
        "- {id: F-1, sex: female, shows: normal, claims: {Candy: 50%, Piebald: 50%, Clown: 50%}}\n"
        "- {id: F-2, sex: female, shows: [Candy, Piebald]}\n",
        "clutches/all.yaml": clutch % ("C23", "F-1", "2023", "normal", aside)
        + clutch % ("C24", "F-2", "2024", "Candy Piebald", ""),
    }
    found, page = told(tmp_path, files), BARE.page(tmp_path, files, "animals/C23-1/index.html")
    young = found.statements.animals["C23-1"]
    assert (young.notes, young.since) == ((), date(2023, 7, 1))
    assert [row.trait for row in found.changes.courses["C23-1"]] == ["Clown"]
    assert {change.animal for change in found.changes.newest_first} == {"M-1"}
    assert not any(line.startswith("Albino | ") for line in page)
