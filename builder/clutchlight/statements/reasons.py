"""Why a buyer may believe a figure: its grounds in sentences, parents first, then what proved it, then the figure as snakes."""

from __future__ import annotations

from fractions import Fraction

from clutchlight.genetics.values import Figure, Grounds
from clutchlight.model import Animal, Claim, Inheritance, Locus, Nobody, Recorded
from clutchlight.statements.answers import Sires, Telling
from clutchlight.statements.family import hatch_of, hatched_words, relative_words, test_words, tests_of
from clutchlight.wording import words


def reasons(telling: Telling, animal: Animal, locus: Locus, allele: int, figure: Figure) -> tuple[str, ...]:
    """The sentences for one trait with a chance above 0."""
    trait = locus.alleles[allele - 1]
    carries = figure.carries(allele)
    if telling.shows(animal.id, locus, allele):
        return _by_look(locus, trait, figure, allele)
    grounds = telling.grounds(animal.id, locus.key, allele)
    if locus.key in telling.set_aside(animal):
        return (
            f"The looks of its clutch at {words.join_or(locus.alleles)} are set aside until they have been checked.",
        )
    if trait in words.one_of_these(locus, figure) and (said := _by_a_compound_parent(telling, animal, locus)):
        return said
    said = (*_by_grounds(telling, animal, locus, allele, grounds), *_by_shared_look(telling, animal, locus, allele))
    snakes = words.carry_sentence(carries, trait)
    return (*said, snakes) if snakes else said


def _by_grounds(telling: Telling, animal: Animal, locus: Locus, allele: int, grounds: Grounds) -> tuple[str, ...]:
    trait = locus.alleles[allele - 1]
    match grounds.kind:
        case "look":
            return (f"Its look leaves no other way: it carries {trait}.",)
        case "parentage":
            return _by_parentage(telling, animal, locus, allele)
        case "proven":
            return (_by_proof(telling, animal, locus, allele, grounds),)
        case "test":
            return (_by_test(telling, animal, locus, allele, grounds),)
        case "claim":
            return _by_claim(telling, animal, locus, allele)
        case "assumption":
            return _by_assumption(telling, animal, locus, allele)
        case "background":
            return (_by_background(locus, trait),)
        case "chance":
            return _by_chance(telling, animal, locus, allele)


def _by_look(locus: Locus, trait: str, figure: Figure, allele: int) -> tuple[str, ...]:
    if not 0 < figure.copies(allele)[2] < 1:
        return (f"It shows {trait}.",)
    others = dict.fromkeys(other for pair, _ in figure.genotypes for other in pair if other not in (0, allele))
    if not others:
        return (f"It shows {trait}; its look cannot tell one copy from two.",)
    beside = words.join_or([locus.alleles[other - 1] for other in others])
    return (f"It shows {trait}; one copy each of {trait} and {beside} looks the same as two copies of {trait}.",)


def _by_shared_look(telling: Telling, animal: Animal, locus: Locus, allele: int) -> tuple[str, ...]:
    """An allele that it may carry because it looks like a snake with one copy of it and one of what it shows."""
    trait = locus.alleles[allele - 1]
    shown = [name for other, name in enumerate(locus.alleles, 1) if telling.shows(animal.id, locus, other)]
    if not shown:
        return ()
    look = words.join_and(shown)
    text = f"Its look, {look}, is that of two copies of {look}, and also of one copy each of {look} and {trait}."
    if animal.founder and _claim_of(telling, animal.id, locus, allele) is None:
        text += " No record says which, so each of its two copies is taken to be either with the same chance, as far as the look allows."
    return (text,)


def _by_a_compound_parent(telling: Telling, animal: Animal, locus: Locus) -> tuple[str, ...]:
    """A parent with two different alleles: every young has one of the two."""
    for role, parent in _single_parents(telling, animal):
        figure = telling.now(parent, locus.key)
        if isinstance(figure, Figure) and len(figure.genotypes) == 1:
            ((low, high), _chance) = figure.genotypes[0]
            if 0 < low < high:
                pair = f"{locus.alleles[low - 1]} and {locus.alleles[high - 1]}"
                whose = "his" if role == "sire" else "her"
                who = telling.name_parts(parent, role)
                text = f"{who} has one copy each of {pair}, so every one of {whose} young carries one of the two"
                return (words.sentence(text),)
    return ()


