"""Who else may be the sire: what is no longer certain then, who is named, and what stands."""

from __future__ import annotations

import re
import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from tests.rooms import BARE, GALLERY, book_of, page_of, read, site_of
from tests.said.reading_aloud import lines_of_page

from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import OtherSire
from clutchlight.model import When
from clutchlight.pipeline import Book, build, open_book
from clutchlight.planning.odds import odds
from clutchlight.planning.room import KEPT_SPERM
from clutchlight.queries import derivations
from clutchlight.site import addresses
from clutchlight.statements.asked import figure_of
from clutchlight.statements.results import hanging, hanging_words

LOG, SPERM = GALLERY / "another-male-by-the-log", GALLERY / "sperm-of-the-year-before"
STANDS = GALLERY / "more-than-its-dam"


def opened(folder: Path, source: Path, **changed: str) -> Book:
    """A collection of the gallery with some of its texts changed, by the stem of the file."""
    shutil.copytree(source, folder, ignore=shutil.ignore_patterns("said", "asked.yaml"))
    for stem, text in changed.items():
        file = next(file for file in folder.rglob("*") if file.parent.name == stem and file.is_file())
        file.write_text(text, encoding="utf-8")
    return book_of(folder)


def text_of(source: Path, folder: str) -> str:
    return next((source / folder).iterdir()).read_text(encoding="utf-8")


def label(book: Book, animal: str, trait: str) -> str:
    found = book.statements.animals[animal].trait(trait)
    assert found is not None
    return f"{found.label} ({found.certainty})"


def test_a_male_of_the_log_undoes_his_proof_and_not_hers(tmp_path: Path) -> None:
    """A visual among the young is het by the dam whoever sired it; by the sire on record only if he sired it."""
    book = opened(tmp_path / "room", LOG)
    assert label(book, "M-1", "Piebald") == "het Piebald, if no other male sired clutch C26-01 (taken as certain)"
    assert label(book, "F-1", "Piebald") == "het Piebald (certain)"
    reasons = [book.statements.animals[name].trait("Piebald").because[0] for name in ("M-1", "F-1")]  # type: ignore[union-attr]
    assert [one.partition(":")[0] for one in reasons] == [
        "It follows from clutch C26-01, if no other male sired it",
        "Clutch C26-01 proved it",
    ]
    (why,) = derivations(book, "F-1", "Piebald")
    assert (
        "The log puts M-2 with F-1 before C26-01 was laid. This stands whichever male sired clutch C26-01."
        in why.assumed
    )


def test_a_proof_that_another_would_undo_has_its_condition_beside_the_other_parent(tmp_path: Path) -> None:
    """His young by another female say on what it is certain that he carries."""
    later = "- {id: C26-09, sire: M-1, dam: F-9, laid: 2026-06-01, eggs: 1, hatched: 2026-08-01, young: [1 f normal]}\n"
    animals = "- {id: F-9, species: ball-python, sex: female, shows: normal}\n"
    book = opened(
        tmp_path / "room", LOG, clutches=text_of(LOG, "clutches") + later, animals=text_of(LOG, "animals") + animals
    )
    trait = book.statements.animals["C26-09-1"].trait("Piebald")
    assert trait is not None
    assert trait.because[0].endswith(
        "its sire M-1 is het Piebald, by clutch C26-01 (one of the four hatchlings is Piebald), if no other male sired it."
    )


def test_a_later_look_proves_of_him_nothing_that_another_would_undo(tmp_path: Path) -> None:
    """Of her it does."""
    read_again = "looks: [{on: 2026-07-18, shows: normal}, {on: 2026-08-20, shows: [Piebald]}]"
    clutches = text_of(LOG, "clutches").replace("shows: [Piebald]", read_again, 1)
    book = opened(tmp_path / "room", LOG, clutches=clutches)
    reasons = [book.statements.animals[name].trait("Piebald").because[0] for name in ("M-1", "F-1")]  # type: ignore[union-attr]
    assert reasons == [
        "Its young C26-01-1 shows Piebald, from which it follows, if no other male sired clutch C26-01.",
        "Its young C26-01-1 shows Piebald, which proves it.",
    ]
    both = book.statements.animals["C26-01-2"].trait("Piebald").because[0]  # type: ignore[union-attr]
    assert both == (
        "Both parents are het Piebald: its dam F-1 was proven by her young C26-01-1, which shows Piebald, "
        "and its sire M-1 is het Piebald too, if no other male sired clutch C26-01."
    )


