"""Reasons: the looks that decided, of whichever trait they are; and sires as what hatched leaves them."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace

import pytest
from tests.rooms import BARE, FAMILY, GALLERY, book_of, good, page_of
from tests.said.reading_aloud import lines_of_page

from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import Figure, Grounds
from clutchlight.pipeline import Book
from clutchlight.planning.years_end import told_by
from clutchlight.site import addresses, statement_part
from clutchlight.statements.asked import Asked
from clutchlight.statements.family import clutch_words, relative_words
from clutchlight.statements.hatched import Hatch, hatch_of, hatched_words, hatchlings_words, showing_words, telling
from clutchlight.statements.reasons import standing_clause
from clutchlight.statements.results import problems_in
from clutchlight.statements.values import Note, NoteKind, TraitStatement
from clutchlight.statements.why import Why, why
from clutchlight.wording import words
from clutchlight.wording.text import Text

TWO_MALES = """- {id: F-1, sex: female, hatched: 2021, shows: normal, claims: {Piebald: 50%}}
- {id: M-1, sex: male, hatched: 2021, shows: [Pastel], claims: {Piebald: 50%}}
- {id: M-2, sex: male, hatched: 2021, shows: [Piebald]}
"""
CLUTCH = "- {id: C26-01, sire: SIRE, dam: F-1, laid: 2026-05-01, eggs: 2, hatched: 2026-07-01, young: [YOUNG]}\n"


def two_males(folder: Path, sire: str, young: str) -> Book:
    clutch = CLUTCH.replace("SIRE", sire).replace("YOUNG", young)
    return BARE.book(folder, {"animals/all.yaml": TWO_MALES, "clutches/all.yaml": clutch})


def asked(book: Book, animal: str, key: str, trait: str) -> Asked:
    record = book.collection.animals[animal]
    locus = book.collection.species[record.species].loci[key]
    return Asked(book.telling, record, locus, locus.allele_number(trait))


def steps(book: Book, animal: str, key: str, trait: str) -> list[str]:
    found = why(asked(book, animal, key, trait))
    assert isinstance(found, Why)
    return [str(step.says) for step in found.steps if step.moved]


@pytest.mark.parametrize(
    ("hatch", "told", "proved"),
    [
        (
            Hatch(2, 0, "Mojave", looks=(("Lesser", 2),)),
            "had two hatchlings, both of them Lesser",
            "both hatchlings are Lesser",
        ),
        (
            Hatch(1, 0, "Stripe", looks=(("Motley", 1),)),
            "had one hatchling, which is Motley",
            "the only hatchling is Motley",
        ),
        (
            Hatch(3, 0, "Stripe", looks=(("Motley", 1),)),
            "had three hatchlings, one of them Motley",
            "one of the three hatchlings is Motley",
        ),
        (
            Hatch(1, 1, "Candy", others=1, looks=(("Candy", 1), ("Albino", 1)), also_read=1),
            "had three hatchlings (two could be judged: one Candy and one Albino)",
            "of the three hatchlings, of which two could be judged, one is Candy and one Albino",
        ),
        (Hatch(4, 0, "Candy"), "had four hatchlings, none of them Candy", "none of the four hatchlings are Candy"),
    ],
)
def test_a_locus_of_several_alleles_is_told_by_its_looks(hatch: Hatch, told: str, proved: str) -> None:
    assert hatchlings_words(hatch) == told
    assert hatched_words(hatch) == proved


def test_what_else_was_seen_stands_beside() -> None:
    beside = [Hatch(2, 2, "Enchi"), Hatch(1, 0, "Albino", others=1)]
    assert (
        hatchlings_words(Hatch(2, 0, "Piebald"), beside=beside)
        == "had two hatchlings, neither of them Piebald, both Enchi and none Albino of the one that could be judged"
    )
    several = [Hatch(5, 1, "Clown"), Hatch(5, 3, "Pastel", looks=(("Pastel", 2), ("Super Pastel", 1)))]
    assert (
        hatchlings_words(Hatch(5, 1, "Piebald"), beside=several)
        == "had five hatchlings, one of them Piebald, one Clown, two Pastel and one Super Pastel"
    )
    assert showing_words(Hatch(1, 0, "Albino")) == "not Albino"


def test_every_look_of_the_locus_is_counted(tmp_path: Path) -> None:
    """Two Lesser rule out Mojave; "none Mojave" would not."""
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: [BEL]}\n- {id: M-1, sex: male, shows: normal}\n",
        "clutches/all.yaml": "- {id: C26-01, sire: M-1, dam: F-1, laid: 2026-05-01, eggs: 3"
        ", hatched: 2026-07-01, young: [1 Lesser, 2 Butter], to_sort: 1}\n",
    }
    book = BARE.book(tmp_path, files)
    one = asked(book, "F-1", "blue-eyed-leucistic", "Mojave")
    hatch = hatch_of(one, book.collection.clutches["C26-01"])
    assert (hatch.seen, hatch.showing, hatch.looks, hatch.others) == (2, 0, (("Lesser", 1), ("Butter", 1)), 1)
    assert words.label_of(one.locus, "Lesser", book.inference.now("F-1", one.locus.key), shows=True) == (  # type: ignore[arg-type]
        "Blue-eyed Leucistic (Lesser and Butter)"
    )


def test_a_sire_in_doubt_is_told_by_the_looks_that_tell_him(tmp_path: Path) -> None:
    book = two_males(tmp_path, "[M-1, M-2]", "1 Pastel, 2 normal")
    clutch = book.collection.clutches["C26-01"]
    found = telling(asked(book, "C26-01-2", "piebald", "Piebald"), clutch)
    assert [one.trait for one in found] == ["Piebald", "Pastel"]
    assert steps(book, "C26-01-2", "piebald", "Piebald")[-1] == (
        "It shows no Piebald; clutch C26-01 of its dam F-1 had two hatchlings, neither of them Piebald and one Pastel"
    )


def test_in_a_mixed_clutch_the_look_of_each_tells_its_own_sire(tmp_path: Path) -> None:
    book = two_males(tmp_path, "{mixed: [M-1, M-2]}", "1 Pastel, 2 Piebald")
    assert steps(book, "C26-01-1", "piebald", "Piebald")[-1].startswith("It shows Pastel and no Piebald; clutch C26-01")


def test_a_look_that_could_not_have_been_another_is_no_reason(tmp_path: Path) -> None:
    """No young of a normal dam shows Caramel: that none does moved nothing; that none is a Tessera did."""
    files = {
        "animals/all.yaml": "- {id: F-1, species: corn-snake, sex: female, shows: normal}\n"
        "- {id: M-1, species: corn-snake, sex: male, shows: [Tessera, Caramel]}\n",
        "clutches/all.yaml": "- {id: C26-01, sire: [M-1, unknown], dam: F-1, laid: 2026-05-01, eggs: 2"
        ", hatched: 2026-07-01, young: [1 normal, 2 normal]}\n",
    }
    book = BARE.book(tmp_path, files)
    assert (
        steps(book, "C26-01-1", "caramel", "Caramel")[-1]
        == "Clutch C26-01 of its dam F-1 had two hatchlings, neither of them Tessera, which bears on who sired it"
    )


@pytest.mark.parametrize(
    ("sire", "whose"), [("M-1", "its sire M-1"), ("[M-1, M-2]", "F-2 and perhaps of its sire M-1")]
)
def test_a_clutch_is_that_of_its_sire_only_where_he_is_the_only_one(tmp_path: Path, sire: str, whose: str) -> None:
    """Of a male that may have sired it, it is not said that he did, but that he may have: by him it bears on the animal."""
    later = (
        f"- {{id: C26-02, sire: {sire}, dam: F-2, laid: 2026-05-20, eggs: 1, hatched: 2026-07-20, young: [1 normal]}}\n"
    )
    files = {
        "animals/all.yaml": TWO_MALES + "- {id: F-2, sex: female, hatched: 2021, shows: normal}\n",
        "clutches/all.yaml": CLUTCH.replace("SIRE", "M-1").replace("YOUNG", "1 normal, 2 normal") + later,
    }
    book = BARE.book(tmp_path, files)
    said = clutch_words(book.telling, book.collection.clutches["C26-02"], "C26-01-1")
    assert said == f"clutch C26-02 of {whose}"


def test_inbreeding_counts_the_sires_that_the_records_leave(tmp_path: Path) -> None:
    """A daughter of M-1 with him or with another: 1/4 with him (Wright), 0 with the other, 1/8 in doubt; a Pastel settles it."""
    animals = (
        "- {id: F-0, sex: female, shows: normal}\n- {id: M-1, sex: male, shows: [Pastel]}\n- {id: M-2, sex: male, shows: normal}\n"
        "- {id: F-1, sex: female, sire: M-1, dam: F-0, shows: normal}\n"
    )
    for name, sire, young, expected in (
        ("doubt", "[M-1, M-2]", "1 normal, 2 normal", ["1/8", "1/8"]),
        ("settled", "[M-1, M-2]", "1 Pastel, 2 normal", ["1/4", "1/4"]),
        ("each egg", "{mixed: [M-1, M-2]}", "1 Pastel, 2 normal", ["1/4", "1/8"]),
    ):
        clutch = CLUTCH.replace("SIRE", sire).replace("YOUNG", young)
        collection = good(tmp_path / name, {"animals/all.yaml": animals, "clutches/all.yaml": clutch})
        found = infer(collection).kinship.inbreeding
        assert [found["C26-01-1"], found["C26-01-2"]] == [Fraction(value) for value in expected], name


def test_a_pedigree_has_each_young_by_its_own_sires(tmp_path: Path) -> None:
    clutch = CLUTCH.replace("SIRE", "{mixed: [M-1, M-2]}").replace(
        "YOUNG", "1 f Pastel; available, 2 m normal; available"
    )
    files = {"animals/all.yaml": TWO_MALES, "clutches/all.yaml": clutch}
    page = BARE.page(tmp_path, files, "clutches/C26-01/index.html")
    outline = page[page.index("> The pedigree in words") + 1 :]
    said = [line.removeprefix("- ") for line in outline if line.startswith(("- C26-01-", "- M-"))]
    whose = ["C26-01-1, female", "M-1, sire, shows", "C26-01-2, male", "M-1, sire, 38%", "M-2, sire, 61%"]
    assert all(line.startswith(start) for line, start in zip(said, whose, strict=True))


def test_parents_by_a_sire_in_doubt_are_perhaps_related(tmp_path: Path) -> None:
    """Both of their dams had M-1 or M-2: the two may be half-siblings, and nobody knows."""
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female}\n- {id: F-2, sex: female}\n- {id: M-1, sex: male}\n- {id: M-2, sex: male}\n",
        "clutches/all.yaml": "- {id: C23-01, sire: [M-1, M-2], dam: F-1, laid: 2023-05-01, eggs: 1"
        ", hatched: 2023-07-01, young: [1 m normal]}\n"
        "- {id: C23-02, sire: [M-1, M-2], dam: F-2, laid: 2023-05-01, eggs: 1, hatched: 2023-07-01, young: [1 f normal]}\n"
        "- {id: C26-01, sire: C23-01-1, dam: C23-02-1, laid: 2026-05-01, eggs: 1, hatched: 2026-07-01, young: [1 f normal]}\n",
    }
    stated = BARE.book(tmp_path, files).statements
    assert stated.animals["C26-01-1"].relation == "its parents may be related, depending on a sire that is in doubt"
    assert stated.clutches["C26-01"].kinship == "perhaps related"


def heading(before: str, after: str, now: str, kind: NoteKind = "open", beside: tuple[str, ...] = ()) -> str:
    """The heading of one note, by what is said of the trait now."""
    chances = Fraction(before), Fraction(after)
    note = Note(kind, "F-1", "piebald", "Piebald", Text("a test"), before=chances[0], after=chances[1], beside=beside)
    said = TraitStatement(
        "piebald",
        "Piebald",
        False,
        (1 - Fraction(now), Fraction(now), Fraction(0)),
        Fraction(now),
        0,
        words.NO_LABEL,
        "",
        "",
        Grounds("chance"),
        (),
        None,
        None,
    )
    stated = SimpleNamespace(trait=lambda name: said if name == "Piebald" else None)
    return statement_part._heading(note, stated, Fraction(1, 20))  # type: ignore[arg-type]


def test_a_note_is_headed_by_how_the_question_stands_now() -> None:
    assert heading("2/3", "1/2", "1/2") == "Piebald: still open"
    assert heading("2/3", "1/2", "1") == "Piebald: recorded earlier"
    assert heading("2/3", "1/2", "1/50") == "Piebald: recorded earlier"
    assert heading("2/3", "1/50", "1/50", "unlikely") == "Piebald: unlikely"
    assert heading("2/3", "1/50", "2/3", "unlikely") == "Piebald: recorded earlier"
    assert (
        heading("2/3", "1/2", "1/2", "which-parent") == "Piebald: two may carry it, and the clutch does not say which"
    )
    assert heading("2/3", "1/2", "0", "which-parent") == "Piebald: recorded earlier"
    assert heading("2/3", "1/2", "1/2", beside=("Clown",)) == "Piebald: still open"  # nothing speaks for Clown any more
    assert heading("0", "1/100", "1/100") == "Piebald: a small chance"
    assert heading("2/3", "1", "1/2", "proven") == "Piebald: recorded earlier"
    assert heading("2/3", "0", "0", "withdrawn") == "Piebald: after a record was taken back"


LOOKS = """- {id: F-1, sex: female, shows: [Pastel]}
- {id: M-1, sex: male, shows: normal}
"""


def test_a_first_look_takes_nothing_back(tmp_path: Path) -> None:
    """Read as normal first, as Pastel later; what a second reading takes back is what the first one said."""
    young = (
        "{id: C26-01-1, looks: [{on: 2026-07-08, shows: normal}, {on: 2026-08-08, shows: [Pastel]}]}, "
        "{id: C26-01-2, looks: [{on: 2026-07-08, shows: [Pastel]}, {on: 2026-08-08, shows: normal}]}"
    )
    clutch = CLUTCH.replace("SIRE", "M-1").replace("YOUNG", young)
    stated = BARE.book(tmp_path, {"animals/all.yaml": LOOKS, "clutches/all.yaml": clutch}).statements.animals
    assert [(note.kind, str(note.lead)) for note in stated["C26-01-1"].notes] == [
        ("unlikely", "its look was read as normal"),
        ("proven", "its look was read again as Pastel"),
    ]
    assert [(note.kind, str(note.lead)) for note in stated["C26-01-2"].notes] == [
        ("open", "its look was read as Pastel"),
        ("withdrawn", "its look was read again as normal"),
    ]


def test_a_parent_has_the_sex_of_its_part_and_a_twin_that_of_its_twin(tmp_path: Path) -> None:
    files = {
        "animals/all.yaml": "- {id: U-1, shows: normal}\n- {id: U-2, shows: normal}\n- {id: U-3, sire: U-4, dam: U-1}\n- {id: U-4}\n",
        "clutches/all.yaml": "- {id: C26-01, sire: [U-2, U-4], dam: U-1, laid: 2026-05-01, eggs: 1, hatched: 2026-07-01, "
        "young: [{id: C26-01-1, sex: female, shows: normal}, {id: C26-01-2, same_egg_as: C26-01-1}]}\n",
    }
    found = good(tmp_path, files).animals
    assert {key: found[key].sex for key in found} == {
        "U-1": "female",
        "U-2": "male",
        "U-3": "unknown",
        "U-4": "male",
        "C26-01-1": "female",
        "C26-01-2": "female",
    }


def test_a_twin_that_nobody_looked_at_is_told_by_its_twin(tmp_path: Path) -> None:
    animals = "- {id: F-1, sex: female, claims: {Piebald: 100%}}\n- {id: M-1, sex: male, shows: [Piebald]}\n"
    young = "{id: C26-01-1, sex: female, shows: [Piebald]}, {id: C26-01-2, same_egg_as: C26-01-1}, {id: C26-01-3, shows: normal}"
    clutch = CLUTCH.replace("SIRE", "M-1").replace("YOUNG", young)
    book = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch})
    trait = book.statements.animals["C26-01-2"].trait("Piebald")
    assert trait is not None
    assert "Its identical twin C26-01-1 shows Piebald, and identical twins share one set of genes." in trait.because
    assert steps(book, "C26-01-2", "piebald", "Piebald")[-1].startswith(
        "Its look is not on record; it shares an egg with C26-01-1, whose look counts for both; clutch C26-01"
    )


def test_a_young_by_one_of_two_is_no_young_of_three(tmp_path: Path) -> None:
    book = two_males(tmp_path, "[M-1, M-2]", "1 Pastel, 2 normal")
    assert steps(book, "C26-01-2", "piebald", "Piebald")[0] == (
        "Before anything was seen of it, by what was then known of F-1 and of M-1 or M-2"
    )


def test_a_test_that_counts_for_nothing_says_why(tmp_path: Path) -> None:
    tests = ", ".join(f"{{trait: Piebald, copies: 1, on: 202{year}-03-02, error: 10%}}" for year in (5, 6))
    files = {
        "animals/all.yaml": f"- {{id: F-1, sex: female, shows: normal, claims: {{Piebald: 50%}}, tests: [{tests}]}}\n"
        "- {id: F-2, sex: female, shows: [Piebald], tests: [{trait: Piebald, copies: 1, on: 2025-03-02, error: 10%}]}\n"
    }
    assert any(
        "of several by one laboratory only the last counts" in line
        for line in BARE.page(tmp_path, files, "animals/F-1/index.html")
    )
    assert any(
        "which its look rules out: the test says nothing" in line
        for line in BARE.page(tmp_path, files, "animals/F-2/index.html")
    )


def test_a_look_of_a_line_not_known_is_no_het(tmp_path: Path) -> None:
    """It may be a visual of the line of its dam, which is why it shows."""
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: [Axanthic line A]}\n"
        "- {id: M-1, sex: male, shows: [Axanthic (line not known)]}\n",
        "clutches/all.yaml": CLUTCH.replace("SIRE", "M-1").replace("YOUNG", "1 Axanthic (line not known), 2 normal"),
    }
    stated = BARE.book(tmp_path, files).statements.animals
    assert [str(trait.label) for trait in stated["C26-01-1"].traits] == ["carries Axanthic line A"]
    assert [str(trait.label) for trait in stated["C26-01-2"].traits] == ["het Axanthic line A"]


@pytest.mark.parametrize(
    ("young", "tally", "said"),
    [
        ("1 normal; available, 2 normal; available", "", "Both are for sale."),
        (
            "1 normal; available, 2 normal; available",
            "tally: [2 x normal], ",
            "Of the four that hatched: two for sale, two without a page.",
        ),
        (
            "1 normal; available",
            "tally: [2 x normal], ",
            "Of the three that hatched: one for sale, two without a page.",
        ),
        ("1 normal; available, 2 normal; holdback", "", "Of the two that hatched: one for sale, one not for sale."),
        ("1 normal; holdback, 2 normal; holdback", "", "None of them is for sale."),
        ("1 normal; holdback, 2 normal; holdback", "complete: no, ", "None on record is for sale."),
        ("1 normal; available, 2 normal; available", "complete: no, ", "Both on record are for sale."),
        ("1 normal; available", "complete: no, ", "The one on record is for sale."),
    ],
)
def test_where_the_young_are_adds_up_to_what_hatched(tmp_path: Path, young: str, tally: str, said: str) -> None:
    clutch = (
        CLUTCH.replace("SIRE", "M-1")
        .replace("YOUNG", young)
        .replace("eggs: 2, ", f"eggs: {young.count('normal') + (2 if tally else 0)}, {tally}")
    )
    page = BARE.page(
        tmp_path, {"animals/all.yaml": TWO_MALES, "clutches/all.yaml": clutch}, "clutches/C26-01/index.html"
    )
    assert said in page


def test_a_dam_that_bred_alone_has_no_male_beside_her(tmp_path: Path) -> None:
    clutch = CLUTCH.replace("SIRE", "none").replace("YOUNG", "1 f normal; available, 2 f normal; available")
    site = BARE.site(tmp_path, {"animals/all.yaml": TWO_MALES, "clutches/all.yaml": clutch})
    for address in ("animals/C26-01-1/index.html", "clutches/C26-01/index.html"):
        page = list(lines_of_page(site[address].decode("utf-8")))
        assert "F-1, without a male" in page
        assert [line for line in page if "no male ×" in line] == []


def test_when_sold_has_the_conditions_of_that_day(tmp_path: Path) -> None:
    """Het on the word of the dam's seller when it was sold; a later clutch of hers proved it."""
    animals = (
        "- {id: F-1, sex: female, shows: normal, claims: {Piebald: 100%}}\n- {id: M-1, sex: male, shows: [Piebald]}\n"
        "- {id: M-2, sex: male, shows: normal, sire: M-1, dam: F-1, hatched: 2023-07-01, left: {how: sold, on: 2024-01-01}}\n"
        "- {id: F-2, sex: female, shows: normal, claims: {Piebald: 100%}, left: {how: sold, on: 2024-01-01}}\n"
    )
    clutch = CLUTCH.replace("SIRE", "M-1").replace("dam: F-1", "dam: F-2").replace("YOUNG", "1 Piebald, 2 normal")
    page = BARE.page(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch}, "animals/F-2/index.html")
    assert "Piebald | het, on the seller's word | het, on the seller's word | het" in page


