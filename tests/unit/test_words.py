"""The words of figures: every row of the label table, rounding that never claims more, plurals, the trade's counts."""

from __future__ import annotations

from fractions import Fraction
from functools import partial

import pytest
from hypothesis import given, strategies as st
from tests.unit.statement_fakes import ALBINO, DIMMING, PASTEL, PIEBALD, PINSTRIPE, VISUAL, figure, het

from clutchlight.genetics.values import Figure, Grounds
from clutchlight.model import Locus, Sex
from clutchlight.wording import words
from clutchlight.wording.text import Name, Text

CHANCES = st.fractions(min_value=0, max_value=1, max_denominator=10**6)


@given(CHANCES)
def test_a_percentage_never_claims_more_than_the_figure(chance: Fraction) -> None:
    """Rounded down, and by less than one."""
    assert 0 <= chance * 100 - words.percent(chance) < 1


@given(CHANCES)
def test_a_chance_of_harm_never_claims_less_than_the_figure(chance: Fraction) -> None:
    """Rounded up, and by less than one."""
    assert 0 <= words.harm_percent(chance) - chance * 100 < 1


@given(CHANCES)
def test_a_count_never_claims_more_than_the_figure(chance: Fraction) -> None:
    """Beside a percentage the count is the figure itself, or rounded down."""
    said = words.in_count(chance)
    if " in " in said:
        top, bottom = (int(part) for part in said.removeprefix("about ").removeprefix("under ").split(" in "))
        if said.startswith("under"):
            assert chance < Fraction(top, bottom)
        else:
            assert 0 <= chance - Fraction(top, bottom) < Fraction(1, 100)
            assert said.startswith("about") == (chance.denominator > 20)


@given(CHANCES)
def test_the_count_in_a_note_is_true_as_it_is_worded(chance: Fraction) -> None:
    """ "just under" lies above the figure, "just over" below it, a bare count is exact."""
    said = words.note_count(chance)
    if " in " in said:
        top, bottom = (int(part) for part in said.split(" ", 2)[2].split(" in ")) if said.startswith("just") else (0, 1)
        if said.startswith("just under"):
            assert 0 < Fraction(top, bottom) - chance <= Fraction(1, 200)
        elif said.startswith("just over"):
            assert 0 < chance - Fraction(top, bottom) < Fraction(1, 200)
        elif said.startswith("under"):
            assert 0 < chance < Fraction(1, 100)
        elif said.startswith("over"):
            assert Fraction(99, 100) < chance < 1
        else:
            assert Fraction(said.replace(" in ", "/")) == chance


@pytest.mark.parametrize(
    ("chance", "expected"),
    [
        ("2/3", "2 in 3"),
        ("1/17", "1 in 17"),
        ("1/20", "1 in 20"),
        ("27/58", "about 46 in 100"),
        ("1/101", "under 1 in 100"),
    ],
)
def test_the_fraction_stands_beside_a_percentage_up_to_a_denominator_of_twenty(chance: str, expected: str) -> None:
    """Source: figures#percentages-and-counts."""
    assert words.in_count(Fraction(chance)) == expected


@pytest.mark.parametrize(
    ("chance", "expected"),
    [
        ("2/3", "2 in 3"),
        ("1/17", "just under 6 in 100"),
        ("1/65", "just under 2 in 100"),
        ("1/20", "5 in 100"),
        ("1/100", "1 in 100"),
        ("99/100", "99 in 100"),
        ("999/1000", "over 99 in 100"),
    ],
)
def test_notes_compare_in_hundreds(chance: str, expected: str) -> None:
    """1/17 after five normal young from a visual mate: "just under 6 in 100" (figures#percentages-and-counts)."""
    assert words.note_count(Fraction(chance)) == expected