def of_two_males(folder: Path, *, female: str, sire: str, young: str) -> Book:
    """A clutch of F-1 and M-1, where the log puts M-2 with her too."""
    animals = f"""- {{id: F-1, species: ball-python, sex: female, {female}}}
- {{id: M-1, species: ball-python, sex: male, {sire}}}
- {{id: M-2, species: ball-python, sex: male, shows: normal}}
"""
    clutches = (
        f"- {{id: C26-01, sire: M-1, dam: F-1, laid: 2026-06-01, eggs: 3, hatched: 2026-08-01, young: [{young}]}}\n"
    )
    log = "date,animal,event,with,value,note\n2026-03-20,M-1,paired,F-1,,\n2026-04-02,M-2,paired,F-1,,\n"
    return opened(folder, LOG, animals=animals, clutches=clutches, log=log)


def test_what_another_male_would_leave_open_is_not_ruled_out(tmp_path: Path) -> None:
    """By M-2, of whom nothing is known, the young that shows Albino says nothing of M-1."""
    book = of_two_males(
        tmp_path / "room",
        female="shows: [Candino]",
        sire="shows: normal, claims: {Albino: 50%, Candy: 25%}",
        young="1 m normal, 2 f normal, 3 f Albino",
    )
    assert label(book, "M-1", "Albino") == "het Albino, if no other male sired clutch C26-01 (taken as certain)"
    stated = book.statements.animals["M-1"]
    assert not [one for one in stated.ruled_out if one.excluded]
    assert not any("Ruled out" in one for one in stated.silences)
    (change,) = book.past.changes.of_animal["M-1"]
    assert change.after_words.endswith("; nothing speaks for Candy any more")


def test_one_copy_is_not_said_where_another_male_would_leave_two(tmp_path: Path) -> None:
    """The normal young may be M-2's."""
    book = of_two_males(
        tmp_path / "room",
        female="shows: normal",
        sire="shows: [Pinstripe], claims: {Pinstripe: {two_copies: 50%}}",
        young="1 m normal, 2 f normal, 3 f Pinstripe",
    )
    (change,) = book.past.changes.of_animal["M-1"]
    assert (change.before_words, change.after_words) == ("Pinstripe, 50% chance of two copies", "Pinstripe")


def test_two_copies_by_the_sire_on_record_have_their_condition(tmp_path: Path) -> None:
    """Every young of a Piebald dam carries it; by M-2 one that nobody looked at may have one copy."""
    book = of_two_males(
        tmp_path / "room", female="shows: [Piebald]", sire="shows: [Piebald]", young="1 m, 2 f Piebald, 3 f Piebald"
    )
    assert label(book, "C26-01-1", "Piebald") == (
        "carries two copies of Piebald, if no other male sired it (taken as certain)"
    )


def test_a_maker_by_the_sire_on_record_has_its_condition(tmp_path: Path) -> None:
    """A male has his Banana on the other chromosome if his sire gave it."""
    book = of_two_males(
        tmp_path / "room", female="shows: [Banana]", sire="shows: normal", young="1 m Banana, 2 f normal, 3 f normal"
    )
    assert book.statements.animals["C26-01-1"].maker == "female-maker for Banana, if no other male sired it"


@pytest.mark.parametrize(
    ("look", "carried"), [("Piebald", "het Piebald"), ("Candino", "het Albino or Candy (one of the two)")]
)
def test_a_change_names_its_clutch_once(tmp_path: Path, look: str, carried: str) -> None:
    """What its hatching leaves as certain of the sire has the condition behind it."""
    animals = text_of(LOG, "animals").replace("claims: {Piebald: 66%}, ", "")
    clutches = text_of(LOG, "clutches").replace("[Piebald]", f"[{look}]")
    book = opened(tmp_path / "room", LOG, animals=animals, clutches=clutches)
    (title,) = re.findall(r"<title>(.*\(M-1\): .*)</title>", site_of(book)["changes/feed.xml"].decode())
    after = f"→ {carried}, after clutch C26-01 hatched, if no other male sired it, resting on an unexpected result"
    assert title.endswith(after)


