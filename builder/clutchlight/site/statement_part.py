"""From an animal's statement to the words on its page: shown, certain, possible, why, and what became of each figure.

No figure is computed here and none is reworded: percentages, labels and sentences come from the statement as they are. Words of the trade
are explained where they first stand on a page.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from fractions import Fraction

from markupsafe import Markup

from clutchlight.drawing import chances
from clutchlight.drawing.chances import StepPoint
from clutchlight.model import Animal, Clutch, Inheritance, Species
from clutchlight.model.animals import Correction
from clutchlight.model.as_published import is_unlisted
from clutchlight.model.traits import grouped
from clutchlight.reference import meaning
from clutchlight.site.context import Context
from clutchlight.site.corrections import told_of
from clutchlight.site.drawings import chance_drawing, chart_of
from clutchlight.site.parts import (
    DatedLine,
    Drawing,
    History,
    HistoryRow,
    Link,
    Reason,
    Statement,
    Timeline,
    TimelineEntry,
    TraitLine,
    Word,
)
from clutchlight.statements.changes import Course, Moment, TimelineRow, before_any, begins_with
from clutchlight.statements.family import GENES, corrections_of
from clutchlight.statements.values import AnimalStatement, Certainty, Note, StatementLine, TraitAtTime, TraitStatement
from clutchlight.wording import day_words
from clutchlight.wording.text import Name, Text, joined, phrase
from clutchlight.wording.words import (
    CARRIES_TWO,
    HET,
    POSSIBLE_HET,
    POSSIBLE_HET_OR_VISUAL,
    POSSIBLE_VISUAL,
    Label,
    clause,
    join_and,
    join_or,
    percent,
    percent_text,
    sentence,
    shares_told,
    sired_it,
)

NOTE_HEADINGS = {
    "proven": "what proved it",
    "open": "still open",
    "unlikely": "unlikely",
    "withdrawn": "after a record was taken back",
    "which-parent": "two may carry it, and the clutch does not say which",
    "claim-in-doubt": "what was said is in doubt",
    "surprise": "an unexpected result",
    "settle": "what would settle it",
}
_CERTAIN, _RULED_OUT = "certain, on one condition", "now ruled out"
_BEFORE, _SMALL = "recorded earlier", "a small chance"
_GROUNDS = {
    "parentage": "certain by its parents",
    "test": "certain by a test",
    "background": "background only: how common the trait is; nothing in its own family speaks for it",
}


def statement_part(context: Context, page: str, stated: AnimalStatement, explained: Explained) -> Statement:
    """The statement block of an animal's page. `explained`: what the page has explained before it."""
    drawn = iter(range(1, 1 + len(stated.traits)))

    def lines(found: Iterator[StatementLine], *, drawing: bool = False) -> tuple[TraitLine, ...]:
        return tuple(
            trait_line(context, page, stated, line, explained, f"chance-{next(drawn)}" if drawing else None)
            for line in found
        )

    return Statement(
        shows=(*lines(line for line in stated.lines if _shown(line)), *_without_figures(context, page, stated)),
        certain=lines(_under("certain", stated)),
        taken=lines(_under("taken as certain", stated)),
        possible=lines(_under("possible", stated), drawing=True),
        small=lines(iter(stated.small_chances)),
        together=tuple(together(stated)),
        review=context.all_linked(page, stated.reviews),
        nothing_more=context.linked(page, joined(" ", stated.silences)),
        overlooked=stated.overlooked,
        since=_since(context, stated),
    )


def together(stated: AnimalStatement) -> Iterator[str]:
    """ "Of every 9 snakes like this one, 4 carry both, 4 only one, 1 neither."; of which traits, where more are listed."""
    listed = {trait.trait for line in _under("possible", stated) for trait in line.traits}
    for one in stated.together:
        of = "" if listed == set(one.traits) else f"{join_and(one.traits)} together: "
        yield sentence(f"{of}{one.words}")


