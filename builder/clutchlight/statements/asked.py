"""One trait of one animal as a question: its figure through time, its label, what was said of it and what a certainty rests on."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from clutchlight.genetics.values import NORMAL_FIGURE, Event, Figure, Grounds, GroundsKind, NotComputed, OtherSire
from clutchlight.model import NOBODY, Animal, Claim, Genotype, Inheritance, LabTest, Locus, Species, Stated
from clutchlight.model.animals import genotypes_left, words_of_certainty
from clutchlight.model.ledger import DatedRecord, DatedTrait
from clutchlight.model.traits import reached
from clutchlight.statements.answers import Answers, History, looked
from clutchlight.wording import words
from clutchlight.wording.text import NO_WORDS, Text

After = Event | Literal["first", "now"]
"""A point of time: after an event, before all of them, or after the last."""

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
    def key(self) -> tuple[str, str, int]:
        """What the inference is asked about."""
        return self.animal.id, self.locus.key, self.allele

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
    def has_two(self) -> bool:
        """Whether it is certain to have two copies."""
        figure = self.figure
        return isinstance(figure, Figure) and figure.copies(self.allele)[2] == 1

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
        left = genotypes_left(looked(self.animal), self.locus, self.answers.species_of(self.animal))
        return shown_by(left, self.locus, self.allele) is False

    @property
    def moved(self) -> bool:
        """Whether anything that was recorded later changed its first figure."""
        return len({figure for _, figure in self.history}) > 1

    @property
    def grounds(self) -> Grounds:
        return self.answers.grounds(*self.key)

    @property
    def certain_by(self) -> Grounds:
        """The grounds of what its label calls certain: that it carries the trait, or one of several."""
        if not self.one_of_several:
            return self.grounds
        return self.answers.inferred.one_of_several(self.animal.id, self.locus.key)

    @property
    def proof(self) -> Event | None:
        """The event that proved what its label calls certain."""
        if self.certain_by.kind not in ("proven", "test"):
            return None
        return self.answers.inferred.proven_at(*self.about[:2], 0 if self.one_of_several else self.allele)

    def proven_since(self, event: Event) -> bool:
        """Whether a later event than this one proved what its label calls certain."""
        return (proof := self.proof) is not None and event < proof

    @property
    def one_of_several(self) -> tuple[str, ...]:
        """The traits of which it carries exactly one for certain, this one among them; () when that is not so."""
        found = words.one_of_these(self.locus, self.figure) if isinstance(self.figure, Figure) else ()
        return found if self.trait in found else ()

    @property
    def what(self) -> str:
        """What its label calls certain: the trait, or one of several."""
        return words.join_or(self.one_of_several) or self.trait

    @property
    def on_trust(self) -> bool:
        """Whether it is certain only by a claim, or by founders that carry nothing unrecorded."""
        return self.grounds.on_trust

    @property
    def shows(self) -> bool:
        """Whether it was seen to show a look that needs this allele."""
        figure = self.figure
        return isinstance(figure, Figure) and self.answers.once(("shows", *self.key), lambda: self.showed(figure))

    def showed(self, figure: Figure, day: date = date.max) -> bool:
        """Whether it had been seen by a day to show the trait, by the figure that stood then."""
        looks = self.answers.looks_in(looked(self.animal, day), self.animal, self.locus)
        return bool(looks) and all(self.locus.shows_allele(pair, self.allele) for pair, _ in figure.genotypes)

    def shown_in(self, figure: Figure) -> bool:
        """Whether it shows the trait, and every genotype of the figure would."""
        return self.shows and self.showed(figure)

    @property
    def ruled_out(self) -> bool:
        return self.answers.rules_out(*self.key)

    @property
    def ruled_out_at(self) -> Event | None:
        """The event since which it is ruled out; None where it is not, or where it never had a chance nor a test of its own."""
        answers = self.answers
        if self.carries != 0 or not (self.tests or answers.ever(*self.key)) or not self.ruled_out:
            return None
        return answers.once(("ruled out at", *self.key), lambda: answers.inferred.ruled_out_at(*self.key))

    def ruled_out_by(self, event: Event | None) -> bool:
        """Whether it is ruled out by what stands today of what was on record after an event; never before there was one."""
        return event is not None and self.ruled_out and self.answers.inferred.ruled_out(*self.key, event)

    @property
    def background_only(self) -> bool:
        return self.answers.inferred.background_only(*self.key)

    def taking(self, moment: Literal["now", "hatched"] | date) -> str:
        """The condition of a figure that founders in question move, here or, by a sire in doubt, at another locus."""
        share = self.unrecorded_share(moment)
        if not share:
            return ""
        locus, _ = self.in_question
        taking = words.taking_unrecorded(share, locus, self.locus)
        return f"{taking}, which bears on a sire in doubt" if locus != self.locus else taking

    @property
    def in_question(self) -> tuple[Locus, tuple[str, ...]]:
        """The founders that may carry something unrecorded, and at which locus: at this one, else at another."""
        for locus in (self.locus, *self.answers.loci(self.animal.species)):
            if found := self.answers.inferred.unrecorded_founders(self.animal.id, locus.key):
                return locus, found
        return self.locus, ()

    def unrecorded_share(self, moment: Literal["now", "hatched"] | date) -> Fraction | None:
        """The share of snakes taken to carry it unrecorded, where that moves the figure of a moment."""
        return self.answers.inferred.unrecorded(*self.key, moment)

    @property
    def beside_assumption(self) -> tuple[Fraction, Fraction] | None:
        """Its chance, where it is certain by an assumption, once founders may carry it unrecorded, and the share of those that do."""
        return self.answers.inferred.beside_assumption(*self.key)

    def unrecorded(self, event: After = "now") -> tuple[Text, ...]:
        """Who, in words, must carry nothing unrecorded for it to be certain, after an event."""
        free = taken_for_free(self, event)
        by_its_look = self.animal.founder and bool(self.answers.looks_at(self.animal, self.locus))
        itself = free == (self.animal.id,) or (not free and by_its_look)
        return (Text("it"),) if itself else self.answers.all_named(free)

    def has_some_allele(self, event: After) -> bool:
        """Whether records alone forced it after an event to carry one of several alleles, whichever."""
        if len(self.locus.alleles) == 1:
            return False
        if event == "now":
            return not self.answers.inferred.one_of_several(*self.key[:2]).on_trust
        after = None if event == "first" else event
        return self.answers.inferred.certain_by(*self.key[:2], None, after) in ("proven", "test")

    @property
    def claims(self) -> tuple[Claim, ...]:
        """What was said of it and has not been withdrawn."""
        return tuple(claim for claim in self.every_claim if not claim.withdrawn)

    @property
    def every_claim(self) -> tuple[Claim, ...]:
        """What was ever said of it."""
        about = self.locus.key, self.trait
        return tuple(claim for claim in self.animal.claims if (claim.locus, claim.trait) == about)

    def stood(self, claim: Claim, event: After) -> bool:
        """Whether a claim of it had not been withdrawn after an event."""
        if claim.withdrawn is None or event == "first":
            return True
        return event != "now" and event < Event(claim.withdrawn.last, 3, self.animal.id, "withdrawn")

    def carried_after(self, event: After) -> Fraction | None:
        """Its chance after an event; None where it had no figure."""
        figure = self.figure if event == "now" else self.figure_after(event)
        return figure.carries(self.allele) if isinstance(figure, Figure) else None

    def figure_after(self, event: Event | Literal["first"]) -> Figure | None:
        """The figure as it stood after an event."""
        rows = (figure for when, figure in reversed(self.history) if not when or (event != "first" and when <= event))
        return next(rows, None)

    def figure_before(self, event: Event) -> Figure | None:
        """The figure as it stood before an event."""
        return next((figure for when, figure in reversed(self.history) if when is None or when < event), None)

    @property
    def tests(self) -> tuple[LabTest, ...]:
        """Its tests for the trait, in order of date."""
        found = (test for test in self.animal.tests if (test.locus, test.trait) == (self.locus.key, self.trait))
        return tuple(sorted(found, key=lambda test: test.on))

    @property
    def word(self) -> tuple[str, ...]:
        """The traits of which it was said for certain that it carries this one, or one of them; () where no such word stands."""
        stand = (claim for claim in self.animal.claims if claim.locus == self.locus.key and not claim.withdrawn)
        said = (tuple(claim.trait for claim in word) for word in words_of_certainty(stand))
        return next((traits for traits in said if self.trait in traits), ())

    @property
    def claim_in_doubt(self) -> bool:
        """Whether what was said of it with certainty is doubted."""
        return bool(self.word) and self.answers.inferred.claim_in_doubt(self.animal.id, self.locus.key)

    @property
    def said_for_certain(self) -> bool:
        return self.answers.inferred.said_for_certain(self.animal.id, self.locus.key, self.trait)

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
    def two_copies_if(self) -> str:
        """On what its second copy hangs, where the look does not tell it: "on the seller's word"; "" where that is forced, or open."""
        if not self.has_two:
            return ""
        by = self.second_copy_on(self.answers.inferred.two_copies_by(*self.key))
        unless = self._unless(self.answers.other_sires(*self.key, two=True))
        return Text(by, ", ", unless) if by and unless else by or unless

    def second_copy_on(self, by: GroundsKind, event: After = "now") -> str:
        """The condition of a second copy by its grounds, after an event."""
        if by == "assumption" and [sire for sire, _ in self.answers.sires_of(self.animal)] == [NOBODY]:
            return WITHOUT_A_MALE
        return words.how_certain(by, self.unrecorded(event) if by == "assumption" else ())

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
        certain_by = self.answers.inferred.certain_by
        if self.showed(figure, day):
            label = words.label_of(self.locus, self.trait, figure, shows=True)
            if figure.copies(self.allele)[2] != 1:
                return label
            return label.of_two_copies(self.second_copy_on(certain_by(*self.key, event, two=True), event or "first"))
        kind: GroundsKind | None = None
        if self.trait in words.one_of_these(self.locus, figure):
            kind = certain_by(*self.about[:2], None, event)
        elif figure.carries(self.allele) == 1:
            kind = certain_by(*self.key, event)
        return self.label(figure, Grounds(kind) if kind else None, unexpected, event or "first")

    def label(
        self, figure: Figure, grounds: Grounds | None = None, unexpected: str = "", event: After = "now"
    ) -> words.Label:
        """What a figure of it is in words; `grounds` add how a certainty was come by, `unexpected` that it hangs on such a result.

        `event`: the one after which it was said, of what it did not show then.
        """
        unrecorded = self.unrecorded(event) if grounds and grounds.kind == "assumption" else ()
        shows = event == "now" and self.shown_in(figure)
        label = words.label_of(self.locus, self.trait, figure, shows=shows, grounds=grounds, unrecorded=unrecorded)
        never_described = self.animal.founder and looked(self.animal) is None and not (self.claims or self.tests)
        if label.lead == words.HET and (self.lines_not_known or never_described):  # it may show the trait
            label = words.Label("", words.CARRIES, label.name, label.condition)
        by_claim = grounds is not None and grounds.kind == "claim"
        if by_claim and (label.condition == words.how_certain("claim", ()) or self.who_excluded_others):
            label = label.only_on(self.on_claims(event))
        if shows:
            condition = self.two_copies_if if figure.copies(self.allele)[2] == 1 else ""
            if not condition and grounds and grounds.on_trust:  # of a look of several pairs: which of them it has
                return label.on_condition(words.how_certain(grounds.kind, unrecorded))
            return label.of_two_copies(condition)
        label = label.on_condition(self.if_of_another_gene(figure))
        if grounds is not None:
            said_then = event != "now" and grounds.kind == "claim"
            unless = self._unless(self.other_sires("claim" if said_then else None))
            if unless and grounds.kind == "proven" and self.said_for_certain:
                unless = Text(unless, ", else ", self.on_claims(event))
            label = label.on_condition(unless or self.one_sire(self.animal.clutch))
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

    def on_claims(self, event: After = "now") -> str:
        """On what stands what is certain, after an event, by claims: of itself or an ancestor, of whoever leaves it one sire, or of
        others."""
        if self.who_excluded_others:
            return "by its probable sire"
        kin = reached([self.animal.id], self.answers.parents)
        spoken_of = any(self.of(name).claimed_for_certain(event) for name in kin)
        return words.how_certain("claim", ()) if spoken_of else "on a seller's word"

    def claimed_for_certain(self, event: After = "now") -> bool:
        """Whether what was said of it at the locus, and stood after an event, leaves no chance that it has no copy, or tells of one that
        it shows."""
        of_locus = (claim for claim in self.animal.claims if claim.locus == self.locus.key)
        claims = [claim for claim in of_locus if self.stood(claim, event)]
        chances = [claim.chance for claim in claims if claim.chance is not None]
        return len(chances) < len(claims) or 1 in (sum(chances), *chances)

    @property
    def who_excluded_others(self) -> tuple[str, ...]:
        """Those of whom something was said that leaves it one sire, where no word of the trait itself took part."""
        clutch = self.animal.clutch
        if clutch is None or self.rests_on:
            return ()
        return self.answers.inferred.sires_left_by_claims(clutch, self.animal.id)

    @property
    def lines_not_known(self) -> tuple[str, ...]:
        """The looks that it shows and that this trait, or another line of the same name, may be behind."""
        reading = looked(self.animal)
        if reading is None or self.trait not in reading.cannot_tell:
            return ()
        return tuple(name for name in reading.loose if self.trait.startswith(name))

    def other_sires(self, kind: GroundsKind | None = None) -> tuple[OtherSire, ...]:
        """The other males with whom what is certain of it would not be on such grounds; None: on those of now."""
        if not self._certain_unseen:
            return ()
        return self.answers.other_sires(*self._told, two=self.has_two, kind=kind)

    @property
    def _certain_unseen(self) -> bool:
        """Whether it is certain that it carries the allele, or one of several, though it does not show it."""
        return not self.shows and (self.carries == 1 or bool(self.one_of_several))

    @property
    def _told(self) -> tuple[str, str, int | None]:
        """What is said of it where that is certain: animal, locus and allele; None: one of several."""
        return self.animal.id, self.locus.key, None if self.one_of_several else self.allele

    def if_sired(self, told: str | None = None) -> Text:
        """The condition of a certainty that another male or two of the sires on record would undo; `told`: as below."""
        return self.no_other_male(told) or self.one_sire(told)

    def no_other_male(self, told: str | None = None) -> Text:
        """The condition of a certainty that another male would undo; none where it stands. `told`: the clutch spoken of just before."""
        return self._unless(self.other_sires(), told)

    def one_sire(self, told: str | None = None) -> Text:
        """The condition of a certainty that two sires of one clutch would undo; none where it or another condition stands. `told`: as
        above."""
        if not self._certain_unseen or self.other_sires():
            return NO_WORDS
        clutches = self.answers.if_one_sire(*self._told, two=self.has_two)
        named = () if clutches == (told,) else self.answers.clutches(clutches)
        return words.one_sire(named) if clutches else NO_WORDS

    def _unless(self, males: tuple[OtherSire, ...], told: str | None = None) -> Text:
        clutches = tuple(dict.fromkeys(one.clutch for one in males))
        named = self.answers.clutches(clutches)
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


def stated_in(record: DatedRecord, asked: Asked) -> tuple[Figure, Grounds, bool]:
    """The figure that a dated record states of the trait, its grounds, and whether the animal was said to show it."""
    species = asked.answers.species_of(asked.animal)
    if either := _one_of_several_in(record, asked):
        return either, asked.certain_by, False
    for row in record.figures.traits:
        if (row.locus, row.trait) == (asked.locus.key, asked.trait):
            pairs = {"0": (0, 0), "1": (0, asked.allele), "2": (asked.allele, asked.allele)}
            found = tuple((pairs[count], chance) for count, chance in sorted(row.copies.items()) if chance)
            return Figure(found), Grounds(row.grounds), shown_in(record, species, row)  # type: ignore[arg-type]
    ours = asked.answers.inferred.at(asked.animal.id, asked.locus.key, record.on)
    if isinstance(ours, Figure) and asked.allele in _seen_alone(record, asked.locus, species):
        return ours, Grounds("look"), True
    return NORMAL_FIGURE, Grounds("chance"), False


def _one_of_several_in(record: DatedRecord, asked: Asked) -> Figure | None:
    """What a dated record states of the traits of which the animal carries exactly one, as it does by the records of now."""
    rows = [row for row in record.figures.traits if row.locus == asked.locus.key and row.trait in asked.one_of_several]
    if record.figures.looks is None or len(rows) < 2 or sum(row.copies.get("1", 0) for row in rows) != 1:
        return None
    pairs = (((0, asked.locus.allele_number(row.trait)), row.copies["1"]) for row in rows if row.carries)
    return Figure(tuple(sorted(pairs)))


def shown_in(record: DatedRecord, species: Species, row: DatedTrait) -> bool:
    """Whether the look in a dated record shows a trait of it: that of a twin, which tells what it carries, does not."""
    locus = species.loci.get(row.locus)
    if locus is None or row.trait not in locus.alleles or row.carries != 1:
        return False
    return _shows(_looks_in(record, locus, species), locus, locus.allele_number(row.trait))


def _looks_in(record: DatedRecord, locus: Locus, species: Species) -> frozenset[str]:
    return frozenset(look for look in record.figures.looks or () if locus.key in species.locus_of_look.get(look, ()))


def _shows(seen: frozenset[str], locus: Locus, allele: int) -> bool:
    left = [pair for pair in locus.looks.get(seen, ()) if allele in pair] if seen else []
    return bool(left) and all(locus.shows_allele(pair, allele) for pair in left)


def _seen_alone(record: DatedRecord, locus: Locus, species: Species) -> tuple[int, ...]:
    """The alleles that the look in a dated record shows at a locus of which it has no figure: no figures were made of it then."""
    if any(row.locus == locus.key for row in record.figures.traits):
        return ()
    seen = _looks_in(record, locus, species)
    return tuple(allele for allele in range(1, len(locus.alleles) + 1) if _shows(seen, locus, allele))


def stated_traits(record: DatedRecord, answers: Answers, animal: Animal) -> Iterator[Asked]:
    """The traits that a dated record speaks of and the species file still has."""
    species = answers.species_of(animal)
    for row in record.figures.traits:
        locus = species.loci.get(row.locus)
        if locus is not None and row.trait in locus.alleles:
            yield Asked(answers, animal, locus, locus.allele_number(row.trait))
    for locus in species.computed_loci:
        yield from (Asked(answers, animal, locus, allele) for allele in _seen_alone(record, locus, species))


def asked_at(answers: Answers, animal: Animal, locus: Locus) -> tuple[Asked, ...]:
    """Each trait of a locus, asked of an animal."""
    return tuple(Asked(answers, animal, locus, allele) for allele in range(1, len(locus.alleles) + 1))


def computed(answers: Answers, animal: Animal) -> Iterator[Asked]:
    """Every trait of which the animal has a figure, in catalogue order."""
    for locus in answers.loci(animal.species):
        if isinstance(answers.now(animal.id, locus.key), Figure):
            yield from asked_at(answers, animal, locus)


def told(answers: Answers, animal: Animal) -> Iterator[Asked]:
    """Those of them of which something may be said: all that are not under review."""
    return (asked for asked in computed(answers, animal) if not asked.under_review)


def figure_of(answers: Answers, animal: str, trait: str) -> Asked:
    """A trait of which an animal on record has a figure."""
    return next(asked for asked in computed(answers, answers.collection.animals[animal]) if asked.trait == trait)


def shown_by(left: tuple[Genotype, ...] | None, locus: Locus, allele: int) -> bool | None:
    """Whether a look that leaves these genotypes open shows the trait of an allele; None: it does not tell."""
    found = {locus.shows_allele(pair, allele) for pair in left or ()}
    return found.pop() if len(found) == 1 else None


# Founders that are taken to carry nothing


def tested_free(animal: Animal, trait: str) -> bool:
    return any(test.trait == trait and not test.copies and not test.error for test in animal.tests)


def looked_for(animal: Animal, trait: str) -> bool:
    """Whether a trait was searched for and not seen."""
    return animal.reading is not None and trait in animal.reading.without


def taken_for_free(asked: Asked, event: After = "now") -> tuple[str, ...]:
    """The founders that are taken to carry nothing where a certainty rests on that, after an event.

    Those without a claim behind the animal's nearest descendants that carry for certain, by another way than through the animal; without
    such descendants, those among its own ancestors. Of one that has this allele or another in any case, what matters is the other alone:
    itself, if it is a founder, else nobody in particular.
    """
    answers, animal = asked.answers, asked.animal.id
    if asked.has_some_allele(event):
        return (animal,) if asked.animal.founder else ()
    collection = answers.collection

    def carries(name: str) -> bool:
        """Whether a descendant does, by records that count."""
        clutch = collection.clutches.get(collection.animals[name].clutch or "")
        return name != animal and (clutch is None or clutch.counts) and asked.of(name).carried_after(event) == 1

    below = reached([animal], lambda name: () if carries(name) else answers.children.get(name, ()))
    nearest = list(filter(carries, below)) or [animal]
    above = reached(nearest, lambda name: [parent for parent in answers.parents(name) if parent != animal])
    founders = [asked.of(name) for name in sorted(above) if collection.animals[name].founder]
    untold = (one for one in founders if not any(one.stood(claim, event) for claim in one.every_claim))
    return tuple(one.animal.id for one in untold if one.carried_after(event) != 1)


def how_taken(answers: Answers, animal: str, trait: str, kind: GroundsKind) -> str:
    """On what a trait is taken as certain: "on the seller's word", "if F-01 carries nothing unrecorded"; "" where neither."""
    asked = figure_of(answers, animal, trait)
    return asked.on_claims() if kind == "claim" else words.how_certain(kind, asked.unrecorded())
