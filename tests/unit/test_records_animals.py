"""Animals as they are written: parents in place, claims short and long, readings, whereabouts, photos, earlier ids."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from tests.rooms import PARENTS, animal, good, md, problems, read


def test_an_animal_with_every_key_is_read_whole(tmp_path: Path) -> None:
    """Each key of the format ends up where the model has it."""
    body = """
id: F-03
species: corn-snake
name: Bramble
sex: 0.1
sexed: {how: probed, on: 2021-09-12}
hatched: 2021-07-30
shows: [Amelanistic]
claims: {Anerythristic: {chance: 2/3, from: "a seller", on: 2021-10-03, withdrawn: 2023-01-09}}
tests:
  - {trait: Anerythristic, copies: 1, on: 2024-02-01, by: shed test, error: 1%}
impressions: ["high-contrast dorsal; may be a marker"]
status: breeder
came: {on: 2021-10-03, how: bought}
left: {on: 2025-03-01, how: loan}
origin: captive bred
price: 350
photos: [bramble.jpg, {file: old/b.png, on: 2024-03-02, alt: "A snake"}]
publish: name only
corrections: [{on: 2024-01-09, key: sex, was: male, because: re-probed}]
was: [F-3, "003"]
"""
    files = {"animals/F-03.md": md(body, "Prose *here*.\n"), "photos/bramble.jpg": "x", "photos/old/b.png": "x"}
    found = good(tmp_path, files).animals["F-03"]
    assert (found.species, found.name, found.sex, found.was) == ("corn-snake", "Bramble", "female", ("F-3", "003"))
    assert found.sexed is not None
    assert (found.sexed.how, str(found.sexed.on), str(found.hatched)) == ("probed", "2021-09-12", "2021-07-30")
    assert [reading.shows for reading in found.readings] == [("Amelanistic",)]
    (claim,) = found.claims
    assert (claim.trait, claim.chance, claim.said_by) == ("Anerythristic", Fraction(2, 3), "a seller")
    assert (str(claim.on), str(claim.withdrawn)) == ("2021-10-03", "2023-01-09")
    (test,) = found.tests
    assert (test.trait, test.copies, str(test.on), test.by) == ("Anerythristic", 1, "2024-02-01", "shed test")
    assert test.error == Fraction(1, 100)
    assert found.impressions == ("high-contrast dorsal; may be a marker",)
    assert (found.status, found.origin, found.price, found.publish) == ("breeder", "captive bred", "350", "name only")
    assert found.came is not None
    assert found.left is not None
    assert (found.came.how, str(found.came.on), found.left.how) == ("bought", "2021-10-03", "loan")
    assert [(photo.file, photo.alt) for photo in found.photos] == [("bramble.jpg", None), ("old/b.png", "A snake")]
    assert [(item.key, item.was, item.because) for item in found.corrections] == [("sex", "male", "re-probed")]
    assert found.prose == "Prose *here*."


def test_a_parent_in_place_is_a_founder_of_its_own(tmp_path: Path) -> None:
    """A nameless dam gets an id that nobody can write, her role's sex, and her claims."""
    body = "id: F-03\nsire: M-01\ndam: {shows: normal, claims: {Piebald: 100%}}"
    collection = good(tmp_path, {**PARENTS, "animals/F-03.md": md(body)})
    dam = collection.animals["F-03:dam"]
    assert collection.animals["F-03"].dam == "F-03:dam"
    assert (dam.nameless, dam.founder, dam.sex, dam.here, dam.publish) == (True, True, "female", False, "no")
    assert [(claim.trait, claim.chance) for claim in dam.claims] == [("Piebald", Fraction(1))]
    assert (dam.place.line, dam.place.column) == (4, 6)


def test_claims_may_be_a_map_or_a_list(tmp_path: Path) -> None:
    """`Piebald: 66%` is short for the long form; both are the same claim."""
    long = "id: F-01\nclaims:\n  - {trait: Pied, chance: 2/3}\n  - {trait: clown, chance: 50%}"
    short = "id: F-01\nclaims: {Piebald: 66%, Clown: 1/2}"
    read = [[(claim.trait, claim.chance) for claim in animal(tmp_path, body).claims] for body in (long, short)]
    assert read[0] == read[1] == [("Piebald", Fraction(2, 3)), ("Clown", Fraction(1, 2))]


def test_a_second_copy_may_be_claimed_of_a_trait_that_shows(tmp_path: Path) -> None:
    """Pinstripe looks the same with one copy and with two, so a second one can only be claimed."""
    found = animal(tmp_path, "id: F-01\nshows: Pinstripe\nclaims: {Pinstripe: {two_copies: 50%}}")
    assert [(claim.chance, claim.two_copies) for claim in found.claims] == [(None, Fraction(1, 2))]