def _since(context: Context, stated: AnimalStatement) -> str | None:
    """When what the page says of its genes was last another."""
    days = [(one.on, "correction") for one in _corrected(context, stated)]
    last = next(iter(context.past.changes.of_animal.get(stated.id, ())), None)
    if last is not None and not last.dated:
        return None
    days += [(last.when, "record")] if last is not None else []
    elsewhere = [one.on for one in context.corrected_kin.get(stated.id, ())]
    if not days or max(elsewhere, default=max(days)[0]) > max(days)[0]:
        return None
    when, what = max(days)
    return f"The last {what} that changed what we say of its genes is of {day_words.when(when)}."


def _corrected(context: Context, stated: AnimalStatement) -> list[Correction]:
    """The corrections of its parents and looks, in its record or that of its clutch."""
    every = corrections_of(context.collection, context.collection.animals[stated.id])
    return [one for one in every if one.key in GENES]


def trait_line(
    context: Context,
    page: str,
    stated: AnimalStatement,
    line: StatementLine,
    explained: Explained,
    prefix: str | None = None,
) -> TraitLine:
    """One line: the percentage apart from the words, so that a theme can set it large. `prefix`: draw the chance, with these ids."""
    first, label = line.traits[0], line.label
    counted = line.certainty == "possible"
    grounds = _grounds(context, page, stated, line)
    if grounds and first.stands_on.kind in ("proven", "parentage") and label.condition:
        label, grounds = label.only_on(), Markup(", ").join((grounds, context.linked(page, _condition(line))))
    return TraitLine(
        label=label,
        figure=label.figure or None,
        rest=label.without_figure,
        href=context.trait_href(page, stated.species, first.locus),
        beside=first.count if first.leans else None,
        grounds=grounds or (context.linked(page, phrase("since {}", first.cause)) if prefix and first.cause else None),
        counted=first.snakes if prefix and counted else None,
        drawing=chance_drawing(first, prefix) if prefix and counted else None,
        words=explained.first(*words_of(line)),
    )


def _without_figures(context: Context, page: str, stated: AnimalStatement) -> Iterator[TraitLine]:
    """What it shows that has no figure: line-bred looks, those whose inheritance is not known, and those of which none is computed."""
    species, missing = context.species(stated.species), {one.locus for one in stated.not_computed}
    for look in stated.looks or ():
        loci = [species.loci[key] for key in species.locus_of_look.get(look, ())]
        if loci and not any(locus.inheritance.computed for locus in loci):
            href = context.trait_href(page, stated.species, loci[0].key)
            how = "line-bred" if loci[0].inheritance is Inheritance.LINE_BRED else "how it is inherited is not known"
            yield TraitLine(look, None, look, href, None, f"{how}: no figure")
        elif loci and missing.issuperset(locus.key for locus in loci):
            yield TraitLine(look, None, look, context.trait_href(page, stated.species, loci[0].key), None, None)


def _grounds(context: Context, page: str, stated: AnimalStatement, line: StatementLine) -> str | None:
    first = line.traits[0]
    if first.shows or first.under_review:
        return None
    whose = () if stated.id in first.rests_on else first.rests_on
    if line.certainty == "taken as certain" and first.stands_on.kind == "claim" and whose:
        return context.linked(page, phrase("by what was said of {}", join_and(list(map(Name, whose)))))
    if first.stands_on.kind == "proven":
        by, how = first.stands_on.proven_by, "by" if first.if_sired else "proven by"
        if by is None or not (context.has_clutch_page(by) or context.may_name(by)):
            return f"{how} a later record"
        if by == stated.id:
            return f"{how} its own {'test' if first.by_test else 'look'}"
        of = "clutch " if context.has_clutch_page(by) else "a test of " if first.by_test else ""
        return context.linked(page, Text(how, " ", of, Name(by)))
    if line.certainty == "taken as certain" and first.stands_on.kind == "parentage":
        return "by its parents"
    return _GROUNDS.get(first.stands_on.kind)


def _shown(line: StatementLine) -> bool:
    return any(trait.shows for trait in line.traits) and not line.traits[0].under_review


def said_lines(stated: AnimalStatement) -> tuple[StatementLine, ...]:
    """The lines that cards and lists have beside the look."""
    return tuple(line for line in stated.lines if not _shown(line) and not line.traits[0].under_review)