@pytest.mark.parametrize(
    ("chance", "expected"),
    [
        (Fraction(1, 32), "1 time in 32"),
        (Fraction(1, 2048), "1 time in 2,048"),
        (Fraction(3, 4), "3 times in 4"),
        (Fraction(27, 64), "about 42 times in 100"),
        (Fraction(3**20, 4**20), "under 1 time in 100"),
        (Fraction(3**15, 4**15), "about 1 time in 100"),
        (Fraction(1), "every time"),
    ],
)
def test_how_often_something_happens(chance: Fraction, expected: str) -> None:
    """In times, singular and plural right."""
    assert words.times(chance) == expected


@pytest.mark.parametrize(
    ("chance", "expected"),
    [
        ("2/3", "Of every 3 snakes like this one, 2 carry it."),
        ("1/2", "Of every 2 snakes like this one, 1 carries it."),
        ("27/59", "Of every 100 snakes like this one, about 45 carry it."),
        ("1/20", "Of every 20 snakes like this one, 1 carries it."),
        ("1/100", "Of every 100 snakes like this one, about 1 carries it."),
        ("1/65", "Of every 100 snakes like this one, about 1 carries it."),
        ("1/1000", "Fewer than 1 in 100 snakes like this one carries it."),
        ("1", ""),
        ("0", ""),
    ],
)
def test_a_chance_is_told_as_snakes(chance: str, expected: str) -> None:
    """Natural counts, singular and plural right."""
    assert words.carry_sentence(Fraction(chance)) == expected


TABLE: list[tuple[str, Locus, str, Figure, bool, Grounds | None, tuple[str, ...], str]] = [
    ("shows it", PIEBALD, "Piebald", VISUAL, True, Grounds("look"), (), "Piebald"),
    ("shows one copy", PASTEL, "Pastel", het("1"), True, Grounds("look"), (), "Pastel"),
    ("shows two copies by another name", PASTEL, "Pastel", VISUAL, True, Grounds("look"), (), "Super Pastel"),
    ("shows two copies, same look", PINSTRIPE, "Pinstripe", VISUAL, True, Grounds("look"), (), "Pinstripe, two copies"),
    (
        "one or two copies open",
        PINSTRIPE,
        "Pinstripe",
        figure(((0, 1), "2/3"), ((1, 1), "1/3")),
        True,
        Grounds("look"),
        (),
        "Pinstripe, 33% chance of two copies",
    ),
    (
        "shows a compound",
        ALBINO,
        "Candy",
        figure(((1, 2), "1")),
        True,
        Grounds("look"),
        (),
        "Candino (Albino and Candy)",
    ),
    ("certain, not shown", PIEBALD, "Piebald", het("1"), False, Grounds("proven", "C25-01"), (), "het Piebald"),
    ("certain by parentage", PIEBALD, "Piebald", het("1"), False, Grounds("parentage"), (), "het Piebald"),
    ("grounds claim", PIEBALD, "Piebald", het("1"), False, Grounds("claim"), (), "het Piebald, on the seller's word"),
    (
        "grounds assumption",
        PIEBALD,
        "Piebald",
        het("1"),
        False,
        Grounds("assumption"),
        ("F-01",),
        "het Piebald, if F-01 carries nothing unrecorded",
    ),
    (
        "grounds assumption, two founders",
        PIEBALD,
        "Piebald",
        het("1"),
        False,
        Grounds("assumption"),
        ("F-01", "M-01"),
        "het Piebald, if F-01 and M-01 carry nothing unrecorded",
    ),
    ("between, recessive", PIEBALD, "Piebald", het("2/3"), False, Grounds("chance"), (), "66% possible het Piebald"),
    ("between, look untold", PASTEL, "Pastel", het("2/3"), False, Grounds("chance"), (), "66% possible Pastel"),
    (
        "between, recessive never looked at",
        PIEBALD,
        "Piebald",
        figure(((0, 0), "1/4"), ((0, 1), "1/2"), ((1, 1), "1/4")),
        False,
        Grounds("chance"),
        (),
        "75% possible het or visual Piebald",
    ),
    (
        "certain, look untold, copies open",
        DIMMING,
        "Dimming",
        figure(((0, 1), "3/4"), ((1, 1), "1/4")),
        False,
        Grounds("parentage"),
        (),
        "carries Dimming, 25% chance of two copies",
    ),
    (
        "certain, look untold, one copy",
        DIMMING,
        "Dimming",
        het("1"),
        False,
        Grounds("parentage"),
        (),
        "carries Dimming",
    ),
    (
        "one of an allelic pair for certain",
        ALBINO,
        "Albino",
        figure(((0, 1), "1/2"), ((0, 2), "1/2")),
        False,
        Grounds("chance"),
        (),
        "het Albino or Candy (one of the two)",
    ),
    ("under 1 %", PIEBALD, "Piebald", het("1/129"), False, Grounds("chance"), (), "under 1% possible het Piebald"),
    ("exactly 1 %", PIEBALD, "Piebald", het("1/100"), False, Grounds("chance"), (), "1% possible het Piebald"),
    ("nearly certain", PIEBALD, "Piebald", het("999/1000"), False, Grounds("chance"), (), "99% possible het Piebald"),
    ("0", PIEBALD, "Piebald", het("0"), False, None, (), ""),
]


