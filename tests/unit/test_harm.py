"""Traits that are harm are spoken of as a risk; loci that may be one say that odds cannot know."""

from __future__ import annotations

from fractions import Fraction
from math import comb
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.rooms import BARE, SETTINGS, good, problems
from tests.said.reading_aloud import lines_of_page

from clutchlight.cli import main
from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import Figure
from clutchlight.model import Inheritance, Locus
from clutchlight.planning.hatchlings import hatchlings_of
from clutchlight.planning.odds import PerhapsAlleles, odds
from clutchlight.planning.outcomes import harm_of_pair
from clutchlight.planning.who_needs_proving import proving
from clutchlight.queries import winter_of
from clutchlight.reading.catalogue import load
from clutchlight.statements import winter
from clutchlight.statements.answers import Answers
from clutchlight.statements.odds import in_words, perhaps_alleles_sentence
from clutchlight.wording import words

UNSTEADY = Locus("corn-snake", "unsteady", Inheritance.RECESSIVE, ("Unsteady",), affects="a disorder of balance")
PARENTS = """- {id: M-1, species: corn-snake, sex: male, shows: normal, claims: {Stargazer: 100%}, status: breeder}
- {id: F-1, species: corn-snake, sex: female, shows: normal, claims: {Stargazer: 100%, Amelanistic: 100%}, status: breeder}
"""
CLUTCH = "{id: C1, sire: M-1, dam: F-1, laid: 2026-05-01, eggs: 2, hatched: 2026-07-01, "


def figure(none: str, one: str, two: str) -> Figure:
    chances = ((pair, Fraction(chance)) for pair, chance in (((0, 0), none), ((0, 1), one), ((1, 1), two)))
    return Figure(tuple((pair, chance) for pair, chance in chances if chance))


@pytest.mark.parametrize(
    ("shares", "label", "count"),
    [
        (
            ("1/4", "1/2", "1/4"),
            "25% chance that it is affected by Unsteady, 50% that it carries it",
            "affected 1 in 4, carrying 1 in 2",
        ),
        (
            ("1/3", "1/3", "1/3"),
            "34% chance that it is affected by Unsteady, 34% that it carries it",
            "affected 1 in 3, carrying 1 in 3",
        ),
        (("1/3", "2/3", "0"), "67% chance that it carries Unsteady", "2 in 3"),
        (("999/1000", "1/1000", "0"), "1% chance that it carries Unsteady", "up to 1 in 100"),
        (("1/1000", "999/1000", "0"), "over 99% chance that it carries Unsteady", "up to 99 in 100"),
        (("0", "1", "0"), "carries Unsteady", "certain"),
        (("0", "0", "1"), "affected by Unsteady", "certain"),
    ],
)
def test_a_risk_is_rounded_up_and_never_called_visual(shares: tuple[str, str, str], label: str, count: str) -> None:
    found = figure(*shares)
    assert words.label_of(UNSTEADY, "Unsteady", found) == label
    assert words.harm_count(UNSTEADY, "Unsteady", found) == count


def test_a_risk_is_in_no_title_advert_or_filter_and_the_page_says_unchecked(tmp_path: Path) -> None:
    """Of young of two carriers nobody looked at for it; a chance however small is not folded away."""
    files = {
        "animals/all.yaml": PARENTS,
        "clutches/all.yaml": f"- {CLUTCH} young: [1 f normal; available, 2 f normal]}}\n",
        "collection.yaml": str(BARE.base["collection.yaml"]) + "thresholds: {mention_from: 80%}\n",
    }
    page = "\n".join(BARE.page(tmp_path, files, "animals/C1-1/index.html"))
    assert "25% chance that it is affected by Stargazer, 50% that it carries it" in page
    assert "It has not been checked by eye for Stargazer, a disorder of balance that lasts for life" in page
    advert = next(line for line in page.splitlines() if line.startswith("0.1 "))
    assert "Stargazer" not in advert
    feed = BARE.site(tmp_path, files)["open/availability.json"].decode()
    assert '"possible": []' in feed


