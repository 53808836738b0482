"""Two pages of the desk: the planned pairings in full, and what is open in the room with the pairs that would settle it."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from clutchlight.desk import sentences
from clutchlight.desk.notices import of_plan
from clutchlight.desk.pages import PAIRINGS, PROVING, DeskFraming, DeskLine, DeskPage
from clutchlight.desk.season import Pair, PlannedPairing, Season
from clutchlight.model import Animal
from clutchlight.planning.doubt import doubts
from clutchlight.planning.hatchlings import hatchlings_of, usual_clutch
from clutchlight.planning.odds import Answer, Backup
from clutchlight.planning.room import may_be_shown
from clutchlight.planning.who_needs_proving import ToProve, pair_of
from clutchlight.planning.winter import ComingClutch, wish_of
from clutchlight.site.clutch_page import looks_in_eggs
from clutchlight.site.parts import Fact, LookInEggs
from clutchlight.statements import doubt as doubt_words, odds as odds_words
from clutchlight.statements.odds import clutch_basis
from clutchlight.statements.winter import to_no_purpose
from clutchlight.wording import day_words, words

MOST_LOOKS = 8
MOST_PAIRS = 12
MOST_MATES = 3

SHARED = " Clutches that share a parent are reckoned together."


class BackupRow(Struct, frozen=True):
    who: str
    cells: tuple[DeskLine, ...]
    lost: str | None


class BackupView(Struct, frozen=True):
    """What a second male would cost: the same proofs side by side. `notes`: what young by him would come of."""

    heading: str
    notes: tuple[str, ...]
    columns: tuple[str, ...]
    rows: tuple[BackupRow, ...]
    verdict: str


class PairingView(Struct, frozen=True):
    key: str
    name: str
    facts: tuple[Fact, ...]
    questions: tuple[DeskLine, ...]
    backup: BackupView | None
    outcomes: tuple[LookInEggs, ...]
    sums: tuple[str, ...]
    more: str
    notes: tuple[str, ...]
    trouble: tuple[str, ...]


class ProvingView(Struct, frozen=True):
    """A pair with its questions, or an animal and a trait with its matings. `note`: in smaller letters."""

    name: str
    said: str
    lines: tuple[str, ...]
    note: str


class ProvingGroup(Struct, frozen=True):
    """`folded`: the words to unfold it by; None where it stands open."""

    heading: str
    intro: str
    rows: tuple[ProvingView, ...]
    folded: str | None = None


def pairings_page(framing: DeskFraming) -> DeskPage:
    season = framing.season
    collection, clutches, counts = season.collection, season.awaited, sentences.winter_counts(season)
    return framing.page(
        PAIRINGS,
        "Planned pairings",
        "Odds are from today's figures of both parents together.",
        winter=sentences.winter_words(season) if counts else None,
        which=sentences.winter_heading(season),
        many=f"{counts}{SHARED if len(clutches) > 1 else ''}",
        idle=tuple(to_no_purpose(clutches, season.winter, season.winter_pairs, collection)),
        loads=tuple(sentences.load_words(season, load) for load in season.loads),
        pairings=tuple(_pairing(season, planned, f"p{number}") for number, planned in enumerate(season.planned, 1)),
        nothing="No plan is open. Write one in season/.",
    )


def _pairing(season: Season, planned: PlannedPairing, prefix: str) -> PairingView:
    collection = season.collection
    owner = season.sources.telling_its_owner
    said = odds_words.in_words(planned.odds, owner, MOST_LOOKS) if planned.odds else None
    trouble = map(words.sentence, planned.trouble)
    return PairingView(
        key=planned.key,
        name=sentences.pair_name(collection, planned.male, planned.plan.female),
        facts=tuple(_facts(season, planned, said)),
        questions=tuple(_questions(season, planned)),
        backup=_backup(season, planned.plan.female, planned.backup) if planned.backup else None,
        outcomes=looks_in_eggs(planned.odds, said, prefix) if planned.odds and said else (),
        sums=said.sums if said else (),
        more=f"{said.rarer}." if said and said.rarer else "",
        notes=said.notes if said else (),
        trouble=(*trouble, *of_plan(season, planned), *_in_vain(season, planned)),
    )


def _in_vain(season: Season, planned: PlannedPairing) -> Iterator[str]:
    """Says that no egg of the two can show what the plan wants."""
    species = season.collection.species[season.collection.animals[planned.male].species]
    if planned.odds is None or not planned.plan.want:
        return
    clutch = ComingClutch.of(planned.male, planned.plan.female, hatchlings_of(species))
    wish = wish_of(season.sources.inference, [clutch], [0], planned.plan.want)
    if wish is not None and not any(wish.per_egg):
        together = " in one snake" if len(planned.plan.want) > 1 else ""
        yield f"The plan wants {words.join_and(planned.plan.want)}{together}; by what is on record, no egg of the two can show that."


def _facts(season: Season, planned: PlannedPairing, said: odds_words.OddsWords | None) -> Iterator[Fact]:
    collection, plan = season.collection, planned.plan
    yield Fact("So far", sentences.progress(planned, season.day))
    if plan.start or plan.until:
        first, last = (day_words.when(when) if when else "" for when in (plan.start, plan.until))
        yield Fact("Planned", f"{first} to {last}" if first and last else f"from {first}" if first else f"until {last}")
    if plan.want or plan.purpose == "prove":
        yield Fact("For", f"{plan.purpose}{f': {words.join_and(plan.want)}' if plan.want else ''}")
    if said:
        yield Fact("Kinship", said.kinship)
    if plan.public:
        shown = may_be_shown(collection, plan, planned.male, over=False)
        yes = f"yes; its odds stand on the site{', without this note' if plan.note else ''}"
        why = (_why_hidden(collection.animals[name]) for name in (plan.female, planned.male))
        yield Fact("Public", yes if shown else f"not on the site, as {words.join_and([one for one in why if one])}")
    if plan.note:
        yield Fact("Note", plan.note)


def _why_hidden(animal: Animal) -> str:
    """Why no plan with it stands on the site: "Rook (M-05) is out on loan until 30 January 2027"; "" where one may."""
    if animal.publish == "no":
        return f"{animal.called} is not listed"
    return "" if animal.here else f"{animal.called} is {sentences.away(animal)}"


def _questions(season: Season, planned: PlannedPairing) -> Iterator[DeskLine]:
    for one in planned.pair.questions if planned.pair else ():
        yield DeskLine(f"{sentences.question(season, one)}.", _sentence(sentences.proved(one)))
    yield from map(DeskLine, sentences.proves_besides(season, planned))
    if planned.idle:
        vain = planned.plan.purpose == "prove"
        in_vain = "Planned to prove, but a usual clutch would settle nothing that is open."
        yield DeskLine(in_vain if vain else "Nothing that is open.", strong=vain)


def _sentence(text: str) -> str:
    return words.sentence(text) if text else ""


def _backup(season: Season, female: str, backup: Backup) -> BackupView:
    collection = season.collection
    first, second = (sentences.called(collection, name) for name in (backup.male, backup.backup))
    columns = (f"{first} alone", "One of the two, all eggs by the same male", "Either of the two, egg by egg")
    rows = []
    for row in backup.compared:
        who = f"{row.trait} of {sentences.called(collection, row.animal)}, {odds_words.standing_now(row.now)}"
        cells = tuple(_cell(answer, backup.hatchlings.told) for answer in (row.alone, row.one_of, row.mixed))
        rows.append(BackupRow(who, cells, odds_words.NO_LONGER if row.no_longer else None))
    heading, notes = f"What it costs to take {second} as the backup", sentences.of_the_backup(season, female, backup)
    verdict = _sentence(sentences.backup_verdict(collection, backup))
    return BackupView(heading, notes, columns, tuple(rows), verdict)


def _cell(answer: Answer | None, young: int | str) -> DeskLine:
    if answer is None:
        return DeskLine("not asked")
    chance = answer.chance
    figure = "not computed"
    if chance is not None:
        figure = f"{odds_words.in_hundred(chance)} {'proved' if chance in (0, 1) else 'clutches prove it'}"
    if answer.if_none is None or (answer.if_none == 1 and not chance):
        return DeskLine(figure)
    left = f"leave {words.note_count(answer.if_none)}" if answer.if_none < 1 else "speak against it"
    return DeskLine(figure, f"hatchlings without it {left}" if isinstance(young, str) else f"{young} without it {left}")


# Proving


MOST_HANGING = 20
MOST_ANIMALS = 250
"""With more animals than these the desk points at the command: leaving out every record takes its time."""


def _hanging(season: Season) -> tuple[tuple[tuple[str, tuple[str, ...]], ...], str]:
    """The records on which most printed figures hang, and a line on those that are not listed."""
    if len(season.collection.animals) > MOST_ANIMALS:
        return (), "With so many animals this is left to `clutchlight doubt`, which also takes one animal or clutch."
    found = doubts(season.sources.inference, to_leave=season.private.still_to_leave(season.day))
    owner, collection = season.sources.telling_its_owner, season.collection
    listed = tuple(
        (doubt_words.heading(one, collection), tuple(doubt_words.first_few(one, owner))) for one in found[:MOST_HANGING]
    )
    rest = len(found) - len(listed)
    if not found:
        return (), "No printed figure hangs on a single record."
    more = f"{words.plural(rest, 'more record')}: `clutchlight doubt` lists them all." if rest else ""
    return listed, " ".join(filter(None, (more, doubt_words.not_told(season.collection))))


def proving_page(framing: DeskFraming) -> DeskPage:
    season = framing.season
    below = words.in_count(season.collection.settings.doubt_below)
    first, breeding, young = season.proving_groups
    animals, species = season.collection.animals, season.collection.species
    kinds = dict.fromkeys(animals[one.animal].species for one in season.to_prove)
    hangs, more = _hanging(season)
    return framing.page(
        PROVING,
        "Who needs proving",
        f"Settled means: made certain whatever anybody claimed, or brought under {below}.",
        basis=tuple(f"{species[key].heading}, {clutch_basis(usual_clutch(species[key]))}." for key in kinds),
        pairs=tuple(_pair(season, pair) for pair in _shown(season)),
        groups=tuple(
            ProvingGroup(
                heading,
                intro,
                tuple(_to_prove(season, one) for one in found),
                None if found is first else words.plural(len(found), "open question"),
            )
            for heading, intro, found in (
                (
                    "What plans, sales and prices hang on",
                    "Ranked by the best mate's chance to settle it, then by the fewest eggs; ready mates stand first.",
                    first,
                ),
                ("Other breeders and holdbacks", "The same where nothing hangs on it now.", breeding),
                ("Young and others", "The same for animals that do not breed here yet.", young),
            )
            if found
        ),
        unexpected=season.unexpected,
        hangs=hangs,
        hangs_more=more,
    )


def _shown(season: Season) -> tuple[Pair, ...]:
    """Pairs that could be put together now, and every planned one."""
    ready = [pair for pair in season.pairs if pair.ready]
    return tuple(pair for pair in season.pairs if pair.planned or pair in ready[:MOST_PAIRS])


def _pair(season: Season, pair: Pair) -> ProvingView:
    notes = [*(["planned"] if pair.planned else []), *([] if pair.ready else ["not both known to be ready"])]
    if pair.inbreeding:
        owner = season.sources.telling_its_owner
        coefficient = odds_words.inbreeding_words(owner, pair.male, pair.female, pair.inbreeding)
        notes.append(f"related: inbreeding coefficient of their young {coefficient}")
    notes += [odds_words.pair_harm_sentence(harm).rstrip(".") for harm in pair.harm]
    alone = sentences.if_he_alone(season, pair.male, pair.female)
    notes += [f"this holds {alone}"] if alone else []
    return ProvingView(
        sentences.pair_name(season.collection, pair.male, pair.female),
        _sentence(sentences.settles(pair)) if len(pair.questions) > 1 else "",
        tuple(f"{sentences.question(season, one)}." for one in pair.questions),
        "; ".join(notes),
    )


def _to_prove(season: Season, one: ToProve) -> ProvingView:
    collection, below = season.collection, season.collection.settings.doubt_below
    said = [f"{sentences.to_look_at(one)}."] if one.look else []
    for mating in one.matings[:MOST_MATES]:
        text = odds_words.mating_sentence(one, mating, sentences.called(collection, mating.mate), below)
        later = sentences.unready(season, mating.mate)
        later = f" {words.sentence(later)}" if later else ""
        of_two = pair_of(collection.animals[one.animal].sex, one.animal, mating.mate)
        alone = sentences.if_he_alone(season, *of_two)
        later += f" This holds {alone}." if alone else ""
        coefficient = odds_words.inbreeding_words(season.sources.telling_its_owner, *of_two, mating.inbreeding)
        kin = f" Their young would have an inbreeding coefficient of {coefficient}." if mating.inbreeding else ""
        said.append(f"{text}{kin}{later}")
    more = len(one.matings) - MOST_MATES
    said = said or [words.sentence(sentences.without_a_mate(collection.animals[one.animal]))]
    bought = odds_words.bought_mate(one, collection.animals[one.animal].sex)
    hangs = sentences.hangs_on_it(season, one)
    return ProvingView(
        sentences.called(collection, one.animal),
        f"{one.trait}, {sentences.standing_now(season, one)}{f'. Hangs on it: {hangs}.' if hangs else ''}",
        (*said, *([words.sentence(bought)] if bought else [])),
        f"and {words.plural(more, 'more mate')}" if more > 0 else "",
    )