def _under(heading: Certainty, stated: AnimalStatement) -> Iterator[StatementLine]:
    return (line for line in said_lines(stated) if line.certainty == heading)


def words_under(heading: Certainty, stated: AnimalStatement) -> tuple[Label, ...]:
    """What stands under a heading beyond the look, one label each, for cards and lists."""
    return tuple(line.label for line in _under(heading, stated))


def _condition(line: StatementLine) -> str:
    """The condition of a line, behind what proved it."""
    return sired_it(line.label.condition, line.traits[0].stands_on.proven_by)


def certain_with_grounds(context: Context, page: str, stated: AnimalStatement) -> tuple[Markup, ...]:
    """What is certain, with what proved it: "het Piebald, proven by C25-02"."""
    found = []
    for line in _under("certain", stated):
        proven = line.traits[0].stands_on.kind in ("proven", "test")
        grounds = _grounds(context, page, stated, line) if proven else None
        parts = (line.label.only_on(), grounds, _condition(line)) if grounds else (line.label,)
        found.append(Markup(", ").join(context.all_linked(page, filter(None, parts))))
    return tuple(found)


def reasons(context: Context, page: str, stated: AnimalStatement) -> tuple[Reason, ...]:
    """Why each line is believed, and what the seller said."""
    seller = (Reason(one.heading, (context.linked(page, one.text),)) for one in stated.compared)
    return (*grounds(context, page, stated), *seller)


def grounds(context: Context, page: str, stated: AnimalStatement) -> Iterator[Reason]:
    """Why each line is believed. That it shows a trait, and the count of snakes, stand above and are not said again.

    What tells of several alleles of one locus stands under the first of them.
    """
    said: set[tuple[str, str]] = set()
    for line in stated.lines:
        told = {(trait.locus, text): text for trait in line.traits for text in trait.because}
        texts = dict.fromkeys(text for key, text in told.items() if key not in said)
        said.update(told)
        derived = tuple(dict.fromkeys(text for trait in line.traits for text in trait.derived))
        if texts or derived:
            yield Reason(line.label, context.all_linked(page, texts), derived=derived)


def unexpected(context: Context, page: str, notes: Iterable[Note]) -> tuple[Reason, ...]:
    return tuple(Reason(f"{note.trait}, unexpected", context.all_linked(page, [sentence(note.text)])) for note in notes)


def notes(context: Context, page: str, stated: AnimalStatement) -> tuple[Reason, ...]:
    """What happened to the figures since, in order.

    An unexpected result stands with the statement instead, and a proof among the grounds.
    """
    proofs = {(trait.trait, trait.stands_on.proven_by) for trait in stated.traits if not trait.shows}
    notes = grouped(
        (_heading(note, stated, context.collection.settings.doubt_below), note.text)
        for note in stated.notes
        if note.kind != "surprise"
        and not ((note.kind == "proven" or note.after == 1) and (note.trait, note.cause) in proofs)
    )
    return tuple(Reason(heading, context.all_linked(page, texts)) for heading, texts in notes.items())


def _heading(note: Note, stated: AnimalStatement, doubt_below: Fraction) -> str:
    """The trait, those that stand like it, and the kind, by how the question stands now: what was settled since is no longer open."""
    trait = stated.trait(note.trait)
    now = trait.carries if trait else Fraction(0)
    stands = "unlikely" if 0 < now < doubt_below else "open" if 0 < now < 1 else "settled"
    kind = NOTE_HEADINGS[note.kind]
    if note.kind == "open" and note.after == 1 and trait and trait.certainty == "taken as certain":
        kind = _CERTAIN
    elif note.ruled_out and not now:
        kind = _RULED_OUT
    elif now != 1 and (note.kind == "proven" or note.after == 1):
        kind = _BEFORE
    elif note.kind in ("open", "unlikely", "which-parent") and stands not in (note.kind, *_ALSO.get(note.kind, ())):
        kind = _SMALL if stands == "unlikely" and note.after == now else _BEFORE
    alike = [one for one in note.beside if bool(stated.trait(one)) == bool(trait)]
    return f"{join_and([note.trait, *alike])}: {kind}"


