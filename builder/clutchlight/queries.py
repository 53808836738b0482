"""Questions that commands ask of a book: how a figure came about, what a pairing can give, which looks young can have."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from datetime import date
from functools import partial

from msgspec.structs import replace

from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import NotComputed
from clutchlight.model import Locus, Species
from clutchlight.pipeline import Book
from clutchlight.planning.doubt import Doubted, doubts
from clutchlight.planning.hatchlings import hatchlings_of
from clutchlight.planning.odds import Odds, checked_pair, odds
from clutchlight.planning.winter import ComingClutch, Winter, winter
from clutchlight.problems import COMMAND_LINE, RecordsError
from clutchlight.reading.described import is_description, quoted, with_described
from clutchlight.reading.findings import Findings
from clutchlight.reading.ids import Known, animal_called
from clutchlight.reading.names import Names
from clutchlight.reading.text import WrittenText
from clutchlight.statements.asked import Asked
from clutchlight.statements.why import Step, Why, why
from clutchlight.wording import words


def doubted(book: Book, name: str | None, day: date) -> tuple[tuple[Doubted, ...], tuple[Doubted, ...]]:
    """What hangs on the records of an animal or clutch, or on every record; and for an animal what its own figures hang on.

    Raises RecordsError when the name is not known.
    """
    told = partial(doubts, book.inference, to_leave=book.private.still_to_leave(day))
    if name is None:
        return told(), ()
    if name in book.collection.clutches:
        clutch = book.collection.clutches[name]
        return told(name, *clutch.young), ()
    animal = animal_called(book.collection, name).id
    return told(animal), told(moving=animal)


def derivations(book: Book, animal: str, trait: str | None) -> tuple[Why, ...]:
    """How the figures of an animal came about: of one trait by any of its names, or of all that are above nothing or were claimed or
    tested; where there are none, of those that a record brought down to nothing.

    Raises RecordsError when the animal or the trait is not known, or when there is no figure.
    """
    record = animal_called(book.collection, animal)
    species = book.collection.species[record.species]
    asked = _trait(species, trait) if trait is not None else None
    claimed = {claim.trait for claim in record.claims}
    found: list[Why] = []
    ended: list[Why] = []
    for locus in book.inference.loci_in_play(record.species) if asked is None else [asked[0]]:
        for allele, name in enumerate(locus.alleles, 1):
            if asked is None or asked[1] == name:
                about = Asked(book.telling_its_owner, record, locus, allele)
                derived = why(about)
                told = asked is not None or about.tests or name in claimed
                if isinstance(derived, Why) and (told or derived.carries):
                    found.append(derived)
                elif isinstance(derived, Why) and (about.lines_not_known or any(map(_changed, derived.steps))):
                    ended.append(derived)
                elif isinstance(derived, NotComputed) and asked is not None:
                    raise RecordsError.at(record.place, "not-computed", f"the figure of '{name}' is not computed")
    computed = not book.statements.animals[record.id].not_computed
    return tuple(found or (ended if computed else ()))


def _changed(step: Step) -> bool:
    return step.before is not None and step.moved


def _trait(species: Species, typed: str) -> tuple[Locus, str]:
    """The locus and the allele of a computed trait, by any of its names. Raises RecordsError."""
    findings = Findings()
    found = Names(species).trait(WrittenText.at(typed, COMMAND_LINE), findings)
    if found is None:
        raise RecordsError(tuple(findings.problems))
    if found[0] not in species.computed_loci:
        raise RecordsError.at(COMMAND_LINE, "unknown-trait", f"'{typed}' is no computed trait of {species.name}")
    return found


def no_figure(book: Book, name: str) -> str:
    """Why nothing is derived of an animal: a figure is not computed, or no record that counts speaks of any."""
    animal = animal_called(book.collection, name)
    traits = [one.trait for one in book.statements.animals[animal.id].not_computed]
    if traits:
        return f"{name}: {words.join_and(traits)} {words.are(len(traits))} not computed; its page says why."
    return f"{name}: no record that counts speaks of any hidden gene."


def odds_of_each(book: Book, winter: Winter, young: int | None) -> Iterator[Odds]:
    """The odds of each male and female of a winter's clutches, without those that cannot be computed."""
    for clutch in winter.clutches:
        for male in clutch.males:
            with suppress(RecordsError):
                yield odds(book.inference, male, clutch.dam, young)


def with_descriptions(book: Book, names: Sequence[str]) -> tuple[Book, list[str]]:
    """The book with those of the named animals that are described in words, and the names by which it knows all; nothing is written.

    Their species is that of the first of the others, else the collection's first. Raises RecordsError.
    """
    texts = [name for name in names if is_description(name)]
    if not texts:
        return book, list(names)
    known = [animal_called(book.collection, name) for name in names if name not in texts]
    species = known[0].species if known else book.collection.settings.species[0]
    collection = with_described(book.collection, texts, book.collection.species[species])
    called = [quoted(name) if name in texts else name for name in names]
    inferred = infer(collection)
    for conflict in inferred.conflicts:
        traits = " / ".join(collection.species[conflict.species].loci[conflict.locus].alleles)
        said = f"at {traits}, not all that is said of the animal you described can be true; leave out what is not"
        raise RecordsError.at(COMMAND_LINE, "records-conflict", said)
    return replace(book, collection=collection, inference=inferred), called


def winter_of(book: Book, sire: str, dams: Sequence[str], young: int | None = None, want: str | None = None) -> Winter:
    """What the clutches of one male and several females would settle together. Raises RecordsError."""
    collection = book.collection
    names = [sire, *dams]
    of_males = [name for name in names if animal_called(collection, name).sex == "male"]
    if len(of_males) == 1:  # wherever he is named
        names.remove(of_males[0])
        names.insert(0, of_males[0])
    pairs = [checked_pair(collection, names[0], dam) for dam in names[1:]]
    males = dict.fromkeys(father.id for father, _ in pairs)
    if len(males) > 1 or len({mother.id for _, mother in pairs}) < len(pairs):
        said = "name one male and his females, each once"
        raise RecordsError.at(COMMAND_LINE, "same-sex-pair", f"these are not the clutches of one male; {said}")
    species = collection.species[pairs[0][0].species]
    hatchlings = hatchlings_of(species, young)
    looks = looks_wanted(species, want) if want else ()
    clutches = [ComingClutch.of(father.id, mother.id, hatchlings, want=looks) for father, mother in pairs]
    return winter(book.inference, clutches)


def looks_wanted(species: Species, want: str) -> tuple[str, ...]:
    """The looks behind what was typed as wanted. Raises RecordsError."""
    findings = Findings()
    shown = Names(species).shown([WrittenText.at(want, COMMAND_LINE)], findings)
    if findings.problems:
        raise RecordsError(tuple(findings.problems))
    return shown.looks


def possible_looks(book: Book, clutch: str) -> tuple[str, ...]:
    """The looks that the young of a clutch can have by present figures, most likely first, as `hatched` offers them."""
    record = Known(book.collection).clutch(clutch)
    if record is None:
        return ()
    outcomes = (one for sire in record.sires.ids for one in odds(book.inference, sire, record.dam).outcomes)
    return tuple(dict.fromkeys(" ".join(one.looks) or "normal" for one in outcomes))