def test_what_was_ruled_out_when_it_was_sold_stands_so(tmp_path: Path) -> None:
    """A sure test before the sale ruled it out; nothing changed since."""
    animal = "- {id: F-1, sex: female, shows: normal, claims: {Piebald: 66%}, left: {how: sold, on: 2026-09-19},\n"
    animal += "   tests: [{trait: Piebald, copies: 0, on: 2025-03-02, by: shed test}]}\n"
    page = BARE.page(tmp_path, {"animals/all.yaml": animal}, "animals/F-1/index.html")
    assert "Piebald | 66% possible het | ruled out | ruled out" in page


def test_the_test_of_an_identical_twin_is_told_as_that(tmp_path: Path) -> None:
    """A sibling's test would make nobody certain."""
    animals = "- {id: F-1, sex: female, claims: {Piebald: 66%}}\n- {id: M-1, sex: male, shows: normal, claims: {Piebald: 100%}}\n"
    young = (
        "{id: C26-01-1, sex: female, shows: normal, tests: [{trait: Piebald, copies: 1, on: 2026-11-01, by: shed test}]}, "
        "{id: C26-01-2, same_egg_as: C26-01-1}, {id: C26-01-3, shows: normal}"
    )
    clutch = CLUTCH.replace("SIRE", "M-1").replace("YOUNG", young)
    book = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch})
    trait = book.statements.animals["C26-01-2"].trait("Piebald")
    assert trait is not None
    told = "A test of its identical twin C26-01-1 on 1 November 2026 (shed test) found one copy."
    assert told in [str(one) for one in trait.because]


