"""Animals described in words: what they show, what is said to be hidden, mistakes at their column; nothing is kept."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.rooms import FAMILY

from clutchlight.cli import main
from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import Figure
from clutchlight.model import Animal
from clutchlight.planning.odds import odds
from clutchlight.problems import RecordsError
from clutchlight.queries import with_descriptions
from clutchlight.reading.catalogue import load
from clutchlight.reading.described import described, is_description, quoted, with_described

F = Fraction


def said(text: str) -> Animal:
    python = load("ball-python")
    assert python is not None
    return described(text, python)


def refused(text: str) -> list[tuple[int, str]]:
    """The column and the code of every mistake in a description."""
    with pytest.raises(RecordsError) as caught:
        said(text)
    return [(problem.column, problem.code) for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("text", "whether"),
    [
        ("male, Piebald", True),
        ("0.1, het Clown", True),
        ("M , normal", True),
        ("unknown,", True),
        ("male", False),
        ("F-09", False),
        ("Moss, the old one", False),
        ("Piebald, male", False),
    ],
)
def test_words_describe_an_animal_when_they_begin_with_a_sex_and_go_on(text: str, whether: bool) -> None:
    assert is_description(text) == whether


def test_one_of_two_alleles_is_half_of_each() -> None:
    """In the words of our own pages; of two loci that would leave both or neither."""
    animal = said("male, Fire, het Clown or Cryptic (one of the two)")
    assert [(claim.trait, claim.chance) for claim in animal.claims] == [("Clown", F(1, 2)), ("Cryptic", F(1, 2))]
    assert refused("male, het Clown or Piebald (one of the two)") == [(11, "unknown-trait")]
    assert refused("male, 50% het Clown or Cryptic (one of the two)") == [(15, "unknown-trait")]


def test_a_description_says_sex_looks_and_what_is_hidden() -> None:
    animal = said("male, Piebald, 66% het Clown")
    assert (animal.sex, animal.species, animal.status, animal.publish) == ("male", "ball-python", "elsewhere", "no")
    assert animal.reading is not None
    assert animal.reading.shows == ("Piebald",)
    assert [(claim.locus, claim.trait, claim.chance) for claim in animal.claims] == [("clown", "Clown", F(2, 3))]
    assert animal.id == quoted("male, Piebald, 66% het Clown") == '"male, Piebald, 66% het Clown"'
    assert animal.founder


@pytest.mark.parametrize(
    ("text", "shows", "hidden"),
    [
        ("female, normal", (), {}),
        ("female, het Clown", (), {"Clown": F(1)}),
        ("f, Pastel Piebald", ("Pastel", "Piebald"), {}),
        ("0.1, Pastel, Piebald", ("Pastel", "Piebald"), {}),
        ("1.0, 2/3 het Clown", (), {"Clown": F(2, 3)}),
        ("m, 66 % pos. het Clown", (), {"Clown": F(2, 3)}),
        ("m, 66%  het  Clown", (), {"Clown": F(2, 3)}),
        ("m, 1/2   het Clown", (), {"Clown": F(1, 2)}),
        ("male, 50% possible het Piebald", (), {"Piebald": F(1, 2)}),
        ("male, Blue-eyed Leucistic, 75% possible Pastel", ("Blue-eyed Leucistic",), {"Pastel": F(3, 4)}),
        ("male, het Clown and Piebald", (), {"Clown": F(1), "Piebald": F(1)}),
        ("male, 50% het Clown & Piebald,,", (), {"Clown": F(1, 2), "Piebald": F(1, 2)}),
        ("MALE, pied, HET clown", ("Piebald",), {"Clown": F(1)}),
        ("male, Blue-eyed Leucistic, 50% het Mojave", ("Blue-eyed Leucistic",), {"Mojave": F(1, 2)}),
    ],
)
def test_words_of_a_price_list_are_understood(text: str, shows: tuple[str, ...], hidden: dict[str, Fraction]) -> None:
    animal = said(text)
    assert animal.reading is not None
    assert animal.reading.shows is not None
    assert sorted(animal.reading.shows) == sorted(shows)
    assert {claim.trait: claim.chance for claim in animal.claims} == hidden


@pytest.mark.parametrize(
    ("text", "mistakes"),
    [
        ("male, Unicorn", [(7, "unknown-look")]),
        ("male, Piebald, het Unicorn", [(20, "unknown-trait")]),
        ("male, possible het Clown", [(7, "bad-chance")]),
        ("male, possible Clown", [(7, "unknown-look")]),
        ("male, 120% het Clown", [(7, "bad-chance")]),
        ("male, 0% het Clown", [(14, "claim-of-zero")]),
        ("male, Piebald, het Piebald", [(20, "claim-on-shown")]),
        ("male, Piebald, het Clown, 50% het Clown", [(35, "claim-twice")]),
        (
            "male, Unicorn, 120% het Clown, het Griffin",
            [(7, "unknown-look"), (16, "bad-chance"), (36, "unknown-trait")],
        ),
    ],
)
def test_every_mistake_is_told_at_its_column(text: str, mistakes: list[tuple[int, str]]) -> None:
    """All of them at once, in order."""
    assert refused(text) == mistakes


def test_a_described_mate_is_related_to_nobody_and_counts_as_it_is_described(tmp_path: Path) -> None:
    """A Piebald mate that is 2/3 het Clown, for F-01, who is het Piebald by C26-01: half of the young show it."""
    book = FAMILY.book(tmp_path, {})
    mate = "male, Piebald, 66% het Clown"
    asked, (male, female) = with_descriptions(book, [mate, "F-01"])
    found = odds(asked.inference, male, female)
    assert (found.sire, found.dam, found.inbreeding) == (quoted(mate), "F-01", F(0))
    assert {outcome.looks: outcome.per_egg for outcome in found.outcomes} == {("Piebald",): F(1, 2), (): F(1, 2)}
    (clown,) = {one.carries for outcome in found.outcomes for one in outcome.unseen if one.trait == "Clown"}
    assert clown == F(1, 3)
    assert quoted(mate) not in book.collection.animals


def test_a_described_mate_changes_no_figure_of_the_room(tmp_path: Path) -> None:
    collection = FAMILY.collection(tmp_path, {})
    python = collection.species["ball-python"]
    more = with_described(collection, ["male, Piebald, het Clown", "female, 50% het Piebald"], python)
    assert set(more.animals) - set(collection.animals) == {'"male, Piebald, het Clown"', '"female, 50% het Piebald"'}
    alone, beside = infer(collection), infer(more)
    for name in collection.animals:
        for locus in alone.loci_in_play("ball-python"):
            if collection.animals[name].species == "ball-python":
                figure = alone.now(name, locus.key)
                assert isinstance(figure, Figure)
                assert beside.now(name, locus.key) == figure


def test_two_described_animals_are_of_the_first_species_of_the_collection(tmp_path: Path) -> None:
    book, names = with_descriptions(FAMILY.book(tmp_path, {}), ["male, Piebald", "female, het Piebald"])
    assert {book.collection.animals[name].species for name in names} == {"ball-python"}
    book, names = with_descriptions(FAMILY.book(tmp_path, {}), ["female, Amelanistic", "M-21"])
    assert book.collection.animals[names[0]].species == "corn-snake"


def test_the_command_writes_nothing_down_and_tells_mistakes_without_a_traceback(tmp_path: Path) -> None:
    FAMILY.write(tmp_path, {})
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    shown = CliRunner().invoke(main, ["odds", "male, Piebald", "F-01", "--collection", str(tmp_path)])
    assert shown.exit_code == 0
    assert "nothing of it is written down" in " ".join(shown.stdout.split())
    wrong = CliRunner().invoke(main, ["odds", "male, Unicorn", "F-01", "--collection", str(tmp_path)])
    assert wrong.exit_code == 2
    assert wrong.stderr.startswith("what you typed: error: ")
    assert "Unicorn" in wrong.stderr
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("male, Super Pastel, Pastel", "impossible-look"),
        ("male, Clown, normal", "normal-and-more"),
        ("male, Blue-eyed Leucistic, Piebald", "hidden-look"),
        ("male, 33% het Piebald, 66% het Piebald", "claim-twice"),
        ("male, het Albino, 50% het Candy", "claims-over-one"),
        ("male, het Bamboo", "no-figures"),
    ],
)
def test_what_the_record_of_an_animal_may_not_say_a_description_may_not(text: str, code: str) -> None:
    assert [found for _, found in refused(text)] == [code]


@pytest.mark.parametrize("text", ["male, Albino, het Candy", "male, Fire, het Vanilla", "male, het Pastel"])
def test_a_description_that_cannot_be_true_is_refused_in_one_line(tmp_path: Path, text: str) -> None:
    folder = FAMILY.write(tmp_path, {})
    result = CliRunner().invoke(main, ["odds", text, "F-01", "--collection", str(folder)])
    assert result.exit_code == 2
    assert "[records-conflict]" in result.output
    assert "Traceback" not in result.output
