"""The loader of species: built-in files as they stand, and the breeder's own traits over them."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from tests.rooms import SETTINGS, good, md, problems, read

from clutchlight.model import Inheritance, Species
from clutchlight.reading import catalogue, species_files
from clutchlight.reading.catalogue import built_in_species, load
from clutchlight.reading.species_files import ClutchFacts, ReadyWhen, SexDetermination, SourcedDays, facts_of

ALL_BUT: Any = species_files.EveryOtherLocus


def built_in(key: str) -> Species:
    species = load(key)
    assert species is not None
    return species


def with_traits(folder: Path, text: str) -> Species:
    """The ball python with these own traits."""
    collection = good(folder, {"traits/own.yaml": f"species: ball-python\n{text}"})
    return collection.species["ball-python"]


@pytest.mark.parametrize("key", built_in_species())
def test_every_built_in_species_loads_with_its_facts(key: str) -> None:
    """Each file gives loci with sources, sex chromosomes, and numbers where the desk needs numbers."""
    species = built_in(key)
    assert species.key == key
    assert all(locus.built_in and locus.source for locus in species.loci.values())
    assert [one.system for one in facts_of(species, SexDetermination)] == [species.sex_system]
    assert [one.first < one.last for one in facts_of(species, SourcedDays)] == [True]
    assert [one.meals > 0 for one in facts_of(species, ReadyWhen)] == [True]


def test_the_three_species_have_their_published_sex_chromosomes() -> None:
    """Pythons XY (Gamble et al. 2017, Curr Biol 27:2148-2153), colubrids ZW (reviews)."""
    assert {key: built_in(key).sex_system for key in built_in_species()} == {
        "ball-python": "XY",
        "corn-snake": "ZW",
        "western-hognose": "ZW",
    }


def test_a_percentage_among_the_facts_is_a_fraction() -> None:
    """Hatch rate 81 % (Morrill et al. 2011, Herpetol Rev 42:226-231)."""
    assert [one.hatch_rate for one in facts_of(built_in("ball-python"), ClutchFacts)] == [Fraction(81, 100)]


def test_a_locus_of_the_breeders_own_is_added(tmp_path: Path) -> None:
    """Everything that a locus may say (records#loci) arrives in the value."""
    species = with_traits(
        tmp_path,
        """
loci:
  - locus: glow
    inheritance: codominant
    alleles: [Glow, Gleam]
    two_copies: {Glow: Super Glow, Gleam: dies}
    together: {gleam + Glow: Shine}
    also_called: {Shine: [Shiny]}
    sex_linked: {crossover: 1/15, source: our own records}
    subtle: [Gleam]
    hides: {Super Glow: [piebald]}
    background: {Glow: 1/200}
    kept_in_parthenogenesis: 1/3
    welfare: none known
    source: common practice, no source
""",
    )
    locus = species.loci["glow"]
    assert locus.inheritance is Inheritance.INCOMPLETE_DOMINANT
    assert locus.two_copies == {"Glow": "Super Glow"}
    assert (locus.dies, locus.subtle) == (frozenset({"Gleam"}), frozenset({"Gleam"}))
    assert locus.together == {frozenset({"Glow", "Gleam"}): "Shine"}
    assert locus.hides == {"Super Glow": ("piebald",)}
    assert locus.background == {"Glow": Fraction(1, 200)}
    assert locus.sex_linked is not None
    assert (locus.sex_linked.crossover, locus.kept_in_parthenogenesis) == (Fraction(1, 15), Fraction(1, 3))
    assert locus.look_names == ("Glow", "Gleam", "Super Glow", "Shine")
    assert not locus.built_in


def test_single_keys_of_a_built_in_locus_can_be_changed(tmp_path: Path) -> None:
    """A crossover of the breeder's own joins the built-in locus; everything else of it stays."""
    before = built_in("ball-python").loci["banana"]
    after = with_traits(
        tmp_path, "loci:\n  - {locus: banana, sex_linked: {crossover: 1/15, source: our own records}}\n"
    ).loci["banana"]
    assert before.sex_linked is not None
    assert before.sex_linked.crossover is None
    assert after.sex_linked is not None
    assert after.sex_linked.crossover == Fraction(1, 15)
    assert (after.alleles, after.two_copies, after.what) == (before.alleles, before.two_copies, before.what)


def test_a_locus_written_anew_keeps_its_welfare_note(tmp_path: Path) -> None:
    """Facts about harm do not vanish because somebody wrote a shorter record of the same alleles."""
    species = with_traits(tmp_path, "loci:\n  - {locus: spider, inheritance: dominant, alleles: [Spider]}\n")
    assert species.loci["spider"].inheritance is Inheritance.DOMINANT
    assert species.loci["spider"].welfare == built_in("ball-python").loci["spider"].welfare


OWN = "  - {locus: ashen, inheritance: recessive, alleles: [Ashen]}\n"


def test_a_look_that_hides_everything_hides_the_breeders_own_line_too(tmp_path: Path) -> None:
    """`everything` and `everything_but` are of all loci of the species as it stands with the breeder's files."""
    before = built_in("ball-python").loci["yellow-belly"].hides["Ivory"]
    assert with_traits(tmp_path, f"loci:\n{OWN}").loci["yellow-belly"].hides["Ivory"] == (*before, "ashen")
    veil = "  - {locus: veil, inheritance: recessive, alleles: [Veil], hides: {Veil: everything}}\n"
    species = with_traits(tmp_path / "veil", f"loci:\n{OWN}{veil}")
    assert set(species.loci["veil"].hides["Veil"]) == set(species.loci) - {"veil"}


def test_what_a_trait_file_says_is_added_to_the_built_in_lists(tmp_path: Path) -> None:
    """A locus keeps its alleles, names and masks, unless the file says `replace: yes`."""
    more = "locus: blue-eyed-leucistic, alleles: [Bamboo Blue], also_called: {Lesser: [Ours]}, hides: {Lesser: [hypo]}"
    before = built_in("ball-python").loci["blue-eyed-leucistic"]
    after = with_traits(tmp_path, f"loci:\n  - {{{more}}}\n").loci["blue-eyed-leucistic"]
    assert after.alleles == (*before.alleles, "Bamboo Blue")
    assert after.also_called["Lesser"] == (*before.also_called.get("Lesser", ()), "Ours")
    assert dict(after.hides) == {**before.hides, "Lesser": ("hypo",)}
    short = "locus: blue-eyed-leucistic, inheritance: incomplete dominant, alleles: [Lesser], replace: yes"
    replaced = with_traits(tmp_path / "own", f"loci:\n  - {{{short}}}\n").loci["blue-eyed-leucistic"]
    assert (replaced.alleles, dict(replaced.hides)) == (("Lesser",), {})


@pytest.mark.parametrize(
    ("what", "more", "code"),
    [
        ("alleles: [Banana], two_copies: {Banana: dies}", "inheritance: incomplete dominant", "unknown-allele"),
        ("inheritance: dominant", "alleles: [Banana]", "two-copies-misplaced"),
    ],
)
def test_what_does_not_fit_the_built_in_locus_is_told_at_the_breeders_own_line(
    tmp_path: Path, what: str, more: str, code: str
) -> None:
    """The built-in file, which is not theirs to mend, has `also_called: {Super Banana: [Super Coral Glow]}`."""
    own = "species: ball-python\nloci:\n  - {locus: banana, %s}\n"
    (found,) = read(tmp_path / "a", {"traits/own.yaml": own % what}).problems
    assert (found.code, found.file, found.line) == (code, "traits/own.yaml", 3)
    assert found.message.endswith("this stands in the built-in locus: `replace: yes` puts yours in its place")
    assert problems(tmp_path / "b", {"traits/own.yaml": own % f"{what}, {more}, replace: yes"}) == []


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ("inheritance: recessive, affects: a disorder", "Two copies mean a disorder."),
        ("inheritance: dominant, affects: a disorder", "It means a disorder."),
        ("inheritance: recessive, affects: a disorder, welfare: They shake.", "They shake."),
        ("inheritance: recessive", None),
    ],
)
def test_of_a_disorder_welfare_says_at_least_what_it_is(tmp_path: Path, more: str, told: str | None) -> None:
    species = with_traits(tmp_path, f"loci:\n  - {{locus: tremble, alleles: [Tremble], source: ours, {more}}}\n")
    assert species.loci["tremble"].welfare == told