@pytest.mark.parametrize(
    ("born", "since"), [("claims: {Piebald: 66%}", True), ("sire: M-1, dam: F-2, hatched: 2021-07-01", False)]
)
def test_the_later_look_of_a_mate_tells_by_their_clutch(tmp_path: Path, born: str, since: bool) -> None:
    """Neither of their young is Piebald; the look of a brother tells of his sister without them."""
    animals = (
        "- {id: M-1, sex: male, shows: normal, claims: {Piebald: 50%}}\n"
        "- {id: F-2, sex: female, shows: normal, claims: {Piebald: 50%}}\n"
        f"- {{id: F-1, sex: female, shows: normal, {born}}}\n"
        f"- {{id: M-2, sex: male, looks: [{{on: 2026-10-02, shows: [Piebald]}}], {'' if since else born}}}\n"
    )
    clutch = CLUTCH.replace("SIRE", "M-2").replace("YOUNG", "1 normal, 2 normal")
    book = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch})
    found = told_by(book.collection.clutches["C26-01"], book.inference, date(2026, 11, 28))
    assert [one.since for one in found if one.animal == "F-1"] == [since]


def test_a_parent_that_had_a_chance_once_has_a_record(tmp_path: Path) -> None:
    """A claim that results rule out, and one that was withdrawn, are no absence of a record."""
    animals = (
        "- {id: F-1, species: corn-snake, sex: female, shows: [Stripe]}\n"
        "- {id: M-1, species: corn-snake, sex: male, shows: normal, claims: {Stripe: 20%, Motley: 50%}}\n"
        "- {id: M-2, species: corn-snake, sex: male, shows: normal, claims: {Stripe: {chance: 50%, withdrawn: 2026-08-01}}}\n"
    )
    clutches = CLUTCH.replace("SIRE", "M-1").replace("YOUNG", "1 Motley, 2 normal") + CLUTCH.replace(
        "SIRE", "M-2"
    ).replace("YOUNG", "1 normal, 2 normal").replace("C26-01", "C26-02").replace("F-1", "F-2")
    animals += "- {id: F-2, species: corn-snake, sex: female, shows: [Stripe]}\n"
    stated = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutches}).telling
    said = [
        str(standing_clause(Asked(stated, stated.collection.animals[male], locus, locus.allele_number("Stripe"))))
        for male in ("M-1", "M-2", "F-1")
        if (locus := stated.collection.species["corn-snake"].loci["motley"])
    ]
    assert said == [
        "carries no Stripe, by what is on record",
        "carries no Stripe, as far as any record that still stands says",
        "shows Stripe",
    ]


