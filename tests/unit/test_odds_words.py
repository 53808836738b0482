"""Odds in natural counts and as JSON."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from msgspec.structs import replace
from tests.oracle.as_collection import as_collection
from tests.oracle.case import Animal, Case, Claim, Locus, Look, Reading
from tests.rooms import BARE
from tests.unit.pairings import inferred, parent, recessive

from clutchlight import shipped
from clutchlight.cli.season_list import as_json
from clutchlight.genetics.inference import infer
from clutchlight.model import Collection, SexLinkage
from clutchlight.model.animals import Role
from clutchlight.model.traits import SexSystem
from clutchlight.planning import outcomes
from clutchlight.planning.hatchlings import Hatchlings
from clutchlight.planning.odds import odds
from clutchlight.planning.outcomes import Harm, Outcome
from clutchlight.statements.answers import Answers
from clutchlight.statements.odds import (
    as_text,
    expected_eggs,
    harm_sentence,
    in_hundred,
    in_words,
    look_name,
    share_of_eggs,
    times_in_hundred,
)
from clutchlight.wording.words import UNEXPECTED

F = Fraction
DOUBLE = recessive("Piebald", "Clown")
SAID = {"Piebald": F(2, 3), "Clown": F(1)}

WHOLE = """\
M with D: a clutch of 8 hatchlings
  The parents are not related, as far as is recorded.

  Normal-looking: 2 in 3 eggs; of 8 eggs, expect 5 or 6; at least one: 99 in 100 clutches.
      May carry Piebald (1 in 2) and Clown (2 in 3).
      Of every 6 that look so, 2 carry both, 3 only one, 1 neither.
  Clown: 2 in 9 eggs; of 8 eggs, expect 1 or 2; at least one: 85 in 100 clutches.
      May carry Piebald (1 in 2).
  Piebald: 1 in 12 eggs; of 8 eggs, expect fewer than one; at least one: 36 in 100 clutches.
      May carry Clown (2 in 3).
  Piebald Clown: 1 in 36 eggs; of 8 eggs, expect fewer than one; at least one: 17 in 100 clutches.

At least these traits, whatever else it shows
  Clown: 1 in 4 eggs; of 8 eggs, expect about 2; at least one: 89 in 100 clutches.
  Piebald: 1 in 9 eggs; of 8 eggs, expect fewer than one; at least one: 39 in 100 clutches.

What it would prove
  M may carry Piebald (2 in 3); this clutch would prove it 39 times in 100. If none of 8 hatchlings
    shows Piebald, a chance of just over 44 in 100 is left.
  M is taken to carry Clown; this clutch would prove it 89 times in 100. 8 hatchlings without Clown
    would speak against that.
  D may carry Piebald (2 in 3); this clutch would prove it 39 times in 100. If none of 8 hatchlings
    shows Piebald, a chance of just over 44 in 100 is left.
  D is taken to carry Clown; this clutch would prove it 89 times in 100. 8 hatchlings without Clown
    would speak against that.

Please note
  We take M to carry Clown on the seller's word.
  We take D to carry Clown on the seller's word.
  The eggs of one clutch share their parents: what a parent does not carry, none of them has from
    it. The counts allow for that.
