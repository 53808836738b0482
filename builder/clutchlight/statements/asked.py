"""One trait of one animal as a question, what the clutches that it bred showed of it, and what a certainty or a sire in doubt rests on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from fractions import Fraction
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.values import NORMAL_FIGURE, Event, Figure, Grounds, GroundsKind, NotComputed, OtherSire
from clutchlight.model import (
    NOBODY,
    Animal,
    Claim,
    Clutch,
    Genotype,
    Inheritance,
    LabTest,
    Locus,
    Nobody,
    Reading,
    Recorded,
    Sire,
    Stated,
)
from clutchlight.model.animals import genotypes_left
from clutchlight.model.ledger import DatedRecord
from clutchlight.model.traits import reached
from clutchlight.statements.answers import Answers, History, looked
from clutchlight.wording import words
from clutchlight.wording.text import NO_WORDS, Text

After = Event | Literal["first", "now"]
"""A point of time: after an event, before all of them, or after the last."""

HALF = Fraction(1, 2)
THREE_QUARTERS = Fraction(3, 4)
WITHOUT_A_MALE = "taken as certain because it has no sire"
"""The condition of two copies of which a young without a male may have kept one."""


class Asked(Struct, frozen=True):
    """One trait of one animal, and what the inference answers of it."""

    answers: Answers
    animal: Animal
    locus: Locus
    allele: int

    @property
    def trait(self) -> str:
        return self.locus.alleles[self.allele - 1]

    @property
    def about(self) -> tuple[str, str, str]:
        return self.animal.id, self.locus.key, self.trait

    @property
    def recessive(self) -> bool:
        return self.locus.inheritance is Inheritance.RECESSIVE

    @property
    def het(self) -> bool:
        return self.locus.called_het

    @property
    def plain(self) -> bool:
        """Whether the chances of a het's young are those of a recessive trait on an ordinary chromosome."""
        return self.recessive and self.locus.sex_linked is None

    def of(self, animal: str) -> Asked:
        """The same trait of another animal on record."""
        return Asked(self.answers, self.answers.collection.animals[animal], self.locus, self.allele)

    @property
    def figure(self) -> Figure | NotComputed:
        return self.answers.now(self.animal.id, self.locus.key)

    @property
    def carries(self) -> Fraction | None:
        figure = self.figure
        return figure.carries(self.allele) if isinstance(figure, Figure) else None

    @property
    def one_copy(self) -> Fraction | None:
        """The chance that it has exactly one."""
        figure = self.figure
        return figure.copies(self.allele)[1] if isinstance(figure, Figure) else None

    @property
    def history(self) -> History:
        return self.answers.history(self.animal.id, self.locus.key)

    @property
    def under_review(self) -> bool:
        """Whether its own look does not count here until it has been checked."""
        return self.locus.key in self.answers.collection.set_aside(self.animal)

    @property
    def seen_without(self) -> bool:
        """Whether its look tells that it does not show the trait."""
        if self.under_review:
            return False
        left = genotypes_left(looked(self.animal), self.locus, self.answers.species_of(self.animal))
        return shown_by(left, self.locus, self.allele) is False

    @property
    def moved(self) -> bool:
        """Whether anything that was recorded later changed its first figure."""
        return len({figure for _, figure in self.history}) > 1

    @property
    def grounds(self) -> Grounds:
        return self.answers.grounds(self.animal.id, self.locus.key, self.allele)

    @property
    def certain_by(self) -> Grounds:
        """The grounds of what its label calls certain: that it carries the trait, or one of several."""
        one_of = self.answers.inferred.one_of_several(self.animal.id, self.locus.key) if self.one_of_several else None
        return Grounds(one_of) if one_of else self.grounds

    @property
    def proof(self) -> Event | None:
        """The event that proved what its label calls certain."""
        if self.certain_by.kind not in ("proven", "test"):
            return None
        return self.answers.inferred.proven_at(self.animal.id, self.locus.key, self.allele)

    @property
    def one_of_several(self) -> bool:
        """Whether it carries exactly one of this trait and others for certain, and nothing says which."""
        return isinstance(self.figure, Figure) and self.trait in words.one_of_these(self.locus, self.figure)

    @property
    def on_trust(self) -> bool:
        """Whether it is certain only by a claim, or by founders that carry nothing unrecorded."""
        return self.grounds.on_trust

    @property
    def shows(self) -> bool:
        return self.answers.shows(self.animal.id, self.locus.key, self.allele)

    def showed(self, figure: Figure, day: date) -> bool:
        """Whether it had been seen by a day to show the trait, by the figure that stood then."""
        looks = self.answers.looks_in(looked(self.animal, day), self.animal, self.locus)
        return bool(looks) and all(self.locus.shows_allele(pair, self.allele) for pair, _ in figure.genotypes)

    def shown_in(self, figure: Figure) -> bool:
        """Whether it shows the trait, and every genotype of the figure would."""
        return self.shows and all(self.locus.shows_allele(pair, self.allele) for pair, _ in figure.genotypes)

    @property
    def ruled_out(self) -> bool:
        return self.answers.rules_out(self.animal.id, self.locus.key, self.allele)

    @property
    def ruled_out_at(self) -> Event | None:
        """The event since which it is ruled out; None where it is not, or where it never had a chance nor a test of its own."""
        answers, about = self.answers, (*self.about[:2], self.allele)
        if self.carries != 0 or not (self.tests or answers.ever(*about)) or not self.ruled_out:
            return None
        return answers.once(("ruled out at", *about), lambda: answers.inferred.ruled_out_at(*about))

    def ruled_out_by(self, event: Event | None) -> bool:
        """Whether it is ruled out by what stands today of what was on record after an event; never before there was one."""
        return (
            event is not None
            and self.ruled_out
            and self.answers.inferred.ruled_out(*self.about[:2], self.allele, event)
        )

    @property
    def background_only(self) -> bool:
        return self.answers.inferred.background_only(self.animal.id, self.locus.key, self.allele)

    def taking(self, moment: Literal["now", "hatched"] | date) -> str:
        """The condition of a figure that founders in question move, here or, by a sire in doubt, at another locus."""
        share = self.unrecorded_share(moment)
        locus, _ = self.in_question
        taking = words.taking_unrecorded(share, locus, self.locus) if share else ""
        return f"{taking}, which bears on who its sire is" if taking and locus != self.locus else taking

    @property
    def in_question(self) -> tuple[Locus, tuple[str, ...]]:
        """The founders that may carry something unrecorded, and at which locus: at this one, else at another."""
        for locus in (self.locus, *self.answers.loci(self.animal.species)):
            if found := self.answers.inferred.unrecorded_founders(self.animal.id, locus.key):
                return locus, found
        return self.locus, ()

    def unrecorded_share(self, moment: Literal["now", "hatched"] | date) -> Fraction | None:
        """The share of snakes taken to carry it unrecorded, where that moves the figure of a moment."""
        return self.answers.inferred.unrecorded(self.animal.id, self.locus.key, self.allele, moment)

    @property
    def beside_assumption(self) -> tuple[Fraction, Fraction] | None:
        """Its chance, where it is certain by an assumption, once founders may carry it unrecorded, and the share of those that do."""
        return self.answers.inferred.beside_assumption(self.animal.id, self.locus.key, self.allele)

    @property
    def unrecorded(self) -> tuple[Text, ...]:
        """Who, in words, must carry nothing unrecorded for it to be certain."""
        return self.unrecorded_after("now")

    def unrecorded_after(self, event: After) -> tuple[Text, ...]:
        """The same of what was certain after an event."""
        found = self.answers.all_named(taken_for_free(self, event))
        by_its_look = self.animal.founder and bool(self.answers.looks_at(self.animal, self.locus))
        return found or ((Text("it"),) if by_its_look else ())

    @property
    def claims(self) -> tuple[Claim, ...]:
        """What was said of it and has not been withdrawn."""
        return tuple(claim for claim in self._every_claim if not claim.withdrawn)

    @property
    def _every_claim(self) -> Iterator[Claim]:
        about = self.locus.key, self.trait
        return (claim for claim in self.animal.claims if (claim.locus, claim.trait) == about)

    def claimed_after(self, event: After) -> bool:
        """Whether something was said of it that had not been withdrawn after an event."""
        if event == "now":
            return bool(self.claims)
        gone = [claim.withdrawn and claim.withdrawn.last for claim in self._every_claim]
        return any(not day or event == "first" or event < Event(day, 3, self.animal.id, "withdrawn") for day in gone)

    def carried_after(self, event: After) -> Fraction | None:
        """Its chance after an event; None where it had no figure."""
        if event == "now":
            return self.answers.carries(self.animal.id, self.locus.key, self.allele)
        rows = (
            figure for when, figure in reversed(self.history) if when is None or (event != "first" and when <= event)
        )
        return next((figure.carries(self.allele) for figure in rows), None)

    @property
    def tests(self) -> tuple[LabTest, ...]:
        """Its tests for the trait, in order of date."""
        found = (test for test in self.animal.tests if (test.locus, test.trait) == (self.locus.key, self.trait))
        return tuple(sorted(found, key=lambda test: test.on))

    @property
    def doubt(self) -> Doubt | None:
        """Why what was said of it is doubted; None where it is not."""
        answers, key = self.answers, ("doubt", self.animal.id, self.locus.key, self.allele)
        return answers.once(key, lambda: _doubt(self))

    @property
    def claim_in_doubt(self) -> bool:
        """Whether what was said of it with certainty is doubted."""
        sure = any(claim.of_certainty for claim in self.claims)
        return sure and self.answers.inferred.claim_in_doubt(self.animal.id, self.locus.key)

    @property
    def doubted_founders(self) -> tuple[str, ...]:
        """The founders on whose claims its figure rests and whose claim is doubted."""
        return tuple(name for name in self.rests_on if self.of(name).claim_in_doubt)

    @property
    def rests_on(self) -> tuple[str, ...]:
        """The founders whose claims took part: its own and those of its parents' figures, and any other's once a later record moved it."""
        return self.answers.once(("rests on", self.animal.id, self.locus.key), self._rests_on)

    def _rests_on(self) -> tuple[str, ...]:
        found = self.answers.inferred.rests_on(self.animal.id, self.locus.key)
        if self.moved or not found:
            return found
        parents = {name for parent in self.answers.parents(self.animal.id) for name in self.of(parent).rests_on}
        return tuple(name for name in found if name == self.animal.id or name in parents)

    def reads(self, event: Event) -> bool:
        """Whether the event is a reading of its own look."""
        return (event.kind, event.subject) == ("look", self.animal.id)

    @property
    def two_copies_said(self) -> Claim | None:
        """The word that it has two copies, where that still stands."""
        return next((claim for claim in self.claims if claim.two_copies), None)

    @property
    def two_copies_if(self) -> str:
        """On what its second copy hangs, where the look does not tell it: "on the seller's word"; "" where that is forced, or open."""
        figure = self.figure
        if not isinstance(figure, Figure) or figure.copies(self.allele)[2] != 1:
            return ""
        return self.second_copy_on(self.answers.inferred.two_copies_by(self.animal.id, self.locus.key, self.allele))

    def second_copy_on(self, by: GroundsKind, event: After = "now") -> str:
        """The condition of a second copy by its grounds, after an event."""
        if by == "assumption" and [sire for sire, _ in self.answers.sires_of(self.animal)] == [NOBODY]:
            return WITHOUT_A_MALE
        return words.how_certain(by, self.unrecorded_after(event) if by == "assumption" else ())

    @property
    def trust(self) -> Fraction:
        """The chance with which a claim of certainty counts once it is doubted."""
        return self.locus.claim_trust or self.answers.collection.settings.claim_trust

    def unexpected(self, on: date = date.max) -> str:
        """The condition of a figure of a day that hangs on an unexpected result; "" where it does not."""
        since = self.answers.unexpected.get((self.animal.id, self.locus.key))
        return words.BY_IT if since is not None and since <= on else ""

    @property
    def hangs_on(self) -> tuple[str, ...]:
        """The conditions of its figure now that no record states: an unexpected result, and how many snakes carry it unrecorded."""
        taking = "" if self.carries in (0, 1) else self.taking("now")
        return tuple(filter(None, (self.unexpected(), taking)))

    @property
    def label_now(self) -> words.Label:
        """Its figure now in words, with all that it hangs on."""
        figure = self.figure
        if not isinstance(figure, Figure):
            return words.NO_LABEL
        return self.label(figure, self.certain_by if self.carries else None, self.unexpected())

    def label_after(self, figure: Figure, event: Event | None, day: date, unexpected: str) -> words.Label:
        """What a figure of it was in words after an event (None: at first), by what was on record then; looks by a day."""
        certain_by, (about, allele) = self.answers.inferred.certain_by, (self.about[:2], self.allele)
        if self.showed(figure, day):
            label = words.label_of(self.locus, self.trait, figure, shows=True)
            two = figure.copies(allele)[2] == 1
            condition = (
                self.second_copy_on(certain_by(*about, allele, event, two=True), event or "first") if two else ""
            )
            return label.only_on("two copies").on_condition(condition) if condition else label
        kind: GroundsKind | None = None
        if self.trait in words.one_of_these(self.locus, figure):
            kind = certain_by(*about, None, event)
        elif figure.carries(allele) == 1:
            kind = certain_by(*about, allele, event)
        return self.label(figure, Grounds(kind) if kind else None, unexpected, event or "first")

    def label(
        self,
        figure: Figure,
        grounds: Grounds | None = None,
        unexpected: str = "",
        event: After = "now",
    ) -> words.Label:
        """What a figure of it is in words; `grounds` add how a certainty was come by, `unexpected` that it hangs on such a result.

        `event`: the one after which it was said, of what it did not show then.
        """
        unrecorded = self.unrecorded_after(event) if grounds and grounds.kind == "assumption" else ()
        shows = event == "now" and self.shown_in(figure)
        label = words.label_of(self.locus, self.trait, figure, shows=shows, grounds=grounds, unrecorded=unrecorded)
        if label.lead == words.HET and (self.lines_not_known or self._never_described):
            label = words.Label("", words.CARRIES, label.name, label.condition)
        if grounds is not None and grounds.kind == "claim" and self.who_excluded_others:
            label = label.only_on("by its probable sire")
        if shows:
            condition = self.two_copies_if if figure.copies(self.allele)[2] == 1 else ""
            if not condition and grounds and grounds.on_trust:  # of a look of several pairs: which of them it has
                return label.on_condition(words.how_certain(grounds.kind, unrecorded))
            return label.only_on("two copies").on_condition(condition) if condition else label
        label = label.on_condition(self.if_of_another_gene(figure))
        label = label if grounds is None else label.on_condition(self.no_other_male())
        return label.on_condition(unexpected if label else "")

    def if_of_another_gene(self, figure: Figure | NotComputed) -> str:
        """The condition of a chance beside a trait that may be of the same gene: "if Marsh is of another gene than Dune"."""
        if self.shows or not isinstance(figure, Figure) or figure.carries(self.allele) in (0, 1):
            return ""
        answers, loci = self.answers, self.answers.species_of(self.animal).loci
        others = [
            trait
            for key in self.locus.may_be_alleles
            for allele, trait in enumerate(loci[key].alleles, 1)
            if answers.carries(self.animal.id, key, allele)
        ]
        if not others or self.trait in words.one_of_these(self.locus, figure):
            return ""
        return f"if {self.trait} is of another gene than {words.join_or(others)}"

    @property
    def who_excluded_others(self) -> tuple[str, ...]:
        """Those of whom something was said that leaves it one sire, where no word of the trait itself took part."""
        clutch = self.animal.clutch
        if clutch is None or self.rests_on:
            return ()
        return self.answers.inferred.sires_left_by_claims(clutch, self.animal.id)

    @property
    def _never_described(self) -> bool:
        """Whether nobody recorded how it looks, nor anything else of the trait, so that it may show it."""
        return self.animal.founder and looked(self.animal) is None and not (self.claims or self.tests)

    @property
    def lines_not_known(self) -> tuple[str, ...]:
        """The looks that it shows and that this trait, or another line of the same name, may be behind."""
        reading = looked(self.animal)
        if reading is None or self.trait not in reading.cannot_tell:
            return ()
        return tuple(name for name in reading.loose if self.trait.startswith(name))

    @property
    def other_sires(self) -> tuple[OtherSire, ...]:
        """The other males with whom what is certain of it would not be."""
        figure = self.figure
        if not isinstance(figure, Figure) or self.shows:
            return ()
        several = self.one_of_several
        if not several and figure.carries(self.allele) != 1:
            return ()
        return self.answers.other_sires(self.animal.id, self.locus.key, None if several else self.allele)

    def no_other_male(self, told: str | None = None) -> Text:
        """The condition of a certainty that another male would undo; none where it stands. `told`: the clutch spoken of just before."""
        clutches = tuple(dict.fromkeys(one.clutch for one in self.other_sires))
        named = tuple(dict.fromkeys(self.answers.clutch(name) for name in clutches))
        return words.no_other_male(() if clutches == (told or self.animal.clutch,) else named) if clutches else NO_WORDS