def test_where_a_sex_linked_copy_came_from_may_be_claimed(tmp_path: Path) -> None:
    """`came_from` stands on a trait that shows."""
    found = animal(tmp_path, "id: M-01\nsex: male\nshows: Banana\nclaims: {Banana: {came_from: dam}}", "M-01")
    assert [(claim.chance, claim.came_from) for claim in found.claims] == [(None, "dam")]


def test_readings_are_in_order_of_their_dates(tmp_path: Path) -> None:
    """Undated readings come first, then by date, whatever the order of lines."""
    body = """
id: F-01
looks:
  - {on: 2021-12-05, shows: [Pastel], cannot_tell: [Axanthic]}
  - {on: 2021-10-01, shows: normal, without: [Yellow Belly]}
  - {shows: normal}
"""
    readings = animal(tmp_path, body).readings
    assert [(str(reading.on), reading.shows) for reading in readings] == [
        ("None", ()),
        ("2021-10-01", ()),
        ("2021-12-05", ("Pastel",)),
    ]
    assert readings[1].without == ("Yellow Belly",)
    assert readings[2].cannot_tell == ("Axanthic line A", "Axanthic line B")


def test_never_looked_at_is_not_normal(tmp_path: Path) -> None:
    """Without `shows` there is no reading; `normal` is one that found nothing."""
    assert animal(tmp_path, "id: F-01").reading is None
    normal = animal(tmp_path, "id: F-01\nshows: normal").reading
    assert normal is not None
    assert normal.shows == ()


def test_stated_figures_are_kept_beside_the_parents(tmp_path: Path) -> None:
    """A seller's figure for an animal with parents is shown, and is no claim."""
    found = good(tmp_path, {**PARENTS, "animals/F-03.md": md("id: F-03\nsire: M-01\nstated: {Pied: 66%}")}).animals[
        "F-03"
    ]
    assert [(stated.trait, stated.chance) for stated in found.stated] == [("Piebald", Fraction(2, 3))]
    assert found.claims == ()


def test_young_take_the_species_of_their_dam(tmp_path: Path) -> None:
    """Where no species is written it is the dam's, hers is her dam's, and so on to the collection's first."""
    files = {
        "animals/A.md": md("id: A\ndam: B"),
        "animals/B.md": md("id: B\nsex: f\ndam: C"),
        "animals/C.md": md("id: C\nsex: f\nspecies: corn-snake"),
        "animals/D.md": md("id: D"),
    }
    animals = good(tmp_path, files).animals
    assert {name: found.species for name, found in animals.items()} == {
        "A": "corn-snake",
        "B": "corn-snake",
        "C": "corn-snake",
        "D": "ball-python",
    }


def test_an_animal_that_was_sold_has_that_status(tmp_path: Path) -> None:
    """`left: {how: sold}` says it all; other ways of leaving leave the status to the breeder."""
    assert animal(tmp_path, "id: F-01\nleft: {on: 2025-03-01, how: sold}").status == "sold"
    assert animal(tmp_path, "id: F-01\nleft: {on: 2025-03-01, how: died}").status == "not for sale"


def test_an_animal_that_was_sold_and_came_back_is_not_sold(tmp_path: Path) -> None:
    """Without a status; sold again after that it is."""
    back = "id: F-01\nleft: {{on: {}, how: sold}}\ncame: {{on: 2024-06-08, how: returned}}"
    assert animal(tmp_path, back.format("2023-10-14")).status == "not for sale"
    assert animal(tmp_path, back.format("2025-10-14")).status == "sold"


def test_an_animal_that_came_back_may_be_for_sale(tmp_path: Path) -> None:
    """Leaving before coming is a contradiction unless it returned."""
    body = "id: F-01\nstatus: available\nprice: ask\nleft: {on: 2024-03-01, how: sold}\ncame: {on: 2024-09-01, how: returned}"
    assert animal(tmp_path, body).status == "available"


def test_an_earlier_id_still_names_the_animal(tmp_path: Path) -> None:
    """Parents may be named by an earlier id; the animal has one present id."""
    files = {"animals/F-01.md": md("id: F-01\nsex: f\nwas: OLD-7"), "animals/F-02.md": md("id: F-02\ndam: OLD-7")}
    assert good(tmp_path, files).animals["F-02"].dam == "F-01"


@pytest.mark.parametrize(
    "name",
    ["../secret.jpg", "/etc/passwd.jpg", "..\\secret.jpg", "C:secret.jpg", "a/../../secret.jpg", "./a.jpg", "a//b.jpg"],
)
def test_no_photo_can_name_a_file_outside_photos(tmp_path: Path, name: str) -> None:
    """Whatever the spelling, a photo's name stays inside photos/."""
    (tmp_path / "secret.jpg").write_text("x", encoding="utf-8")
    folder = tmp_path / "collection"
    assert problems(folder, {"animals/F-01.md": md(f"id: F-01\nphotos: ['{name}']"), "photos/a.jpg": "x"}) == [
        ("animals/F-01.md", 3, 10, "photo-name")
    ]


