"""A winter in words: what its clutches would settle together, what would be left, and how likely what is wanted is.

Conventions. Winters in a hundred, rounded down; a chance that is left as notes say it. "As they lay": counting that not every female
lays; where every clutch is laid, or is asked about as one that comes, that is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from clutchlight.model import Collection
from clutchlight.model.traits import grouped
from clutchlight.planning.hatchlings import usual_clutch
from clutchlight.planning.odds import Odds
from clutchlight.planning.outcomes import harms_all
from clutchlight.planning.settling import Settled
from clutchlight.planning.winter import ComingClutch, OpenQuestion, Winter, Wish, loci_wanted, with_hiders
from clutchlight.statements.answers import Answers
from clutchlight.statements.odds import (
    about,
    conditions,
    hatchlings_note,
    kin_and_harm,
    of_hundred,
    section,
    share_of_eggs,
    shown_words,
    welfare_notes,
    wrapped,
)
from clutchlight.wording import words


class QuestionWords(Struct, frozen=True):
    """One open question: what it is; how often it is settled, what is left, and what one clutch less would change."""

    asked: str
    lines: tuple[str, ...]


class WinterWords(Struct, frozen=True):
    """A winter: its questions, those that stay open whatever comes, its wishes, and what it reckons with. `young`: how its pairs are
    related, and what may harm their young."""

    questions: tuple[QuestionWords, ...]
    stay_open: tuple[str, ...]
    wishes: tuple[str, ...]
    young: tuple[str, ...]
    notes: tuple[str, ...]


def to_no_purpose(
    awaited: Sequence[ComingClutch], winter: Winter, pairs: Sequence[Odds], collection: Collection
) -> tuple[str, ...]:
    """The clutches that are planned to prove, and that tell nothing of what is open or taken as certain. `pairs`: as `in_words`."""
    telling = {number for one in winter.questions if _settles(one) for number in one.clutches}
    proving = {one.dam for one in pairs if one.proves_taken}
    return tuple(
        f"{_pair(one, collection)}: planned to prove, and settles nothing that is open."
        if one.laid is None
        else f"{one.laid} of {collection.animals[one.dam].called}: it settles nothing that is open."
        for number, one in enumerate(awaited)
        if one.purpose == "prove" and number not in telling and one.dam not in proving
    )


def _pair(clutch: ComingClutch, collection: Collection) -> str:
    males = words.join_or([collection.animals[male].called for male in clutch.males])
    return f"{males} with {collection.animals[clutch.dam].called}"


def in_words(winter: Winter, pairs: Sequence[Odds], answers: Answers) -> WinterWords:
    """`pairs`: the odds of its clutches, each male by himself, for what they rest on."""
    collection = answers.collection
    telling = [one for one in winter.questions if _settles(one)]
    return WinterWords(
        tuple(_question(one, winter, collection) for one in telling),
        tuple(
            f"{_asked(one, collection)}: none of these clutches can tell."
            for one in winter.questions
            if one not in telling
        ),
        tuple(_wish(wish, winter, collection) for wish in winter.wishes) + wanted_without_figure(winter),
        tuple(_young(pairs, answers)),
        tuple(_notes(winter, pairs, answers)),
    )


def wanted_without_figure(winter: Winter) -> tuple[str, ...]:
    return tuple(f"{words.join_and(looks)}: how likely is not computed." for looks in winter.wishes_not_computed)


def how_many(awaited: Sequence[ComingClutch], without_figures: Sequence[str], by_log_alone: Sequence[str]) -> str:
    """ "Nine clutches are planned and two lie in the incubator. Of C26-04 nothing can be reckoned.". `by_log_alone`: whose eggs have no
    record of a clutch."""
    planned = sum(one.laid is None for one in awaited)
    laid = len(awaited) - planned + len(without_figures)
    parts = []
    if planned:
        parts.append(f"{words.counted(planned, 'clutch', 'clutches')} {words.are(planned)} planned")
    if laid:
        number = words.number(laid) if parts else words.counted(laid, "clutch", "clutches")
        on_record = " on record" if by_log_alone else ""
        parts.append(f"{number}{on_record} {'lies' if laid == 1 else 'lie'} in the incubator")
    rest = f" Of {words.join_and(without_figures)} nothing can be reckoned." if without_figures else ""
    if by_log_alone:
        rest += f" The eggs of {words.join_and(by_log_alone)} have no clutch record yet and are not reckoned."
    return f"{words.sentence(' and '.join(parts)) if parts else ''}{rest}".strip()


def _settles(one: OpenQuestion) -> bool:
    """Whether its clutches may tell anything of it, or it is not known whether they do."""
    return one.if_all_lay is None or bool(one.if_all_lay.in_all) or (one.left is not None and one.left != one.now)


def _asked(one: OpenQuestion, collection: Collection) -> str:
    return f"{one.trait} of {collection.animals[one.animal].called}, {words.in_count(one.now)} now"


def _question(one: OpenQuestion, winter: Winter, collection: Collection) -> QuestionWords:
    below = words.in_count(collection.settings.doubt_below)
    mine = [winter.clutches[number] for number in one.clutches]
    whole = of_hundred(one.if_all_lay.in_all) if one.if_all_lay else ""
    needed = sorted(
        {*one.clutches, *(number for number, settled in one.without if of_hundred(settled.in_all) != whole)}
    )
    laying = [winter.clutches[number] for number in needed]
    said = (_settled(one, laying, below, collection), _left(one, mine, collection), _without(one, winter, collection))
    return QuestionWords(_asked(one, collection), tuple(filter(None, said)))


def _settled(one: OpenQuestion, laying: Sequence[ComingClutch], below: str, collection: Collection) -> str:
    if one.if_all_lay is None or one.as_they_lay is None:
        return "How often it would be settled is not computed."
    whole, likely = one.if_all_lay, one.as_they_lay
    each = "each" if likely.in_all == 1 else of_hundred(likely.in_all)
    often = f"Settled in {_least(likely)}{each} of 100 winters"
    dams = [collection.animals[clutch.dam].called for clutch in laying if clutch.lays < 1]
    laid = f" If {words.join_and(dams)} {'lays' if len(dams) == 1 else 'lay'}: in {_least(whole)}{of_hundred(whole.in_all)}."
    return f"{often}{_how(likely, below)}.{laid if whole.in_all != likely.in_all else ''}"


def _how(likely: Settled, below: str) -> str:
    """ ": 60 prove it, 22 bring it under 1 in 20"."""
    if not likely.clears:
        return ", always by proof" if likely.proves and likely.exact else ""
    if not likely.proves:
        return f", always brought under {below}"
    if likely.exact and likely.clears < words.ONE_PERCENT:
        return ", nearly always by proof"
    return f": {of_hundred(likely.proves)} prove it, {_least(likely)}{of_hundred(likely.clears)} bring it under {below}"


def _least(settled: Settled) -> str:
    return "" if settled.exact else "at least "


def _left(one: OpenQuestion, mine: Sequence[ComingClutch], collection: Collection) -> str:
    if one.left is None:
        return ""
    dams = words.join_and([collection.animals[clutch.dam].called for clutch in mine])
    clutches = "the clutch" if len(mine) == 1 else "the clutches"
    hatch = "hatches" if len(mine) == 1 else "hatch"
    says = "that says nothing" if one.left == one.now else f"a chance of {words.note_count(one.left)} is left"
    return f"If {clutches} of {dams} {hatch} and none of the young shows {shown_words(one)}, {says}."


def _without(one: OpenQuestion, winter: Winter, collection: Collection) -> str:
    whole = one.if_all_lay
    if whole is None or len(one.clutches) < 2:
        return ""
    less = grouped(
        (of_hundred(settled.in_all), collection.animals[winter.clutches[number].dam].called)
        for number, settled in one.without
        if settled.in_all != whole.in_all
    )
    if len(one.without) == 2 and len(less) == 1 and len(dams := next(iter(less.values()))) == 2:
        return f"If only one of the clutches of {words.join_and(dams)} hatches, it is settled in {next(iter(less))} of 100 such winters."
    said: list[str] = []
    for often, (first, *others) in less.items():
        one_fails = f"if only {'that' if said else 'the clutch'} of {first} fails"
        fails = words.join_or([one_fails, *(f"only that of {dam}" for dam in others)])
        said.append(f"{fails}, in {often}" if said else f"{fails}, it is settled in {often} of 100 such winters")
    return words.sentence("; ".join(said)) if said else ""


def _wish(wish: Wish, winter: Winter, collection: Collection) -> str:
    """ "Piebald from Saffron (F-14) and Juniper (F-09): at least one in 60 of 100 winters, 71 if both lay; expect 2 or 3"."""
    clutches = [winter.clutches[number] for number in wish.clutches]
    dams = words.join_and([collection.animals[clutch.dam].called for clutch in clutches])
    looks = f"{words.join_and(wish.looks)}{', whatever else they show' if len(wish.looks) < 2 else ' in one snake'}"
    if not wish.any:
        return f"{looks}, from {dams}: cannot come, by what is on record."
    harm = harms_all(collection.species[collection.animals[clutches[0].dam].species], {*wish.looks})
    often, laid = f"{of_hundred(wish.any_as_they_lay, harm=harm)} of 100 winters", ""
    if wish.any != wish.any_as_they_lay:
        open_ = [collection.animals[one.dam].called for one in clutches if one.lays < 1]
        laid = f" if {open_[0]} lays" if len(open_) == 1 else " if both lay" if len(open_) == 2 else " if all lay"
        often += f", {of_hundred(wish.any, harm=harm)}{laid}"
    shares = [
        f"{share_of_eggs(share, 'hatchling', harm=harm) or 'every hatchling'} of {collection.animals[clutch.dam].called}"
        for clutch, share in zip(clutches, wish.per_egg, strict=True)
    ]
    return f"{looks}, from {dams}: at least one in {often}; expect {about(wish.expected)} in all{laid} ({'; '.join(shares)})."


def _young(pairs: Sequence[Odds], answers: Answers) -> Iterator[str]:
    collection = answers.collection
    alike = grouped(((odds.sire, kin_and_harm(odds, answers)), odds.dam) for odds in pairs)
    for (sire, said), dams in alike.items():
        if said:
            each = "each of " if len(dams) > 1 else ""
            hers = words.join_and([collection.animals[dam].called for dam in dams])
            yield f"{collection.animals[sire].called} with {each}{hers}: {said}"
    for key, several in grouped((odds.species, odds) for odds in pairs).items():
        yield from welfare_notes(several, collection.species[key])


def _notes(winter: Winter, pairs: Sequence[Odds], answers: Answers) -> Iterator[str]:
    collection = answers.collection
    asked = {one.locus for one in winter.questions}
    for wish in winter.wishes:
        wanted = collection.species[collection.animals[winter.clutches[wish.clutches[0]].dam].species]
        asked.update(with_hiders(wanted, [locus.key for locus in loci_wanted(wanted, wish.looks)]))
    yield from conditions(pairs, answers, asked)
    species = dict.fromkeys(collection.animals[clutch.dam].species for clutch in winter.clutches)
    for key in species:
        usual = usual_clutch(collection.species[key])
        clutches = [clutch for clutch in winter.clutches if collection.animals[clutch.dam].species == key]
        name = f"{collection.species[key].heading}: " if len(species) > 1 else ""
        whose = grouped((clutch.hatchlings, collection.animals[clutch.dam].called) for clutch in clutches)
        reckoned = {
            one: f"{'the' if len(dams) == 1 else 'each'} clutch of {words.join_and(dams)}"
            for one, dams in whose.items()
        }
        yield f"{name}{hatchlings_note(usual, reckoned)}"
        for share in sorted({clutch.lays for clutch in clutches if not clutch.laid}):
            if share < 1:
                yield f"{name}We count on {share.numerator} of {share.denominator} females to lay."
            else:
                yield f"{name}We count on every female to lay; not every one does each year."
    if any(len(clutch.males) > 1 for clutch in winter.clutches):
        yield (
            "Where several males may have sired a clutch, its young can still prove their dam, but a male only by what no other can "
            "have given them."
        )
    by_one = [collection.animals[one.dam].called for one in winter.clutches if len(one.males) > 1 and not one.mixed]
    if by_one:
        each = "all the eggs" if len(by_one) == 1 else "in each case all the eggs"
        yield f"We take it that a single male sires {each} of {words.join_and(by_one)}."
    if any(one.if_all_lay is not None and not one.if_all_lay.exact for one in winter.questions):
        yield "Where it says at least, there are too many ways for the clutches to come out; the true number is not lower."


def as_text(winter: Winter, pairs: Sequence[Odds], answers: Answers) -> str:
    """The lines that a terminal shows of one male with several females."""
    said, collection = in_words(winter, pairs, answers), answers.collection
    males = dict.fromkeys(male for clutch in winter.clutches for male in clutch.males)
    dams = words.join_and([collection.animals[clutch.dam].called for clutch in winter.clutches])
    him = words.join_and([collection.animals[male].called for male in males])
    lines = [
        f"{him} with {dams}: {words.counted(len(winter.clutches), 'clutch', 'clutches')} reckoned together",
        "",
        "What they would settle together",
    ]
    for one in said.questions:
        lines += wrapped(f"{one.asked}:", 2)
        lines += [line for text in one.lines for line in wrapped(text, 4)]
    if not said.questions:
        lines += wrapped("Nothing that is open.", 2)
    lines += section("What stays open", said.stay_open)
    lines += section("Wanted", said.wishes)
    lines += section("Please note", (*said.young, *said.notes))
    return "\n".join(lines) + "\n"