@pytest.mark.parametrize("checked", ["checked: [Stargazer], ", ""])
def test_a_clutch_that_was_checked_is_evidence(tmp_path: Path, checked: str) -> None:
    """Normal young of two carriers: 2/3 carry it once they were checked; else 1/4 are affected."""
    files = {
        "animals/all.yaml": PARENTS,
        "clutches/all.yaml": f"- {CLUTCH} {checked}young: [1 f normal], tally: [1 x normal]}}\n",
    }
    inferred = infer(good(tmp_path, files))
    found = inferred.now("C1-1", "stargazer")
    assert isinstance(found, Figure)
    assert found.copies(1) == figure(*(("1/3", "2/3", "0") if checked else ("1/4", "1/2", "1/4"))).copies(1)
    assert ("Stargazer" in inferred.collection.clutches["C1"].tally[0].reading.without) is bool(checked)


def test_a_young_that_shows_it_was_checked_too(tmp_path: Path) -> None:
    files = {
        "animals/all.yaml": PARENTS,
        "clutches/all.yaml": f"- {CLUTCH} checked: [Stargazer], young: [1 f Stargazer, 2 f normal]}}\n",
    }
    found = good(tmp_path, files).animals["C1-1"].reading
    assert found is not None
    assert (found.shows, found.without) == (("Stargazer",), ())


def test_what_was_checked_for_must_be_known(tmp_path: Path) -> None:
    """Told once, where it stands, however many young there are."""
    files = {
        "animals/all.yaml": PARENTS,
        "clutches/all.yaml": f"- {CLUTCH} checked: [Stargaser], young: [1 f normal, 2 f normal]}}\n",
    }
    assert [found[3] for found in problems(tmp_path, files)] == ["unknown-look"]


def test_an_affected_animal_is_no_mate_to_prove_with(tmp_path: Path) -> None:
    """Nor is an affected one asked for; carriers are proposed."""
    more = "- {id: M-9, species: corn-snake, sex: male, shows: [Stargazer], status: breeder}\n"
    open_one = (
        "- {id: F-9, species: corn-snake, sex: female, shows: normal, claims: {Stargazer: 50%}, status: breeder}\n"
    )
    inferred = infer(good(tmp_path, {"animals/all.yaml": PARENTS + more + open_one}))
    (found,) = [one for one in proving(inferred) if one.animal == "F-9"]
    assert [mating.mate for mating in found.matings] == ["M-1"]
    assert found.by_a_visual is None


def test_harm_is_no_look_that_is_wanted(tmp_path: Path) -> None:
    """Of two carriers of Amelanistic and of Stargazer, the sums that are offered are of Amelanistic alone."""
    both = PARENTS.replace("{Stargazer: 100%}", "{Stargazer: 100%, Amelanistic: 100%}")
    collection = good(tmp_path, {"animals/all.yaml": both})
    found = odds(infer(collection), "M-1", "F-1")
    assert [wish.looks for wish in found.sums] == [("Amelanistic",)]


def test_how_often_a_clutch_has_an_affected_young_is_rounded_up(tmp_path: Path) -> None:
    """Of three young of two carriers none is affected in 27/64, all are in 1/64: 57.8 and 98.4 clutches of 100."""
    collection = good(tmp_path, {"animals/all.yaml": PARENTS})
    room = infer(collection)
    said = in_words(odds(room, "M-1", "F-1", 3), Answers(room))
    assert {look.look: look.eggs for look in said.looks} == {
        "Normal-looking": "of 3 eggs, expect 2 or 3; at least one: 98 in 100 clutches.",
        "Normal-looking, affected by Stargazer": "of 3 eggs, expect fewer than one; at least one: up to 58 in 100 clutches.",
    }
    others = "- {id: F-2, species: corn-snake, sex: female, shows: normal, status: breeder}\n"
    book = BARE.book(tmp_path / "two", {"animals/all.yaml": PARENTS + others})
    asked = winter_of(book, "M-1", ["F-1", "F-2"], 3, "Stargazer")
    (wish,) = winter.in_words(asked, (), book.telling_its_owner).wishes
    assert "at least one in up to 58 of 100 winters; expect fewer than one in all" in wish