_ALSO = {"which-parent": ("open", "unlikely")}


def history(context: Context, page: str, stated: AnimalStatement) -> History | None:
    """When hatched, when sold, and now; None where nothing changed since it hatched, and nobody bought it."""
    least = context.collection.settings.mention_from
    traits = [trait for trait in (*stated.traits, *stated.ruled_out) if not trait.under_review]
    told = [trait for trait in traits if trait.mentioned or trait in stated.ruled_out or _was_mentioned(trait, least)]
    other = _said_otherwise(context, stated)
    if not other and not any(trait.when_hatched or trait.when_sold for trait in told):
        return None
    sold = any(trait.when_sold for trait in told)
    rows, small_ones_changed = [], False
    for trait in traits:
        cells = [_at_first(context, stated, trait), *([_when_sold(context, stated, trait)] if sold else []), trait.now]
        if trait in told:
            href = context.trait_href(page, stated.species, trait.locus)
            if trait.either:
                then = [trait.when_hatched, *([trait.when_sold] if sold else [])]
                chances = [*(one.carries if one else Fraction(0) for one in then), trait.carries]
                cells = shares_told([*zip(cells, chances, strict=True)], trait.trait)
            rows.append(HistoryRow(Link(trait.trait, href), tuple(cells), changed=cells[-2] != cells[-1]))
        else:
            small_ones_changed |= len({*cells}) > 1
    left = context.collection.animals[stated.id].passed_on
    moments = [("hatched", stated.hatched), *([(left.how, stated.sold_on)] if sold and left is not None else [])]
    days = [(how, f", {day_words.month_or_less(day)}" if day else "") for how, day in moments]
    then_words = [f"when {how}{day}" for how, day in days]
    since = [f"when it {'' if how == 'hatched' else 'was '}{how}{day}" for how, day in days]
    same = all(len(set(row.cells)) == 1 for row in rows)
    if same and not (sold or other or small_ones_changed):
        return None
    apart = "apart from small chances, " if small_ones_changed else ""
    by, is_the_same = (
        ("by today's records, ", "now is what we would have said")
        if other or (sold and _corrected_without_a_dated_record(context, stated))
        else ("", "is the same now as")
    )
    told_now = sentence(f"{by}{apart}what we say of its genes {is_the_same} {', and '.join(since)}")
    return History(
        (*(clause(one) for one in then_words), "Now"),
        () if same else tuple(rows),
        f"{other}{told_now} " if same else other,
    )


def _said_otherwise(context: Context, stated: AnimalStatement) -> str:
    """That something else was said, by a dated record or before a correction, than today's records give."""
    now = {(trait.locus, trait.trait): trait.carries for trait in stated.traits if trait.carries}
    others = {
        row.verdict
        for row in context.past.dated.get(stated.id, ())
        if row.verdict != "as stated"
        and {(one.locus, one.trait): one.carries for one in row.record.figures.traits if one.carries} != now
    }
    if others == {"rules"}:
        return "Before our rules changed we said something else. "
    if not others and not _corrected(context, stated):
        return ""
    what = "records" if _corrected(context, stated) else "records or settings"
    return f"Before our {what} were changed we said something else. "


def _corrected_without_a_dated_record(context: Context, stated: AnimalStatement) -> bool:
    """Whether a relative's record was corrected since it was sold, and no dated record of that time holds what was said."""
    day = stated.sold_on.last if stated.sold_on else date.max
    kin = context.corrected_kin.get(stated.id, ())
    dated = (row.record.on for row in context.past.dated.get(stated.id, ()))
    return any(one.on.last > day for one in kin) and not any(on <= day for on in dated)


def _was_mentioned(trait: TraitStatement, least: Fraction) -> bool:
    """Whether a chance that is folded away now was none to fold away when the animal hatched or was sold."""
    then = (trait.when_hatched, trait.when_sold)
    return any(one.carries >= least and one.carries != trait.carries for one in then if one)