def test_without_the_row_of_the_log_the_proof_is_certain(tmp_path: Path) -> None:
    """Nothing but the log puts another male there."""
    rows = text_of(LOG, "log").splitlines()
    book = opened(tmp_path / "room", LOG, log="\n".join(row for row in rows if "M-2" not in row))
    assert label(book, "M-1", "Piebald") == "het Piebald (certain)"


def test_a_male_that_the_record_excludes_is_no_doubt(tmp_path: Path) -> None:
    """Every figure, ground and heading is that without his row of the log; and `check` says nothing of him."""
    clutches = text_of(LOG, "clutches").replace("  dam: F-1\n", "  dam: F-1\n  not_by: [M-2]\n")
    rows = [row for row in text_of(LOG, "log").splitlines(keepends=True) if "M-2" not in row]
    excluded, never = opened(tmp_path / "a", LOG, clutches=clutches), opened(tmp_path / "b", LOG, log="".join(rows))
    assert excluded.inference.others == {}
    assert excluded.statements.animals == never.statements.animals
    assert [problem for problem in open_book(tmp_path / "a").problems if "M-2" in problem.message] == []


@pytest.mark.parametrize(("not_by", "warned"), [("", ["M-2"]), ("not_by: [M-2], ", [])])
def test_the_log_does_not_contradict_a_sire_where_its_male_is_excluded(
    tmp_path: Path, not_by: str, warned: list[str]
) -> None:
    """The log has only the other male with her, and the record says that it was not he."""
    animals = "- {id: F-1, sex: female}\n- {id: M-1, sex: male}\n- {id: M-2, sex: male}\n"
    files = {
        "animals/all.yaml": animals,
        "clutches/all.yaml": f"- {{id: C26-01, sire: M-1, dam: F-1, {not_by}laid: 2026-05-01, eggs: 2}}\n",
        "log/2026.csv": "date,animal,event,with,value,note\n2026-01-10,M-2,paired,F-1,,\n",
    }
    found = [problem for problem in read(tmp_path, files).problems if problem.code == "sire-not-in-log"]
    assert [name for name in ("M-1", "M-2") if any(name in problem.message for problem in found)] == warned


def public(book: Book, out: Path) -> dict[str, bytes]:
    build(book, out)
    return {str(file.relative_to(out)): file.read_bytes() for file in sorted(out.rglob("*")) if file.is_file()}


def test_public_bytes_say_that_there_is_another_male_and_not_who_or_when(tmp_path: Path) -> None:
    """Another visual male on another day: the same bytes. No row: other bytes."""
    animals = text_of(LOG, "animals") + "- {id: M-3, sex: male, hatched: 2023-07, shows: [Piebald], status: breeder}\n"
    rows = text_of(LOG, "log")
    texts = (rows, rows.replace("2026-02-14,M-2", "2026-03-01,M-3"), rows.replace("2026-02-14,M-2,paired,F-1,,\n", ""))
    one, other, none = (
        public(opened(tmp_path / f"room{at}", LOG, animals=animals, log=log), tmp_path / f"site{at}")
        for at, log in enumerate(texts)
    )
    assert one == other
    assert one != none
    page = one["animals/M-1/index.html"].decode()
    assert "M-2" not in page
    assert "if no other male sired" in page


def test_the_sire_of_the_clutch_before_undoes_the_hets_of_a_visuals_young(tmp_path: Path) -> None:
    """She may have kept his sperm: public records say so, and name him."""
    book = opened(tmp_path / "room", SPERM)
    assert (
        label(book, "C26-01-2", "Lavender Albino")
        == "het Lavender Albino, if no other male sired it (taken as certain)"
    )
    trait = book.statements.animals["C26-01-2"].trait("Lavender Albino")
    assert trait is not None
    assert "laid clutch C25-01, by M-1, before it" in trait.because[-1]