@pytest.mark.parametrize(
    ("looks", "often"),
    [
        ("Champagne Spider", "up to 58 in 100"),
        ("Super Woma", "up to 58 in 100"),
        ("Champagne", "87 in 100"),
        ("Spider", "87 in 100"),
        ("Woma", "98 in 100"),
    ],
)
def test_how_often_a_look_comes_that_harms_only_with_another_is_rounded_up(
    tmp_path: Path, looks: str, often: str
) -> None:
    """Of three young one is of 1 in 4 with 37/64, of 1 in 2 with 7/8, of 3 in 4 with 63/64: 57.8, 87.5 and 98.4 of 100."""
    pair = "- {id: M-1, sex: male, shows: [Champagne, Woma]}\n- {id: F-1, sex: female, shows: [Spider, Woma]}\n"
    book = BARE.book(tmp_path, {"animals/all.yaml": pair})
    (wish,) = winter.in_words(winter_of(book, "M-1", ["F-1"], 3, looks), (), book.telling_its_owner).wishes
    assert f"at least one in {often.removesuffix(' in 100')} of 100 winters" in wish
    seen = {
        look.look: look.eggs for look in in_words(odds(book.inference, "M-1", "F-1", 3), book.telling_its_owner).looks
    }
    assert "at least one: up to 18 in 100 clutches" in seen["Champagne Spider"]
    assert "at least one: 33 in 100 clutches" in seen["Woma"]


TOGETHER = """- {id: P-1, species: ball-python, sex: male, shows: [Champagne], claims: {Piebald: 100%}}
- {id: P-2, species: ball-python, sex: female, shows: [Spider]}
- {id: P-3, species: ball-python, sex: male, shows: [Lesser, Banana], status: breeder}
- {id: P-4, species: ball-python, sex: female, shows: [Super Aa], status: breeder}
- {id: P-5, species: ball-python, sex: male, shows: [Aa, Banana], status: breeder}
- {id: P-6, species: ball-python, sex: male, shows: [Banana], sire: P-5}
"""
OWN_TOGETHER = """species: ball-python
loci:
  - {locus: aa, inheritance: incomplete dominant, alleles: [Aa], two_copies: {Aa: Super Aa}}
  - {locus: banana, sex_linked: {crossover: 1/10, source: ours}}
combos: {Wobble: {looks: [Aa, Banana], harm: They fall over.}}
"""


@pytest.mark.parametrize(
    ("sire", "dam", "share"),
    [("P-1", "P-2", "1/4"), ("P-3", "P-4", "1/2"), *((one, "P-4", "1/2") for one in ("P-5", "P-6"))],
)
def test_harm_of_looks_together_is_that_of_the_odds(tmp_path: Path, sire: str, dam: str, share: str) -> None:
    """Half and half of the eggs; and half of them, whichever sex, where all have the other look and one of the two goes with sex.

    Of P-5 half of the young have two copies of Aa, which counts as one; P-6 hands Banana on to his sons, but for one in ten.
    """
    collection = good(tmp_path, {"animals/all.yaml": TOGETHER, "traits/own.yaml": OWN_TOGETHER})
    inferred = infer(collection)
    harm = harm_of_pair(inferred, collection.animals[sire], collection.animals[dam])
    found = {one.text: one.per_egg for one in harm if len({*one.traits}) > 1}
    outcomes = odds(inferred, sire, dam).outcomes
    eggs = {text: sum(one.per_egg for one in outcomes if text in {harm.text for harm in one.harm}) for text in found}
    assert list(found.values()) == [Fraction(share)]
    assert eggs == found