def _at_first(context: Context, stated: AnimalStatement, trait: TraitStatement) -> str:
    """What was said when it hatched, on the conditions of that day."""
    course = _course(context, stated, trait)
    begins = course is not None and begins_with(context.collection.animals[stated.id], course)
    return _then(trait.when_hatched, trait.trait, course.moments[0] if course and begins else None)


def _when_sold(context: Context, stated: AnimalStatement, trait: TraitStatement) -> str:
    """What was said when it was sold: as its dated record of that day has it, else on the conditions of that day."""
    course, sold = _course(context, stated, trait), stated.sold_on
    if course is None or sold is None:
        return _then(trait.when_sold, trait.trait)
    verdicts = {row.verdict for row in context.past.dated.get(stated.id, ()) if row.record.on <= sold.last}
    until = [moment for moment in course.moments if moment.event is None or moment.event.on <= sold.last]
    said = not verdicts or (verdicts == {"as stated"} and until and until[-1].excluded)
    return _then(trait.when_sold, trait.trait, until[-1] if until and said else None)


def _course(context: Context, stated: AnimalStatement, trait: TraitStatement) -> Course | None:
    courses = context.past.changes.courses.get(stated.id, ())
    return next((one for one in courses if (one.locus, one.trait) == (trait.locus, trait.trait)), None)


def _then(standing: TraitAtTime | None, trait: str, moment: Moment | None = None) -> str:
    """A figure of a past day, with the conditions of that moment of its course; none where records contradicted each other then."""
    if standing is None:
        return "no figure"
    if moment and moment.excluded and not standing.carries:
        return "ruled out"
    label = moment.label if moment and moment.carries == standing.carries else None
    return (label if isinstance(label, Label) and label else standing.label).beside(trait)


_TODAY = {
    "as stated": "Our records give the same for that day today.",
    "records": "Records or settings were added or edited since; by them we would now state something else for that day.",
    "rules": "Rules changed: the program or the trait file is another today, and says something else of that day.",
}


def dated_lines(context: Context, animal: str) -> tuple[DatedLine, ...]:
    """The dated records of an animal, newest first."""
    return tuple(
        DatedLine(
            when=day_words.day(row.record.on),
            code=row.record.short_code,
            said=row.said,
            today=_TODAY[row.verdict],
            differs=row.verdict != "as stated",
        )
        for row in reversed(context.past.dated.get(animal, ()))
    )


def timeline_of_animal(context: Context, page: str, animal: str) -> Timeline | None:
    """None where there is nothing but a hatching, or neither a figure nor a correction."""
    rows, told = context.past.animals.get(animal, ()), told_of(context, context.collection.animals[animal])
    if len(rows) + len(told) < 2 or not (told or any(row.figures for row in rows)):
        return None
    courses = context.past.changes.courses.get(animal, ())
    entries = _entries(context, page, rows, context.collection.animals[animal])
    return Timeline(entries, tuple(_drawings(context, courses)))


def timeline_of_clutch(context: Context, page: str, clutch: str) -> Timeline | None:
    """A clutch has no figure of its own, and so no drawing."""
    rows = context.past.clutches.get(clutch, ())
    return Timeline(_entries(context, page, rows, context.collection.clutches[clutch]), ()) if rows else None


def _entries(
    context: Context, page: str, rows: Sequence[TimelineRow], record: Animal | Clutch
) -> tuple[TimelineEntry, ...]:
    """The rows, and each correction that the page tells before what came later."""
    every = list(rows)
    for whose, one in told_of(context, record):
        place = next((at for at, row in enumerate(every) if row.on and row.on.first > one.on.last), len(every))
        every.insert(place, TimelineRow(one.on, sentence(f"{whose} was corrected: from {one.before} to {one.after}")))
    return tuple(
        TimelineEntry(
            when=(day_words.when(row.on) if row.dated else "Without a day") if row.on else "Before any date",
            what=context.linked(page, row.what),
            figures=context.all_linked(page, row.figures),
        )
        for row in every
    )