"""


@pytest.mark.parametrize(
    ("expected", "at_least", "text"),
    [
        (F(2), F(13, 20), "of 8 eggs, expect about 2; at least one: 65 in 100 clutches."),
        (F(3, 2), F(4, 5), "of 8 eggs, expect 1 or 2; at least one: 80 in 100 clutches."),
        (F(1, 3), F(1, 4), "of 8 eggs, expect fewer than one; at least one: 25 in 100 clutches."),
        (F(1, 1000), F(1, 1001), "of 8 eggs, expect fewer than one; at least one: under 1 in 100 clutches."),
        (F(8), F(1), "every egg."),
    ],
)
def test_eggs_are_counted_and_rounded_down(expected: Fraction, at_least: Fraction, text: str) -> None:
    """A count never promises more than the exact figure."""
    assert expected_eggs(expected, Hatchlings.exactly(8), at_least) == text
    assert expected_eggs(F(1), Hatchlings.exactly(1), F(1)) == "the one egg, for certain."


@pytest.mark.parametrize(
    ("chance", "clutches", "times"),
    [
        (F(999, 1000), "99 in 100", "99 times in 100"),
        (F(1, 100), "1 in 100", "1 time in 100"),
        (F(1), "always", "nearly every time"),
        (F(0), "never", "never"),
        (F(1, 200), "under 1 in 100", "less than 1 time in 100"),
    ],
)
def test_chances_of_clutches_are_rounded_down(chance: Fraction, clutches: str, times: str) -> None:
    """Nearly certain is not always; nearly nothing is not never."""
    assert (in_hundred(chance), times_in_hundred(chance)) == (clutches, times)


def test_harm_is_rounded_up() -> None:
    """A third is up to 34 in 100."""
    harm = Harm(("Spin", "Spin"), "unsteady", "A source", F(1, 3))
    assert harm_sentence(harm) == "Harm: two copies of Spin, in up to 34 in 100 of these. Unsteady. [A source]"


def test_a_look_bears_its_combo_and_its_sex() -> None:
    """Males and females are told apart where the odds are."""
    loci = recessive("Amelanistic", "Anerythristic")
    corn = next(iter(inferred(loci, parent("M", "male", {})).collection.species.values()))
    outcome = Outcome(("Amelanistic", "Anerythristic"), "male", F(1, 2), F(1), F(1), (), F(1), F(1), combos=("Snow",))
    assert look_name(outcome, corn) == "male, Amelanistic Anerythristic (Snow)"
    assert look_name(replace(outcome, looks=(), sex=None, combos=()), corn) == "normal-looking"


def test_the_whole_text_of_a_pairing() -> None:
    """What a breeder reads in the terminal."""
    room = inferred(DOUBLE, parent("M", "male", SAID), parent("D", "female", SAID))
    assert as_text(odds(room, "M", "D", 8), Answers(room)) == WHOLE


def test_the_young_of_kin_are_told_so() -> None:
    """Father and daughter: the relation first, the coefficient after it."""
    father = parent("M", "male", {"Piebald": F(1)})
    daughter = Animal("D", "female", (Reading(Look(())),), sire="M")
    collection = as_collection(Case(DOUBLE, (father, daughter)))
    room = infer(collection)
    said = in_words(odds(room, "M", "D", 2), Answers(room))
    assert said.kinship == "The parents are father and daughter. Inbreeding coefficient of their young 1/4."


def test_rarer_looks_are_counted_not_dropped() -> None:
    """What is not listed is told with its share."""
    room = inferred(DOUBLE, parent("M", "male", SAID), parent("D", "female", SAID))
    said = in_words(odds(room, "M", "D", 2), Answers(room), shown=1)
    assert said.rarer == "And 3 other looks, together 33 in 100 eggs"


def test_a_sex_linked_trait_without_a_figure_is_said_to_be_so() -> None:
    """No crossover: no odds by sex, and a note."""
    collection = as_collection(
        Case(
            (Locus("banana", "incomplete dominant", ("Banana",)),),
            (parent("M", "male", {}, ("Banana",)), parent("D", "female", {})),
        )
    )
    species = collection.species["snake"]
    linked = replace(species, loci={"banana": replace(species.loci["banana"], sex_linked=SexLinkage(None, "x"))})
    whole = Collection(collection.settings, {"snake": linked}, collection.animals, collection.clutches)
    room = infer(whole)
    found = odds(room, "M", "D", 4)
    assert not found.by_sex
    assert in_words(found, Answers(room)).notes == (
        "Banana is sex-linked and no crossover figure is known, so no odds are given by sex.",
    )


@pytest.mark.parametrize(("system", "told"), [("XY", True), ("ZW", False)])
def test_what_a_males_copy_came_from_says_nothing_where_he_hands_on_either_to_both_sexes(
    system: SexSystem, told: bool
) -> None:
    """A male of a ZW species has two chromosomes alike: the odds are the same whichever parent gave the copy."""
    loci = (Locus("banana", "incomplete dominant", ("Banana",), crossover=F(1, 15)),)
    male = Animal("M", "male", (Reading(Look(("Banana",))),), (Claim("Banana", came_from="sire"),))
    collection = as_collection(Case(loci, (male, parent("D", "female", {})), system=system))
    room = infer(collection)
    found = odds(room, "M", "D", 4)
    assert any("is the seller's word" in note for note in in_words(found, Answers(room)).notes) is told


@pytest.mark.parametrize("came_from", [None, "sire"])
def test_young_that_are_of_one_sex_together_are_told_so(came_from: Role | None) -> None:
    """A Banana male whose chromosome is not known: his Bananas are nearly all of one sex, and no parent may lack anything."""
    loci = (Locus("banana", "incomplete dominant", ("Banana",), crossover=F(1, 15)),)
    claims = (Claim("Banana", came_from=came_from),) if came_from else ()
    male = Animal("M", "male", (Reading(Look(("Banana",))),), claims)
    room = inferred(loci, male, parent("D", "female", {}))
    found = odds(room, "M", "D", 4)
    assert (found.unsure, found.phases) == (False, () if came_from else (("M", "banana"),))
    on = (
        "On which of its sex chromosomes M has Banana is not certain: those of its young that get it are all of one sex"
    )
    told = f"{on}, but for 1 in 15. The counts allow for that."
    assert [note for note in in_words(found, Answers(room)).notes if "chromosomes" in note] == (
        [] if came_from else [told]
    )


def test_a_certainty_that_nothing_forces_is_told_apart() -> None:
    """A het on a seller's word is not proven; the clutch may prove it."""
    room = inferred(
        recessive("Piebald"), parent("M", "male", {"Piebald": F(1)}), parent("D", "female", {}, ("Piebald",))
    )
    assert in_words(odds(room, "M", "D", 6), Answers(room)).proves == (
        (
            "M is taken to carry Piebald; this clutch would prove it 98 times in 100. "
            "6 hatchlings without Piebald would speak against that."
        ),
    )