def claim_words(claim: Claim | Stated, locus: Locus) -> str:
    """The claim as a label: "het Piebald", "66% possible het Piebald", "a carrier of Stargazer"."""
    sure = claim.chance in (None, 1)
    chance = "" if sure else f"{words.percent_text(claim.chance or Fraction(0))} possible "
    if locus.affects:
        return words.an(f"{chance}carrier of {claim.trait}")
    return f"{chance}{f'het {claim.trait}' if locus.called_het else claim.trait}"


def source_words(claim: Claim) -> str:
    """ " (the seller)", after what was claimed; "" where nobody is named."""
    return f" ({claim.said_by})" if claim.said_by else ""


def chance_of_two(claim: Claim) -> str:
    """ " with a chance of 50%", after the two copies that were claimed; "" where they were claimed for certain."""
    chance = claim.two_copies or 1
    return "" if chance == 1 else f" with a chance of {words.percent_text(Fraction(chance))}"


def word_of(claim: Claim, locus: Locus) -> str:
    """ "het Piebald", "two copies of Pinstripe with a chance of 33%", "Banana from its own sire"."""
    if claim.two_copies:
        return f"two copies of {claim.trait}{chance_of_two(claim)}"
    return f"{claim.trait} from its own {claim.came_from}" if claim.chance is None else claim_words(claim, locus)