@pytest.mark.parametrize(("case", "locus", "trait", "chances", "shows", "grounds", "unrecorded", "expected"), TABLE)
def test_every_row_of_the_label_table(
    case: str,
    locus: Locus,
    trait: str,
    chances: Figure,
    shows: bool,
    grounds: Grounds | None,
    unrecorded: tuple[str, ...],
    expected: str,
) -> None:
    """Source: the table of figures#labels, and the cases between its rows."""
    assert words.label_of(locus, trait, chances, shows=shows, grounds=grounds, unrecorded=unrecorded) == expected, case


def test_one_of_a_pair_is_not_said_when_neither_is_possible_too() -> None:
    """With a chance of carrying neither, each trait has its own chance."""
    chances = figure(((0, 0), "1/2"), ((0, 1), "1/4"), ((0, 2), "1/4"))
    assert words.label_of(ALBINO, "Albino", chances) == "25% possible het Albino"


@pytest.mark.parametrize(
    ("every", "none", "of", "expected"),
    [
        ("4/9", "1/9", 2, "of every 9 snakes, 4 carry both, 4 only one, 1 neither"),
        ("8/27", "1/27", 3, "of every 100 snakes, about 29 carry all, about 66 some, the rest none"),
        ("0", "0", 2, "all snakes carry exactly one of the two"),
        ("0", "0", 3, "all snakes carry at least one, and none of them all three"),
        ("1/200", "99/200", 2, "of every 100 snakes, fewer than 1 carries both, 50 only one, the rest neither"),
        ("0", "1/2", 2, "of every 2 snakes, 1 carries one of the two, 1 neither"),
    ],
)
def test_the_split_of_several_possible_traits(every: str, none: str, of: int, expected: str) -> None:
    """Both, one, neither for two; all, some, none for more; what cannot be is not mentioned."""
    assert words.split_words(Fraction(every), Fraction(none), of, "snakes") == expected


@pytest.mark.parametrize(
    ("traits", "expected"),
    [
        ([], ""),
        (["Clown"], "het Clown"),
        (["Clown", "Piebald"], "double het Clown Piebald"),
        (["Albino", "Clown", "Piebald"], "triple het Albino Clown Piebald"),
    ],
)
def test_certain_hets_in_the_trades_words(traits: list[str], expected: str) -> None:
    """Common practice, no source."""
    assert words.het_group(traits) == expected


@pytest.mark.parametrize(("sex", "expected"), [("male", "1.0"), ("female", "0.1"), ("unknown", "0.0.1")])
def test_sex_counts_of_the_trade(sex: Sex, expected: str) -> None:
    """Males.females.unsexed: common practice, no source."""
    assert words.sex_count(sex) == expected


def test_counts_agree_with_their_nouns() -> None:
    """One hatchling, two hatchlings; one clutch, two clutches; one copy, no copies."""
    assert [words.counted(count, "hatchling") for count in (0, 1, 5, 13)] == [
        "no hatchlings",
        "one hatchling",
        "five hatchlings",
        "13 hatchlings",
    ]
    assert [words.plural(count, "clutch", "clutches") for count in (1, 2)] == ["1 clutch", "2 clutches"]
    assert words.counted(1, "copy", "copies") == "one copy"