def test_a_single_background_is_that_of_the_only_allele(tmp_path: Path) -> None:
    """`background: 1/200` needs no name where there is one allele."""
    species = with_traits(tmp_path, "loci:\n  - {locus: piebald, background: 1/200}\n")
    assert species.loci["piebald"].background == {"Piebald": Fraction(1, 200)}


def test_the_digest_follows_rules_and_not_words(tmp_path: Path) -> None:
    """A reworded sentence leaves the digest; a changed inheritance does not."""
    before = built_in("ball-python").digest
    reworded = with_traits(tmp_path, "loci:\n  - {locus: piebald, what: White patches.}\n").digest
    changed = with_traits(tmp_path, "loci:\n  - {locus: piebald, background: 1/200}\n").digest
    assert reworded == before
    assert changed != before


def test_a_new_species_can_be_described(tmp_path: Path) -> None:
    """A traits file with names and sex chromosomes is a species of its own."""
    files = {
        "collection.yaml": SETTINGS.replace("[ball-python, corn-snake]", "house-snake"),
        "traits/house.yaml": """
species: house-snake
name: House snake
scientific_name: Boaedon capensis
sex_determination: {system: zw, source: "common practice, no source"}
loci: [{locus: albino, inheritance: recessive, alleles: [Albino]}]
""",
        "animals/F-01.md": md("id: F-01\nshows: albino"),
    }
    species = good(tmp_path, files).species["house-snake"]
    assert (species.name, species.sex_system, list(species.loci)) == ("House snake", "ZW", ["albino"])