def stated_in(record: DatedRecord, asked: Asked) -> tuple[Figure, Grounds]:
    """The figure that a dated record states of the trait, and its grounds."""
    for row in record.figures.traits:
        if (row.locus, row.trait) == (asked.locus.key, asked.trait):
            pairs = {"0": (0, 0), "1": (0, asked.allele), "2": (asked.allele, asked.allele)}
            found = tuple((pairs[count], chance) for count, chance in sorted(row.copies.items()) if chance)
            return Figure(found), Grounds(row.grounds)  # type: ignore[arg-type]
    return NORMAL_FIGURE, Grounds("chance")


def stated_traits(record: DatedRecord, answers: Answers, animal: Animal) -> Iterator[Asked]:
    """The traits that a dated record speaks of and the species file still has."""
    loci = answers.species_of(animal).loci
    for row in record.figures.traits:
        locus = loci.get(row.locus)
        if locus is not None and row.trait in locus.alleles:
            yield Asked(answers, animal, locus, locus.allele_number(row.trait))


def computed(answers: Answers, animal: Animal) -> Iterator[Asked]:
    """Every trait of which the animal has a figure, in catalogue order."""
    for locus in answers.loci(animal.species):
        if isinstance(answers.now(animal.id, locus.key), Figure):
            yield from (Asked(answers, animal, locus, allele) for allele in range(1, len(locus.alleles) + 1))