def test_where_she_may_have_bred_alone_two_copies_tell(tmp_path: Path) -> None:
    """Alone she has Super Pastels and normal ones; one copy shows that there was a male."""
    animals = "- {id: F-1, sex: female, shows: [Pastel]}\n- {id: M-1, sex: male, shows: [Piebald]}\n"
    clutch = CLUTCH.replace("SIRE", "{mixed: [M-1, none]}").replace("YOUNG", "1 f Pastel, 2 f normal")
    book = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch})
    assert steps(book, "C26-01-1", "piebald", "Piebald")[-1] == (
        "It shows Pastel; clutch C26-01 of its dam F-1 had two hatchlings, one of them Pastel, "
        "which bears on who sired it, or whether any male did"
    )


def test_one_sentence_says_that_nothing_changed_since_it_was_sold(tmp_path: Path) -> None:
    animals = "- {id: F-1, sex: female, hatched: 2021, shows: normal, claims: {Piebald: 50%}, left: {how: sold, on: 2024-01-01}}\n"
    page = BARE.page(tmp_path, {"animals/all.yaml": animals}, "animals/F-1/index.html")
    (line,) = [line for line in page if "the same now as" in line]
    assert line.startswith(
        "What we say of its genes is the same now as when it hatched, 2021, and when it was sold, January 2024."
    )


@pytest.mark.parametrize(
    ("look", "said"),
    [
        (
            "shows: normal, cannot_tell: [Ivory]",
            "settle Ivory. Ivory is not ruled out and can hide Clown, Cryptic and Pastel",
        ),
        ("shows: [Ivory]", "Ivory can hide Clown, Cryptic and Pastel, so its look says nothing there."),
    ],
)
def test_a_look_that_may_be_there_is_told_apart_from_one_that_is(tmp_path: Path, look: str, said: str) -> None:
    animal = f"- {{id: F-50, sex: female, hatched: 2020, {look}, claims: {{Pastel: 50%, Clown: 50%}}}}\n"
    assert said in " ".join(BARE.page(tmp_path, {"animals/all.yaml": animal}, "animals/F-50/index.html"))


def test_what_tells_of_several_alleles_is_said_once(tmp_path: Path) -> None:
    """It may have Lesser, and it may have Butter, by one and the same look: that stands under the first of them."""
    files = {"animals/all.yaml": "- {id: F-1, sex: female, shows: [BEL], claims: {Mojave: 100%}, status: breeder}\n"}
    page = "\n".join(BARE.page(tmp_path, files, "animals/F-1/index.html"))
    assert page.count("by its records that can be") == 1
    assert page.count("possible Butter") > 1


@pytest.mark.parametrize(
    ("sire", "dam", "said"),
    [
        ("Mojave", "Lesser", "Blue-eyed Leucistic (Mojave and Lesser)"),
        ("Mojave", "BEL", "Blue-eyed Leucistic (Mojave)"),
        ("Lesser", "Lesser", "Blue-eyed Leucistic (two copies of Lesser)"),
        ("BEL", "BEL", "Blue-eyed Leucistic"),
    ],
)
def test_a_look_of_several_pairs_is_told_with_what_is_certain_of_it(
    tmp_path: Path, sire: str, dam: str, said: str
) -> None:
    """The card says that nothing is said of any other trait: the allele that is certain stands on it, and in the advert."""
    files = {
        "animals/all.yaml": f"- {{id: F-1, sex: female, shows: {dam}}}\n- {{id: M-1, sex: male, shows: {sire}}}\n",
        "clutches/all.yaml": "- {id: C26-01, sire: M-1, dam: F-1, laid: 2026-05-01, eggs: 1"
        ", hatched: 2026-07-01, young: [1 f BEL; available 250]}\n",
    }
    stated = BARE.book(tmp_path, files).statements.animals["C26-01-1"]
    assert stated.look_sentence == f"{said}."
    assert stated.title.split(", ")[0] == said
    assert [str(line.label) for line in stated.lines if line.traits[0].shows] == ([said] if "(" in said else [])


def test_a_look_leaves_open_only_what_records_leave_open(tmp_path: Path) -> None:
    """A test that found no copy settles what its look does not."""
    one = "- {id: X-1, sex: male, shows: normal, cannot_tell: [Clown, Piebald], tests: [{trait: Clown, copies: 0, on: 2026-01-01}]}\n"
    said = BARE.book(tmp_path, {"animals/all.yaml": one}).statements.animals["X-1"]
    assert said.silences[0] == "Its look does not settle Piebald."


def test_hard_to_see_alleles_beside_an_undecided_one_are_told(tmp_path: Path) -> None:
    """Its look does not settle Yellow Belly, whose gene has other looks as hard to see."""
    more = {
        "animals/y.yaml": "- {id: M-09, sex: male, hatched: 2020-07-01, shows: Yellow Belly, status: breeder}\n"
        "- {id: F-09, sex: female, hatched: 2020-07-01, shows: normal, cannot_tell: [Yellow Belly], status: breeder}\n",
        "clutches/y.yaml": "- {id: C26-09, sire: M-09, dam: F-09, laid: 2026-05-01, eggs: 1, hatched: 2026-06-29, young: [\n"
        "    {id: C26-09-1, sex: female, shows: normal, cannot_tell: [Yellow Belly], status: available}]}\n",
    }
    said = FAMILY.book(tmp_path, more).statements.animals["C26-09-1"]
    assert said.silences[0] == "Its look does not settle Yellow Belly."
    assert said.overlooked[0].startswith(
        "Gravel, Asphalt, Specter and Spark are hard to see: this snake may have one of them"
    )


