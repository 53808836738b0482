"""People to tell: buyers whose animal's figure, sex or look changed since they were last told, with a message to paste.

A buyer knows what was said on the day of the hand-over, or when they were told since. What was said on that day and what is said today
are put into words, compared, and written to them.
"""

from __future__ import annotations

from collections.abc import Collection as Collected, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.values import Event, Figure
from clutchlight.ledger.dated_records import said_otherwise
from clutchlight.model import Animal, Clutch, Collection, Correction, Species
from clutchlight.model.ledger import DatedRecord, Ledger
from clutchlight.model.private import Private, Sale
from clutchlight.reading.findings import Findings
from clutchlight.reading.names import Names
from clutchlight.reading.text import WrittenText
from clutchlight.site import addresses
from clutchlight.statements.animals import reviews_near
from clutchlight.statements.answers import Answers, looks_in_order
from clutchlight.statements.asked import Asked, asked_at, computed, stated_in, stated_traits
from clutchlight.statements.changes import label_on, of_no_trait, said_in, stated_surer, surer_in
from clutchlight.statements.family import (
    GENES,
    OF_OTHERS,
    PARENTAGE,
    cause_words,
    corrected_kin,
    corrected_near,
    corrected_words,
    corrections_of,
    event_clutch,
    in_force,
    named_before,
)
from clutchlight.wording import day_words, words
from clutchlight.wording.text import Name, Text, joined, parts_of

_REASON = "The reason: "
_UNKNOWN = "The reason: our records, or the rules by which we reckon, have changed since."
_BESIDES = "Besides, our records of that time, or the rules by which we reckon, have changed since."


class ToldFigure(Struct, frozen=True):
    """The chance that an animal carries a trait, and our words for it ("33% possible het Piebald"). None: under review.

    `shown`: its look tells it. `twice`: the chance of two copies. `count`: the same chance as a count, or "". `surer`: it was said without
    the condition on who sired a clutch that it has by today's records.
    """

    chance: Fraction | None
    words: str
    shown: bool = False
    twice: Fraction = Fraction(0)
    count: str = ""
    surer: bool = False


_NOTHING = ToldFigure(Fraction(0), "nothing said of it")
_NOTHING_SPEAKS = ToldFigure(Fraction(0), "nothing speaks for it")
_REVIEWED = ToldFigure(None, words.UNDER_REVIEW)


class ToldAnimal(Struct, frozen=True):
    """What the records say of an animal on one day. `looks`: None when nobody has looked. `figures`: by trait."""

    sex: str
    looks: tuple[str, ...] | None
    figures: Mapping[str, ToldFigure]

    def chance_of(self, trait: str) -> Fraction:
        return (trait in self.figures and self.figures[trait].chance) or Fraction(0)


class ToldChange(Struct, frozen=True):
    """One thing that reads otherwise now. `about`: sex, look, sire, dam, hatched, or a trait."""

    about: str
    before: str
    now: str

    @property
    def of_figure(self) -> bool:
        return self.about not in ("sex", "look", *PARENTAGE)


class ToTell(Struct, frozen=True):
    """One buyer, one animal. `since`: the day that they know of. `message`: plain text to paste."""

    sale: Sale
    animal: str
    since: date
    changes: tuple[ToldChange, ...]
    message: str


def changes_between(before: ToldAnimal, now: ToldAnimal) -> tuple[ToldChange, ...]:
    """Sex, look, then the figures of the traits that `now` has, in the order of the trait's name.

    What is certain still is another thing to a buyer once the look does not tell it any more.
    """
    found = []
    if before.sex != now.sex:
        found.append(ToldChange("sex", words.sex_words(before.sex), words.sex_words(now.sex)))
    relooked = (before.looks is None, set(before.looks or ())) != (now.looks is None, set(now.looks or ()))
    if relooked:
        found.append(ToldChange("look", looks_words(before.looks), looks_words(now.looks)))
    for trait, new in sorted(now.figures.items()):
        old = before.figures.get(trait, _NOTHING)
        old = _NOTHING if old.chance == 0 else old
        by_look = relooked and old is _NOTHING and new.words == trait
        twice = old.twice != new.twice and not relooked
        changed = old.chance != new.chance or (old.shown and not new.shown) or twice or old.surer
        told = [old.words, new.words]
        if old.words == new.words and isinstance(new.words, words.Label) and not new.words.figure:
            told = words.shares_told([(one.words, one.chance or Fraction(0)) for one in (old, new)], trait)
        if changed and told[0] != told[1] and not by_look:
            found.append(ToldChange(trait, told[0] + old.count, told[1] + new.count))
    return tuple(found)