def _by_parentage(telling: Telling, animal: Animal, locus: Locus, allele: int) -> tuple[str, ...]:
    trait = locus.alleles[allele - 1]
    for role, parent in _single_parents(telling, animal):
        figure = telling.now(parent, locus.key)
        if isinstance(figure, Figure) and figure.copies(allele)[2] == 1:
            how = f"shows {trait}" if telling.shows(parent, locus, allele) else f"has two copies of {trait}"
            whose = "his" if role == "sire" else "her"
            return (
                words.sentence(f"{telling.name_parts(parent, role)} {how}, so every one of {whose} young carries it"),
            )
    forced = f"By its parents, and by what its clutch showed, it can only carry {trait}."
    return (forced, *_parents_sentence(telling, animal, locus, allele))


def _by_proof(telling: Telling, animal: Animal, locus: Locus, allele: int, grounds: Grounds) -> str:
    trait = locus.alleles[allele - 1]
    by = grounds.proven_by
    clutch = telling.collection.clutches.get(by or "")
    if clutch is not None and not telling.listed(clutch.id):
        return f"An unlisted clutch proved it: what hatched can only be so if this animal carries {trait}."
    if clutch is not None:
        hatch = hatch_of(telling, clutch, locus, allele)
        if hatch.showing and animal.id in (clutch.dam, *clutch.sires.ids):
            return f"Clutch {clutch.id} proved it: {hatched_words(hatch)}."
        return f"Clutch {clutch.id} proved it: what hatched can only be so if this animal carries {trait}."
    if by is None:
        return f"What was recorded later leaves no other way: it carries {trait}."
    if by in telling.collection.animals and telling.shows(by, locus, allele):
        return words.sentence(f"{relative_words(telling, by, animal.id)} shows {trait}, which proves it")
    return f"The record of {telling.named(by)} proves it."


def _by_test(telling: Telling, animal: Animal, locus: Locus, allele: int, grounds: Grounds) -> str:
    tested = grounds.proven_by or animal.id
    sure = [test for test in tests_of(telling, tested, locus, allele) if not test.error]
    if not sure:
        return f"A test of {telling.named(tested)} proved it."
    return words.sentence(test_words(sure[0], relative_words(telling, tested, animal.id)))


def _claim_of(telling: Telling, animal: str, locus: Locus, allele: int) -> Claim | None:
    record = telling.collection.animals.get(animal)
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


def _by_claim(telling: Telling, animal: Animal, locus: Locus, allele: int) -> tuple[str, ...]:
    claim = _claim_of(telling, animal.id, locus, allele)
    if claim is not None:
        source = f" ({claim.said_by})" if claim.said_by else ""
        return (
            f"It came with the word that it is {claim_words(claim, locus)}{source}; nothing here has proven it yet.",
        )
    founders = telling.inferred.rests_on(animal.id, locus.key)
    if founders:
        named = words.join_and(telling.all_named(founders))
        return (f"It rests on what was said of {named}; nothing here has proven it yet.",)
    return ("It rests on a seller's word; nothing here has proven it yet.",)


def _by_assumption(telling: Telling, animal: Animal, locus: Locus, allele: int) -> tuple[str, ...]:
    condition = words.nothing_unrecorded(telling.unrecorded_for(animal.id, locus, allele))
    return (f"It is certain only {condition}.", *_parents_sentence(telling, animal, locus, allele))


def _by_background(locus: Locus, trait: str) -> str:
    frequency = locus.background.get(trait, Fraction(0))
    return (
        f"No record speaks of {trait} here. The figure comes only from how common it is taken to be among snakes without a record: "
        f"{words.in_count(frequency)} copies of the gene."
    )


def _by_chance(telling: Telling, animal: Animal, locus: Locus, allele: int) -> tuple[str, ...]:
    claim = _claim_of(telling, animal.id, locus, allele)
    if claim is not None:
        return (f"It came with the word that it is {claim_words(claim, locus)}.",)
    if animal.founder:
        return ()
    return _parents_sentence(telling, animal, locus, allele)


def _single_parents(telling: Telling, animal: Animal) -> tuple[tuple[str, str], ...]:
    """Its dam, and its sire where there is one recorded sire only."""
    dam = telling.dam_of(animal)
    sires = telling.sires_of(animal)
    found = [("dam", dam)] if dam else []
    if len(sires) == 1 and isinstance(sire := sires[0][0], Recorded):
        found.append(("sire", sire.id))
    return tuple(found)