def test_lists_are_joined_as_they_are_spoken() -> None:
    """Commas, then one word."""
    assert [words.join_and(list("abc")[:count]) for count in range(4)] == ["", "a", "a and b", "a, b and c"]
    assert [words.first_few("abcdefg"[:count]) for count in (5, 6)] == ["a, b, c, d and e", "a, b, c, d and 2 more"]
    assert words.join_or(["Albino", "Candy"]) == "Albino or Candy"


@pytest.mark.parametrize(
    ("said", "as_clause"),
    [
        ("its look", "Its look"),
        ("its look.", "Its look"),
        ("and so on...", "And so on"),
        ("m-02 shows it.", "m-02 shows it"),
        ("twice-told, by one", "Twice-told, by one"),
        ("said, and done", "Said, and done"),
        ("20 eggs", "20 eggs"),
        ("", ""),
        ("...", ""),
        (Text(Name("pip"), " shows it."), "pip shows it"),
        (Text("of ", Name("J."), "."), "Of J."),
        (Text("of ", Name("J.")), "Of J."),
        (Text("of it", ".", "."), "Of it"),
    ],
)
def test_a_clause_begins_with_a_capital_and_has_no_full_stop(said: str, as_clause: str) -> None:
    """A name keeps its letters and its own full stop."""
    assert words.clause(said) == as_clause


def test_a_sentence_leaves_ids_alone() -> None:
    """Only a word is given a capital."""
    assert words.sentence("five hatchlings.") == "Five hatchlings."
    assert words.sentence("m-02 shows it") == "m-02 shows it."


@pytest.mark.parametrize(
    ("traits", "said"),
    [
        (("Stargazer",), "Stargazer"),
        (("Spider", "Spider"), "two copies of Spider"),
        (("Spider", "Lesser"), "Spider with Lesser"),
        (("Spider", "Lesser", "Champagne"), "Spider with Lesser and Champagne"),
    ],
)
def test_what_does_harm_is_named_as_it_comes_together(traits: tuple[str, ...], said: str) -> None:
    """One trait twice is a double dose of it; by itself it is the look."""
    assert words.harmful_together(traits) == said


def test_harm_that_is_nearly_certain_is_not_printed_as_certain() -> None:
    """ "over 99%" mirrors "under 1%"."""
    assert [words.harm_percent_text(Fraction(chance)) for chance in ("1/3", "999/1000", "1")] == [
        "34%",
        "over 99%",
        "100%",
    ]


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        ("1/20", "1 in 20"),
        ("3/20", "3 in 20"),
        ("1/21", "up to 5 in 100"),
        ("99/100", "up to 99 in 100"),
        ("200/201", "up to 99 in 100"),
    ],
)
def test_harm_is_counted_exactly_up_to_twenty(chance: str, said: str) -> None:
    """Beyond, it is rounded up, and never to a hundred."""
    assert words._harm_in_count(Fraction(chance)) == said


def test_a_title_says_that_a_look_has_two_copies_only_where_it_does_not_tell() -> None:
    """A dominant look is the same with one copy as with two; a super look says it by its name."""
    two = partial(words.second_copy, PINSTRIPE, "Pinstripe")
    assert two(Fraction(1), condition="") == "two copies of Pinstripe"
    assert two(Fraction(1), condition="on the seller's word") == "two copies of Pinstripe (on the seller's word)"
    assert two(Fraction(1, 3), condition="") == "33% chance of two copies of Pinstripe"
    assert two(Fraction(0), condition="") == words.second_copy(PASTEL, "Pastel", Fraction(1), condition="") == ""


def test_the_article_goes_by_how_a_number_is_said() -> None:
    said = [words.an(f"{number}% possible carrier") for number in (8, 11, 18, 80, 10, 66, 100)]
    assert [text.split()[0] for text in said] == ["an", "an", "an", "an", "a", "a", "a"]