def _drawings(context: Context, courses: Sequence[Course]) -> Iterator[Drawing]:
    moving = [course for course in courses if len({moment.carries for moment in course.moments}) > 1]
    for number, course in enumerate(moving, start=1):
        points = tuple(
            StepPoint(
                date=_when(moment),
                percent=percent(moment.carries),
                words=moment.cause or before_any(context.collection, course),
                said=percent_text(moment.carries)
                if moment.carries
                else "ruled out"
                if moment.excluded
                else "nothing said",
            )
            for moment in course.moments
        )
        yield Drawing(chances.steps, (points, f"{course.trait}, step by step", f"steps-{number}"))


def _when(moment: Moment) -> str:
    if moment.event is None or moment.when is None:
        return "at first"
    return "without a day" if is_unlisted(moment.event.subject) else day_words.short_when(moment.when)


# Words of the trade

_OF_LEAD = {
    HET: "het",
    POSSIBLE_HET: "possible het",
    POSSIBLE_HET_OR_VISUAL: "het or visual",
    POSSIBLE_VISUAL: "visual",
    CARRIES_TWO: "two copies",
}


class Explained:
    """The words that a page has explained so far."""

    def __init__(self) -> None:
        self._met: set[str | tuple[str, str]] = set()

    def first(self, *words: str) -> tuple[Word, ...]:
        """Those that stand here for the first time, with their meaning."""
        new = [word for word in dict.fromkeys(words) if word not in self._met]
        self._met.update(new)
        return tuple(Word(word.replace(" ", "-"), word, meaning(word)) for word in new)

    def names(self, species: Species, *names: str) -> tuple[Word, ...]:
        """The same of names for looks and traits that not every keeper knows."""
        new = {name: told for name in names if (species.key, name) not in self._met and (told := _named(species, name))}
        self._met.update((species.key, name) for name in new)
        return tuple(Word("-".join((species.key, *name.split())), name, told) for name, told in new.items())

    def looks(self, context: Context, stated: AnimalStatement) -> tuple[Word, ...]:
        """What an animal shows, and what else its page speaks of."""
        spoken = (trait.trait for line in said_lines(stated) for trait in line.traits)
        return self.names(context.species(stated.species), *stated.combos, *(stated.looks or ()), *spoken)

    def in_pedigree(self, context: Context, drawn: Drawing) -> tuple[Word, ...]:
        """The looks that are named in a pedigree."""
        named = [context.statement(key) for key in chart_of(drawn)[0].by_id if context.may_name(key)]
        looks = (self.names(context.species(one.species), *(one.looks or ())) for one in named)
        return tuple(word for words in looks for word in words)


def _named(species: Species, name: str) -> str | None:
    """What a combo, a look of two copies or of two alleles, or a trait of the breeder's own or without a figure is; None of others."""
    if name in species.combos:
        return f"{join_and(species.combos[name])} in one animal."
    keys = species.locus_of_look.get(name, ())
    locus = species.loci[keys[0]] if len(keys) == 1 else None
    if locus is None:
        return None
    if name in locus.alleles:
        return None if (locus.built_in and locus.inheritance.computed) or len(locus.alleles) > 1 else locus.what
    pairs = [pair for pair, look in locus.look_of.items() if name in look]
    numbers = sorted({number for pair in pairs for number in pair})
    alleles = [locus.alleles[number - 1] for number in numbers]
    if len(pairs) > 1:
        twice = [locus.alleles[number - 1] for number in numbers if (number, number) not in pairs]
        but = f", but not {join_or(twice)} from both" if twice else ""
        return f"It has one of these from each parent: {join_or(alleles)}{but}."
    if len(alleles) == 1:
        return f"Two copies of {alleles[0]}."
    return f"One copy of {' and one of '.join(alleles)}; each of its young gets one of the two."


def words_of(line: StatementLine) -> Iterable[str]:
    """The trade words of a line of a statement."""
    first = line.traits[0]
    if line.label.lead in _OF_LEAD:
        yield _OF_LEAD[line.label.lead]
    if first.second_copy:
        yield "two copies"
    if first.grounds.kind == "proven" and not (first.shows or first.if_sired):
        yield "proven"
    if first.grounds.kind == "background":
        yield "background"