OWN = """species: corn-snake
loci:
  - {locus: dune, inheritance: recessive, alleles: [Dune], may_be_alleles: [marsh]}
  - {locus: marsh, inheritance: recessive, alleles: [Marsh]}
"""
PAIR = """- {id: M-1, species: corn-snake, sex: male, shows: normal, claims: {Marsh: 100%}}
- {id: F-1, species: corn-snake, sex: female, shows: [Dune]}
"""


@pytest.mark.parametrize(
    ("clutch", "expected"),
    [
        ("", PerhapsAlleles(("dune", "marsh"), 0, 0, 0, Fraction(1))),
        ("young: [1 f normal, 2 f normal]", PerhapsAlleles(("dune", "marsh"), 1, 2, 0, Fraction(1, 4), ("M-1",))),
        ("set_aside: {Dune: to be looked at}, young: [1 f normal, 2 f Dune]", None),
    ],
)
def test_what_clutches_say_of_two_loci_that_may_be_one(
    tmp_path: Path, clutch: str, expected: PerhapsAlleles | None
) -> None:
    """Each normal young of one copy and two speaks against it by 1/2 (derived); looks that are set aside say nothing."""
    files = {"animals/all.yaml": PAIR, "traits/own.yaml": OWN}
    if clutch:
        files["clutches/all.yaml"] = f"- {CLUTCH} {clutch}}}\n"
    collection = good(tmp_path, files)
    found = odds(infer(collection), "M-1", "F-1").perhaps_alleles
    assert found == (expected or PerhapsAlleles(("dune", "marsh"), 0, 0, 0, Fraction(1)),)
    assert "is not known" in perhaps_alleles_sentence(found[0], collection.species["corn-snake"])


@pytest.mark.parametrize(("showing", "said"), [(1, "of which 1 shows either"), (2, "of which 2 show either")])
def test_young_that_show_either_of_two_loci_are_counted(tmp_path: Path, showing: int, said: str) -> None:
    collection = good(tmp_path, {"animals/all.yaml": PAIR, "traits/own.yaml": OWN})
    pair = PerhapsAlleles(("dune", "marsh"), 1, 4, showing, Fraction(0))
    assert said in perhaps_alleles_sentence(pair, collection.species["corn-snake"])


def test_on_whose_word_two_loci_are_two_is_told_without_an_id_that_is_not_listed(tmp_path: Path) -> None:
    species = good(tmp_path, {"animals/all.yaml": PAIR, "traits/own.yaml": OWN}).species["corn-snake"]
    pair = PerhapsAlleles(("dune", "marsh"), 1, 2, 0, Fraction(1, 4), ("M-1", "~1", "~2", "C25-01:dam"))
    said = "if what was said of M-1, an unlisted animal and the unnamed dam of C25-01 is true."
    assert perhaps_alleles_sentence(pair, species).endswith(said)


def test_loci_that_cannot_meet_are_not_spoken_of(tmp_path: Path) -> None:
    """Where one of the pair may carry both and the other nothing, there is no question."""
    one = PAIR.replace("claims: {Marsh: 100%}", "claims: {Amelanistic: 100%}")
    collection = good(tmp_path, {"animals/all.yaml": one, "traits/own.yaml": OWN})
    assert odds(infer(collection), "M-1", "F-1").perhaps_alleles == ()


@pytest.mark.parametrize("other", ["marhs", "dune", "high-white"])
def test_a_locus_that_it_may_be_one_with_is_another_with_figures(tmp_path: Path, other: str) -> None:
    own = (
        OWN.replace("[marsh]", f"[{other}]")
        + "  - {locus: high-white, inheritance: line-bred, alleles: [Very White]}\n"
    )
    assert [found[3] for found in problems(tmp_path, {"traits/own.yaml": own})] == ["unknown-locus"]