@pytest.mark.parametrize("clutch", ["C25-01", "C26-01"])
def test_of_an_unlisted_clutch_or_its_sire_no_public_page_says_how_he_comes_in(tmp_path: Path, clutch: str) -> None:
    clutches = text_of(SPERM, "clutches").replace(f"- id: {clutch}\n", f"- id: {clutch}\n  publish: no\n")
    files = public(opened(tmp_path / "room", SPERM, clutches=clutches), tmp_path / "site")
    pages = {name: " ".join(lines_of_page(one.decode())) for name, one in files.items() if name.endswith(".html")}
    assert not [name for name, text in pages.items() if "laid an unlisted clutch" in text or f"{clutch}, by" in text]


def test_no_page_doubts_the_one_sire_of_what_stands_whoever_he_is(tmp_path: Path) -> None:
    """Neither a male of the log nor one of a public clutch is named: he would change nothing."""
    animals = text_of(STANDS, "animals") + "- {id: Zed, sex: male, hatched: 2020, shows: normal, status: breeder}\n"
    book = opened(tmp_path / "room", STANDS, animals=animals)
    (book.folder / "log").mkdir()
    rows = "date,animal,event,with,value,note\n2026-03-01,Zed,paired,F-1,,\n"
    (book.folder / "log/2026.csv").write_text(rows, encoding="utf-8")
    text = " ".join(page_of(book_of(book.folder), "animals/C26-01-1/index.html"))
    assert not any(words in text for words in ("cannot be its sire", "stands whichever male", "Zed"))


def test_check_says_who_could_explain_a_result_and_what_to_write(tmp_path: Path) -> None:
    """Fewer copies that nobody recorded with him as the sire."""
    shutil.copytree(SPERM, tmp_path / "room", ignore=shutil.ignore_patterns("said", "asked.yaml"))
    (problem,) = open_book(tmp_path / "room").problems
    assert problem.code == "other-male"
    assert "Clown in it needs fewer unrecorded carriers" in problem.message
    assert "write `sire: [M-2, M-1]`" in problem.message


@pytest.mark.parametrize(("days", "named"), [(KEPT_SPERM.days, True), (KEPT_SPERM.days + 1, False)])
def test_sperm_is_kept_for_two_years(tmp_path: Path, days: int, named: bool) -> None:
    """On the last day he counts, a day later no more."""
    before = When.day(date(2026, 5, 20) - timedelta(days=days))
    clutches = (
        text_of(SPERM, "clutches").replace("2025-05-11", str(before)).replace("2025-07-09", str(before)[:4] + "-12-31")
    )
    book = opened(tmp_path / "room", SPERM, clutches=clutches)
    assert ("C26-01" in book.inference.others) is named


@pytest.mark.parametrize("day", ["2025-05-11", "2026-05-20"])
def test_where_nobody_wrote_the_day_of_laying_the_hatching_tells_the_year(tmp_path: Path, day: str) -> None:
    """Of the clutch before or of this one; the clutch before never gets the later male."""
    book = opened(tmp_path / "room", SPERM, clutches=text_of(SPERM, "clutches").replace(f"  laid: {day}\n", ""))
    assert book.inference.others == {"C26-01": {"M-1": OtherSire("C26-01", "M-1", "C25-01")}}


@pytest.mark.parametrize(
    ("room", "animal", "trait"),
    [("both-parents-must-carry-it", "M-1", "Albino"), ("more-than-its-dam", "C26-01-2", "Piebald")],
)
def test_the_line_to_write_makes_no_doubt_certain(tmp_path: Path, room: str, animal: str, trait: str) -> None:
    """A clutch mate shows what the other male lacks, so as sire of the whole clutch he would be ruled out, and nothing stay in doubt."""
    book = opened(tmp_path / "before", GALLERY / room)
    assert label(book, animal, trait).endswith("(taken as certain)")
    (why,) = derivations(book, animal, trait)
    (line,) = re.findall(r"write `(sire: .*?)` in", " ".join(map(str, why.assumed)))
    assert [line in hanging_words(book.telling_its_owner, one) for one in hanging(book.telling_its_owner)] == [True]
    sire = book.collection.clutches["C26-01"].sires.candidates[0][0]
    before, of_it, after = text_of(GALLERY / room, "clutches").partition("id: C26-01")
    changed = opened(tmp_path / "after", GALLERY / room, clutches=before + of_it + after.replace(f"sire: {sire}", line))
    assert label(changed, animal, trait).endswith("(possible)")


