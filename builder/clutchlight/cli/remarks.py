"""What `check` and `build` say besides problems: what to look at, on the terminal alone; and what is missing before a site goes public,
where that is asked: what keeps it from working or tells an untruth is an error, what readers miss a warning."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from msgspec.structs import replace

from clutchlight.cli.options import as_typed, typed
from clutchlight.editing.starting import EXAMPLE_ANIMALS, EXAMPLE_MAIL, EXAMPLE_NAME
from clutchlight.genetics.inference import infer
from clutchlight.genetics.values import Figure
from clutchlight.ledger.dated_records import edited
from clutchlight.model import Animal, Clutch, Collection
from clutchlight.model.private import LogRow
from clutchlight.model.traits import grouped, reached
from clutchlight.pipeline import Book
from clutchlight.planning.sales import holds, undated
from clutchlight.problems import Place, Problem
from clutchlight.statements.animals import typed_figures
from clutchlight.statements.answers import Answers
from clutchlight.statements.family import corrected_kin
from clutchlight.statements.results import UnexpectedFamily, result_of, results
from clutchlight.wording import day_words, words

MOST_NAMED = 5


def after_check(book: Book, day: date) -> Iterator[str]:
    """What `check` adds when there are no errors."""
    from clutchlight.desk.notices import typed_figure

    yield from _not_looked_at(book)
    found = results(book.telling_its_owner)
    if len(found) == 1:
        yield f"1 unexpected result: {found[0]}; see `{typed('season')}`"
    elif found:
        yield f"{len(found)} unexpected results; see `{typed('season')}`:"
        yield from (f"  {text}" for text in found)
    yield from (typed_figure(book.collection, one) for one in typed_figures(book.telling))
    yield from _what_does_not_fit(book, day)
    yield from (one.words(day) for one in edited(book.inference, book.ledger))


def after_build(book: Book, day: date, new: Sequence[str]) -> Iterator[str]:
    """What `build` adds: holds that ended, the `new` results, each correction that buyers do not know of."""
    for one in holds(book.collection, book.private, day):
        if one.days_left is not None and one.days_left < 0 and one.sale.until is not None:
            animals = words.join_and(one.sale.animals)
            rest = "delete it" if not one.sale.payments else "settle what was paid and delete it"
            yield f"the hold on {animals} ended {day_words.on(one.sale.until)}; hand over, write a later `until`, or {rest}"
    yield from new
    yield from _corrections(book, day)
    yield from (one.words(day) for one in edited(book.inference, book.ledger))
    yield from _to_date(book, day)
    yield from _what_does_not_fit(book, day)


_AGAIN = "we look at this clutch again"


def new_result(book: Book, family: UnexpectedFamily) -> Iterator[str]:
    """An unexpected result that the site did not tell before, and what rests on it."""
    collection, locus = book.collection, family.locus
    clutches = [collection.clutches[name] for name in family.clutches]
    yield f"new unexpected result: {words.clause(result_of(book.telling, family))}"
    if not clutches:
        return
    aside = [replace(clutch, set_aside={**clutch.set_aside, locus.key: _AGAIN}) for clutch in clutches]
    without = Answers(infer(collection.with_clutches(*aside)))
    moved = [
        f"{trait} of {animal.called}"
        for animal in collection.animals.values()
        if animal.sold and animal.species == locus.species
        for allele, trait in enumerate(locus.alleles, 1)
        if _printed(book.telling, animal, locus.key, allele) != _printed(without, animal, locus.key, allele)
    ]
    yield f"  printed figures of sold animals that rest on it: {words.join_and(moved) or 'none'}"
    for clutch in clutches:
        key = f'set_aside: {{{family.traits[0]}: "{_AGAIN}"}}'
        yield f"  until you have looked again, write under {clutch.id} in {clutch.place.file}: {key}"


def _printed(answers: Answers, animal: Animal, locus: str, allele: int) -> str:
    figure = answers.now(animal.id, locus)
    return words.percent_text(figure.carries(allele)) if isinstance(figure, Figure) else ""


def _corrections(book: Book, day: date) -> Iterator[str]:
    """Each correction that some buyer of the animal, or of its kin, does not know of; and where to write that they were told."""
    records: list[Animal | Clutch] = [*book.collection.animals.values(), *book.collection.clutches.values()]
    corrected = [(record, told) for record in records if (told := [one for one in record.corrections if one.told])]
    young = grouped((parent, name) for name in book.collection.animals for parent in book.collection.parents_of(name))
    for record, told in corrected:
        family = reached(record.young if isinstance(record, Clutch) else (record.id,), lambda one: young.get(one, ()))
        kin = corrected_kin(book.collection, [record])
        newest = max(one.on.last for one in told)
        sales = tuple(
            sale
            for sale in book.private.sales
            if any(
                (name in family or name in kin) and (sale.knows_since(day, name) or date.max) < newest
                for name in sale.animals
            )
        )
        if not sales:
            continue
        from clutchlight.desk.buyers import buyers_to_tell, told_line

        waiting = buyers_to_tell(book.telling, replace(book.private, sales=sales), book.ledger, day)
        for one in told:
            concerned = (tell for tell in waiting if tell.since < one.on.last <= day)
            changes = {
                tell: tuple(change for change in tell.changes if tell.animal in family or change.of_figure)
                for tell in concerned
                if tell.animal in family or one in kin.get(tell.animal, ())
            }
            later = [tell for tell, found in changes.items() if found]  # the look of kin is a record of its own
            if later:
                undated = [tell.animal for tell in later if not _dated(book, tell.animal, tell.since)]
                lost = f"; no dated record holds what was told to the buyer of {words.join_and(undated)}"
                unsaid = lost if undated else ""
                theirs = ", by your records" if undated else ""
                changed = [
                    f"{change.about} of {book.collection.animals[tell.animal].called}"
                    for tell in later
                    for change in changes[tell]
                ]
                untold = f"buyers of it or its kin do not know what changed{theirs}, for this reason or another"
                said = f"{untold}: {words.join_and(changed)}{unsaid}"
                yield f"correction of {record.called}, {day_words.on(one.on)}, {one.key} was {one.was}: {said}"
                yield "  once the buyer knows:"
                yield from dict.fromkeys(f"  {told_line(tell, day)}" for tell in later)
                pages = [tell.animal for tell in later if book.collection.animals[tell.animal].publish == "page"]
                if pages:
                    command = typed(f"stamp --only {','.join(dict.fromkeys(pages))} --on {day}")
                    yield f"  and `{command}` dates what you told"


def _dated(book: Book, name: str, day: date) -> bool:
    return any(record.on <= day for record in book.ledger.of(*book.collection.animals[name].was, name))


def _not_looked_at(book: Book) -> Iterator[str]:
    """'C26-06: six young without a look yet', for each clutch with hatchlings here whose looks were not read."""
    animals = book.collection.animals
    for clutch in book.collection.clutches.values():
        count = clutch.to_sort + sum(animals[name].here and animals[name].reading is None for name in clutch.young)
        if count:
            yield f"{clutch.id}: {words.number(count)} young without a look yet"


def _to_date(book: Book, day: date) -> Iterator[str]:
    """Each hand-over of late, and each buyer told, without a dated record that can still be dated, with the command."""
    found = undated(book.collection, book.private, book.ledger, day)
    for (on, told), names in grouped(((one.on, one.told), one.animal) for one in found if one.still).items():
        how = "its buyer was told" if told and len(names) == 1 else "their buyers were told" if told else "handed over"
        what = f"{how} {day_words.on(on)} without a dated record of what was said"
        command = typed(f"stamp --only {','.join(names)} --on {on}")
        yield f"{words.join_and(names)}: {what}; `{command}` makes one"


def after_log(book: Book, log: Sequence[LogRow], day: date) -> Iterator[str]:
    """What `log` adds: what does not fit since its rows stand in the log. Rows of an animal that is not here were asked about."""
    from clutchlight.desk.notices import what_does_not_fit

    before = what_does_not_fit(book.collection, book.private, day, rows=False)
    for said in what_does_not_fit(book.collection, replace(book.private, log=tuple(log)), day, rows=False):
        if said not in before:
            yield as_typed(said)


def _what_does_not_fit(book: Book, day: date) -> Iterator[str]:
    from clutchlight.desk.notices import what_does_not_fit

    found = what_does_not_fit(book.collection, book.private, day)
    yield from map(as_typed, found[:MOST_NAMED])
    if len(found) > MOST_NAMED:
        yield f"{len(found) - MOST_NAMED} more things do not fit; see `{typed('season')}`"


# Before the site goes public


def missing_before_publishing(book: Book) -> tuple[Problem, ...]:
    """Everything of the collection as published, and of the folder that holds it."""
    collection = book.published.collection
    return (*_settings(collection), *_example(collection), *_on_offer(collection), *_repository(book))


def _must(place: Place, message: str) -> Problem:
    return Problem.at(place, "not-ready-to-publish", message)


def _should(place: Place, message: str) -> Problem:
    return Problem.at(place, "better-before-publishing", message, "warning")


def _settings(collection: Collection) -> Iterator[Problem]:
    settings = collection.settings
    if settings.web_address is None:
        said = "`web_address` is missing, so feeds, cards and codes to scan have no address"
        yield _must(
            settings.place, f"{said}; write the one that the site will have: `web_address: https://example.org/snakes/`"
        )
    if not settings.contact:
        yield _must(
            settings.place,
            "`contact` is missing, so nobody can ask for an animal; add your own, under `contact: {mail: …}`",
        )
    elif EXAMPLE_MAIL in settings.contact.values():
        yield _must(settings.place, f"`contact` is still {EXAMPLE_MAIL}, which is nobody's; write your own")
    if settings.name == EXAMPLE_NAME:
        yield _should(settings.place, f"the collection is still called '{EXAMPLE_NAME}'; give it your name")
    if not settings.law:
        yield _should(settings.place, "`law` is missing; say what buyers need to know of permits where you are")


def _example(collection: Collection) -> Iterator[Problem]:
    for name, title in EXAMPLE_ANIMALS.items():
        animal = collection.animals.get(name)
        if animal is not None and animal.name == title:
            said = f"{animal.called} is an animal of the worked example"
            yield _must(animal.place, f"{said}; delete its file, its clutch and its rows in the log before you publish")


def _on_offer(collection: Collection) -> Iterator[Problem]:
    """What those who look at an animal on offer would miss."""
    offered = [one for one in collection.animals.values() if one.status == "available" and one.publish == "page"]
    for what, lacking, remedy in (
        ("no photo", [one for one in offered if not one.photos], "add `photos`"),
        ("no price", [one for one in offered if not one.price], "add `price`, or `price: ask`"),
        ("no sex on record", [one for one in offered if one.sex == "unknown"], "add `sex` once it is known"),
        ("no day of hatching", [one for one in offered if one.hatched is None], "add `hatched`"),
    ):
        if lacking:
            names = words.first_few([one.id for one in lacking])
            verb = "has" if len(lacking) == 1 else "have"
            yield _should(lacking[0].place, f"{names}, on offer, {verb} {what}; {remedy}")


def _repository(book: Book) -> Iterator[Problem]:
    """A collection in a git repository must not lie in a public one."""
    folder = book.folder.resolve()
    if any((place / ".git").exists() for place in (folder, *folder.parents)):
        said = "this folder is in a git repository, which must be a private one, as it holds your sales, log and notes"
        yield _should(Place("collection.yaml"), f"{said}; `explain hosting` says how the site alone is put on a host")