def test_a_snake_for_sale_says_what_its_young_would_suffer(tmp_path: Path) -> None:
    """By Mendel's rules, of two parents with one copy each; nothing of a breeder that is not for sale, nor of what does no harm."""
    files = {
        "animals/all.yaml": "- {id: F-1, sex: female, shows: [Champagne, Pastel], status: available}\n"
        "- {id: F-2, sex: female, shows: [Cinnamon], status: available}\n"
        "- {id: F-3, sex: female, shows: [Cinnamon], status: breeder}\n"
        "- {id: F-4, sex: female, shows: [Super Cinnamon], status: available}\n"
        "- {id: F-5, sex: female, shows: [Eight Ball], status: available}\n"
    }
    site = BARE.site(tmp_path, files)

    def said(animal: str) -> list[str]:
        lines = lines_of_page(site[f"animals/{animal}/index.html"].decode("utf-8"))
        return [line for line in lines if ", when bred." in line]

    (only,) = said("F-1")
    assert only == (
        "- Champagne, when bred. Where both parents have one copy of Champagne, expect two copies in 25 of 100 eggs. "
        "Breeders report that no young with two copies live."
    )
    assert [line.partition(", expect ")[0] for line in said("F-2")] == [
        "- Cinnamon, when bred. Where both parents have one copy of Cinnamon",
        "- Cinnamon, when bred. With a mate that has one copy of Black Pastel",
    ]
    assert said("F-3") == []
    assert any("has one copy of Black Pastel and none of Cinnamon, expect" in line for line in said("F-5"))
    traits = {
        key: lines_of_page(site[f"traits/ball-python/{key}/index.html"].decode("utf-8"))
        for key in ("champagne", "pastel")
    }
    assert "One copy shows. No young with two copies live." in traits["champagne"]
    assert (
        "An animal with one copy hands it on to about half of its young; one with two copies to all of them."
        in traits["pastel"]
    )
    assert said("F-4")[0].startswith(
        "- Cinnamon, when bred. It has two copies of Cinnamon: with a mate that has one, expect two copies in 50 of 100 eggs."
    )


CHAMPAGNES = """- {id: M-1, species: ball-python, sex: male, shows: [Champagne], claims: {Piebald: 2/3}, status: breeder}
- {id: F-1, species: ball-python, sex: female, shows: [Champagne, Piebald], status: breeder}
- {id: F-2, species: ball-python, sex: female, shows: [Piebald], status: breeder}
- {id: F-3, species: ball-python, sex: female, claims: {Champagne: 50%}, status: breeder}
"""


def test_eggs_that_die_of_a_double_dose_are_not_among_the_hatchlings(tmp_path: Path) -> None:
    """Of N eggs that would hatch each dies with 1/4: the binomial sum, directly; the odds, a test mating and a winter say the same."""
    book = BARE.book(tmp_path, {"animals/all.yaml": CHAMPAGNES})
    spread = hatchlings_of(book.collection.species["ball-python"])
    lives, dies = Fraction(3, 4), Fraction(1, 4)

    def none_is(share: Fraction) -> Fraction:
        """The chance that no hatchling is one of this share of those that hatch."""
        ways = (
            likely * comb(eggs, young) * lives**young * dies ** (eggs - young) * (1 - share) ** young
            for eggs, likely in spread.chances
            for young in range(eggs + 1)
        )
        return sum(ways, Fraction(0))

    found = odds(book.inference, "M-1", "F-1")
    normal = next(one for one in found.outcomes if one.looks == ())
    assert (normal.per_egg, found.hatchlings.mean) == (Fraction(2, 9), spread.mean * lives)
    proves = Fraction(2, 3) * (1 - none_is(Fraction(1, 2)))
    assert next(one.chance for one in found.proves if one.trait == "Piebald") == proves
    plan = next(one for one in proving(book.inference) if (one.animal, one.trait) == ("M-1", "Piebald"))
    assert {one.mate: one.proves for one in plan.matings} == {
        "F-1": proves,
        "F-2": Fraction(2, 3) * (1 - spread.every(Fraction(1, 2))),
    }
    (asked,) = (one for one in winter_of(book, "M-1", ["F-1"]).questions if one.trait == "Piebald")
    assert asked.if_all_lay is not None
    assert asked.if_all_lay.proves == proves
    assert odds(book.inference, "M-1", "F-1", 6).young == 6
    assert odds(book.inference, "M-1", "F-3").hatchlings.mean == spread.mean * (1 + lives) / 2
    both = winter_of(book, "M-1", ["F-1", "F-2"], want="Champagne")
    (wish,) = winter.in_words(both, (), book.telling_its_owner).wishes
    assert "(2 in 3 hatchlings of F-1; 1 in 2 hatchlings of F-2)" in wish