# What hatched


class Hatch(Struct, frozen=True):
    """What a clutch showed of one allele: eggs whose look tells at the locus (twins once), how many of them show it, and as what.

    `look`: the one name under which all of them show it ("Candino" for Albino with Candy), else the trait. `looks`: how many under each
    name, where there are several; of a locus with several alleles, every look of it, whichever alleles it needs. `read`: eggs of which a
    look there was seen. `others`: eggs that hatched but whose look says nothing there: still to be looked at, or hidden by another look.
    `twins`: hatchlings beyond one for each egg. `whole`: all of the clutch is on record. `unread`: of the `others`, those at which nobody
    has looked; `read_since`: some of them were looked at later. `of_both`: of those that show it, how many have two copies of it by
    their look alone.
    """

    seen: int
    showing: int
    look: str
    others: int = 0
    twins: int = 0
    looks: tuple[tuple[str, int], ...] = ()
    also_read: int = 0
    whole: bool = True
    unread: int = 0
    read_since: bool = False
    of_both: int = 0

    @property
    def read(self) -> int:
        return self.seen + self.also_read

    @property
    def hatched(self) -> int:
        return self.read + self.others

    @property
    def named(self) -> tuple[str, ...]:
        """The looks that its words name."""
        return tuple(look for look, _ in self.looks) or ((self.look,) if self.read else ())

    @property
    def told(self) -> tuple[str, int]:
        """Its one name and how many have it; the trait and how many show it where names differ."""
        return self.looks[0] if len(self.looks) == 1 else (self.look, self.showing)

    @property
    def noun(self) -> str:
        """What is counted: eggs where there are twins, which are one of evidence."""
        return "egg" if self.twins else "hatchling"