def test_lines_that_look_alike_share_an_other_name(tmp_path: Path) -> None:
    """A name in `also_called` of two loci is no mistake; one that is another locus's own name is."""
    alike = """loci:
  - {locus: a, inheritance: recessive, alleles: [Aa], also_called: {Aa: [Both]}}
  - {locus: b, inheritance: recessive, alleles: [Bb], also_called: {Bb: [Both]}}
"""
    assert {"a", "b"} <= set(with_traits(tmp_path, alike).loci)
    taken = alike.replace("Bb: [Both]", "Bb: [Aa]")
    assert problems(tmp_path, {"traits/own.yaml": f"species: ball-python\n{taken}"}) == [
        ("traits/own.yaml", 4, 74, "name-taken")
    ]


def test_a_combo_may_say_what_it_does(tmp_path: Path) -> None:
    """One that is called by its looks alone has no name of its own; two copies of a look do what one does."""
    own = """loci: [{locus: aa, inheritance: incomplete dominant, alleles: [Aa], two_copies: {Aa: Double Aa}}]
combos:
  Pastel Aa: {looks: [Pastel, Aa], harm: They fall over.}
  Wobble: {looks: [Aa, Enchi], harm: They fall too., source: A book 2020}
  Empty:
"""
    species = with_traits(tmp_path, own)
    assert species.combos["Wobble"] == ("Aa", "Enchi")
    assert not {"Pastel Aa", "Empty"} & set(species.combos)
    harm = [one for one in species.harm_together if "Aa" in one.looks]
    assert [(one.looks, one.text, one.source) for one in harm] == [
        (("Pastel", "Aa"), "They fall over.", None),
        (("Aa", "Enchi"), "They fall too.", "A book 2020"),
    ]
    assert species.harms_of(["Aa", "Super Pastel"]) == species.harms_of(["Double Aa", "Pastel", "Mojave"]) == (harm[0],)
    assert species.harms_of(["Aa"]) == ()


def test_two_files_of_one_species_are_laid_over_each_other(tmp_path: Path) -> None:
    """Loci and combos may be spread over files; the order of file names decides nothing but ties."""
    files = {
        "traits/a.yaml": "species: ball-python\nloci: [{locus: aa, inheritance: recessive, alleles: [Aa]}]\n",
        "traits/b.yaml": "species: ball-python\ncombos: {Double: [Aa, Pastel]}\n",
    }
    assert good(tmp_path, files).species["ball-python"].combos["Double"] == ("Aa", "Pastel")


def test_one_word_for_two_looks_of_a_locus_is_told(tmp_path: Path) -> None:
    """Of two loci it may stand: then it is the look that is ambiguous where it is used, and the breeder says which."""
    same = "{locus: moss, inheritance: recessive, alleles: [Moss, Fern], also_called: {Moss: [Zed], Fern: [Zed]}}"
    apart = (
        "{locus: moss, inheritance: recessive, alleles: [Moss], also_called: {Moss: [Zed]}}\n"
        "  - {locus: fern, inheritance: recessive, alleles: [Fern], also_called: {Fern: [Zed]}}"
    )
    assert [
        code for *_, code in problems(tmp_path / "a", {"traits/own.yaml": f"species: ball-python\nloci:\n  - {same}\n"})
    ] == ["name-taken"]
    assert problems(tmp_path / "b", {"traits/own.yaml": f"species: ball-python\nloci:\n  - {apart}\n"}) == []