def test_the_json_is_what_the_outputs_page_lists() -> None:
    """Keys, strings for fractions, most likely first; and it fits the schema that ships."""
    room = inferred(
        recessive("Piebald"), parent("M", "male", {"Piebald": F(1)}), parent("D", "female", {"Piebald": F(1, 2)})
    )
    document = as_json(odds(room, "M", "D", 2))
    assert document == {
        "sire": "M",
        "dam": "D",
        "young": 2,
        "inbreeding": "0",
        "outcomes": [
            {
                "looks": [],
                "sex": None,
                "per_egg": "7/8",
                "at_least_one": "31/32",
                "traits": [{"trait": "Piebald", "carries": "4/7"}],
            },
            {"looks": ["Piebald"], "sex": None, "per_egg": "1/8", "at_least_one": "7/32", "traits": []},
        ],
        "sums": [],
        "proves": [
            {"animal": "M", "trait": "Piebald", "chance": "7/32", "if_none": "1"},
            {"animal": "D", "trait": "Piebald", "chance": "7/32", "if_none": "9/25"},
        ],
    }
    schema().validate({**document, "set_apart": []})


def schema() -> Draft202012Validator:
    text = shipped.schema("odds")
    Draft202012Validator.check_schema(json.loads(text))
    return Draft202012Validator(json.loads(text))


@pytest.mark.parametrize("broken", [{"young": 0}, {"inbreeding": 0.5}, {"outcomes": [{"looks": []}]}, {"more": 1}])
def test_the_schema_refuses_what_is_no_odds(broken: dict[str, object]) -> None:
    """A schema that takes anything would check nothing."""
    room = inferred(recessive("Piebald"), parent("M", "male", {}), parent("D", "female", {}))
    document = as_json(odds(room, "M", "D", 2)) | {"set_apart": []} | broken
    assert not schema().is_valid(document)