def _corrected_later(animal: Animal, key: str, day: date) -> str | None:
    """What its record gave for a key on a day, where that was corrected later."""
    later = [one for one in animal.corrections if one.key == key and one.on.last > day]
    return min(later, key=lambda one: one.on).was if later else None


def sex_on(animal: Animal, day: date) -> str:
    """The sex that the record gave on a day, by its corrections: what was corrected later was not known then."""
    return _corrected_later(animal, "sex", day) or animal.sex


def looks_on(animal: Animal, species: Species, day: date) -> tuple[str, ...] | None:
    """The looks that the record gave on a day; one that was corrected later by what is written there, as it is where it names no looks."""
    if (was := _corrected_later(animal, "shows", day)) is not None:
        shown = Names(species).shown([WrittenText.at(was, animal.place)], Findings())
        return looks_in_order(shown.looks, shown.loose, species) if shown.sound else (was,)
    read = animal.reading_on(day)
    return None if read is None or read.shows is None else looks_in_order(read.shows, read.loose, species)


def looks_words(looks: Sequence[str] | None) -> str:
    return "not looked at" if looks is None else " ".join(looks) or "normal"


def message_to(
    collection: Collection, sale: Sale, animal: Animal, since: date, changes: Sequence[ToldChange], because: str | None
) -> str:
    """The message to paste. `because`: what changed it, in a sentence; None where all that is known is that records or rules did."""
    name, species = animal.called, collection.species[animal.species].name
    when, it = sale.handed_over or sale.paid_on, f"{name}, {words.an(species)},"
    day = f" {day_words.on(when)}" if when is not None and not when.open else ""
    told = any(one.on.last == since for one in sale.told_of(animal.id))
    since_then = "since we last wrote" if told else "since then"
    unchanged = "Nothing" if animal.dead else "Nothing about the animal itself has changed, and nothing"
    lines = [
        f"Hello {sale.buyer}," if sale.buyer else "Hello,",
        "",
        f"you took over {it} from us{day}." if sale.handed_over else f"you paid us for {it}{day or ' before now'}.",
        f"What we say of it has changed {since_then}:",
        "",
        *(f"- {_line(change)}" for change in changes),
        "",
    ]
    if reason := _UNKNOWN if because is None else because:
        lines += [reason, ""]
    if collection.settings.web_address and animal.publish == "page":
        page = addresses.absolute(collection.settings.web_address, addresses.animal(animal.id))
        why = "says why, and " if because else ""
        lines += [f"Its page {why}always says what we know: {page}", ""]
    lines.append(f"{unchanged} is asked of you; we only want you to know what we know.")
    if not animal.dead and sale.handed_over is not None and animal.id not in collection.clutches_of:
        lines.append("If you have bred it, or plan to, we would be glad to hear of it.")
    return "\n".join([*lines, "", collection.settings.name])


def _line(change: ToldChange) -> str:
    if not change.of_figure:
        before, now = (said.removeprefix(f"{change.about} ") for said in (change.before, change.now))
        return f"{change.about}: we said {before}; it is {now}."
    return f"{change.about}: then {change.before}; now {change.now}."


def now_words(change: ToldChange) -> str:
    """ "now 50% possible het Piebald (1 in 2)", "now male", "look: now Pastel"."""
    named = change.about == "sex" or change.about in change.now
    return f"now {change.now}" if named else f"{change.about}: now {change.now}"


def told_line(one: ToTell, day: date) -> str:
    """Where to write that a buyer was told, and what; of which animal where the sale has others."""
    of = f", animals: [{one.animal}]" if len(one.sale.animals) > 1 else ""
    entry, at = f"{{on: {day}, about: ...{of}}}", f"in {one.sale.place.file}, line {one.sale.place.line}:"
    return f"{at} add {entry} to its list `told`" if one.sale.told else f"{at} told: [{entry}]"