def test_known_species_and_keys_are_listed_in_order(tmp_path: Path) -> None:
    """Where nothing is near what was written."""
    (species,) = read(tmp_path / "a", {"animals/F-01.md": md("id: F-01\nspecies: zzyzx")}).problems
    assert "; the known ones are 'ball-python', 'corn-snake' and 'western-hognose';" in species.message
    (slip,) = read(tmp_path / "c", {"pages/about.md": md('"   title   ": About')}).problems
    assert slip.message.endswith("the nearest is 'title'")
    (key,) = read(tmp_path / "b", {"animals/F-01.md": md("id: F-01\nqqqqqq: 1")}).problems
    listed = key.message.split(" takes ")[1].split(", ")
    assert listed == sorted(listed)


def test_a_page_that_cannot_be_read_is_one_problem_and_a_file_is_no_stray_folder(tmp_path: Path) -> None:
    """Nothing more is said of what it might hold; only a folder is taken for one of ours under another name."""
    assert [code for *_, code in problems(tmp_path / "a", {"pages/about.md": md("title: [")})] == ["not-yaml"]
    assert problems(tmp_path / "b", {"animal": "x", "clutche": "x"}) == []
    assert [code for *_, code in problems(tmp_path / "c", {"clutche/C-1.md": "x"})] == ["stray-file"]


@pytest.mark.parametrize(
    ("hides", "good"),
    [
        ("everything", True),
        ("[albino, clown]", True),
        ("{everything_but: [albino]}", True),
        ("{everything_but: [albino], more: [clown]}", False),
        ("{all_but: [albino]}", False),
        ("{}", False),
    ],
)
def test_what_a_look_hides_is_a_list_or_all_but_a_list(tmp_path: Path, hides: str, good: bool) -> None:
    veil = f"loci:\n  - {{locus: veil, inheritance: recessive, alleles: [Veil], hides: {{Veil: {hides}}}}}\n"
    found = problems(tmp_path, {"traits/own.yaml": f"species: ball-python\n{veil}"})
    assert [code for _, _, _, code in found] == ([] if good else ["wrong-shape"])


def test_the_digest_of_a_species_is_the_same_in_any_order_of_sets() -> None:
    """Which are dead, which are subtle and what they are together has no order; which allele stands first has one."""
    species = built_in("ball-python")
    names = species.loci["blue-eyed-leucistic"].alleles

    def digest(alleles: tuple[str, ...], order: int) -> str:
        pairs = {tuple(names[:2][::order]): "Both"}
        locus = replace(
            species.loci["blue-eyed-leucistic"],
            alleles=alleles,
            dies=names[::order],
            subtle=names[::order],
            together=pairs,
        )
        return catalogue._digest({"one": locus}, {}, "XY")

    assert digest(names, 1) == digest(names, -1) != digest(names[::-1], 1)


@pytest.mark.parametrize(
    ("held", "new", "both"),
    [
        (ALL_BUT("ab"), ALL_BUT("bc"), ALL_BUT("b")),
        (ALL_BUT("ab"), ("b", "c"), ALL_BUT("a")),
        (("b", "c"), ALL_BUT("ab"), ALL_BUT("a")),
        (("a", "B"), ("b", "c"), ("a", "B", "c")),
        ({"X": ("a",)}, {"X": ("b",), "Y": ("c",)}, {"X": ("a", "b"), "Y": ("c",)}),
        ("old", "new", "new"),
        (None, ("a",), ("a",)),
    ],
)
def test_what_a_later_file_says_joins_what_an_earlier_one_said(held: object, new: object, both: object) -> None:
    """Of all loci but some, those stay out that neither hides."""
    found = species_files._added(held, new)
    assert (type(found), found) == (type(both), both)


def test_a_locus_that_a_breeder_adds_to_is_the_breeders_to_mend(tmp_path: Path) -> None:
    """It knows the place in the breeder's file; the others are built in, and have none."""
    loci = with_traits(tmp_path, "loci:\n  - {locus: piebald, background: 1/200}\n").loci
    assert (loci["piebald"].built_in, loci["albino"].built_in, loci["albino"].place) == (False, True, None)
    place = loci["piebald"].place
    assert place is not None
    assert (place.file, place.line) == ("traits/own.yaml", 3)