def test_why_no_looks_are_listed_stands_among_the_notes(monkeypatch: pytest.MonkeyPatch) -> None:
    """What the clutch would prove is given all the same."""
    monkeypatch.setattr(outcomes, "LIMIT", 1)
    room = inferred(DOUBLE, parent("M", "male", SAID), parent("D", "female", SAID))
    said = in_words(odds(room, "M", "D", 2), Answers(room))
    assert (
        "The young of this pair can look in more than 16,384 ways, too many to list; what the clutch would prove is given all the same."
        in said.notes
    )
    assert said.proves


def test_who_must_carry_nothing_unrecorded_is_named_on_the_page_of_the_eggs(tmp_path: Path) -> None:
    """C24-01-1 is proven het: by F-01, of whom it was said, unless M-02 carries Piebald too."""
    files = {
        "animals/all.yaml": "- {id: F-01, sex: female, shows: normal, claims: {Piebald: 66%}}\n"
        "- {id: M-01, sex: male, shows: [Piebald]}\n- {id: M-02, sex: male, shows: normal}\n",
        "clutches/all.yaml": "- {id: C24-01, sire: M-02, dam: F-01, laid: 2024-05-01, eggs: 1, hatched: 2024-07-01, young: [1 f normal]}\n"
        "- {id: C26-01, sire: M-01, dam: C24-01-1, laid: 2026-05-01, eggs: 1, hatched: 2026-07-01, young: [1 Piebald]}\n"
        "- {id: C26-02, sire: M-01, dam: F-01, laid: 2026-10-01, eggs: 3}\n",
    }
    page = " ".join(BARE.page(tmp_path, files, "clutches/C26-02/index.html"))
    assert "We take F-01 to carry Piebald, if M-02 carries nothing unrecorded." in page


def test_odds_say_that_a_look_under_review_does_not_count_in_them(tmp_path: Path) -> None:
    """C24-01-1 looks like Spider, which is to be checked: what may harm her young is worked out without it."""
    files = {
        "animals/all.yaml": "- {id: F-01, sex: female, shows: normal}\n- {id: M-01, sex: male, shows: [Spider]}\n",
        "clutches/all.yaml": "- {id: C24-01, sire: M-01, dam: F-01, laid: 2024-05-01, eggs: 1, hatched: 2024-07-01"
        ", set_aside: {Spider: to be looked at again}, young: [1 f Spider]}\n",
    }
    book = BARE.book(tmp_path, files)
    said = in_words(odds(book.inference, "M-01", "C24-01-1"), book.telling_its_owner)
    assert (
        "Spider of C24-01-1 is under review: its look there does not count here, nor in what may harm young."
        in said.notes
    )


def test_the_share_of_eggs_with_harm_is_rounded_up() -> None:
    shares = (F(1, 1000), F(203, 1000), F(3, 16))
    assert [share_of_eggs(share, harm=True) for share in shares] == [
        "up to 1 in 100 eggs",
        "up to 21 in 100 eggs",
        "3 in 16 eggs",
    ]


def test_of_harm_that_a_look_hides_no_second_copies_are_told_beside_it(tmp_path: Path) -> None:
    """All young of the two carry it, and half of them have it; of two hidden looks together no more have both than have the rarer."""
    loci = (
        "{locus: tremble, inheritance: recessive, alleles: [Tremble], affects: a disorder of balance, what: x, source: ours}",
        "{locus: frosty, inheritance: incomplete dominant, alleles: [Frosty], two_copies: {Frosty: Super Frosty}, what: x, source: ours}",
        "{locus: misty, inheritance: dominant, alleles: [Misty], what: x, source: ours}",
        "{locus: chalk, inheritance: recessive, alleles: [Chalk], hides: {Chalk: everything}, what: x, source: ours}",
    )
    files = {
        "traits/own.yaml": f"species: ball-python\nloci: [{', '.join(loci)}]\n"
        "combos: {Snowfield: {looks: [Frosty, Misty], harm: They see badly.}}\n",
        "animals/all.yaml": "- {id: M-1, sex: male, shows: [Tremble, Super Frosty], claims: {Chalk: 100%}}\n"
        "- {id: F-1, sex: female, shows: [Misty], claims: {Chalk: 100%, Tremble: 100%}}\n",
    }
    book = BARE.book(tmp_path, files)
    said = in_words(odds(book.inference, "M-1", "F-1"), book.telling_its_owner)
    chalk = next(one for one in said.looks if one.look == "Chalk")
    assert "Risk: up to 50 in 100 of these are affected by Tremble; up to 50 carry it." in chalk.carries
    assert not any("Two copies of Tremble" in text for text in chalk.carries)
    assert chalk.harm == ("Harm: Frosty with Misty, in up to 50 in 100 of these. They see badly.",)