# What the records say


def buyers_to_tell(answers: Answers, private: Private, ledger: Ledger, day: date) -> tuple[ToTell, ...]:
    """The buyers whose animal reads otherwise now than what was said on the day that they know of, each with a message to paste.

    What was said is what the records give for that day; where they were edited since, what the dated record in force on that day says
    of whatever nothing moved in between, but for one older than the last word to them, which may have told of the edit, unless a
    correction is younger; and, while the hand-over is the last they heard, a figure that was typed (`stated`). Of several dated records
    of the day of the hand-over the first counts: what came after it they may not know. A change of figure counts where the trait is
    mentioned on either day: not for small chances, nor for background alone.
    """
    told = _told_since(answers.collection, private, day)
    found = (_to_tell(answers, ledger, sale, animal, since, day) for sale, animal, since in told)
    return tuple(sorted(dict.fromkeys(filter(None, found)), key=lambda one: (one.since, one.animal)))


def _told_since(collection: Collection, private: Private, day: date) -> Iterator[tuple[Sale, Animal, date]]:
    """Every animal that a buyer has, or has paid for while it is here, and the day up to which they were told."""
    for sale in private.sales:
        for animal in (collection.animals[name] for name in sale.animals):
            since = sale.knows_since(day, animal.id)
            if since is not None and (sale.handed_over or animal.away is None):
                yield sale, animal, since


def changed_since_hand_over(
    answers: Answers, ledger: Ledger, sale: Sale, animal: Animal, day: date
) -> tuple[ToldChange, ...]:
    """What reads otherwise on a day than it was said when an animal was handed over, whatever the buyer was told since."""
    if sale.handed_over is None or sale.handed_over.last >= day:
        return ()
    found = _to_tell(answers, ledger, sale, animal, sale.handed_over.last, day)
    return found.changes if found else ()


def not_known(
    answers: Answers, private: Private, ledger: Ledger, day: date, tell: Sequence[ToTell]
) -> Iterator[tuple[date, str]]:
    """The animals of which what their buyers were told stands in no dated record, while a record that may bear on it was corrected later,
    with the last day of that; not those of `tell`, told anew by what the records give now for that day."""
    listed = {(one.sale, one.animal) for one in tell}
    for sale, animal, since in _told_since(answers.collection, private, day):
        told = any(one.on.last == since for one in sale.told_of(animal.id))
        if not told or (sale, animal.id) in listed:
            continue
        corrected = [one.on.last for one in _kin(answers).get(animal.id, ()) if since < one.on.last <= day]
        if corrected and not any(one.on == since for one in ledger.of(*animal.was, animal.id)):
            yield max(corrected), animal.id


def _to_tell(answers: Answers, ledger: Ledger, sale: Sale, animal: Animal, since: date, day: date) -> ToTell | None:
    """What a buyer who knows what was said of an animal on one day (`since`) is to be told of it."""
    typed = sale.handed_over is not None and since == sale.handed_over.last
    loci = {locus.key for locus in answers.loci(animal.species)}
    near = [one for *_, one in corrected_near(answers.collection, animal, loci)]
    corrected = [(one.on.last, one.key) for one in (*corrections_of(answers.collection, animal), *near)]
    records = ledger.of(*animal.was, animal.id)
    if typed and not any(one.on.last == since for one in sale.told_of(animal.id)):
        first = next((one for one in records if one.on == since), None)
        records = tuple(one for one in records if one.on != since or one is first)
    kin = _kin(answers).get(animal.id, ())
    later = any(on > since for on in (*(on for on, _ in corrected), *(one.on.last for one in kin)))
    heard = typed or later or any(one.on == since for one in records)
    dated = _dated(records, [on for on, key in corrected if key != "sex"], since) if heard else None
    before = _said_on(answers, animal, since, dated, typed=typed)
    spoken = [row for row in _spoken(answers, animal, before, dated) if dated is not None or not row[0].under_review]
    looks = _not_reviewed(answers, animal, looks_on(animal, answers.species_of(animal), date.max), dated)
    gone = [row.trait for row, _ in of_no_trait(dated, answers.species_of(animal))] if dated else []
    lost = [trait for trait in gone if before.chance_of(trait) >= answers.collection.settings.mention_from]
    figures = {asked.trait: _carried(asked, figure) for asked, figure in spoken}
    now = ToldAnimal(animal.sex, looks, {**dict.fromkeys(lost, _NOTHING_SPEAKS), **figures})
    changes = (*_parentage(answers, animal, since, day, dated), *changes_between(before, now))
    if not changes:
        return None
    traits = [asked for asked, _ in spoken]
    about = {change.about for change in changes}
    because = _because(answers, animal, since, traits, sale.buyer, about)
    told_all = all(change.now == words.UNDER_REVIEW for change in changes)
    edited = not told_all and dated is not None and _edited_since(answers, animal, dated)
    if edited and because.startswith(_REASON) and not any(on > since and key in GENES for on, key in corrected):
        because += f" {_BESIDES}"
    message = message_to(answers.collection, sale, animal, since, changes, because or (None if edited else ""))
    return ToTell(sale, animal.id, since, changes, message)