def hatch_of(asked: Asked, clutch: Clutch, day: date = date.max) -> Hatch:
    """Counts young and tallied hatchlings whose look was read there by a day and counts."""
    answers, locus, allele = asked.answers, asked.locus, asked.allele
    key = ("hatch", clutch.id, locus.key, allele, day)
    return answers.once(key, lambda: _hatch_of(answers, clutch, locus, allele, day))


def proof_of(asked: Asked, clutch: Clutch) -> Hatch:
    """The same as the ground of a proof: of several looks that alone which takes two copies, where it is among them."""
    hatch, (own, trait) = hatch_of(asked, clutch), (asked.allele, asked.trait)
    showing = dict(hatch.looks).get(trait, 0) if len(hatch.looks) > 1 else 0
    alone = asked.plain and asked.locus.looks.get(frozenset((trait,)), ()) == ((own, own),)
    return replace(hatch, look=trait, looks=(), showing=showing) if showing and alone else hatch


def _hatch_of(answers: Answers, clutch: Clutch, locus: Locus, allele: int, day: date) -> Hatch:
    trait = locus.alleles[allele - 1]
    if not clutch.counts_at(locus.key):
        return Hatch(0, 0, trait)
    readings: dict[str, Reading | None] = {}
    young = [answers.collection.animals[name] for name in clutch.young]
    for record in young:
        name, reading = record.id, looked(record, day)
        if readings.get(record.egg or name) is None:
            readings[record.egg or name] = reading
    counted = [(reading, 1) for reading in readings.values()] + [(tally.reading, tally.count) for tally in clutch.tally]
    several = len(locus.alleles) > 1
    seen = read = showing = of_both = 0
    own: dict[str, int] = {}
    looks: dict[str, int] = {}
    for reading, count in counted:
        left = genotypes_left(reading, locus, answers.collection.species[clutch.species])
        shows = shown_by(left, locus, allele)
        common = frozenset.intersection(*(locus.look_of[pair] for pair in left)) if left else frozenset()
        name = " ".join(sorted(common)) or (trait if shows else "")
        seen += count if left and shows is not None else 0
        read += count if name or (left and shows is not None) else 0
        if shows:
            showing += count
            own[name] = own.get(name, 0) + count
            of_both += count if left == ((allele, allele),) else 0
        if name and (shows or several):
            looks[name] = looks.get(name, 0) + count
    others = sum(count for _, count in counted) + clutch.to_sort - read
    look = next(iter(own)) if len(own) == 1 else trait
    listed = tuple(looks.items()) if len(looks) > (0 if several else 1) else ()
    if locus.affects:
        look, listed = words.affected_words([look]), tuple((words.affected_words([one]), many) for one, many in listed)
    twins = len(clutch.young) - len(readings)
    unread = clutch.to_sort + sum(count for reading, count in counted if reading is None)
    since = any(looked(record) and not looked(record, day) for record in young)
    return Hatch(seen, showing, look, others, twins, listed, read - seen, clutch.complete, unread, since, of_both)