def test_who_bred_for_certain_is_a_proven_breeder_others_on_condition(tmp_path: Path) -> None:
    """A Pastel among the young can be of none but him; M-2 may have sired the others, not all."""
    pastel = {
        "animals": text_of(LOG, "animals").replace(
            "hatched: 2022-06, shows: normal", "hatched: 2022-06, shows: [Pastel]"
        ),
        "clutches": text_of(LOG, "clutches").replace(
            "C26-01-2, sex: male, shows: normal", "C26-01-2, sex: male, shows: [Pastel]"
        ),
    }
    said = []
    for name, changed in (("a", {}), ("c", pastel)):
        statements = opened(tmp_path / name, LOG, **changed).statements
        said.append((statements.animals["M-1"].proven_breeder, statements.clutches["C26-01"].by_others))
        assert statements.animals["F-1"].proven_breeder == "proven breeder: 1 clutch, in 2026"
    sure = "proven breeder: 1 clutch, in 2026"
    assert said == [(f"{sure}, if no other male sired clutch C26-01", True), (sure, False)]


def test_what_looks_that_count_nowhere_prove_is_left_open() -> None:
    """A clutch with a look whose line is not known did not prove nothing: it was not worked out. Its dam's other clutch has none."""
    made = site_of(book_of(GALLERY / "axanthic-line-not-known"))
    told = {name: "proved nothing new" in made[f"clutches/{name}/index.html"].decode() for name in ("C26-01", "C26-02")}
    assert told == {"C26-01": False, "C26-02": True}


def test_what_hangs_on_a_clutch_names_its_young_once(tmp_path: Path) -> None:
    """Both carry both traits of the sire on record, unless that of her clutch of the year before sired them."""
    animals = text_of(SPERM, "animals").replace("shows: [Lavender Albino]", "shows: [Lavender Albino, Piebald]")
    book = opened(tmp_path / "room", SPERM, animals=animals)
    (one,) = hanging(book.telling_its_owner)
    young = "C26-01-1, C26-01-2 and C26-01-3 carry Piebald and Lavender Albino"
    assert f"is it certain that {young} and that M-2 carries Clown. " in hanging_words(book.telling_its_owner, one)


def test_each_male_who_may_have_sired_the_clutch_before_is_named(tmp_path: Path) -> None:
    """M-1 or M-3 sired the clutch of the year before: not one of the two alone."""
    clutches = text_of(SPERM, "clutches").replace("sire: M-1\n", "sire: {one_of: {M-3: 30%, M-1: 70%}}\n")
    animals = text_of(SPERM, "animals") + "- {id: M-3, sex: male, hatched: 2020, shows: normal, status: breeder}\n"
    book = opened(tmp_path / "room", SPERM, clutches=clutches, animals=animals)
    found = {text for one in book.statements.animals.values() for trait in one.traits for text in trait.because}
    laid = {text.partition("laid ")[2] for text in found if "can keep sperm" in text}
    assert laid == {"clutch C25-01, by M-3 or M-1, before it, and a female can keep sperm."}


def test_a_clutch_of_one_of_two_males_stays_of_one_where_no_other_comes_in(tmp_path: Path) -> None:
    """The Pastel is his, so the Piebald is, unless by M-3; whoever sired the normal young of F-2 takes nothing from that."""
    animals = "".join(
        f"- {{id: {name}, sex: {sex}, hatched: 2020, shows: {shows}}}\n"
        for name, sex, shows in (
            ("F-1", "female", "normal, claims: {Piebald: 50%}"),
            ("F-2", "female", "normal"),
            ("M-1", "male", "normal"),
            ("M-2", "male", "[Pastel], claims: {Piebald: 50%}"),
            ("M-3", "male", "[Piebald]"),
        )
    )
    clutches = (
        "- {id: C25-01, sire: M-3, dam: F-1, laid: 2025-05-01}\n"
        "- {id: C25-02, sire: M-3, dam: F-2, laid: 2025-05-01}\n"
        "- {id: C26-02, sire: M-2, dam: F-2, laid: 2026-05-02, eggs: 2, hatched: 2026-06-29, young: [1 f normal, 2 m normal]}\n"
        "- {id: C26-01, sire: {one_of: [M-1, M-2]}, dam: F-1, laid: 2026-05-01, eggs: 2, hatched: 2026-06-28,\n"
        "   young: [1 f Piebald, 2 m Pastel]}\n"
    )
    book = opened(tmp_path / "room", SPERM, animals=animals, clutches=clutches)
    assert label(book, "M-2", "Piebald") == "het Piebald, if no other male sired clutch C26-01 (taken as certain)"