def _kin(answers: Answers) -> Mapping[str, tuple[Correction, ...]]:
    """By animal, the corrections of whatever shares an ancestor with it."""
    collection = answers.collection
    records: list[Animal | Clutch] = [*collection.animals.values(), *collection.clutches.values()]
    return answers.once(("corrected kin",), lambda: corrected_kin(collection, records))


def _dated(records: Sequence[DatedRecord], corrected: Sequence[date], since: date) -> DatedRecord | None:
    """The dated record that says what was said on a day: the one in force then; where a correction lies between the two, the next one,
    if none lies between."""
    earlier = [one for one in records if one.on <= since]
    if not earlier or not any(earlier[-1].on < day <= since for day in corrected):
        return earlier[-1] if earlier else None
    after = next((one for one in records if one.on > since), None)
    return None if after is None or any(since < day <= after.on for day in corrected) else after


def _parentage(
    answers: Answers, animal: Animal, since: date, day: date, dated: DatedRecord | None
) -> tuple[ToldChange, ...]:
    """Its parents and its day of hatching where they were corrected since, or the dated record of that day has others."""
    clutch = answers.collection.clutches.get(animal.clutch or "")
    sires = answers.males(clutch) if clutch is not None else [animal.sire] if animal.sire else []
    now = {
        "sire": words.join_or([_called(answers, str(sire)) for sire in sires]),
        "dam": _called(answers, answers.dam_of(animal) or ""),
        "hatched": day_words.when(animal.hatched) if animal.hatched else "",
    }
    corrected = corrections_of(answers.collection, animal)
    later = {one.key: one for one in reversed(corrected) if one.key in PARENTAGE and since < one.on.last <= day}
    before = {key: _was(answers, one) for key, one in later.items()}
    if dated is not None:
        told = {one.key for one in corrected if dated.on <= one.on.last <= since}
        stated, otherwise = dated.figures.parents, said_otherwise(answers.inferred, animal, dated)
        named = bool(stated.sires) and all(one.id for one in stated.sires)
        held = {"sire": named, "dam": stated.dam, "hatched": dated.figures.hatched}
        for key in (key for key in PARENTAGE if held[key] and key not in told):
            was = [_called(answers, day_words.as_read(one)) for one in otherwise.get(key, ())]
            before[key] = words.join_or(was) or now[key]
    return tuple(
        ToldChange(key, before[key], now[key] or "not on record")
        for key in PARENTAGE
        if key in before and before[key] != now[key]
    )


def _was(answers: Answers, one: Correction) -> str:
    """What a record said, of others each that it named."""
    if one.key not in OF_OTHERS:
        return day_words.as_read(one.was)
    each = named_before(answers.collection, one)
    return words.join_or(list(dict.fromkeys(_called(answers, ident or name) for name, ident in each)))


def _called(answers: Answers, name: str) -> str:
    """Another with its name, for somebody who knows no ids; as it is written where that is no id."""
    known = name in answers.collection.animals or name in answers.collection.clutches
    return with_names(answers, answers.named(name)) if known else name