def shown_by(left: tuple[Genotype, ...] | None, locus: Locus, allele: int) -> bool | None:
    """Whether a look that leaves these genotypes open shows the trait of an allele; None: it does not tell."""
    found = {locus.shows_allele(pair, allele) for pair in left or ()}
    return found.pop() if len(found) == 1 else None


def mate_in(clutch: Clutch | None, animal: str) -> str | None:
    """The other parent, when both parents are known for certain and this animal is one of them."""
    sire = clutch.sires.certain if clutch else None
    if clutch is None or sire is None:
        return None
    return {clutch.dam: sire, sire: clutch.dam}.get(animal)


def figure_before(asked: Asked, event: Event) -> Figure | None:
    """The figure as it stood before an event."""
    before = (figure for when, figure in reversed(asked.history) if when is None or when < event)
    return next(before, None)


def chance_of_a_miss(mate: Figure | NotComputed, allele: int) -> Fraction | None:
    """The chance that a het's egg by this mate does not show the trait: 1/2 with two copies, 3/4 with one; None when that is in doubt."""
    if not isinstance(mate, Figure) or any(0 < low < high for (low, high), _ in mate.genotypes):
        return None  # young of one with two different alleles also show both together
    _none, one, two = mate.copies(allele)
    return HALF if two == 1 else THREE_QUARTERS if one == 1 else None


MAY_BE_HET = "a mate that may be het "


