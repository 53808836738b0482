"""Results that need an unrecorded carrier, and clutches that another male may have sired.

For readers a note, and a condition that names nobody of whom the log alone knows; for the breeder what may explain it, who it may be, what
hangs on it, and the line to write.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from clutchlight.genetics.inference import Inference
from clutchlight.genetics.values import Conflict, EvidenceRecord, Figure, Moved, OtherSire, Surprise
from clutchlight.model import NOBODY, UNRECORDED, Clutch, Collection, Inheritance, Locus, Recorded
from clutchlight.model.traits import grouped
from clutchlight.problems import Problem, in_order
from clutchlight.statements.answers import Answers, kept
from clutchlight.statements.asked import Asked, computed
from clutchlight.statements.values import Note
from clutchlight.wording import words
from clutchlight.wording.text import NO_WORDS, Text, joined, phrase


class UnexpectedFamily(Struct, frozen=True):
    """A trait that turned up in one family where nothing recorded explains it, or one of several, and no record tells which.

    `founders`: who may carry it unrecorded, with their chances; `shown_by`: the young that show it or were tested to carry it, of
    `clutches`. `second`: one copy is explained, and where a second one came from is not. `moved`: whose figures rest on it.
    """

    locus: Locus
    alleles: tuple[int, ...]
    founders: tuple[tuple[str, Fraction], ...]
    shown_by: tuple[str, ...]
    clutches: tuple[str, ...]
    since: date | None
    second: bool
    moved: tuple[Moved, ...]

    @property
    def traits(self) -> tuple[str, ...]:
        return tuple(self.locus.alleles[allele - 1] for allele in self.alleles)

    @property
    def trait(self) -> str:
        """ "Albino", "Albino or Candy"."""
        return words.join_or(self.traits)


@kept
def unexpected_families(answers: Answers) -> tuple[UnexpectedFamily, ...]:
    """The unexpected results, each told of the family that needs it; a founder's own test is its ground, and none of them.

    Alleles that the same founders may have brought, none of them for certain, are told as one.
    """
    found: list[UnexpectedFamily] = []
    for alike in grouped((_which(answers, surprise), surprise) for surprise in answers.surprises).values():
        families = [_family(answers, surprise) for surprise in alike]
        chances = [dict(family.founders) for family in families]
        together = tuple((name, sum((each[name] for each in chances), Fraction(0))) for name in chances[0])
        if any(chance > 1 for _, chance in together):
            found += families
        else:
            alleles = tuple(allele for family in families for allele in family.alleles)
            found.append(replace(families[0], alleles=alleles, founders=together))
    return tuple(found)


def _which(answers: Answers, surprise: Surprise) -> Surprise:
    """Without its allele and chances where it may be another allele that founders brought."""
    young = [answers.now(name, surprise.locus) for name in surprise.shown_by]
    has_it = not young or any(isinstance(one, Figure) and one.carries(surprise.allele) == 1 for one in young)
    if has_it and sum(chance for _, chance in surprise.founders) >= 1:
        return surprise
    return replace(surprise, allele=0, founders=tuple((name, Fraction(0)) for name, _ in surprise.founders))


def _family(answers: Answers, surprise: Surprise) -> UnexpectedFamily:
    locus = answers.collection.species[surprise.species].loci[surprise.locus]
    animals, allele, young, clutches = answers.collection.animals, surprise.allele, surprise.shown_by, surprise.clutches
    founders = {name for name, _ in surprise.founders}
    elders = {elder for name in (young or surprise.clutches) for elder in answers.forebears(name)} - founders
    second = any(
        animals[elder].founder and answers.carries(elder, locus.key, allele) for elder in elders & set(animals)
    )
    if second and young:

        def two(name: str) -> bool:
            return Asked(answers, animals[name], locus, allele).has_two

        bred = [answers.collection.clutches[name] for name in clutches]
        double = list(filter(two, young))
        if not double and all(any(map(two, one.parents)) for one in bred):  # a parent with two explains one copy each
            double = [name for one in bred for name in one.young if two(name)]
        if second := bool(double):
            single = {animals[name].clutch for name in young} - {animals[name].clutch for name in double}
            young, clutches = tuple(double), tuple(name for name in clutches if name not in single)
    return UnexpectedFamily(
        locus, (allele,), surprise.founders, young, clutches, surprise.since, second, surprise.moved
    )


def surprise_notes(answers: Answers) -> tuple[tuple[str, Note], ...]:
    """For each unexpected result its note, under the id of every animal and clutch that it concerns.

    That are its founders and young, its clutches, and every animal whose figure is another without it.
    """
    found: list[tuple[str, Note]] = []
    for family in unexpected_families(answers):
        text = unexpected_text(answers, family)
        cause = family.clutches[0] if family.clutches else None
        founders = tuple(name for name, _ in family.founders)
        for name in dict.fromkeys(
            (*founders, *family.shown_by, *family.clutches, *(one.animal for one in family.moved))
        ):
            note = Note("surprise", name, family.locus.key, family.trait, text, cause=cause, on=family.since)
            found.append((name, note))
    return tuple(found)


def results(answers: Answers) -> tuple[str, ...]:
    """What turned up, in a sentence each without its full stop, and nothing of what may explain it."""
    return tuple(dict.fromkeys(words.clause(result_of(answers, family)) for family in unexpected_families(answers)))


def result_of(answers: Answers, family: UnexpectedFamily) -> Text:
    """What turned up, where, and that nothing had said where it came from."""
    clutches = words.join_and(answers.clutches(family.clutches))
    young = words.join_and(answers.all_named(family.shown_by))
    double = family.second and family.locus.inheritance is not Inheritance.RECESSIVE
    return phrase(
        "{}{} turned up{}{}, though no earlier record says where {} came from",
        "two copies of " if double else "",
        family.trait,
        Text(" in ", clutches) if clutches else "",
        young and (Text(" (", young, ")") if clutches else Text(" in ", young)),
        "the second one" if double else "the second copy" if family.second else "it",
    )


def unexpected_text(answers: Answers, family: UnexpectedFamily) -> Text:
    """The result in public words, with who may carry the trait."""
    certain = answers.all_named(name for name, chance in family.founders if chance == 1)
    perhaps = tuple(
        dict.fromkeys(
            Text(answers.named(name), f", {words.note_count(chance)}")
            for name, chance in family.founders
            if 0 < chance < 1
        )
    )
    who = NO_WORDS
    if certain:
        both, carry = ("both ", "carry") if len(certain) == 2 else ("", "carries" if len(certain) == 1 else "carry")
        rest = Text("; so may ", joined(", or ", perhaps)) if perhaps else ""
        who = phrase("{}{} {} it{}", both, words.join_and(certain), carry, rest)
    elif perhaps:
        one_alone = sum(chance for _, chance in family.founders) == 1  # else who carries it need not have given it
        who = phrase(f"it {'came from' if one_alone else 'may be carried by'} {{}}", joined(", or ", perhaps))
    carriers = phrase(" If our other records are right, {}.", who) if who else ""
    return phrase("{} {}{}", words.sentence(result_of(answers, family)), words.sentence(words.UNEXPECTED), carriers)


def explanations(
    answers: Answers, family: UnexpectedFamily, before: Callable[[Clutch], Iterable[str]] = lambda _: ()
) -> tuple[str, ...]:
    """For the desk only: what a breeder would think of, most checkable first. `before`: with whom the dam of a clutch was long before."""
    certain = [answers.named(name) for name, chance in family.founders if chance == 1]
    listed = certain or [answers.named(name) for name, _ in family.founders]
    names = (words.join_and if certain else words.join_or)(listed) or "a founder"
    verb = "carry" if len(certain) > 1 else "carries"
    carriers = "Unrecorded carriers" if len(certain) > 1 else "An unrecorded carrier"
    animals = answers.collection.animals
    asked = [Asked(answers, animals[name], family.locus, family.alleles[0]) for name in family.shown_by]
    tested = [one.animal.id for one in asked if one.tests and not one.shows]
    seen = [name for name in family.shown_by if name not in tested]
    checks: list[str] = []
    if seen or not tested:
        checks.append(f"The look was misread: look again at {words.join_and(seen) or 'what shows it'}.")
    if tested:
        checks.append(f"The test was wrong, or of another snake: test {words.join_and(tested)} again.")
    if missexed := [one.animal.id for one in asked if family.second and _of_dam_alone_in_other_sex(one)]:
        other = "male" if answers.species_of(asked[0].animal).heterogametic == "female" else "female"
        checks.append(
            f"The sex was misread: a {other} could have both copies from its dam alone; sex {words.join_and(missexed)} again."
        )
    checks.append(phrase("{}: {} {} it.", carriers, names, verb))
    where = _by_their_sires(answers, family)
    if where:
        recorded = [
            name for name in where if UNRECORDED not in dict(answers.collection.clutches[name].sires.candidates)
        ]
        another, stored = list[str](), list[str]()
        for left, alike in grouped((_all_the_same(answers, family, name), name) for name in recorded).items():
            clutches = words.join_or([f"clutch {name}" for name in alike])
            kept = [
                one
                for name in alike
                for one in before(answers.collection.clutches[name])
                if _may_bring(answers, family, one)
            ]
            male = words.join_or(answers.all_named(kept)) or "an earlier male"
            another.append(Text(f"Another sire: {clutches} may be by a male that is not written down.", left))
            stored.append(Text(phrase("Stored sperm: {} may have sired {}.", male, clutches), left))
        checks.extend(said for name in where for said in _both_had_a_share(answers, family, name))
        checks.extend(explaining(answers, family, where) or another)
        checks.extend(stored)
    if family.clutches:
        checks.append("Eggs or hatchlings were mixed up between clutches.")
    if not family.second and (more := _more_that_show_it(answers, family)):
        others = words.plural(len(more) - 3, "other")
        named = words.join_and(more if len(more) <= 4 else (*more[:3], others))
        checks.append(f"Whatever explains it has to explain the look of {named} too.")
    return tuple(checks)


def _more_that_show_it(answers: Answers, family: UnexpectedFamily) -> tuple[str, ...]:
    """Who else shows it and descends from its founders, but not from those in which it turned up."""
    founders, young = {name for name, _ in family.founders}, {*family.shown_by}
    loci = {key: species.loci.get(family.locus.key) for key, species in answers.collection.species.items()}
    return tuple(
        one.id
        for one in answers.collection.animals.values()
        if loci[one.species] is family.locus
        and one.id not in young
        and founders & (above := {*answers.forebears(one.id)})
        and not young & above
        and Asked(answers, one, family.locus, family.alleles[0]).shows
    )


def _of_dam_alone_in_other_sex(asked: Asked) -> bool:
    """Whether a young may have no sire but for its sex, and its dam carries the trait."""
    answers, animal = asked.answers, asked.animal
    clutch = answers.collection.clutches.get(animal.clutch or "")
    return (
        clutch is not None
        and NOBODY in (sire for sire, _ in clutch.sires.candidates)
        and animal.sex == answers.species_of(animal).heterogametic
        and bool(answers.carries(clutch.dam, asked.locus.key, asked.allele))
    )


def _by_their_sires(answers: Answers, family: UnexpectedFamily) -> tuple[str, ...]:
    """The clutches, of the young or of their forebears, into which a sire may have brought what nobody recorded."""
    collection = answers.collection
    elders = sorted(set().union(*map(answers.forebears, family.clutches)) & set(collection.animals))
    homes = dict.fromkeys((*family.clutches, *filter(None, (collection.animals[name].clutch for name in elders))))
    return tuple(
        name for name in homes if not _in_one_look(answers, family, name)[1].isdisjoint(_by_the_sire(answers, name))
    )


def _in_one_look(answers: Answers, family: UnexpectedFamily, clutch: str) -> tuple[tuple[str, ...], frozenset[str]]:
    """Its traits and founders, with those of which a young of a clutch has a copy in the same look: each may be from either parent."""
    young = {name for name in family.shown_by if answers.collection.animals[name].clutch == clutch}
    beside = [
        one for one in unexpected_families(answers) if one.locus is family.locus and young.intersection(one.shown_by)
    ]
    found = beside if family in beside else [family]
    founders = frozenset(name for one in found for name, _ in one.founders)
    return tuple(dict.fromkeys(trait for one in found for trait in one.traits)), founders


def _by_the_sire(answers: Answers, clutch: str) -> frozenset[str]:
    """All that young of a clutch may come from by their sire, himself included."""
    sires = answers.collection.clutches[clutch].sires
    unrecorded = [f"{clutch}:sire"] if UNRECORDED in dict(sires.candidates) else []
    return frozenset((*sires.ids, *unrecorded)).union(*map(answers.forebears, sires.ids))


def _all_the_same(answers: Answers, family: UnexpectedFamily, clutch: str) -> Text:
    """What another sire of a clutch leaves unexplained: that a founder carries it who brings it by the dam."""
    his = _by_the_sire(answers, clutch)
    left = [answers.named(name) for name, chance in family.founders if chance == 1 and name not in his]
    if not left:
        return NO_WORDS
    carry, traits = "carry" if len(left) > 1 else "carries", words.join_or(_in_one_look(answers, family, clutch)[0])
    return Text(" ", words.sentence(phrase("{} {} {} all the same", words.join_and(left), carry, traits)))


def problems_of(conflict: Conflict, collection: Collection) -> tuple[Problem, ...]:
    """One problem for each record of an irreducible set, each naming the others."""
    traits = " / ".join(collection.species[conflict.species].loci[conflict.locus].alleles)
    remedy = _remedy(conflict.records, collection)
    found = []
    for record in conflict.records:
        own, others = _record(record, collection), [one for one in conflict.records if one is not record]
        listed = words.join_and(
            [own, *(_record(one, collection, f"{one.place.file}:{one.place.line}") for one in others)]
        )
        message = f"at {traits}, not all of this can be true: {listed}; at least one of them is wrong: {remedy}"
        if not others:
            message = f"at {traits}, this cannot be true: {own}; {remedy}"
        found.append(Problem.at(record.place, "records-conflict", message))
    return in_order(found)


def problems_in(inferred: Inference) -> tuple[Problem, ...]:
    """Every problem that only the inference can see; nothing may be built while there is one."""
    found = [problem for conflict in inferred.conflicts for problem in problems_of(conflict, inferred.collection)]
    for animal, test in inferred.tests_against_looks:
        copies = words.counted(test.copies, "copy", "copies")
        message = (
            f"this test found {copies} of {test.trait}, which the look of {animal} rules out, so it says nothing; look at {animal} "
            f"again, and at the sheet of the test"
        )
        found.append(Problem.at(test.place, "test-against-look", message, "warning"))
    return in_order((*found, *warnings(inferred)))


def in_conflict(conflict: Conflict, collection: Collection) -> str:
    """What cannot all be true."""
    return words.join_and([_record(record, collection) for record in conflict.records])


def _record(record: EvidenceRecord, collection: Collection, at: str = "") -> str:
    """ "F-2 carries Albino (as was claimed, animals/all.yaml:3)"."""
    beside = ", ".join(filter(None, ("as was claimed" if record.kind == "claim" else "", at)))
    return f"{_says(record, collection)}{beside and f' ({beside})'}"


def _says(record: EvidenceRecord, collection: Collection) -> str:
    subject, says = record.subject, record.says
    match record.kind:
        case "look":
            looks = words.join_and(says) or "normal"
            counted = subject in collection.clutches
            return f"counted young of {subject} look {looks}" if counted else f"{subject} looks {looks}"
        case "test":
            return f"a test of {subject} found {words.counted(record.copies, 'copy', 'copies')} of {says[0]}"
        case "claim":
            return f"{subject} carries {says[0]}"
        case role:
            return f"{words.join_or(says)} is the {role} of {subject}"


def _remedy(records: Sequence[EvidenceRecord], collection: Collection) -> str:
    """`set_aside` is offered where one of the records is of a clutch."""
    kinds = {record.kind for record in records}
    of = Counter(_clutch_of(collection, record.subject) for record in records if record.kind in ("look", "test"))
    of_several = [
        (record.kind, f"two sires in one clutch (write {_each_its_own(clutch)})")
        for record in records
        if record.kind == "sire" and of[record.subject] > 1
        if (clutch := collection.clutches[record.subject]).sires.kind == "one of"
    ]
    ideas = [
        idea
        for kind, idea in (
            ("look", "a misread look"),
            *of_several,
            ("sire", "another sire"),
            ("sire", "stored sperm"),
            ("dam", "mixed-up eggs"),
            ("test", "a test that was wrong (give it an `error`)"),
            ("claim", "a claim that was wrong (give it `withdrawn`)"),
        )
        if kind in kinds
    ]
    if not any(_clutch_of(collection, record.subject) for record in records):
        return f"look for {words.join_or(ideas)}"
    return f"look for {words.join_or(ideas)}, or put the clutch's looks there under `set_aside` until you know"


# Who else may have sired a clutch


def public_reasons(asked: Asked) -> tuple[Text, ...]:
    """Why a certainty has the condition, as far as public records say so."""
    answers = asked.answers
    clutches = answers.collection.clutches
    known = grouped(((one.clutch, one.earlier or ""), one.male) for one in asked.other_sires() if _public(answers, one))
    return tuple(
        phrase(
            "{} only if no other male sired {}: {} laid {}, by {}, before it, and a female can keep sperm.",
            "It is proven" if asked.said_for_certain else "This holds",
            answers.clutch(name),
            answers.named(clutches[name].dam),
            answers.clutch(earlier),
            words.join_or(tuple(dict.fromkeys((*_left(answers, clutches[earlier]), *answers.all_named(males))))),
        )
        for (name, earlier), males in known.items()
    )


def if_one_sire(asked: Asked) -> tuple[Text, ...]:
    """What its certainty rests on where the sire of a clutch is in doubt: two males can share one."""
    condition = asked.one_sire()
    if not condition:
        return ()
    certain = "It is proven" if asked.said_for_certain else "This holds"
    return (phrase("{} only {}; two males can share a clutch.", certain, condition),)


def _left(answers: Answers, clutch: Clutch) -> Iterator[Text]:
    """Who may have sired a clutch by all that is on record."""
    return (answers.male(sire) for sire, _ in answers.sires_of_clutch(clutch))


def reasons_of_ones_own(asked: Asked) -> Iterator[Text]:
    """The same for the breeder: who it may be, what becomes of the figure, and the line to write."""
    answers, undone = asked.answers, asked.other_sires()
    for name in dict.fromkeys(one.clutch for one in undone):
        clutch = answers.collection.clutches[name]
        males = [one for one in undone if one.clutch == name]
        yield phrase(
            "We take it that no other male sired any of {}. {}; if {} any of it, this is no longer certain. {}",
            answers.clutch(name),
            words.clause(may_have_sired(clutch, males)),
            "he sired" if len(males) == 1 else "one of them sired",
            line_to_write(answers.inferred, clutch, [one.male for one in males]),
        )
    stands = _stands(asked)
    if stands is not None:
        others = others_of(answers.inferred, stands.id)
        sentence = _stands_sentence(asked, stands, [one.male for one in others])
        yield phrase("{}. {}", words.clause(may_have_sired(stands, others)), sentence)
    yield from if_one_sire(asked)


def _stands_sentence(asked: Asked, clutch: Clutch, others: Sequence[str]) -> Text:
    """Why other males undo nothing: the dam alone or they make it certain as well, or they cannot have sired this one."""
    answers = asked.answers
    by_its_sire = asked.grounds.kind == "parentage" and asked.animal.clutch == clutch.id
    none = [name for name in others if not asked.of(name).has_two]
    if by_its_sire and none and not asked.of(clutch.dam).has_two:
        named = words.join_or(answers.all_named(none))
        return phrase("By what is on record of {}, {} cannot be its sire.", answers.named(asked.animal.id), named)
    return phrase("This stands whichever male sired {}.", answers.clutch(clutch.id))


def _public(answers: Answers, one: OtherSire) -> bool:
    """Whether everything that is said of him stands on public records of listed animals and clutches."""
    clutches = answers.collection.clutches
    clutch, earlier = clutches.get(one.clutch), clutches.get(one.earlier or "")
    if clutch is None or earlier is None or one.male not in answers.collection.animals:
        return False  # as published, what is unlisted does not stand there by its id
    return all(answers.listed(name) for name in (clutch.id, earlier.id, one.male, clutch.dam))


def _stands(asked: Asked) -> Clutch | None:
    """The clutch with other males that made it certain all the same."""
    answers, grounds = asked.answers, asked.grounds
    if asked.shows or asked.other_sires() or grounds.kind not in ("parentage", "proven"):
        return None
    by = asked.animal.clutch if grounds.kind == "parentage" else grounds.proven_by
    if by in answers.collection.animals:
        by = answers.collection.animals[by or ""].clutch
    clutch = answers.collection.clutches.get(by or "")
    return clutch if clutch is not None and clutch.id in answers.inferred.others else None


def others_of(inferred: Inference, clutch: str) -> tuple[OtherSire, ...]:
    return tuple(inferred.others.get(clutch, {}).values())


def may_have_sired(clutch: Clutch, males: Iterable[OtherSire]) -> Text:
    """ "the log puts M-05 with F-03 before C25-01 was laid; M-02 sired C24-01, which F-03 laid before C25-01, and a female ..."."""
    listed = tuple(males)
    logged = [one.male for one in listed if one.logged or one.earlier is None]
    parts = [f"the log puts {words.join_and(logged)} with {clutch.dam} before {clutch.id} was laid"] if logged else []
    for earlier, names in grouped((one.earlier, one.male) for one in listed if one.male not in logged).items():
        sired = "sired" if len(names) == 1 else "may have sired"
        parts.append(
            f"{words.join_and(names)} {sired} {earlier}, which {clutch.dam} laid before {clutch.id}, and a female can keep sperm"
        )
    return Text("; ".join(parts))


def line_to_write(inferred: Inference, clutch: Clutch, males: Sequence[str]) -> str:
    """ "If he may have, write `sire: [M-04, M-05]` in clutches/C25-01.md, at C25-01; if not, `not_by: [M-05]`."

    Where chances are written, that he is to be added. Who cannot have sired all of it stands among those who each may have sired some.
    """
    he = "he" if len(males) == 1 else "one of them"
    where = f"{clutch.place_of('sire').file}, at {clutch.id}"
    did = "he did not" if len(males) == 1 else "none did"
    excluded = f"if you know that {did}, `not_by: [{', '.join((*clutch.not_by, *males))}]`"
    mixed = clutch.sires.kind == "mixed"
    some = not mixed and not all(inferred.may_have_sired_all(clutch.id, male) for male in males)
    if len({chance for _, chance in clutch.sires.candidates}) > 1:
        each = ", and make it `{mixed: {…}}`" if some else ""
        return f"If {he} may have, add {words.join_and(list(males))} to `sire` in {where}{each}; {excluded}."
    names = ", ".join([*(str(sire) for sire, _ in clutch.sires.candidates), *males])
    line = f"{{mixed: [{names}]}}" if some or mixed else f"[{names}]"
    return f"If {he} may have, write `sire: {line}` in {where}; {excluded}."


class Hanging(Struct, frozen=True):
    """A clutch with other males, and what is certain only if none of them sired it: by animal, in words."""

    clutch: Clutch
    males: tuple[OtherSire, ...]
    certain: tuple[tuple[str, str], ...]


def hanging(answers: Answers) -> tuple[Hanging, ...]:
    """Each clutch on which a certainty hangs, in order of id."""
    if not answers.inferred.others:
        return ()
    rows = [
        (male, (animal.id, asked.what))
        for animal in answers.collection.animals.values()
        for asked in computed(answers, answers.like(animal))
        for male in asked.other_sires()
    ]
    males = grouped((male.clutch, male) for male in dict.fromkeys(male for male, _ in rows))
    certain = grouped(dict.fromkeys((male.clutch, what) for male, what in rows))
    return tuple(
        Hanging(answers.collection.clutches[name], found, certain[name]) for name, found in sorted(males.items())
    )


def hanging_words(answers: Answers, one: Hanging) -> str:
    """One of them as a notice for the breeder."""
    males = [male.male for male in one.males]
    by_trait = grouped((trait, animal) for animal, trait in one.certain)
    by_animals = grouped((animals, trait) for trait, animals in by_trait.items())
    what = words.join_and(
        [
            f"that {words.join_and(names)} {'carries' if len(names) == 1 else 'carry'} {words.join_and(traits)}"
            for names, traits in by_animals.items()
        ]
    )
    he = ("he sired" if len(males) == 1 else "they sired") + " none of"
    return (
        f"{words.clause(may_have_sired(one.clutch, one.males))}. Only if {he} {one.clutch.id} is it certain {what}. "
        f"{line_to_write(answers.inferred, one.clutch, males)}"
    )


def explaining(answers: Answers, family: UnexpectedFamily, clutches: Iterable[str]) -> tuple[str, ...]:
    """For the breeder: the other males of some clutches with whom less would be unexpected, a sentence for each clutch.

    One who cannot have sired all of a clutch may have sired some of it.
    """
    inferred = answers.inferred
    found = []
    for name in clutches:
        others = {one: inferred.copies_spared(name, one.male) for one in others_of(inferred, name)}
        males = [one for one, copies in others.items() if copies is not None and copies > 0]
        some = not males
        if some:
            males = [one for one, copies in others.items() if copies is None and _may_bring(answers, family, one.male)]
        if males:
            clutch = answers.collection.clutches[name]
            line = line_to_write(inferred, clutch, [one.male for one in males])
            of = f"some of clutch {name}" if some else f"clutch {name}"
            left = _all_the_same(answers, family, name)
            found.append(Text(f"Another sire of {of}: {may_have_sired(clutch, males)}. {line}", left))
    return tuple(found)


def _both_had_a_share(answers: Answers, family: UnexpectedFamily, name: str) -> Iterator[Text]:
    """For the breeder: that one of the sires on record who did not sire all of a clutch may have brought the trait to some of it."""
    clutch = answers.collection.clutches[name]
    sires, left = clutch.sires, dict(answers.sires_of_clutch(clutch))
    brings = [one for one in sires.ids if Recorded(one) not in left and _may_bring(answers, family, one)]
    if brings and sires.kind == "one of" and answers.inferred.perhaps_by_several(name):
        yield phrase(
            "Two males had a share: {} may have sired some of clutch {}. If each egg may have its own sire, write {} in {}, at {}.",
            words.join_or(answers.all_named(brings)),
            name,
            _each_its_own(clutch),
            clutch.place_of("sire").file,
            name,
        )


def _each_its_own(clutch: Clutch) -> str:
    """The line for a clutch of which each egg may have its own sire."""
    return f"`sire: {{mixed: [{', '.join(str(sire) for sire, _ in clutch.sires.candidates)}]}}`"


def _may_bring(answers: Answers, family: UnexpectedFamily, male: str) -> bool:
    return any(answers.carries(male, family.locus.key, allele) for allele in family.alleles)


# What `check` warns of


def warnings(inferred: Inference) -> Iterator[Problem]:
    """Each clutch of which another male could explain what does not fit, what was not expected, or what it proved of a parent."""
    if not inferred.others:
        return
    conflicts = {
        _clutch_of(inferred.collection, record.subject) for one in inferred.conflicts for record in one.records
    }
    surprising = {} if inferred.conflicts else _surprising(inferred)
    for name in inferred.others:
        clutch, males = inferred.collection.clutches[name], others_of(inferred, name)
        if inferred.conflicts:
            fits = [one for one in males if name in conflicts and inferred.copies_spared(name, one.male) is not None]
            result = "these records of what hatched can all be true"
        elif name in surprising:
            fits = [one for one in males if (inferred.copies_spared(name, one.male) or 0) > 0]
            result = f"{words.join_and(surprising[name])} in it needs fewer unrecorded carriers"
        else:
            proofs = _proofs(inferred, clutch)
            undoing = {one for _, found in proofs for one in found}
            spared = {one: inferred.copies_spared(name, one.male) for one in males if one in undoing}
            fits = [one for one, copies in spared.items() if copies is not None and copies >= 0]
            proven = [what for what, found in proofs if any(one in found for one in fits)]
            result = f"it does not prove {words.join_and(proven)}"
        if fits:
            listed = [one.male for one in fits]
            his = f"if he sired {name}" if len(fits) == 1 else f"if one of them sired {name}"
            text = f"{may_have_sired(clutch, fits)}; {his}, {result}. {line_to_write(inferred, clutch, listed)}".rstrip(
                "."
            )
            yield Problem.at(clutch.place_of("sire"), "other-male", text, "warning")


def _clutch_of(collection: Collection, subject: str) -> str:
    animal = collection.animals.get(subject)
    return subject if animal is None else animal.clutch or ""


def _surprising(inferred: Inference) -> Mapping[str, tuple[str, ...]]:
    """By clutch the traits that nobody expected there."""
    return grouped((name, _carried_by(inferred, one)) for one in inferred.surprises for name in one.clutches)


def _carried_by(inferred: Inference, surprise: Surprise) -> str:
    """The traits of the locus that the young carry for certain, else every one."""
    locus = inferred.collection.species[surprise.species].loci[surprise.locus]
    figures = [one for name in surprise.shown_by if isinstance(one := inferred.now(name, locus.key), Figure)]
    carried = [trait for at, trait in enumerate(locus.alleles, 1) if any(figure.carries(at) == 1 for figure in figures)]
    return words.join_or(carried or locus.alleles)


def _proofs(inferred: Inference, clutch: Clutch) -> list[tuple[str, tuple[OtherSire, ...]]]:
    """What the clutch proved of its parents and another male would undo: "M-04 het Piebald", "that M-04 carries Pastel"."""
    found = []
    for name in clutch.parents:
        for locus in inferred.loci_in_play(clutch.species):
            for allele, trait in enumerate(locus.alleles, 1):
                if inferred.grounds(name, locus.key, allele).kind != "proven":
                    continue
                undone = tuple(one for one in inferred.other_sires(name, locus.key, allele) if one.clutch == clutch.id)
                if undone:
                    what = f"{name} het {trait}" if locus.called_het else f"that {name} carries {trait}"
                    found.append((what, undone))
    return found
