"""What holds of every sentence of the gallery, read from what is recorded: nothing is built here."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from datetime import date, datetime
from functools import cache

import pytest
from tests.said.reading_aloud import OUTPUTS, Asked, collections

from clutchlight.reading.collection import read_collection

NUMBERS = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
NUMBER = rf"(?:{'|'.join(NUMBERS)}|\d+)"
SOME = rf"(?:none|{NUMBER})"
CLUTCH = r"[Cc]lutch ([A-Za-z0-9.-]*\d)"
WHOLE_CLUTCH = (
    re.compile(rf"{CLUTCH} hatched: ({NUMBER}) hatchlings?\b"),
    re.compile(rf"{CLUTCH}(?: of [^,;:\n]*)? had ({NUMBER}) hatchlings?\b"),
    re.compile(rf"{CLUTCH} proved it(?:, if [^:\n]*)?: \w+ of the ({NUMBER}) hatchlings?\b"),
)
"""Where a sentence says how many hatched in a clutch."""

SLIPS = {
    "a space before a stop": re.compile(r"\w [,.;:](?:\s|$)"),
    "an entity of HTML": re.compile(r"&(?:amp|lt|gt|quot|#\d+);"),
    "one, and a plural": re.compile(
        r"\b[Oo]ne (?:hatchlings|eggs|animals|clutches|males|females|figures|days|years|traits)\b"
    ),
    "both of two counted": re.compile(r"\b[Aa]ll two\b"),
    "a before a vowel": re.compile(r"\ba (?:egg|animal|unlisted|adult|inbred|earlier|older|unknown|open)\b"),
    "an before a consonant": re.compile(r"\ban (?:het|male|female|clutch|snake|hatchling)\b"),
    "empty brackets": re.compile(r"\(\s*\)"),
    "a figure that does not change": re.compile(r"\b(\d+%(?: possible het [A-Z][\w ]*)?) → \1(?!\d| possible)"),
    "certain, in a list of choices": re.compile(r"for certain or\b"),
    "a count that stands beside its percentage already": re.compile(
        r"^Of every 100 snakes like this one, about \d+ carr\w+ it"
    ),
    "a heading of a note without its trait": re.compile(
        r"(?i)^(?:- )?### (?:what (?:proved|would)|tried,|said once|one of two)"
    ),
    "both of two that are not known to": re.compile(r"\bnow both certain\b"),
    "an absence that raises a chance": re.compile(
        r"\bnone(?: of them)? [A-Z][\w ]*: (?:nothing said|\d.* before, certain|\d+/\d+ → 1$)"
    ),
    "the same said twice": re.compile(r"(?:^|: |[;.] )([A-Z][^;.]{15,})[;.] \1(?:[;.]|$)"),
    "two looks, and a figure of neither by name": re.compile(
        rf"^(?!.*(?:→| for [A-Z]))(?!statement).*, {SOME}(?: of them)? [A-Z][\w ]* and {SOME} [A-Z][\w ]*: "
        r"(?:\d|certain before|nothing said before)"
    ),
    "a heading in small letters": re.compile(r"^#{1,2} [a-z]"),
    "a look of two alleles that is said to show both": re.compile(
        r"\bshows? (?:Albino and Candy|Amelanistic and Ultra|Motley and Stripe)\b"
    ),
    "one proof in two clauses": re.compile(r" was proven by (.*?); its (?:\w+ )?sire .* was proven by \1\."),
    "an id that no record has": re.compile(r"\b[A-Z]+[\d-]+:(?:dam|sire)\b"),
    "a key of a record as a noun": re.compile(r"\b(?:Shows|Laid|Hatched) was "),
    "it, of two things": re.compile(r"\bwithout it (?:would bring it|nothing said of it)\b"),
    "a comma left out": re.compile(r"(?i)\bits (?:dam|sire), an unlisted (?:fe)?male (?:is|has|shows)\b"),
}
"""Faults of generated sentences, each by how it looks."""


@cache
def recorded(asked: Asked) -> Mapping[str, str]:
    return {name: (asked.folder / "said" / name).read_text(encoding="utf-8") for name in OUTPUTS}


def of_each(claim: Callable[[Asked], None]) -> Callable[[], None]:
    """A test of what holds of each collection; a collection of which it does not hold is named."""

    def test() -> None:
        for asked in collections():
            try:
                claim(asked)
            except AssertionError as broken:
                broken.add_note(f"in the collection {asked.name}")
                raise

    test.__doc__ = claim.__doc__
    return test


def public_pages(asked: Asked) -> Iterator[tuple[str, str]]:
    """Address and lines of each public page."""
    for page in recorded(asked)["public.txt"].split("======== ")[1:]:
        address, _, lines = page.partition("\n")
        yield address, lines


@of_each
def test_no_page_contradicts_its_statement(asked: Asked) -> None:
    """Every label of statement.json stands on the page beside it; what is found at an earlier address stands on the page of now."""
    for address, lines in public_pages(asked):
        if "\nThis page has a new address: " in lines:
            continue
        page = " ".join(line for line in lines.splitlines() if not line.startswith("statement.json")).lower()
        labels = re.findall(r"^statement\.json trait: (.*) \(\w+\)$", lines, re.MULTILINE)
        assert [label for label in labels if label.lower() not in page] == [], address


@of_each
def test_a_clutch_has_one_count_on_pages_feeds_and_in_why(asked: Asked) -> None:
    counts: dict[str, set[int]] = defaultdict(set)
    for text in recorded(asked).values():
        for pattern in WHOLE_CLUTCH:
            for clutch, number in pattern.findall(text):
                counts[clutch].add(NUMBERS.index(number) + 1 if number in NUMBERS else int(number))
    assert {clutch: sorted(found) for clutch, found in counts.items() if len(found) > 1} == {}


def families(asked: Asked) -> dict[str, frozenset[str]]:
    """For each animal and clutch those that it hangs together with, through parents, possible ones too."""
    read = read_collection(asked.folder).collection
    if read is None:
        return {}
    joined = {name: {name} for name in (*read.animals, *read.clutches)}
    ties = [
        (clutch.id, name)
        for clutch in read.clutches.values()
        for name in (clutch.dam, *clutch.sires.ids, *clutch.young)
    ]
    ties += [(one.id, name) for one in read.animals.values() for name in (one.sire, one.dam) if name]
    for one, other in ties:
        if joined[one] is not joined[other]:
            joined[one] |= joined[other]
            joined.update(dict.fromkeys(tuple(joined[one]), joined[one]))
    return {name: frozenset(found) for name, found in joined.items()}


@of_each
def test_an_explanation_names_only_its_own_family(asked: Asked) -> None:
    """`why` of an animal names no animal and no clutch that it does not hang together with, but for a male by the log."""
    family = families(asked)
    for section in recorded(asked)["terminal.txt"].split("$ clutchlight ")[1:]:
        command, _, told = section.partition("\n")
        if command.startswith("why "):
            about = command.split()[1]
            told = re.sub(r".*(?:\bthe log puts\b|: warning: ).*", "", told, flags=re.IGNORECASE)
            named = {word.strip(".,;:()") for word in told.split()} & set(family)
            assert about not in family or named <= family[about], about


@of_each
def test_generated_sentences_have_no_slips(asked: Asked) -> None:
    found = {
        name: [line for text in recorded(asked).values() for line in text.splitlines() if pattern.search(line)][:3]
        for name, pattern in SLIPS.items()
    }
    assert {name: lines for name, lines in found.items() if lines} == {}


PARTIAL = {
    "partial-dates": (
        "28 Feb",
        "31 Aug",
        "30 Sep",
        "31 Oct",
        "31 Dec",
        "14 May 2023",
        "20 Sep",
        "31 December",
        "31 October",
    )
}
"""Last days of what is recorded as a month, a year, some days or about a day: none of them is a day that anybody wrote."""


@pytest.mark.parametrize("name", PARTIAL)
def test_a_partial_date_is_never_printed_as_a_day(name: str) -> None:
    found = [
        line
        for asked in collections()
        if asked.name == name
        for text in recorded(asked).values()
        for line in text.splitlines()
        if any(re.search(rf"(?<!to ){re.escape(day)}(?! \w+ to)\b", line) for day in PARTIAL[name])
        and "written in it" not in line
    ]
    assert found == []


NOTES = re.compile(r"traits/|\bcannot_tell\b|\bfrom memory\b|\babstract (?:read|says)\b")
"""What is meant for whoever writes trait files."""


@of_each
def test_no_page_of_a_trait_has_a_note_to_those_who_write_trait_files(asked: Asked) -> None:
    pages = [(address, lines) for address, lines in public_pages(asked) if address.startswith("traits/")]
    assert [address for address, lines in pages if NOTES.search(lines)] == []


@of_each
def test_a_page_explains_a_word_once(asked: Asked) -> None:
    for address, lines in public_pages(asked):
        found = re.findall(
            r"\[((?:possible )?het(?: or visual)?|clutch|slug|sire and dam|proven(?: breeder)?|two copies|background): ",
            lines,
        )
        assert len(found) == len(set(found)), address


@of_each
def test_no_change_is_told_twice(asked: Asked) -> None:
    """Neither on the page of changes, where one event moves one figure once, nor as two entries of its feed."""
    for address, lines in public_pages(asked):
        if address == "changes/index.html":
            for event in re.split(r"^#+ ", lines, flags=re.MULTILINE):
                told = [line.split(" →, now ")[0] for line in event.splitlines() if " →, now " in line]
                assert len(told) == len(set(told))
        elif address == "changes/feed.xml":
            entries = re.findall(r"^entry title: (.*)\nentry updated: (.*)$", lines, re.MULTILINE)
            assert len(entries) == len(set(entries))


@of_each
def test_a_feed_tells_how_and_not_how_much_again(asked: Asked) -> None:
    """The title has the figures before and after; the text has what was recorded."""
    for address, lines in public_pages(asked):
        if address.endswith("feed.xml"):
            texts = re.findall(r"^entry content: (.*)$", lines, re.MULTILINE)
            assert [text for text in texts if re.search(r"\bbefore, .*\bnow\b", text)] == []


DAY = r"(\d{1,2} [A-Z][a-z]+ \d{4})"


def days(pattern: str, text: str) -> list[date]:
    return [datetime.strptime(found, "%d %B %Y").date() for found in re.findall(pattern, text, re.MULTILINE)]  # noqa: DTZ007 - a day


@of_each
def test_nothing_to_come_has_passed_and_no_page_is_newer_than_the_site(asked: Asked) -> None:
    """By the day of the newest public record, which the front page says."""
    public = recorded(asked)["public.txt"]
    for newest in days(rf"^Our newest public record is of {DAY}\.$", public):
        assert [day for day in days(rf"may hatch .*to {DAY}$", public) if day < newest] == []
        assert [day for day in days(rf"^On hold until {DAY}\b", public) if day < newest] == []
        assert [
            day for day in days(rf"^The newest record behind this page is of {DAY}\.$", public) if day > newest
        ] == []


@of_each
def test_what_is_not_computed_is_not_called_under_review(asked: Asked) -> None:
    for address, lines in public_pages(asked):
        _, _, review = lines.partition("### Under review\n")
        assert "not computed" not in review.partition("\n")[0], address


@of_each
def test_a_card_tells_of_an_unexpected_result_as_the_page_does(asked: Asked) -> None:
    pages = dict(public_pages(asked))
    cards = (lines.partition("\nstatement.json")[0] for address, lines in pages.items() if "card" in address)
    sheets = [sheet for lines in cards for sheet in lines.split("\n## ")[1:]]
    for address, lines in pages.items():
        if address.startswith("animals/") and "\nstatement.json note, surprise: " in lines:
            key = address.split("/")[1]
            of_it = [
                sheet
                for sheet in sheets
                if re.search(rf"^(?:.*, )?(?:no\. )?{re.escape(key)}, ", sheet.splitlines()[1])
            ]
            assert all("An unexpected result: " in sheet for sheet in of_it), address