def mate_words(mate: Asked, figure: Figure | None, day: date = date.max) -> str:
    """A mate by its look of a day, or by what it carried then: "a Candino mate", "a mate that was said to be het Piebald"; else ""."""
    if figure and mate.showed(figure, day):
        return f"{words.an(' '.join(mate.answers.looks_in(looked(mate.animal, day), mate.animal, mate.locus)))} mate"
    if figure is None or not (carries := figure.carries(mate.allele)):
        return ""
    if carries < 1:
        return f"{MAY_BE_HET}{mate.trait}" if mate.het else f"a mate that may carry {mate.trait}"
    het = mate.het and not figure.copies(mate.allele)[2]
    if mate.carries != 1 or mate.on_trust or mate.shows:
        taken = "said" if any(claim.trait == mate.trait for claim in mate.animal.claims) else "taken"
        return f"a mate that was {taken} to {'be het' if het else 'carry'} {mate.trait}"
    return f"a het {mate.trait} mate" if het else f"a mate that carries {mate.trait}"


# What is doubted


class Doubt(Struct, frozen=True):
    """What speaks against a claim of certainty that is doubted.

    `mates`: the hatchlings seen, by what their other parent is in words; `chance`: that of looks at least as empty if the claim is true.
    `both`: the other parent, too, is certain only by what was said, so that one of the two claims is doubted. Without `mates` it is
    something else than the looks of its own young.
    """

    mates: tuple[tuple[str, int], ...]
    chance: Fraction
    both: bool


def _doubt(asked: Asked) -> Doubt | None:
    """Only clutches are told of that are listed and whole: leaving the others out can only make the looks seem likelier."""
    answers = asked.answers
    if not asked.claim_in_doubt:
        return None
    if not asked.plain or all(claim.chance != 1 for claim in asked.claims):
        return Doubt((), Fraction(1), both=False)
    proven, said = dict[str, int](), dict[str, int]()
    chance = beside = Fraction(1)
    for name in answers.collection.clutches_of.get(asked.animal.id, ()):
        clutch = answers.collection.clutches[name]
        mate = mate_in(clutch, asked.animal.id)
        if mate is None or not clutch.weighs:
            continue
        other = asked.of(mate)
        figure, hatch = other.figure, hatch_of(asked, clutch)
        said_too = other.claim_in_doubt or (other.carries == 1 and other.grounds.kind == "claim")
        miss = THREE_QUARTERS if said_too else chance_of_a_miss(figure, asked.allele)
        if miss is None or not isinstance(figure, Figure) or not hatch.seen or not answers.listed(clutch.id):
            continue
        if said_too:
            described = f"a mate that was said to be het {other.trait}"
            said[described] = said.get(described, 0) + hatch.seen
            beside *= miss**hatch.seen
        else:
            described = mate_words(other, figure)
            proven[described] = proven.get(described, 0) + hatch.seen
            chance *= miss**hatch.seen
    below = answers.collection.settings.doubt_below
    if proven and (chance < below or not said):
        return Doubt(tuple(proven.items()), chance, both=False)
    return Doubt((*proven.items(), *said.items()), chance * beside, both=bool(said))


# Founders that are taken to carry nothing


def tested_free(animal: Animal, trait: str) -> bool:
    return any(test.trait == trait and not test.copies and not test.error for test in animal.tests)


def looked_for(animal: Animal, trait: str) -> bool:
    """Whether a trait was searched for and not seen."""
    return animal.reading is not None and trait in animal.reading.without


def taken_for_free(asked: Asked, event: After = "now") -> tuple[str, ...]:
    """The founders that are taken to carry nothing where a certainty rests on that, after an event.

    Those without a claim behind the animal's nearest descendants that carry for certain, by another way than through the animal; without
    such descendants, those among its own ancestors.
    """
    answers, animal = asked.answers, asked.animal.id
    collection = answers.collection

    def carries(name: str) -> bool:
        """Whether a descendant does, by records that count."""
        clutch = collection.clutches.get(collection.animals[name].clutch or "")
        return name != animal and (clutch is None or clutch.counts) and asked.of(name).carried_after(event) == 1

    below = reached([animal], lambda name: () if carries(name) else answers.children.get(name, ()))
    nearest = list(filter(carries, below)) or [animal]
    above = reached(nearest, lambda name: [parent for parent in answers.parents(name) if parent != animal])
    founders = [asked.of(name) for name in sorted(above) if collection.animals[name].founder]
    return tuple(one.animal.id for one in founders if not one.claimed_after(event) and one.carried_after(event) != 1)