def test_no_link_in_photos_leads_out(tmp_path: Path) -> None:
    """A link inside photos/ to a file outside the collection counts as no photo."""
    folder = tmp_path / "collection"
    (folder / "photos").mkdir(parents=True)
    (tmp_path / "secret.jpg").write_text("x", encoding="utf-8")
    (folder / "photos" / "a.jpg").symlink_to(tmp_path / "secret.jpg")
    assert problems(folder, {"animals/F-01.md": md("id: F-01\nphotos: [a.jpg]")}) == [
        ("animals/F-01.md", 3, 10, "photo-missing")
    ]


@pytest.mark.parametrize("linked", ["animals", "photos", "pages"])
def test_no_folder_that_leads_out_is_read(tmp_path: Path, linked: str) -> None:
    """A linked folder outside the collection is refused as a whole, or holds no photo."""
    outside, folder = tmp_path / "outside", tmp_path / "collection"
    (outside).mkdir()
    (outside / "F-09.md").write_text(md("id: F-09\ntitle: x"), encoding="utf-8")
    folder.mkdir()
    (folder / linked).symlink_to(outside)
    codes = [code for *_, code in problems(folder, {"clutches/.keep": ""})]
    assert codes == ([] if linked == "photos" else ["outside-collection"])


@pytest.mark.parametrize(("typed", "meant"), [("for sale", "available"), ("Reserved", "on hold")])
def test_a_status_in_other_words_is_answered_with_the_one_that_is_meant(tmp_path: Path, typed: str, meant: str) -> None:
    """By letters alone, 'for sale' would be nearest to its opposite."""
    result = read(tmp_path, {"animals/M-01.md": f"---\nid: M-01\nsex: male\nshows: normal\nstatus: {typed}\n---\n"})
    assert [problem.message for problem in result.problems] == [f"'{typed}' does not belong here; write '{meant}'"]


CORRECTED = "{on: 2025-0%s-01, key: %s, was: %s, because: a slip}"


@pytest.mark.parametrize(
    ("file", "body", "corrections", "codes"),
    [
        ("animals/F-03.md", "id: F-03\nsex: female", [(2, "sex", "male"), (1, "sex", "female")], []),
        ("animals/F-03.md", "id: F-03\nsex: female", [(1, "clutch", "C24-01")], []),
        ("clutches/C24-01.md", "id: C24-01\nsire: M-01\ndam: F-01", [(1, "sire", "M-02")], []),
        (
            "clutches/C24-01.md",
            "id: C24-01\nsire: M-01\ndam: F-01",
            [(1, "sire", "M-01")],
            ["corrected-to-the-same"],
        ),
        ("clutches/C24-01.md", "id: C24-01\nsire: M-01\ndam: F-01", [(1, "clutch", "C23-01")], ["unknown-key"]),
    ],
)
def test_a_correction_is_held_against_what_came_after_it(
    tmp_path: Path, file: str, body: str, corrections: list[tuple[int, str, str]], codes: list[str]
) -> None:
    """By day, in whatever order they are written; that an animal was of another clutch is one too."""
    written = ", ".join(CORRECTED % one for one in corrections)
    found = problems(tmp_path, {**PARENTS, file: md(f"{body}\ncorrections: [{written}]")})
    assert [code for *_, code in found] == codes


def test_a_correction_from_nothing_is_refused(tmp_path: Path) -> None:
    corrections = "corrections: [{on: 2025-02-01, key: shows, was: [], because: a slip}]"
    result = read(tmp_path, {"animals/F-01.md": md(f"id: F-01\nsex: female\nshows: normal\n{corrections}")})
    assert [problem.message for problem in result.problems] == [
        "this list is empty; write what stood there, such as `normal` or `unknown`"
    ]


@pytest.mark.parametrize(("how", "codes"), [("sold", []), ("loan", ["status-and-left"])])
def test_one_that_died_at_its_buyers_may_be_called_sold(tmp_path: Path, how: str, codes: list[str]) -> None:
    left = f"left: {{how: {how}, on: 2025-08-10, then: {{how: died, on: 2025-09-20}}}}"
    found = problems(tmp_path, {"animals/F-01.md": md(f"id: F-01\nstatus: sold\n{left}")})
    assert [code for *_, code in found] == codes


@pytest.mark.parametrize(("withdrawn", "told"), [("", ["claim-against-look"]), (", withdrawn: 2023-01-09", [])])
def test_a_claim_against_the_look_is_told_until_it_is_withdrawn(
    tmp_path: Path, withdrawn: str, told: list[str]
) -> None:
    claim = f"{{Cryptic: {{chance: 50%, on: 2021-10-03{withdrawn}}}}}"
    found = problems(tmp_path, {"animals/all.yaml": f"- {{id: M-01, sex: male, shows: [Clown], claims: {claim}}}\n"})
    assert [code for *_, code in found] == told