def test_what_is_certain_or_ruled_out_is_not_overlooked(tmp_path: Path) -> None:
    """A young of an Ivory has Yellow Belly, whose gene would show a second copy; one whose parents were both looked at has none."""
    more = {
        "animals/y.yaml": "- {id: M-09, sex: male, hatched: 2020-07-01, shows: normal, without: [Yellow Belly], status: breeder}\n"
        "- {id: F-08, sex: female, hatched: 2020-07-01, shows: Ivory, status: breeder}\n"
        "- {id: F-09, sex: female, hatched: 2020-07-01, shows: normal, without: [Yellow Belly], status: breeder}\n",
        "clutches/y.yaml": "".join(
            f"- {{id: C26-0{n}, sire: M-09, dam: F-0{n}, laid: 2026-05-01, eggs: 1, hatched: 2026-06-29, young: [\n"
            f"    {{id: C26-0{n}-1, sex: female, shows: normal, status: available}}]}}\n"
            for n in (8, 9)
        ),
    }
    said = FAMILY.book(tmp_path, more).statements.animals
    assert "Yellow Belly" not in " ".join(said["C26-08-1"].overlooked)
    assert said["C26-09-1"].overlooked[0].startswith("Gravel, Asphalt, Specter and Spark are hard to see")


def test_the_table_of_then_and_now_says_that_something_else_was_said(tmp_path: Path) -> None:
    """Its dated record of the sale is of before a correction, so that a trait seems to go and come again."""
    room = GALLERY / "dated-records-and-a-correction"
    parts = ("collection.yaml", "animals/all.yaml", "sales/all.yaml", "ledger/2023.jsonl", "ledger/2024.jsonl")
    files = {part: (room / part).read_text(encoding="utf-8") for part in parts}
    page = BARE.page(tmp_path, files, "animals/F-2/index.html")
    after = page[page.index("Piebald | nothing said | het | nothing said") + 1]
    assert after.startswith("Before our records were changed we said something else. A figure changes when")


def test_one_of_two_forms_on_a_sellers_word_is_so_beside_the_young_too(tmp_path: Path) -> None:
    """Its dam was said to have one of the two: the cause of the young's figure has that condition."""
    animals = """- {id: F-1, sex: female, hatched: 2021, shows: normal, claims: {Albino: 50%, Candy: 50%}}
- {id: M-1, sex: male, hatched: 2021, shows: normal}
"""
    clutch = CLUTCH.replace("SIRE", "M-1").replace("YOUNG", "1 f normal, 2 m normal")
    lines = BARE.page(
        tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch}, "animals/C26-01-1/index.html"
    )
    said = "since its dam is het Albino or Candy (one of the two), on the seller's word"
    assert [line for line in lines if line.startswith("since its dam")] == [said, said]


def test_a_parent_that_shows_one_of_each_of_two_forms_shows_it(tmp_path: Path) -> None:
    """Ultramel is the name of one copy each of Amelanistic and Ultra; her chance young has one or the other from her."""
    animals = """- {id: F-1, sex: female, hatched: 2021, shows: Ultramel}
- {id: M-1, sex: male, hatched: 2021, shows: normal, claims: {Amelanistic: 50%}}
"""
    young = "{id: C26-01-1, sex: male}, 2 f"
    clutch = CLUTCH.replace("SIRE", "M-1").replace("YOUNG", young)
    files = {"animals/all.yaml": animals, "clutches/all.yaml": clutch}
    corn = {"collection.yaml": str(BARE.base["collection.yaml"]).replace("ball-python", "corn-snake")}
    lines = BARE.page(tmp_path, {**files, **corn}, "animals/C26-01-1/index.html")
    assert any(line.startswith("since its dam shows Ultramel") for line in lines)


def test_two_copies_of_what_one_copy_shows_are_why_every_young_has_one(tmp_path: Path) -> None:
    """A Pastel hands it on to half of its young; a Super Pastel to all of them. What its twin shows, its own look need not tell."""
    animals = """- {id: F-1, sex: female, hatched: 2021, shows: Yellow Belly}
- {id: M-1, sex: male, hatched: 2021, shows: Super Pastel}
"""
    young = "{id: C26-01-1, sex: male, shows: [Pastel, Yellow Belly]}, {id: C26-01-2, same_egg_as: C26-01-1, shows: Pastel}, 3 f"
    clutch = CLUTCH.replace("SIRE", "M-1").replace("YOUNG", young)
    said = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch}).statements.animals
    pastel, belly = said["C26-01-3"].trait("Pastel"), said["C26-01-2"].trait("Yellow Belly")
    assert pastel is not None
    assert pastel.because == ("Its sire M-1 has two copies of Pastel, so every one of his young carries it.",)
    assert belly is not None
    shared = "Its identical twin C26-01-1 shows Yellow Belly, and identical twins share one set of genes."
    assert belly.because == (shared,)


def test_a_proof_stands_at_the_clutch_that_proved_it(tmp_path: Path) -> None:
    """A Crypton has one copy of each, and his Cryptic is a seller's word; a Clown of hers proves her Clown two years later."""
    animals = """- {id: F-1, sex: female, hatched: 2021, shows: normal, claims: {Clown: 66%}}
- {id: M-1, sex: male, hatched: 2021, shows: normal, claims: {Cryptic: 100%}}
- {id: M-2, sex: male, hatched: 2021, shows: Clown}
"""
    young = "- {id: C2%d-01, sire: M-%d, dam: F-1, laid: 202%d-05-01, eggs: 2, hatched: 202%d-07-01, young: [1 f %s, 2 m]}\n"
    clutches = young % (4, 1, 4, 4, "Crypton") + young % (6, 2, 6, 6, "Clown")
    book = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutches})
    said = book.statements.clutches
    assert [[note.animal for note in said[name].proved] for name in ("C24-01", "C26-01")] == [[], ["F-1", "M-1"]]
    lines = page_of(book, addresses.animal("F-1"))
    at = next(
        place for place, line in enumerate(lines) if "taken as certain after it; proven het Clown by C26-01" in line
    )
    assert lines[at - 1] == "- ### Clown: recorded earlier"
    settled = [one.settled for one in told_by(book.collection.clutches["C24-01"], book.inference, date(2026, 11, 28))]
    assert settled == [False]


def test_one_of_two_forms_is_proven_by_the_clutch_that_shows_either(tmp_path: Path) -> None:
    """His young can be Motley with one copy of Motley and one of Stripe: she has one of the two, and which is open."""
    animals = """- {id: F-1, sex: female, hatched: 2021, shows: normal, claims: {Motley: 1/3, Stripe: 1/3}}
- {id: M-1, sex: male, hatched: 2021, shows: Motley, claims: {Stripe: 100%}}
"""
    clutch = CLUTCH.replace("SIRE", "M-1").replace("YOUNG", "1 f Motley, 2 m normal")
    corn = {"collection.yaml": str(BARE.base["collection.yaml"]).replace("ball-python", "corn-snake")}
    book = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch, **corn})
    page = page_of(book, addresses.animal("F-1"))
    at = page.index("- ### het Motley or Stripe (one of the two)")
    assert page[at + 1] == "Since clutch C26-01 hatched, our records leave no other way: it carries Motley or Stripe."
    proved = "F-1 is het Motley or Stripe (one of the two), since one of the young is Motley."
    assert f"Proved: {proved}" in page_of(book, addresses.clutch("C26-01"))