def test_a_look_that_hides_harm_names_it_with_its_chance(tmp_path: Path) -> None:
    """By hand: of young of two hets a quarter are affected and half carry it; two of three living young of two Frosty have one copy."""
    source = "what: x, source: our line"
    loci = (
        f"{{locus: tremble, inheritance: recessive, alleles: [Tremble], affects: a disorder of balance, {source}}}",
        f"{{locus: frosty, inheritance: incomplete dominant, alleles: [Frosty], two_copies: {{Frosty: dies}}, {source}}}",
        f"{{locus: chalk, inheritance: recessive, alleles: [Chalk], hides: {{Chalk: everything}}, {source}}}",
    )
    combos = "combos: {Snowfield: {looks: [Chalk, Frosty], harm: They see badly., source: our line}}"
    parent = "{id: %s, sex: %s, hatched: 2020, shows: [%s], claims: {Chalk: 100%%, Tremble: 100%%}}"
    files = {
        "traits/own.yaml": "species: ball-python\nloci: [" + ", ".join(loci) + f"]\n{combos}\n",
        "animals/all.yaml": f"[{parent % ('F-1', 'female', 'Frosty')}, {parent % ('M-1', 'male', 'Frosty')}]\n",
        "clutches/c.yaml": "- {id: C26-1, sire: M-1, dam: F-1, eggs: 1, hatched: 2026-07-01, young: [1 f Chalk]}\n",
    }
    book = BARE.book(tmp_path, files)
    said = in_words(odds(book.inference, "M-1", "F-1"), book.telling_its_owner)
    chalk = next(one for one in said.looks if one.look == "Chalk")
    assert "Risk: up to 25 in 100 of these are affected by Tremble; up to 50 carry it." in chalk.carries
    assert "Harm: Chalk with Frosty, in up to 67 in 100 of these. They see badly. [our line]" in chalk.harm
    page = BARE.page(tmp_path, {}, "animals/C26-1-1/index.html")
    assert any("They see badly." in line for line in page)


PAIR = "- {id: F-1, sex: female, shows: normal}\n- {id: M-1, sex: male, shows: normal}\n"


@pytest.mark.parametrize(
    ("animals", "clutch", "pair", "note"),
    [
        (
            PAIR,
            "sire: M-1, dam: F-1, eggs: 2, hatched: 2024-07-01, young: [1 m Piebald, 2 m normal]",
            ("C24-01-2", "F-1"),
            f"That C24-01-2 may carry Piebald rests on {UNEXPECTED}.",
        ),
        (
            PAIR.replace("female, shows: normal", "female, shows: normal, claims: {Piebald: 100%}")
            + "- {id: M-2, sex: male, shows: normal, claims: {Piebald: 10%}}\n",
            "sire: {one_of: {M-1: 99%, M-2: 1%}}, dam: F-1, eggs: 1, hatched: 2024-07-01, young: [1 m Piebald]",
            ("M-2", "F-1"),
            "The chance that M-2 carries Piebald is reckoned by taking 1 in 100 snakes to carry it unrecorded.",
        ),
    ],
)
def test_what_a_parent_s_figure_hangs_on_stands_among_the_notes(
    tmp_path: Path, animals: str, clutch: str, pair: tuple[str, str], note: str
) -> None:
    """An unexpected result, or the share of snakes that carry the trait unrecorded."""
    files = {"animals/all.yaml": animals, "clutches/all.yaml": f"- {{id: C24-01, laid: 2024-05-01, {clutch}}}\n"}
    book = BARE.book(tmp_path, files)
    assert note in in_words(odds(book.inference, *pair), book.telling_its_owner).notes