def test_what_a_seller_said_of_him_hangs_on_no_clutch_to_come(tmp_path: Path) -> None:
    """He was said to be het when he hatched, and is taken to be; only what a clutch of years later proved has the condition."""
    animals = text_of(SPERM, "animals").replace("name: Ruff,", "claims: {Clown: 100%},")
    book = opened(tmp_path / "room", SPERM, animals=animals)
    asked = figure_of(book.telling_its_owner, "M-2", "Clown")
    (_, figure), *_ = asked.history
    said = asked.label_after(figure, None, date(2022, 7, 1), "")
    assert (str(said), str(asked.label_now)) == (
        "het Clown, on the seller's word",
        "het Clown, if no other male sired clutch C26-01, else on the seller's word",
    )
    text = "\n".join(page_of(book, addresses.animal("M-2")))
    assert "It is proven only if no other male sired clutch C26-01" in text
    assert "This holds only" not in text
    assert not any("proved nothing new" in line for line in page_of(book, addresses.clutch("C26-01")))
    (taken,) = odds(book.inference, "M-2", "F-1").taken
    assert (taken.animal, taken.kind, taken.clutches) == ("M-2", "claim", ())


def test_of_one_of_two_alleles_the_two_are_told_together(tmp_path: Path) -> None:
    """Young of a Motley have Motley or Stripe unless the sire of her clutch before sired them: nothing said of anybody bears on that."""
    animals = (
        "- {id: F-1, species: corn-snake, sex: female, shows: normal, claims: {Motley: 66%}}\n"
        "- {id: M-1, species: corn-snake, sex: male, shows: normal}\n"
        "- {id: M-2, species: corn-snake, sex: male, shows: [Motley]}\n"
        "- {id: F-2, species: corn-snake, sex: female, shows: normal, claims: {Motley: 50%}}\n"
    )
    clutches = (
        "- {id: C1, sire: M-1, dam: F-1, laid: 2026-05-12, eggs: 1, hatched: 2026-07-12, young: [1 f normal]}\n"
        "- {id: C2, sire: M-2, dam: F-1, laid: 2026-07-15, eggs: 1, hatched: 2026-09-14, young: [1 f normal]}\n"
        "- {id: C3, sire: M-2, dam: F-2, laid: 2026-05-15, eggs: 2, hatched: 2026-07-14, young: [1 f normal, 2 m Motley]}\n"
    )
    book = BARE.book(tmp_path, {"animals/all.yaml": animals, "clutches/all.yaml": clutches})
    (one,) = hanging(book.telling_its_owner)
    assert "is it certain that C2-1 carries Motley or Stripe. " in hanging_words(book.telling_its_owner, one)
    text = " ".join(page_of(book, "animals/C2-1/index.html"))
    assert "het Motley or Stripe (one of the two), if no other male sired it" in text
    assert "by what was said of" not in text


def test_the_log_is_named_where_it_has_with_her_whom_her_clutch_before_was_by(tmp_path: Path) -> None:
    """The lock of this winter was told as sperm kept from the year before. A public page knows of no log."""
    folder = tmp_path / "room"
    shutil.copytree(SPERM, folder, ignore=shutil.ignore_patterns("said", "asked.yaml"))
    dam = book_of(folder).collection.clutches["C26-01"].dam
    (folder / "log").mkdir()
    row = f"2026-02-01,M-1,lock,{dam},,\n"
    (folder / "log/2026.csv").write_text(f"date,animal,event,with,value,note\n{row}", encoding="utf-8")
    book = book_of(folder)
    assert book.inference.others == {"C26-01": {"M-1": OtherSire("C26-01", "M-1", "C25-01", logged=True)}}
    (said,) = [hanging_words(book.telling, one) for one in hanging(book.telling)]
    assert said.startswith(f"The log puts M-1 with {dam} before C26-01 was laid.")
    assert "sperm" not in said