def test_what_a_parent_with_two_copies_leaves_unexplained_is_the_second_one(tmp_path: Path) -> None:
    """The Anaconda, which has her copy by right, rules out the Superconda male: whose the other copy of the Superconda is nobody knows."""
    animals = """- {id: F-1, sex: female, hatched: 2024, shows: Superconda, sire: M-2, dam: F-2}
- {id: M-1, sex: male, hatched: 2021, shows: Superconda, claims: {Leucistic: 66%}}
- {id: F-2, sex: female, hatched: 2021, shows: Anaconda}
- {id: M-2, sex: male, hatched: 2021, shows: Anaconda}
"""
    clutch = CLUTCH.replace("SIRE", "[M-1, unknown]").replace("YOUNG", "1 f Superconda, 2 m Anaconda, 3 m Leucistic")
    hognoses = {"collection.yaml": str(BARE.base["collection.yaml"]).replace("ball-python", "western-hognose")}
    files = {"animals/all.yaml": animals, "clutches/all.yaml": clutch.replace("eggs: 2", "eggs: 3"), **hognoses}
    *_, note = BARE.book(tmp_path, files).statements.clutches["C26-01"].surprises
    assert note.text.startswith(
        "Two copies of Anaconda turned up in clutch C26-01 (C26-01-1), though no earlier record says"
    )


def test_a_look_that_has_no_figure_since_a_male_may_be_missing_is_shown_all_the_same(tmp_path: Path) -> None:
    """Her daughter shows that there was a male; the record still allows for none, and says so."""
    files = {
        "collection.yaml": str(BARE.base["collection.yaml"]).replace("ball-python", "corn-snake"),
        "traits/own.yaml": "species: corn-snake\n"
        "loci: [{locus: ember, inheritance: incomplete dominant, alleles: [Ember], sex_linked: {crossover: 1/10}}]\n",
        "animals/all.yaml": "- {id: F-1, sex: female, hatched: 2021, shows: Ember, claims: {Ember: {came_from: sire}}}\n"
        "- {id: M-1, sex: male, hatched: 2021, shows: normal}\n",
        "clutches/all.yaml": CLUTCH.replace("SIRE", "[M-1, none]").replace("YOUNG", "1 f normal, 2 m Ember"),
    }
    page = BARE.page(tmp_path, files, addresses.animal("C26-01-2"))
    assert page[page.index("### Shows") + 1] == "- Ember"
    assert any("no sire, or perhaps none" in line for line in page)


def test_what_may_be_one_gene_is_a_condition_of_chances_alone(tmp_path: Path) -> None:
    """Of one of two forms for certain there is one line, whatever else may be of their gene; the chance of that has the condition."""
    files = {
        "traits/own.yaml": """species: ball-python
loci:
  - {locus: dune, inheritance: recessive, alleles: [Dune], may_be_alleles: [sky], what: A pale yellow line}
  - {locus: sky, inheritance: recessive, alleles: [Sun, Moon], what: Two pale lines}
""",
        "animals/all.yaml": "- {id: F-1, sex: female, hatched: 2021, shows: normal, claims: {Sun: 50%, Moon: 50%, Dune: 50%}}\n",
    }
    lines = BARE.page(tmp_path, files, "animals/F-1/index.html")
    said = [line.partition(" [")[0] for line in lines if line.startswith(("- het", "- 50%"))]
    assert said == [
        "- het Sun or Moon (one of the two), on the seller's word",
        "- 50% possible het Dune, if Dune is of another gene than Sun or Moon",
    ]


def test_a_figure_without_a_crossover_is_said_to_leave_the_sex_out(tmp_path: Path) -> None:
    """No figure of Banana is shipped: a son's and a daughter's chance are alike, and so they are not called by sex."""
    book = two_males(tmp_path, "M-2", "1 m normal, 2 f normal")
    found = why(asked(book, "C26-01-1", "banana", "Banana"))
    assert isinstance(found, Why)
    assert "Banana is sex-linked and no crossover figure is known, so sex is left out of account." in found.assumed


@pytest.mark.parametrize("sire", ["[M-1, M-2]", "{mixed: [M-1, M-2]}"])
def test_both_males_must_carry_it_only_where_one_of_them_sired_all(tmp_path: Path, sire: str) -> None:
    files = {
        "animals/all.yaml": TWO_MALES.replace("shows: [Piebald]", "shows: normal, claims: {Piebald: 50%}"),
        "clutches/all.yaml": CLUTCH.replace("SIRE", sire).replace("YOUNG", "1 Piebald, 2 normal"),
    }
    told = " ".join(BARE.page(tmp_path, files, "animals/C26-01-2/index.html"))
    assert ("its sire, M-1 or M-2, must carry Piebald too" in told) == (sire == "[M-1, M-2]")


def test_what_a_test_proved_is_proved_on_the_day_of_the_test(tmp_path: Path) -> None:
    """Whatever look was read of the animal before it."""
    tested = "tests: [{trait: Piebald, copies: 1, on: 2025-03-02}]"
    seen = "looks: [{on: 2023-07-01, shows: normal}, {on: 2024-07-01, shows: [Pastel]}]"
    record = f"- {{id: F-1, sex: female, hatched: 2023-07-01, claims: {{Piebald: 50%}}, {seen}, {tested}}}\n"
    proof = asked(BARE.book(tmp_path, {"animals/all.yaml": record}), "F-1", "piebald", "Piebald").proof
    assert proof is not None
    assert (proof.kind, str(proof.on)) == ("test", "2025-03-02")


@pytest.mark.parametrize(("sire", "lead"), [("M-1", ""), ("[M-1, M-2]", None)])
def test_a_note_names_whose_clutch_it_was_where_another_male_may_have_sired_it(
    tmp_path: Path, sire: str, lead: str | None
) -> None:
    animals = """- {id: F-1, sex: female, hatched: 2021, shows: [Piebald]}
- {id: M-1, sex: male, hatched: 2021, shows: normal, claims: {Piebald: 50%}}
- {id: M-2, sex: male, hatched: 2021, shows: normal, claims: {Piebald: 50%}}
"""
    clutch = CLUTCH.replace("SIRE", sire).replace("YOUNG", "1 normal, 2 normal")
    book = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch})
    leads = {name: [note.named_lead for note in book.statements.animals[name].notes] for name in ("F-1", "M-1")}
    assert leads == {"F-1": [], "M-1": [lead]}


def test_of_several_that_have_two_copies_the_verb_is_of_several() -> None:
    label = words.Label(lead=words.CARRIES_TWO, name="Piebald", condition="on the seller's word")
    assert label.of_several == "carry two copies of Piebald, on the seller's word"


@pytest.mark.parametrize(("showing", "gave"), [(1, "Piebald"), (0, "no Piebald")])
def test_one_egg_of_twins_gave_its_young(showing: int, gave: str) -> None:
    hatch = Hatch(1, showing, "Piebald", twins=1)
    assert hatchlings_words(hatch) == f"had one egg, which gave {gave} young"


@pytest.mark.parametrize("room", ["a-brother-for-sale", "a-claim-prefers-a-male"])
def test_no_chance_stands_without_a_reason(room: str) -> None:
    """Nor that of a founder of which nothing was said or seen: only its young, or those that may be, tell of it."""
    book = book_of(GALLERY / room)
    assert all(trait.because for stated in book.statements.animals.values() for trait in stated.traits if trait.derived)


CANDINO = """\
- {id: A, sex: male, shows: Albino}
- {id: C, sex: female, shows: Candy}
- {id: Y-1, sire: A, dam: C}
- {id: Y-2, sire: A, dam: C, shows: normal, cannot_tell: [Albino]}
- {id: H, sex: male, shows: normal, claims: {Albino: 100%}}
- {id: Y-3, sire: H, dam: C, shows: normal, cannot_tell: [Albino]}
"""


