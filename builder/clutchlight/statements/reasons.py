"""Why a buyer may believe a figure: its grounds in sentences, parents first, then what proved it, then the figure as snakes."""

from __future__ import annotations

from fractions import Fraction

from clutchlight.genetics.values import Figure, Grounds
from clutchlight.model import Animal, Claim, Inheritance, Locus, Nobody, Recorded
from clutchlight.statements.answers import Answers, Sires
from clutchlight.statements.family import hatch_of, hatched_words, relative_words, test_words, tests_of
from clutchlight.wording import words
from clutchlight.wording.text import NO_WORDS, Name, Text, joined, phrase


def reasons(
    answers: Answers, animal: Animal, locus: Locus, allele: int, figure: Figure
) -> tuple[tuple[str, ...], bool]:
    """The sentences for one trait with a chance above 0, and whether the chance as a count of snakes goes with them."""
    trait = locus.alleles[allele - 1]
    carries = figure.carries(allele)
    if answers.shows(animal.id, locus, allele):
        return _by_look(locus, trait, figure, allele), False
    grounds = answers.grounds(animal.id, locus.key, allele)
    if locus.key in answers.collection.set_aside(animal):
        return (
            f"The looks of its clutch at {words.join_or(locus.alleles)} are set aside until they have been checked.",
        ), False
    if trait in words.one_of_these(locus, figure) and (said := _by_a_compound_parent(answers, animal, locus)):
        return said, False
    said = (*_by_grounds(answers, animal, locus, allele, grounds), *_by_shared_look(answers, animal, locus, allele))
    return said, 0 < carries < 1


def _by_grounds(answers: Answers, animal: Animal, locus: Locus, allele: int, grounds: Grounds) -> tuple[str, ...]:
    trait = locus.alleles[allele - 1]
    match grounds.kind:
        case "look":
            return (f"Its look leaves no other way: it carries {trait}.",)
        case "parentage":
            return _by_parentage(answers, animal, locus, allele)
        case "proven":
            return (_by_proof(answers, animal, locus, allele, grounds),)
        case "test":
            return (_by_test(answers, animal, locus, allele, grounds),)
        case "claim":
            return _by_claim(answers, animal, locus, allele)
        case "assumption":
            return _by_assumption(answers, animal, locus, allele)
        case "background":
            return (_by_background(locus, trait),)
        case "chance":
            return _by_chance(answers, animal, locus, allele)


def _by_look(locus: Locus, trait: str, figure: Figure, allele: int) -> tuple[str, ...]:
    if not 0 < figure.copies(allele)[2] < 1:
        return ()
    others = dict.fromkeys(other for pair, _ in figure.genotypes for other in pair if other not in (0, allele))
    if not others:
        return (f"It shows {trait}; its look cannot tell one copy from two.",)
    beside = words.join_or([locus.alleles[other - 1] for other in others])
    return (f"It shows {trait}; one copy each of {trait} and {beside} looks the same as two copies of {trait}.",)


def _by_shared_look(answers: Answers, animal: Animal, locus: Locus, allele: int) -> tuple[str, ...]:
    """An allele that it may carry because it looks like a snake with one copy of it and one of what it shows."""
    trait = locus.alleles[allele - 1]
    shown = [name for other, name in enumerate(locus.alleles, 1) if answers.shows(animal.id, locus, other)]
    if not shown:
        return ()
    look = words.join_and(shown)
    text = f"Its look, {look}, is that of two copies of {look}, and also of one copy each of {look} and {trait}."
    if animal.founder and _claim_of(answers, animal.id, locus, allele) is None:
        text += " No record says which, so each of its two copies is taken to be either with the same chance, as far as the look allows."
    return (text,)


def _by_a_compound_parent(answers: Answers, animal: Animal, locus: Locus) -> tuple[str, ...]:
    """A parent with two different alleles: every young has one of the two."""
    for role, parent in _single_parents(answers, animal):
        figure = answers.now(parent, locus.key)
        if isinstance(figure, Figure) and len(figure.genotypes) == 1:
            ((low, high), _chance) = figure.genotypes[0]
            if 0 < low < high:
                pair = f"{locus.alleles[low - 1]} and {locus.alleles[high - 1]}"
                whose = "his" if role == "sire" else "her"
                who = answers.related(parent, role)
                rest = f" has one copy each of {pair}, so every one of {whose} young carries one of the two"
                return (words.sentence(Text(who, rest)),)
    return ()