def test_of_a_usual_clutch_too_of_which_no_facts_are_known_double_doses_take_their_part(tmp_path: Path) -> None:
    """Of the seven assumed, each dies with 1/4; of seven that are asked about, none does."""
    species = (
        "species: kingsnake\nname: Kingsnake\nscientific_name: Lampropeltis\nsex_determination: {system: ZW, source: ours}\nloci:\n"
        "  - {locus: albino, inheritance: recessive, alleles: [Albino], source: ours}\n"
        "  - {locus: frost, inheritance: incomplete dominant, alleles: [Frost], two_copies: {Frost: dies}, source: ours}\n"
    )
    animals = """- {id: M-1, sex: male, shows: [Frost], claims: {Albino: 2/3}, status: breeder}
- {id: F-1, sex: female, shows: [Albino, Frost], status: breeder}
- {id: F-2, sex: female, shows: [Albino], status: breeder}
"""
    settings = SETTINGS.replace("[ball-python, corn-snake]", "kingsnake")
    book = BARE.book(
        tmp_path, {"collection.yaml": settings, "traits/kingsnake.yaml": species, "animals/all.yaml": animals}
    )
    found = odds(book.inference, "M-1", "F-1")
    assert (found.young, found.hatchlings.mean, found.hatchlings.most) == (None, Fraction(21, 4), 7)
    assert odds(book.inference, "M-1", "F-1", 7).young == odds(book.inference, "M-1", "F-2").young == 7
    none_is = sum(
        Fraction(comb(7, young)) * Fraction(3, 4) ** young * Fraction(1, 4) ** (7 - young) / 2**young
        for young in range(8)
    )
    plan = next(one for one in proving(book.inference) if (one.animal, one.trait) == ("M-1", "Albino"))
    assert {one.mate: (one.proves, one.young) for one in plan.matings} == {
        "F-1": (Fraction(2, 3) * (1 - none_is), "spread"),
        "F-2": (Fraction(2, 3) * (1 - Fraction(1, 2**7)), 7),
    }
    told = winter.in_words(winter_of(book, "M-1", ["F-1", "F-2"]), (), book.telling_its_owner)
    (reckoned,) = (line for line in told.notes if "reckon" in line)
    assert reckoned == (
        "From the clutch of F-1 we reckon with 5 or 6 hatchlings on average, from none to 7, not counting eggs that die of two copies;"
        " from the clutch of F-2 with 7 hatchlings (assumed: the species file gives no clutch size)."
    )


@pytest.mark.parametrize(
    ("looks", "may"),
    [("Lesser", True), ("Blue-eyed Leucistic", True), ("Mojave", False), ("Super Mojave", False), ("Ashen", False)],
)
def test_welfare_of_a_trait_is_told_where_the_look_can_have_it(looks: str, may: bool) -> None:
    """A Super Mojave has two copies of Mojave: no place is left for Lesser or Butter, of which harm is reported."""
    python = load("ball-python")
    assert python is not None
    locus = next(locus for locus in python.loci.values() if "Mojave" in locus.alleles)
    assert locus.may_trouble((looks, "Piebald")) is may