def test_what_may_show_beside_another_form_of_the_gene_is_no_het(tmp_path: Path) -> None:
    """One copy of Albino and one of Candy is a Candino: nobody is het for both."""
    said = BARE.book(tmp_path, {"animals/all.yaml": CANDINO}).statements.animals
    assert [str(line.label) for line in said["Y-1"].lines] == ["carries Albino", "carries Candy"]
    assert [str(line.label) for line in said["Y-2"].lines] == ["carries Albino", "carries Candy"]
    assert [str(line.label) for line in said["Y-3"].lines if "Albino" in line.label] == [
        "50% possible het or visual Albino"
    ]


@pytest.mark.parametrize("sire", ["M-1", "{mixed: [M-1, M-2]}"])
def test_the_doubt_of_one_of_two_alleles_is_the_carriers_own(tmp_path: Path, sire: str) -> None:
    """A Motley young leaves its normal dam Motley or Stripe, whoever sired it: that hers is Motley hangs on no male."""
    animals = "- {id: F-1, species: corn-snake, sex: female, shows: normal, claims: {Motley: 50%}}\n"
    animals += "- {id: M-1, species: corn-snake, sex: male, shows: [Motley], claims: {Stripe: 100%}}\n"
    animals += "- {id: M-2, species: corn-snake, sex: male, shows: normal}\n"
    clutch = f"- {{id: C1, sire: {sire}, dam: F-1, eggs: 3, hatched: 2026-07-01, young: [1 f Motley, 2 m normal, 3 m Motley]}}\n"
    book = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch})
    about = asked(book, "F-1", "motley", "Motley")
    assert isinstance(about.figure, Figure)
    assert str(about.label(about.figure, about.certain_by)) == "het Motley, if it carries nothing unrecorded"


@pytest.mark.parametrize(
    ("sire", "dam", "whose"),
    [("M-1", "F-1", "its sibling C25-01-1"), ("M-2", "F-1", "its half-sibling C25-01-1"), ("[M-1, M-2]", "F-1", "F-2")],
)
def test_a_clutch_of_a_sibling_from_another_clutch_is_its(tmp_path: Path, sire: str, dam: str, whose: str) -> None:
    """Of a sire in doubt, it is not said which of the two it is."""
    first = f"- {{id: C25-01, sire: {sire}, dam: {dam}, eggs: 1, hatched: 2022-07-01, young: [1 m normal]}}\n"
    later = "- {id: C26-02, sire: C25-01-1, dam: F-2, eggs: 1, hatched: 2026-07-20, young: [1 normal]}\n"
    files = {
        "animals/all.yaml": TWO_MALES + "- {id: F-2, sex: female, hatched: 2021, shows: normal}\n",
        "clutches/all.yaml": first + CLUTCH.replace("SIRE", "M-1").replace("YOUNG", "1 normal, 2 normal") + later,
    }
    book = BARE.book(tmp_path, files)
    said = clutch_words(book.telling, book.collection.clutches["C26-02"], "C26-01-1")
    assert said == f"clutch C26-02 of {whose}"


def test_of_the_test_of_an_unlisted_animal_neither_day_nor_laboratory_is_told(tmp_path: Path) -> None:
    """Neither its own nor those that stand in for them where nothing private may reach a page."""
    files = {
        "animals/all.yaml": """\
- {id: M-1, sex: male, hatched: 2020, shows: normal, claims: {Piebald: 50%}}
- {id: F-1, sex: female, hatched: 2020, shows: normal, tests: [{trait: Piebald, copies: 0, on: 2021-01-01}]}
- {id: Y-1, sire: M-1, dam: F-1, hatched: 2025-07-02, publish: no, shows: normal,
   tests: [{trait: Piebald, copies: 1, on: 2026-03-02, lab: Ours}]}
"""
    }
    page = " ".join(BARE.page(tmp_path, files, addresses.animal("M-1")))
    assert "A test of its unlisted young found one copy of Piebald, which proves it." in page
    assert not any(word in page for word in ("laboratory", "Ours", "March 2026", "9999"))


def test_a_founders_test_that_errs_is_its_ground_for_what_its_young_show(tmp_path: Path) -> None:
    """Tested het before she is paired: of an Albino mate nothing is left to explain, of a normal one where his copy came from."""
    hognoses = {"collection.yaml": str(BARE.base["collection.yaml"]).replace("ball-python", "western-hognose")}
    dam = (
        "- {id: F-1, sex: female, hatched: 2021, shows: normal, "
        "tests: [{trait: Albino, copies: 1, on: 2023-11-01, error: 1%}]}\n"
    )
    told = {}
    for look in ("Albino", "normal"):
        files = {
            "animals/all.yaml": f"{dam}- {{id: M-1, sex: male, hatched: 2021, shows: {look}}}\n",
            "clutches/all.yaml": CLUTCH.replace("SIRE", "M-1").replace("YOUNG", "1 f Albino, 2 m normal"),
        }
        told[look] = BARE.book(tmp_path / look, {**files, **hognoses})
    assert told["Albino"].statements.clutches["C26-01"].surprises == ()
    assert "- ### het Albino" in page_of(told["Albino"], addresses.animal("F-1"))
    (note,) = told["normal"].statements.clutches["C26-01"].surprises
    assert "no earlier record says where the second copy came from" in note.text
    assert note.text.endswith("If our other records are right, M-1 carries it.")


@pytest.mark.parametrize(("found", "explained"), [((1, 0), False), ((0, 1), True)])
def test_a_founders_last_test_is_what_had_told_of_it(tmp_path: Path, found: tuple[int, int], explained: bool) -> None:
    """Of two that may be wrong, the earlier one had been overtaken before her Albino young hatched."""
    listed = [f"{{trait: Albino, copies: {copies}, on: 202{n}-11-01, error: 1%}}" for n, copies in enumerate(found, 2)]
    files = {
        "collection.yaml": str(BARE.base["collection.yaml"]).replace("ball-python", "western-hognose"),
        "animals/all.yaml": f"- {{id: F-1, sex: female, hatched: 2021, shows: normal, tests: [{', '.join(listed)}]}}\n"
        "- {id: M-1, sex: male, hatched: 2021, shows: Albino}\n",
        "clutches/all.yaml": CLUTCH.replace("SIRE", "M-1").replace("YOUNG", "1 f Albino, 2 m normal"),
    }
    surprises = BARE.book(tmp_path, files).statements.clutches["C26-01"].surprises
    assert (surprises == ()) is explained


def test_a_sister_that_is_his_mate_bears_on_him_as_such(tmp_path: Path) -> None:
    """Both parents are proven, so what she turns out to carry says nothing of her brother but by the normal young of the two."""
    files = {
        "animals/all.yaml": """- {id: F-1, sex: female, hatched: 2020, shows: normal}
- {id: M-1, sex: male, hatched: 2020, shows: normal}
""",
        "clutches/all.yaml": """- {id: C23-01, sire: M-1, dam: F-1, eggs: 3, hatched: 2023-07-01,
   young: [1 m Piebald, 2 m normal, 3 f normal]}
- {id: C25-01, sire: C23-01-2, dam: C23-01-3, eggs: 2, hatched: 2025-07-01, young: [1 f normal, 2 m normal]}
- {id: C26-01, sire: C23-01-1, dam: C23-01-3, eggs: 2, hatched: 2026-07-01, young: [1 f Piebald, 2 m normal]}
""",
    }
    text = "\n".join(page_of(BARE.book(tmp_path, files), addresses.animal("C23-01-2")))
    assert "Clutch C26-01 of its mate C23-01-3 had two hatchlings, one of them Piebald, which bears on" in text
    assert "its sibling C23-01-3 had" not in text
    book = BARE.book(tmp_path, files)
    assert relative_words(book.telling, "C23-01-3", "C23-01-2") == "its sibling and mate C23-01-3"
    assert relative_words(book.telling, "C23-01-3", "C23-01-1") == "its sibling and mate C23-01-3"
    assert relative_words(book.telling, "C23-01-2", "C23-01-1") == "its sibling C23-01-2"