def _spoken(
    answers: Answers, animal: Animal, before: ToldAnimal, dated: DatedRecord | None
) -> list[tuple[Asked, Figure]]:
    """The traits to compare, with today's figure of each; also of those of which the dated record alone speaks."""
    least = answers.collection.settings.mention_from
    in_play = {locus.key for locus in answers.loci(animal.species)}
    alone = [one for one in stated_traits(dated, answers, animal) if one.locus.key not in in_play] if dated else []
    return [
        (asked, now)
        for asked in (*computed(answers, animal), *alone)
        if isinstance(now := asked.figure, Figure)
        and max(before.chance_of(asked.trait), carries := now.carries(asked.allele)) >= least
        and not (carries and asked.background_only)
    ]


def _said_on(answers: Answers, animal: Animal, day: date, dated: DatedRecord | None, *, typed: bool) -> ToldAnimal:
    """What was said of an animal on a day: each trait that it may carry. `dated`: the record in force then. `typed`: whether the figures
    typed for it were part of that."""
    figures: dict[str, ToldFigure] = {}
    species = answers.species_of(animal)
    sex, shows = sex_on(animal, day), looks_on(animal, species, day)
    spoken: list[str] = []
    if dated is not None and sex == sex_on(animal, dated.on):
        sex = dated.figures.sex
    if dated is not None and _edited_since(answers, animal, dated):
        shows = dated.figures.looks if shows == looks_on(animal, species, dated.on) else shows
        spoken = [key for key in species.loci if in_force(answers, animal, key, dated, day)]
        for asked in stated_traits(dated, answers, animal):
            if asked.locus.key in spoken:
                figures[asked.trait] = _in_record(asked, dated, day)
        for row, label in of_no_trait(dated, species):
            figures[row.trait] = ToldFigure(row.carries, label)
        for key in dated.figures.under_review:
            figures |= dict.fromkeys(species.loci[key].alleles if key in spoken else (), _REVIEWED)
    for asked, figure in _may_carry(answers, animal, day):
        if asked.locus.key not in spoken:
            figures[asked.trait] = _carried(asked, figure, day)
    said = ToldAnimal(sex, _not_reviewed(answers, animal, shows, dated), figures)
    typed_for_it = {
        stated.trait: _as_typed(stated.chance, ours)
        for stated in (animal.stated if typed else ())
        if (ours := said.chance_of(stated.trait)) != stated.chance
    }
    return replace(said, figures={**figures, **typed_for_it})


def _as_typed(chance: Fraction, ours: Fraction) -> ToldFigure:
    gave = words.percent_text(ours) if ours else "nothing"
    return ToldFigure(chance, f"{words.percent_text(chance)}, as typed for it where our records gave {gave}")


def _not_reviewed(
    answers: Answers, animal: Animal, looks: tuple[str, ...] | None, dated: DatedRecord | None
) -> tuple[str, ...] | None:
    """The looks, without those that are under review or were in a dated record: these are told with their traits."""
    aside = {*answers.collection.set_aside(animal), *(dated.figures.under_review if dated is not None else ())}
    at = answers.species_of(animal).locus_of_look
    return None if looks is None else tuple(look for look in looks if aside.isdisjoint(at.get(look, ())))


def _edited_since(answers: Answers, animal: Animal, record: DatedRecord) -> bool:
    """Whether the present records give another look, other figures or a condition more for the day of a dated record than it holds."""
    stated = {(row.locus, row.trait): tuple(row.copies.values()) for row in record.figures.traits}
    given = {
        (asked.locus.key, asked.trait): figure.copies(asked.allele)
        for asked, figure in _may_carry(answers, animal, record.on)
    }
    looks = "shows" in said_otherwise(answers.inferred, animal, record)
    return stated != given or looks or stated_surer(record, answers, animal)


def _may_carry(answers: Answers, animal: Animal, day: date) -> Iterator[tuple[Asked, Figure]]:
    """Each trait that an animal may carry by what was known on a day."""
    for locus in answers.loci(animal.species):
        figure = answers.inferred.at(animal.id, locus.key, day)
        if isinstance(figure, Figure):
            every = asked_at(answers, animal, locus)
            yield from ((asked, figure) for asked in every if figure.carries(asked.allele))


def _in_record(asked: Asked, record: DatedRecord, day: date) -> ToldFigure:
    """A trait of the dated record in force on a day, in words."""
    figure, label = said_in(record, asked, day)
    shown, carries = stated_in(record, asked)[2], figure.carries(asked.allele)
    twice, surer = figure.copies(asked.allele)[2], surer_in(record, asked)
    return ToldFigure(carries, label, shown, twice, _count(carries, label), surer)