def _by_parentage(answers: Answers, animal: Animal, locus: Locus, allele: int) -> tuple[str, ...]:
    trait = locus.alleles[allele - 1]
    for role, parent in _single_parents(answers, animal):
        figure = answers.now(parent, locus.key)
        if isinstance(figure, Figure) and figure.copies(allele)[2] == 1:
            how = f"shows {trait}" if answers.shows(parent, locus, allele) else f"has two copies of {trait}"
            whose = "his" if role == "sire" else "her"
            return (
                words.sentence(
                    phrase("{} {}, so every one of {} young carries it", answers.related(parent, role), how, whose)
                ),
            )
    forced = f"By its parents, and by what its clutch showed, it can only carry {trait}."
    return (forced, *_parents_sentence(answers, animal, locus, allele))


def _by_proof(answers: Answers, animal: Animal, locus: Locus, allele: int, grounds: Grounds) -> Text:
    trait = locus.alleles[allele - 1]
    by = grounds.proven_by
    clutch = answers.collection.clutches.get(by or "")
    if clutch is not None and not answers.listed(clutch.id):
        return Text(f"An unlisted clutch proved it: what hatched can only be so if this animal carries {trait}.")
    if clutch is not None:
        hatch = hatch_of(answers, clutch, locus, allele)
        if hatch.showing and animal.id in (clutch.dam, *clutch.sires.ids):
            how = hatched_words(hatch)
        else:
            how = f"what hatched can only be so if this animal carries {trait}"
        return phrase("Clutch {} proved it: {}.", Name(clutch.id), how)
    if by is None:
        return Text(f"What was recorded later leaves no other way: it carries {trait}.")
    if by in answers.collection.animals and answers.shows(by, locus, allele):
        return words.sentence(phrase("{} shows {}, which proves it", relative_words(answers, by, animal.id), trait))
    return phrase("The record of {} proves it.", answers.named(by))


def _by_test(answers: Answers, animal: Animal, locus: Locus, allele: int, grounds: Grounds) -> Text:
    tested = grounds.proven_by or animal.id
    sure = [test for test in tests_of(answers, tested, locus, allele) if not test.error]
    if not sure:
        return phrase("A test of {} proved it.", answers.named(tested))
    return words.sentence(test_words(sure[0], relative_words(answers, tested, animal.id)))


def _claim_of(answers: Answers, animal: str, locus: Locus, allele: int) -> Claim | None:
    record = answers.collection.animals.get(animal)
    trait = locus.alleles[allele - 1]
    return next(
        (
            claim
            for claim in (record.claims if record else ())
            if claim.locus == locus.key and claim.trait == trait and claim.chance is not None and not claim.withdrawn
        ),
        None,
    )


def claim_words(claim: Claim, locus: Locus) -> str:
    """The claim as a label: "het Piebald", "66% possible het Piebald"."""
    het = f"het {claim.trait}" if locus.inheritance is Inheritance.RECESSIVE else claim.trait
    return het if claim.chance in (None, 1) else f"{words.percent_text(claim.chance or Fraction(0))} possible {het}"


def _by_claim(answers: Answers, animal: Animal, locus: Locus, allele: int) -> tuple[str, ...]:
    claim = _claim_of(answers, animal.id, locus, allele)
    if claim is not None:
        source = f" ({claim.said_by})" if claim.said_by else ""
        return (
            f"It came with the word that it is {claim_words(claim, locus)}{source}; nothing here has proven it yet.",
        )
    founders = answers.inferred.rests_on(animal.id, locus.key)
    if founders:
        named = words.join_and(answers.all_named(founders))
        return (phrase("It rests on what was said of {}; nothing here has proven it yet.", named),)
    return ("It rests on a seller's word; nothing here has proven it yet.",)


def _by_assumption(answers: Answers, animal: Animal, locus: Locus, allele: int) -> tuple[str, ...]:
    condition = words.nothing_unrecorded(answers.unrecorded_for(animal.id, locus, allele))
    return (phrase("It is certain only {}.", condition), *_parents_sentence(answers, animal, locus, allele))


def _by_background(locus: Locus, trait: str) -> str:
    frequency = locus.background.get(trait, Fraction(0))
    return (
        f"No record speaks of {trait} here. The figure comes only from how common it is taken to be among snakes without a record: "
        f"{words.in_count(frequency)} copies of the gene."
    )


def _by_chance(answers: Answers, animal: Animal, locus: Locus, allele: int) -> tuple[str, ...]:
    claim = _claim_of(answers, animal.id, locus, allele)
    if claim is not None:
        return (f"It came with the word that it is {claim_words(claim, locus)}.",)
    if animal.founder:
        return ()
    return _parents_sentence(answers, animal, locus, allele)