def test_a_clutch_that_could_not_show_the_trait_tells_of_it_by_who_sired_its_parent(tmp_path: Path) -> None:
    """Of the young that bred, of its sibling, and of what hatched; not "neither of them Piebald", which none could be."""
    animals = (
        "- {id: M-1, sex: male, shows: [Piebald]}\n- {id: M-2, sex: male, shows: normal, claims: {Clown: 100%}}\n"
        "- {id: F-1, sex: female, shows: normal}\n- {id: F-2, sex: female, shows: [Clown]}\n"
    )
    first = CLUTCH.replace("SIRE", "[M-1, M-2]").replace("YOUNG", "1 m normal, 2 f normal").replace("C26-01", "C23-01")
    later = CLUTCH.replace("SIRE", "C23-01-1").replace("F-1", "F-2").replace("YOUNG", "1 Clown, 2 normal")
    files = {"animals/all.yaml": animals, "clutches/all.yaml": first.replace("2026", "2023") + later}
    book = BARE.book(tmp_path, files)
    had = "had two hatchlings, one of them Clown, which bears on who sired clutch C23-01"
    told = {name: steps(book, name, "piebald", "Piebald")[-1] for name in ("C23-01-1", "C23-01-2", "C26-01-2")}
    assert told == {
        "C23-01-1": f"Clutch C26-01 with a Clown mate {had}",
        "C23-01-2": f"Clutch C26-01 of its sibling C23-01-1 {had}",
        "C26-01-2": f"It shows no Piebald; clutch C26-01 of its dam F-2 {had}",
    }
    assert steps(book, "C23-01-2", "clown", "Clown")[-1] == (
        "Clutch C26-01 of its sibling C23-01-1 had two hatchlings, one of them Clown"
    )
    (note,) = (one for one in book.statements.animals["C23-01-2"].notes if one.trait == "Piebald")
    assert note.text.startswith(f"Clutch C26-01 of its sibling C23-01-1 {had}: Piebald was 1 in 2 before, ")


@pytest.mark.parametrize(
    ("lab", "told"),
    [
        (
            "Sud",
            "({}) found no copies of Albino and a test on 1 January 2023 (Sud, errs 1 time in 50) found one copy of Albino",
        ),
        ("nord", "(nord, errs 1 time in 50) found one copy of Albino, and counts in place of another of that day"),
    ],
)
def test_of_several_tests_of_a_day_all_that_count_are_the_reason(tmp_path: Path, lab: str, told: str) -> None:
    """Of one laboratory the last, as at any other day."""
    test = "{{trait: Albino, copies: {}, on: 2023-01-01, lab: {}, error: {}%}}"
    tests = f"{test.format(0, 'Nord', 5)}, {test.format(1, lab, 2)}"
    animal = f"- {{id: M-1, sex: male, shows: normal, claims: {{Albino: 66%}}, tests: [{tests}]}}\n"
    found = steps(BARE.book(tmp_path, {"animals/all.yaml": animal}), "M-1", "albino", "Albino")
    assert found[-1] == f"A test on 1 January 2023 {told.format('Nord, errs 1 time in 20')}"


def test_of_tests_of_a_day_for_two_traits_of_a_locus_all_that_moved_the_figure_are_the_reason(tmp_path: Path) -> None:
    """The two of Albino alone would give 0.098 / 0.117, 84 in 100; that of Candy makes it 76."""
    tests = (("Albino", 0, "Nord", 5), ("Candy", 1, "Nord", 5), ("Albino", 1, "Sud", 2))
    said = ", ".join(
        f"{{trait: {trait}, copies: {copies}, on: 2023-01-01, lab: {lab}, error: {error}%}}"
        for trait, copies, lab, error in tests
    )
    animal = f"- {{id: M-1, sex: male, shows: normal, claims: {{Albino: 66%}}, tests: [{said}]}}\n"
    book = BARE.book(tmp_path, {"animals/all.yaml": animal})
    nord, sud = (
        "a test on 1 January 2023 (Nord, errs 1 time in 20)",
        "a test on 1 January 2023 (Sud, errs 1 time in 50)",
    )
    every = f"{nord} found no copies of Albino, {sud} found one copy of Albino and {nord} found one copy of Candy"
    assert steps(book, "M-1", "albino", "Albino")[-1] == every[0].upper() + every[1:]


@pytest.mark.parametrize(
    ("sire", "young", "whence"),
    [
        ("[unknown, M-1]", "Clown", "it may be carried by M-1, just over 67 in 100."),
        ("M-1", "normal", "it came from A, 1 in 2, or B, 1 in 2."),
    ],
)
def test_of_an_unexpected_result_a_chance_of_carrying_is_not_told_as_one_of_having_given_it(
    tmp_path: Path, sire: str, young: str, whence: str
) -> None:
    """He who did not sire the clutch may carry it as well; of grandparents one alone carries it."""
    kin = "claims: {Clown: 1%}" if sire != "M-1" else "sire: A, dam: B"
    animals = (
        "- {id: A, sex: male, shows: normal}\n- {id: B, sex: female, shows: normal}\n"
        f"- {{id: M-1, sex: male, {kin}, shows: normal}}\n"
        "- {id: F-1, sex: female, shows: [Clown], claims: {Piebald: 66%}}\n"
    )
    clutch = CLUTCH.replace("SIRE", sire).replace("YOUNG", f"1 Piebald, 2 {young}")
    book = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch})
    (text,) = (str(note.text) for note in book.statements.animals["C26-01-1"].notes if note.trait == "Piebald")
    assert text.endswith(f"If our other records are right, {whence}")


@pytest.mark.parametrize(("young", "told"), [("1 Banana, 2 Super Pastel", True), ("1 Super Mojave, 2 normal", False)])
def test_young_of_whom_no_one_male_can_be_the_sire_may_have_two(tmp_path: Path, young: str, told: bool) -> None:
    """The line to write is offered where more than one of the young stands against them."""
    animals = (
        "- {id: M-1, sex: male, shows: [Banana]}\n- {id: M-2, sex: male, shows: [Pastel]}\n"
        "- {id: F-1, sex: female, shows: [Pastel]}\n"
    )
    clutch = CLUTCH.replace("SIRE", "[M-1, M-2]").replace("YOUNG", young)
    collection = BARE.collection(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutch})
    messages = [problem.message for problem in problems_in(infer(collection))]
    assert messages
    line = "look for a misread look, two sires in one clutch (write `sire: {mixed: [M-1, M-2]}`), another sire, "
    assert all((line in message) is told for message in messages)


def test_a_word_of_one_of_two_is_doubted_as_one(tmp_path: Path) -> None:
    """In one note and in one sentence of the derivation, with no share of either; the rest is said of each."""
    files = {
        "animals/all.yaml": "- {id: M-1, sex: male, shows: normal, claims: {Clown: 50%, Cryptic: 50%}}\n"
        "- {id: F-1, sex: female, shows: [Crypton]}\n",
        "clutches/all.yaml": "- {id: C26-01, sire: M-1, dam: F-1, eggs: 8, hatched: 2026-07-01, tally: [8 x normal]}\n",
    }
    book = BARE.book(tmp_path, files)
    said = book.statements.animals["M-1"]
    assert [trait.label for trait in said.traits] == ["13% possible het Clown", "13% possible het Cryptic"]
    assert [(one.trait, one.beside) for one in said.notes if one.kind == "claim-in-doubt"] == [("Clown", ("Cryptic",))]
    for trait in ("Clown", "Cryptic"):
        derived = why(asked(book, "M-1", "clown", trait))
        assert isinstance(derived, Why)
        assert derived.assumed[0] == (
            "M-1 was said to be het Clown or Cryptic. That is in doubt: it counts as likely, 99 in 100 before anything was seen."
        )
        assert not derived.assumed[1].startswith("M-1")