def _carried(asked: Asked, figure: Figure, day: date | None = None) -> ToldFigure:
    """A chance in the words of a statement of a day, on what it rested; today's say as well that it is under review."""
    carries = figure.carries(asked.allele)
    if day is None and asked.under_review:
        return _REVIEWED
    if not carries:
        return ToldFigure(carries, "ruled out") if asked.ruled_out else _NOTHING_SPEAKS
    shown, twice = asked.shown_in(figure), figure.copies(asked.allele)[2]
    if day is not None:
        label = label_on(asked, figure, day)
    else:
        label = asked.label(figure, asked.certain_by if carries == 1 and not shown else None)
    return ToldFigure(carries, label, shown, twice, _count(carries, label))


def _count(carries: Fraction, label: words.Label) -> str:
    """The chance as a count, where the words name no other one."""
    plain = label.figure == words.percent_text(carries) and carries.denominator <= words.PLAIN_UP_TO
    return f" ({words.in_count(carries)})" if plain and carries < 1 else ""


def _because(
    answers: Answers,
    animal: Animal,
    since: date,
    traits: Sequence[Asked],
    buyer: str | None,
    about: Collected[str],
) -> str:
    """What was recorded or corrected since that changed it, in a sentence or two; "" where nothing is known to have.

    A clutch of which the buyer told us is called so, after it. `about`: what the message tells of.
    """
    causes: dict[Text, None] = {}
    moved: dict[Event, list[Asked]] = {}
    rests = False
    for asked in traits:
        before = None
        if asked.under_review:
            reason = answers.collection.set_aside(animal)[asked.locus.key].rstrip(".")
            causes |= dict.fromkeys([Text(reason)] if reason and asked.trait in about else [])
            continue
        for event, figure in asked.history:
            carries = figure.copies(asked.allele)
            ours = event is not None and (asked.trait in about or ("look" in about and asked.reads(event)))
            if event is not None and ours and event.on > since and carries != before:
                moved.setdefault(event, []).append(asked)
                rests |= bool(asked.unexpected(event.on))
            before = carries
    for event, every in moved.items():
        clutch = event_clutch(answers, event)
        told = " (as you told us)" if clutch and buyer and clutch.reported_by == buyer else ""
        for first, *others in [every] if clutch else [[one] for one in every]:
            causes[Text(cause_words(first, event, others), told)] = None
    why = [f"{_REASON}{with_names(answers, joined('; ', list(causes)))}."] if causes else []
    why += [f"This rests on {words.UNEXPECTED}."] if rests else []
    clutch = answers.collection.clutches.get(animal.clutch or "")
    corrections = [(f"its {corrected_words(one.key)}", one) for one in animal.corrections]
    corrections += [(f"`{one.key}` of its clutch", one) for one in (clutch.corrections if clutch is not None else ())]
    loci = {asked.locus.key for asked in traits if asked.trait in about}
    corrections += [
        (f"the {corrected_words(one.key)} of {near.called}", one)
        for near, _, one in corrected_near(answers.collection, animal, loci)
    ]
    corrected = [
        f"{words.clause(day_words.on(one.on))} we corrected {what} from {_was(answers, one)}: {one.because}."
        for what, one in corrections
        if one.told and one.on.last > since
    ]
    last = max((one for one in animal.corrections if one.key == "sex"), key=lambda one: one.on, default=None)
    if last is not None and "sex" in about and last.on.last <= since:  # a dated record tells that it was made later
        corrected.append(f"We have since corrected its sex from {last.was}: {last.because}.")
    reviews = [] if why or corrected else [with_names(answers, one) for one in reviews_near(answers, animal, loci)]
    return " ".join((*why, *corrected, *reviews))


def with_names(answers: Answers, text: str) -> str:
    """The sentence with the names of animals beside their ids, for somebody who knows no ids."""
    animals = answers.collection.animals

    def called(part: str) -> str:
        record = animals.get(part) if isinstance(part, Name) else None
        return record.called if record and answers.listed(part) else part

    return "".join(map(called, parts_of(text)))