def test_a_winter_counts_the_affected_young_that_another_look_hides(tmp_path: Path) -> None:
    """Of eggs of two hets 1 in 4 is affected, those under Chalk among them."""
    loci = (
        '- {locus: tremble, inheritance: recessive, alleles: [Tremble], affects: a disorder, what: "A tremor.", source: ours}\n'
        '  - {locus: chalk, inheritance: recessive, alleles: [Chalk], hides: {Chalk: everything}, what: "White.", source: ours}\n'
    )
    words = "species: ball-python, shows: normal, claims: {Tremble: 100%, Chalk: 100%}, status: breeder"
    animals = "".join(
        f"- {{id: {one}-1, sex: {sex}, {words}}}\n" for one, sex in (("M", "male"), ("F", "female"), ("G", "female"))
    )
    files = {"traits/own.yaml": f"species: ball-python\nloci:\n  {loci}", "animals/all.yaml": animals}
    result = CliRunner().invoke(main, ["odds", "M-1", "F-1", "G-1", "--collection", str(BARE.write(tmp_path, files))])
    assert result.exit_code == 0, result.output
    assert "Harm in up to 25 in 100 eggs: Tremble." in " ".join(result.output.split())


def test_a_carrier_by_assumption_has_its_chance_without_it(tmp_path: Path) -> None:
    """Her young is tested to carry it, and its sire is not said to: 1 in 2 that she does, against 1 in 100 that he does unrecorded."""
    files = {
        "animals/a.yaml": """- {id: M-1, species: corn-snake, sex: male, shows: normal}
- {id: F-1, species: corn-snake, sex: female, shows: normal, claims: {Stargazer: 50%}}
- {id: C1-1, tests: [{trait: Stargazer, copies: 1, on: 2026-11-02}]}
""",
        "clutches/all.yaml": f"- {CLUTCH} young: [1 f normal, 2 f normal]}}\n",
    }
    page = BARE.page(tmp_path, files, "animals/F-1/index.html")
    assert "certain" not in page
    assert "about 99 in 100, taking 1 in 100 snakes to carry it unrecorded" in page


def test_harm_and_deaths_are_shares_of_the_same_eggs(tmp_path: Path) -> None:
    """One of each with one copy of the lethal one: of four eggs one dies and one has both; the two do not add up to more than half."""
    own = (
        "species: ball-python\nloci:\n"
        "  - {locus: moss, inheritance: incomplete dominant, alleles: [Moss, Fern], two_copies: {Fern: dies}, "
        "together_harm: {Moss + Fern: Many hatch with small eyes.}, source: our own}\n"
    )
    animals = "- {id: M-1, sex: male, hatched: 2021, shows: Fern}\n- {id: F-1, sex: female, hatched: 2021, shows: Moss Fern}\n"
    collection = good(tmp_path, {"traits/own.yaml": own, "animals/all.yaml": animals})
    found = harm_of_pair(infer(collection), collection.animals["M-1"], collection.animals["F-1"])
    assert [(one.traits, one.per_egg) for one in found] == [
        (("Fern", "Fern"), Fraction(1, 4)),
        (("Moss", "Fern"), Fraction(1, 4)),
    ]


def test_harm_of_looks_of_two_loci_is_a_share_of_all_eggs(tmp_path: Path) -> None:
    """Of two with one copy of the lethal one: half of the eggs have one, and half of those the other look."""
    own = (
        "species: ball-python\nloci:\n"
        "  - {locus: fern, inheritance: incomplete dominant, alleles: [Fern], two_copies: {Fern: dies}, source: our own}\n"
        "  - {locus: ash, inheritance: incomplete dominant, alleles: [Ash], source: our own}\n"
        "combos: {Wobble: {looks: [Fern, Ash], harm: They fall over.}}\n"
    )
    animals = "- {id: M-1, sex: male, hatched: 2021, shows: [Fern, Ash]}\n- {id: F-1, sex: female, hatched: 2021, shows: Fern}\n"
    collection = good(tmp_path, {"traits/own.yaml": own, "animals/all.yaml": animals})
    found = harm_of_pair(infer(collection), collection.animals["M-1"], collection.animals["F-1"])
    assert [one.per_egg for one in found] == [Fraction(1, 4), Fraction(1, 4)]