def _parents_sentence(telling: Telling, animal: Animal, locus: Locus, allele: int) -> tuple[str, ...]:
    """One sentence on both parents: "Both parents are het Piebald: its dam F-03 was proven by clutch C24-03; its sire M-02 ..."."""
    trait = locus.alleles[allele - 1]
    parents = _single_parents(telling, animal)
    clauses = [
        f"{telling.name_parts(name, role)} {standing_clause(telling, name, locus, allele)}" for role, name in parents
    ]
    if not any(role == "sire" for role, _ in parents):
        clauses += _sires_clauses(telling, telling.sires_of(animal), locus, allele)
    if not clauses:
        return ()
    text = "; ".join(clauses)
    if len(parents) == 2 and all(telling.carries(name, locus.key, allele) == 1 for _, name in parents):
        shown = any(telling.shows(name, locus, allele) for _, name in parents)
        recessive = locus.inheritance is Inheritance.RECESSIVE
        what = f"are het {trait}" if recessive and not shown else f"carry {trait}"
        return (f"Both parents {what}: {text}.",)
    return (words.sentence(text),)


def _sires_clauses(telling: Telling, sires: Sires, locus: Locus, allele: int) -> tuple[str, ...]:
    """Sires that are not a single recorded male: "its sire may be M-04, which shows Piebald, or M-05, which has no record of Piebald"."""
    if not sires:
        return ()
    if len(sires) == 1:
        return ("it has no sire" if isinstance(sires[0][0], Nobody) else "its sire is not recorded",)
    alike: dict[str, list[str]] = {}
    for sire, _ in sires:
        clause = standing_clause(telling, sire.id, locus, allele) if isinstance(sire, Recorded) else ""
        alike.setdefault(clause, []).append(telling.male(sire))
    if len(alike) == 1:
        return tuple(f"its sire, {words.join_or(_once(names))}, {clause}" for clause, names in alike.items())
    parts = [f"{words.join_or(_once(names))}{clause and f', which {clause}'}" for clause, names in alike.items()]
    return (f"its sire may be {', or '.join(parts)}",)


def _once(names: list[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names))


def standing_clause(telling: Telling, animal: str, locus: Locus, allele: int) -> str:
    """What a parent brings, as a clause after its name: "shows Piebald", "was proven by clutch C24-03", "is 66% possible het Piebald"."""
    trait = locus.alleles[allele - 1]
    figure = telling.now(animal, locus.key)
    if not isinstance(figure, Figure):
        return f"has no figure for {trait}"
    carries = figure.carries(allele)
    if telling.shows(animal, locus, allele):
        return f"shows {words.label_of(locus, trait, figure, shows=True)}"
    if carries == 0:
        return f"has no record of {trait}"
    label = words.label_of(locus, trait, figure)
    if carries < 1:
        return f"{label if label.startswith('carries') else 'is ' + label}"
    grounds = telling.grounds(animal, locus.key, allele)
    if grounds.kind == "proven":
        return f"was proven {_proven_by(telling, grounds)}"
    if grounds.kind == "test":
        return "was proven by a test"
    if grounds.kind == "parentage":
        return _parentage_clause(telling, telling.collection.animals[animal], locus, allele)
    qualified = words.label_of(
        locus, trait, figure, grounds=grounds, unrecorded=telling.unrecorded_for(animal, locus, allele)
    )
    return qualified if qualified.startswith("carries") else f"is {qualified}"


def _proven_by(telling: Telling, grounds: Grounds) -> str:
    if grounds.proven_by is None:
        return "by what is recorded of its young"
    if grounds.proven_by in telling.collection.clutches:
        return f"by {telling.clutch(grounds.proven_by)}"
    return f"by what is recorded of {telling.named(grounds.proven_by)}"


def _parentage_clause(telling: Telling, animal: Animal, locus: Locus, allele: int) -> str:
    trait = locus.alleles[allele - 1]
    for role, parent in _single_parents(telling, animal):
        if telling.shows(parent, locus, allele) and locus.inheritance is Inheritance.RECESSIVE:
            return f"has it from {telling.name_parts(parent, role)}, which shows {trait}"
    return "has it by its parentage"