def _single_parents(answers: Answers, animal: Animal) -> tuple[tuple[str, str], ...]:
    """Its dam, and its sire where there is one recorded sire only."""
    dam = answers.dam_of(animal)
    sires = answers.sires_of(animal)
    found = [("dam", dam)] if dam else []
    if len(sires) == 1 and isinstance(sire := sires[0][0], Recorded):
        found.append(("sire", sire.id))
    return tuple(found)


def _parents_sentence(answers: Answers, animal: Animal, locus: Locus, allele: int) -> tuple[str, ...]:
    """One sentence on both parents: "Both parents are het Piebald: its dam F-03 was proven by clutch C24-03; its sire M-02 ..."."""
    trait = locus.alleles[allele - 1]
    parents = _single_parents(answers, animal)
    clauses: list[str] = [
        phrase("{} {}", answers.related(name, role), standing_clause(answers, name, locus, allele))
        for role, name in parents
    ]
    if not any(role == "sire" for role, _ in parents):
        clauses += _sires_clauses(answers, answers.sires_of(animal), locus, allele)
    if not clauses:
        return ()
    text = joined("; ", clauses)
    if len(parents) == 2 and all(answers.carries(name, locus.key, allele) == 1 for _, name in parents):
        shown = any(answers.shows(name, locus, allele) for _, name in parents)
        recessive = locus.inheritance is Inheritance.RECESSIVE
        what = f"are het {trait}" if recessive and not shown else f"carry {trait}"
        return (phrase("Both parents {}: {}.", what, text),)
    return (words.sentence(text),)


def _sires_clauses(answers: Answers, sires: Sires, locus: Locus, allele: int) -> tuple[str, ...]:
    """Sires that are not a single recorded male: "its sire may be M-04, which shows Piebald, or M-05, which has no record of Piebald"."""
    if not sires:
        return ()
    if len(sires) == 1:
        return ("it has no sire" if isinstance(sires[0][0], Nobody) else "its sire is not recorded",)
    names_of: dict[Text, list[Text]] = {}
    for sire, _ in sires:
        clause = standing_clause(answers, sire.id, locus, allele) if isinstance(sire, Recorded) else NO_WORDS
        names_of.setdefault(clause, []).append(answers.male(sire))
    if len(names_of) == 1:
        return tuple(
            phrase("its sire, {}, {}", words.join_or(_once(names)), clause) for clause, names in names_of.items()
        )
    parts = [
        Text(words.join_or(_once(names)), *((", which ", clause) if clause else ()))
        for clause, names in names_of.items()
    ]
    return (Text("its sire may be ", joined(", or ", parts)),)


def _once(names: list[Text]) -> tuple[Text, ...]:
    return tuple(dict.fromkeys(names))


def standing_clause(answers: Answers, animal: str, locus: Locus, allele: int) -> Text:
    """What a parent brings, as a clause after its name: "shows Piebald", "was proven by clutch C24-03", "is 66% possible het Piebald"."""
    trait = locus.alleles[allele - 1]
    figure = answers.now(animal, locus.key)
    if not isinstance(figure, Figure):
        return Text(f"has no figure for {trait}")
    carries = figure.carries(allele)
    if answers.shows(animal, locus, allele):
        return Text("shows ", words.label_of(locus, trait, figure, shows=True))
    if carries == 0:
        return Text(f"has no record of {trait}")
    if carries < 1:
        return words.label_of(locus, trait, figure).as_verb
    grounds = answers.grounds(animal, locus.key, allele)
    if grounds.kind == "proven":
        return Text("was proven ", _proven_by(answers, grounds))
    if grounds.kind == "test":
        return Text("was proven by a test")
    if grounds.kind == "parentage":
        return _parentage_clause(answers, answers.collection.animals[animal], locus, allele)
    unrecorded = answers.unrecorded_for(animal, locus, allele)
    return words.label_of(locus, trait, figure, grounds=grounds, unrecorded=unrecorded).as_verb


def _proven_by(answers: Answers, grounds: Grounds) -> Text:
    if grounds.proven_by is None:
        return Text("by what is recorded of its young")
    if grounds.proven_by in answers.collection.clutches:
        return Text("by ", answers.clutch(grounds.proven_by))
    return Text("by what is recorded of ", answers.named(grounds.proven_by))


def _parentage_clause(answers: Answers, animal: Animal, locus: Locus, allele: int) -> Text:
    trait = locus.alleles[allele - 1]
    for role, parent in _single_parents(answers, animal):
        if answers.shows(parent, locus, allele) and locus.inheritance is Inheritance.RECESSIVE:
            return phrase("has it from {}, which shows {}", answers.related(parent, role), trait)
    return Text("has it by its parentage")