SHARED = {
    "animals/all.yaml": """\
- {id: M3, sex: male, hatched: 2023, shows: Pastel, claims: {Clown: 50%, Piebald: 66%}}
- {id: M1, sex: male, hatched: 2022, shows: Clown}
- {id: F3, sex: female, hatched: 2021, shows: Piebald, claims: {Clown: 66%}}
""",
    "clutches/all.yaml": """\
- {id: C26-01, sire: [M3, M1], dam: F3, laid: 2026-04-12, eggs: 3, hatched: 2026-06-09, young: [1 f Pastel, 2 f Clown, 3 m normal]}
""",
}
ALL_OF_IT = "if one male sired the whole clutch"


def test_what_stands_only_if_one_of_two_sired_the_whole_clutch_says_so(tmp_path: Path) -> None:
    """The Pastel is M3's, and so is the Clown if one male sired both. That she is het Clown stands either way."""
    book = book_of(BARE.write(tmp_path, SHARED))
    assert label(book, "M3", "Clown") == "het Clown, if one male sired all of clutch C26-01 (taken as certain)"
    asked = ("C26-01-1", "C26-01-2", None)
    assert [infer(book.collection).perhaps_by_several("C26-01", one) for one in asked] == [False, True, True]
    his = " ".join(page_of(book, "animals/M3/index.html"))
    assert his.count(f"by clutch C26-01, {ALL_OF_IT}") == 1
    assert "proven by" not in his
    assert "proved" not in his
    assert his.count("This holds only if one male sired all of clutch C26-01; two males can share a clutch.") == 1
    assert "one male" not in " ".join(page_of(book, "animals/F3/index.html"))
    proven = "This holds only if one male sired all of clutch C26-01; two males can share a clutch."
    why = {name: derivations(book, name, "Clown") for name in ("M3", "F3")}
    assert [any(proven in one.assumed for one in why[name]) for name in ("M3", "F3")] == [True, False]
    clutch = " ".join(page_of(book, "clutches/C26-01/index.html"))
    assert "of these only M3 can have sired the whole clutch, and we take it that one male did." in clutch
    assert "Proved: F3 is het Clown, since one of the young is Clown." in clutch
    assert ", taken as certain now, if one male sired all of clutch C26-01." in clutch


def test_a_young_may_be_unlisted_where_the_looks_leave_one_of_two_sires(tmp_path: Path) -> None:
    """As published it has a number for an id, by which the whole collection does not know it."""
    hidden = SHARED["clutches/all.yaml"].replace("3 m normal", "{id: C26-01-3, sex: male, shows: normal, publish: no}")
    stated = book_of(BARE.write(tmp_path, SHARED | {"clutches/all.yaml": hidden})).published.statements
    (unlisted,) = (one for one in stated.animals.values() if one.id.startswith("~"))
    assert unlisted.parents.sires == stated.animals["C26-01-2"].parents.sires
    assert [str(sire.sire) for sire in unlisted.parents.sires] == ["M3"]


def test_where_no_egg_can_be_anothers_nothing_rests_on_one_sire(tmp_path: Path) -> None:
    young = SHARED["clutches/all.yaml"].replace("2 f Clown, 3 m normal", "2 f Pastel, 3 m Pastel")
    pages = site_of(book_of(BARE.write(tmp_path, SHARED | {"clutches/all.yaml": young})))
    text = " ".join(
        " ".join(lines_of_page(one.decode())) for name, one in pages.items() if name.endswith("1/index.html")
    )
    assert "of these only M3 can have sired what hatched." in text
    assert "one male" not in text


def test_an_unlisted_clutch_of_two_males_of_whom_the_looks_leave_one_is_published(tmp_path: Path) -> None:
    hidden = SHARED["clutches/all.yaml"].replace("eggs: 3,", "eggs: 3, publish: no,")
    pages = site_of(book_of(BARE.write(tmp_path, SHARED | {"clutches/all.yaml": hidden})))
    assert "animals/M3/index.html" in pages
    assert "clutches/C26-01/index.html" not in pages