def nothing_unrecorded_of(answers: Answers, animal: str, key: str, trait: str) -> Text:
    """The condition of a certainty by assumption: "if F-01 carries nothing unrecorded"."""
    record = answers.collection.animals[animal]
    locus = answers.species_of(record).loci[key]
    return words.nothing_unrecorded(Asked(answers, record, locus, locus.allele_number(trait)).unrecorded)


# What tells sires apart


def telling(asked: Asked, clutch: Clutch | None, day: date = date.max) -> tuple[Asked, ...]:
    """What the looks by a day of a clutch with sires in doubt say that bears on a trait, each asked of the same animal.

    The trait itself, where its looks weigh at all, and those of other loci that tell the males apart. () where the sire is no doubt.
    A locus tells where a look that was seen there is more to be expected of the young of one male than of another's, by what was known of
    the parents before they hatched. Copies handed on are taken one by one, off the sex chromosomes: it orders reasons, no more.
    """
    if clutch is None or len(clutch.sires.candidates) == 1 or clutch.hatched is None:
        return ()
    answers = asked.answers
    found = answers.once(("telling", clutch.id, day), lambda: tuple(_looks_that_weigh(answers, clutch, day)))
    return tuple(
        Asked(answers, asked.animal, locus, allele)
        for locus, allele, apart in found
        if (allele == asked.allele if locus.key == asked.locus.key else apart)
    )


def _looks_that_weigh(answers: Answers, clutch: Clutch, day: date) -> Iterator[tuple[Locus, int, bool]]:
    """The alleles whose looks were seen and not certain beforehand, and whether they are likelier by one male than by another."""
    event = next((event for event in answers.events_of(clutch.id) if event.kind == "hatching"), None)
    readings = [
        *(looked(answers.collection.animals[name], day) for name in clutch.young),
        *(tally.reading for tally in clutch.tally),
    ]
    for locus in answers.loci(clutch.species):
        if event is None or not clutch.counts_at(locus.key):
            continue
        dam = _before(answers, clutch.dam, locus, event)
        expected = [_of_young(dam, _of_sire(answers, sire, locus, event)) for sire, _ in clutch.sires.candidates]
        seen = {left for reading in readings if (left := _left(answers, clutch, reading, locus))}
        chances = [[sum(one.get(pair, Fraction(0)) for pair in left) for one in expected] for left in sorted(seen)]
        if all(chance == 1 for row in chances for chance in row):
            continue
        apart = any(len(set(row)) > 1 for row in chances)
        for allele in range(1, len(locus.alleles) + 1):
            known = any(allele in pair for one in expected for pair in one)
            if known or any(shown_by(left, locus, allele) for left in seen):
                yield locus, allele, apart


def _left(answers: Answers, clutch: Clutch, reading: Reading | None, locus: Locus) -> tuple[Genotype, ...]:
    return genotypes_left(reading, locus, answers.collection.species[clutch.species]) or ()


def _before(answers: Answers, animal: str, locus: Locus, event: Event) -> Figure:
    asked = Asked(answers, answers.collection.animals[animal], locus, 1)
    return figure_before(asked, event) or NORMAL_FIGURE


def _of_sire(answers: Answers, sire: Sire, locus: Locus, event: Event) -> Figure | None:
    """What was known of a male; None for no male."""
    if isinstance(sire, Nobody):
        return None
    return _before(answers, sire.id, locus, event) if isinstance(sire, Recorded) else NORMAL_FIGURE


def _of_young(dam: Figure, sire: Figure | None) -> Mapping[Genotype, Fraction]:
    """The genotypes of a young of the two, with their chances; without a male both copies are the same."""
    found: dict[Genotype, Fraction] = {}
    for allele, chance in _handed_on(dam).items():
        for other, beside in ({allele: Fraction(1)} if sire is None else _handed_on(sire)).items():
            pair = (min(allele, other), max(allele, other))
            found[pair] = found.get(pair, Fraction(0)) + chance * beside
    return found


def _handed_on(figure: Figure) -> Mapping[int, Fraction]:
    found: dict[int, Fraction] = {}
    for pair, chance in figure.genotypes:
        for allele in pair:
            found[allele] = found.get(allele, Fraction(0)) + chance / 2
    return found
