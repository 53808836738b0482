"""Why a buyer may believe a figure: its grounds in sentences, parents first, then what proved it."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from msgspec.structs import replace

from clutchlight.genetics.values import Figure, Grounds, JointFigure
from clutchlight.model import NOBODY, Claim, LabTest, Locus, Nobody, Recorded, Species
from clutchlight.statements.answers import looked
from clutchlight.statements.asked import (
    WITHOUT_A_MALE,
    Asked,
    chance_of_two,
    claim_words,
    looked_for,
    source_words,
    taken_for_free,
    tested_free,
)
from clutchlight.statements.family import (
    ITSELF,
    cause_words,
    parent_named,
    relative_words,
    replaced_by,
    single_parents,
    sire_words,
    test_that_counts,
    test_words,
    twins_of,
)
from clutchlight.statements.hatched import Hatch, hatch_of, hatched_words, proof_of
from clutchlight.statements.results import if_one_sire, public_reasons
from clutchlight.wording import words
from clutchlight.wording.text import NO_WORDS, Name, Text, joined, phrase

Sentences = tuple[str, ...]


def reasons(asked: Asked, figure: Figure) -> Sentences:
    """The sentences for one trait with a chance above 0."""
    if asked.shows:
        return (*_by_look(asked, figure), *_without_the_other(asked))
    if asked.under_review:
        aside = words.join_or(asked.locus.alleles)
        return (
            f"We are checking whether it and its clutch mates show {aside}, and say nothing of {aside} until we know.",
        )
    others = (*public_reasons(asked), *if_one_sire(asked))
    if asked.one_of_several:
        proven = asked.certain_by.kind in ("proven", "test")
        if said := (_by_proof(asked),) if proven else _by_a_compound_parent(asked):
            return (*said, *others)
    shared = _by_shared_look(asked) if asked.carries != 1 else ()
    of_two_genes = asked.if_of_another_gene(figure)
    genes = (perhaps_one_gene(asked.locus, asked.answers.species_of(asked.animal)),) if of_two_genes else ()
    found = (*shared, *_by_grounds(asked), *_by_doubted_words(asked), *others, *genes)
    if not found and asked.animal.founder:  # of which nothing was said or seen
        return ("It follows from what is recorded of its descendants.",)
    return found


def perhaps_one_gene(locus: Locus, species: Species) -> str:
    """What figures take for granted of lines of which nobody knows whether they are one gene."""
    others = words.join_and([name for key in locus.may_be_alleles for name in species.loci[key].alleles])
    return f"Whether {words.join_and(locus.alleles)} and {others} are forms of one gene is not known; our figures take them for two."


def _by_grounds(asked: Asked) -> Sentences:
    match asked.grounds.kind:
        case "look":
            return (_by_the_look_of_its_egg(asked),)
        case "parentage":
            return _by_parentage(asked)
        case "proven":
            return (_by_proof(asked),)
        case "test":
            return (_by_test(asked),)
        case "claim":
            return _by_claim(asked)
        case "assumption":
            condition = words.nothing_unrecorded(asked.unrecorded())
            taken = phrase("It is certain {}{}{}.", "only " if asked.unrecorded() else "", condition, _beside(asked))
            return (*_as_said(asked), taken, *_parents_sentence(asked))
        case "background":
            return (_by_background(asked),)
        case "chance":
            return (
                *(_as_said(asked) or (*_parents_sentence(asked), *_from_parents_to_figure(asked))),
                *_by_tests_that_err(asked),
            )


def _by_the_look_of_its_egg(asked: Asked) -> Text:
    """By the look of its identical twin that shows it, else by its own."""
    twins = twins_of(asked.answers, asked.animal)
    shown = next((name for name in twins if asked.of(name).shows), None)
    if shown:
        record = asked.answers.collection.animals[shown]
        look = words.join_and(asked.answers.looks_at(record, asked.locus))
        twin = asked.answers.named(shown)
        return phrase("Its identical twin {} shows {}, and identical twins share one set of genes.", twin, look)
    if looked(asked.animal) is None and twins:
        whose = phrase("The look of its identical twin {}", words.join_and(asked.answers.all_named(twins)))
    else:
        whose = Text("Its look")
    return phrase("{} leaves no other way: it carries {}.", whose, asked.trait)


def _beside(asked: Asked) -> str:
    """What the chance is without the assumption."""
    found = asked.beside_assumption
    taking = words.taking_unrecorded(found[1], asked.locus, asked.locus) if found else ""
    return f"; {taking}, its chance is {words.in_count(found[0])}" if found else ""


def _by_doubted_words(asked: Asked) -> Sentences:
    """Whose claim, of those that the figure rests on, is doubted."""
    founders = [name for name in asked.rests_on if name != asked.animal.id and asked.of(name).claim_in_doubt]
    if not founders:
        return ()
    named = words.join_and(asked.answers.all_named(founders))
    trust = words.note_count(asked.trust)
    return (phrase("What was said of {} is in doubt: it counts as likely, {} before anything was seen.", named, trust),)


def _by_look(asked: Asked, figure: Figure) -> Sentences:
    trait, allele = asked.trait, asked.allele
    two = figure.copies(allele)[2]
    said = [f"two copies{chance_of_two(claim)}{source_words(claim)}" for claim in asked.claims if claim.two_copies]
    word = tuple(f"It came with the word that it has {copies}." for copies in said[:1])
    alike = asked.locus.look_of.get((0, allele)) == asked.locus.look_of.get((allele, allele))
    sure = [test for test in asked.tests if test.copies == 2 and not test.error]
    if two == 1 and alike and sure:
        whose = relative_words(asked.answers, asked.animal.id, asked.animal.id)
        return (words.sentence(test_words(sure[0], whose)),)
    if two == 1 and (condition := asked.two_copies_if):
        alone = f"Without a male, a young is taken to get two copies of {trait} or none."
        how = (alone,) if condition == WITHOUT_A_MALE else word or _parents_sentence(asked)
        return (*([f"Its look cannot tell one copy of {trait} from two."] if alike else []), *how)
    if not 0 < two < 1:
        return ()
    others = dict.fromkeys(other for pair, _ in figure.genotypes for other in pair if other not in (0, allele))
    has = "shows" if trait in asked.answers.looks_at(asked.animal, asked.locus) else "has"
    if not others:
        named = words.join_and(asked.answers.all_named([name for name in asked.rests_on if name != asked.animal.id]))
        rests = (phrase("How likely a second copy is rests on what was said of {}.", named),) if named else ()
        open_ = f"It {has} {trait}; its look cannot tell one copy from two."
        return (open_, *word, *_parents_sentence(asked), *rests, *_by_own_young(asked))
    beside = words.join_or([asked.locus.alleles[other - 1] for other in others])
    return (f"It {has} {trait}; one copy of {trait} with one of {beside} looks the same as two copies of {trait}.",)


def _by_own_young(asked: Asked) -> Iterator[Text]:
    """The clutches of its own that moved its chance of a second copy."""
    before, own = None, asked.answers.collection.clutches_of.get(asked.animal.id, ())
    for event, figure in asked.history:
        two = figure.copies(asked.allele)[2]
        if event is not None and event.subject in own and two != before:
            yield words.sentence(cause_words(asked, event))
        before = two


def _by_shared_look(asked: Asked) -> Sentences:
    """An allele that it may carry because it looks like a snake with one copy of it and one of what it shows."""
    answers, animal, locus = asked.answers, asked.animal, asked.locus
    shown = [name for other, name in enumerate(locus.alleles, 1) if replace(asked, allele=other).shows]
    if not shown or not isinstance(figure := asked.figure, Figure) or len(figure.genotypes) == 1:
        return ()
    look = words.join_and(answers.looks_at(animal, locus) or shown)
    text = f"It shows {look}; by its records that can be {_looking_so(locus, figure)}."
    if animal.founder and claim_of(asked) is None:
        text += " No record says for certain which."
    return (text,)


def _looking_so(locus: Locus, figure: Figure) -> str:
    """The pairs of copies that are left: "two copies of Lesser or Butter, or one copy each of Lesser and Butter"."""
    names = ("none", *locus.alleles)
    pairs = [pair for pair, _ in figure.genotypes]
    single = [f"one copy of {names[high]}" for low, high in pairs if low == 0 != high]
    double = [names[low] for low, high in pairs if low == high != 0]
    mixed = [pair for pair in pairs if 0 < pair[0] < pair[1]]
    beside = words.join_or([f"{names[low]} and {names[high]}" for low, high in mixed])
    together = f"one copy each of {beside}" if mixed else ""
    for one in set(mixed[0]).intersection(*mixed[1:]) if len(mixed) > 1 else ():
        others = words.join_or([names[low + high - one] for low, high in mixed])
        together = f"one copy of {names[one]} with one of {others}"
    parts = [
        *single,
        *([f"two copies of {words.join_or(double)}"] if double else ()),
        *([together] if together else ()),
    ]
    return ", or ".join(parts)


def _by_a_compound_parent(asked: Asked) -> Sentences:
    """A parent with two copies of two alleles, in whichever pairs: every young has one of the two."""
    for role, parent in single_parents(asked):
        figure = parent.figure
        if isinstance(figure, Figure):
            pairs = [pair for pair, _ in figure.genotypes]
            if all(low for low, _ in pairs) and len({allele for pair in pairs for allele in pair}) == 2:
                copies = f"has {_looking_so(asked.locus, figure)}"
                return (_every_young(asked, role, parent, copies, "carries one of the two"),)
    return ()


def _every_young(asked: Asked, role: str, parent: Asked, has: str, carries: str) -> Text:
    who = parent_named(asked, role, parent)
    return words.sentence(phrase("{} {}, so every one of {} young {}", who, has, _whose(role), carries))


def _whose(role: str) -> str:
    return "his" if role == "sire" else "her"


def _without_the_other(asked: Asked) -> Iterator[Text]:
    """What a parent has of another form of the gene, and why this young has none of it."""
    figure, locus = asked.figure, asked.locus
    if len(locus.alleles) < 2 or not isinstance(figure, Figure) or asked.carries != 1 or not asked.recessive:
        return
    for role, parent in single_parents(asked):
        pairs = [pair for pair, _ in parent.figure.genotypes] if isinstance(parent.figure, Figure) else []
        if len(pairs) != 1 or pairs[0][0] == pairs[0][1]:
            continue
        for other in pairs[0]:
            looks = locus.look_of.get((min(other, asked.allele), max(other, asked.allele)))
            if other not in (0, asked.allele) and looks and not figure.carries(other):
                said = (
                    "{} is another form of the same gene: {} hands it on to half of {} young, and one with both is {}"
                )
                who, look = parent_named(asked, role, parent), " ".join(sorted(looks))
                yield words.sentence(phrase(said, locus.alleles[other - 1], who, _whose(role), look))


def _by_parentage(asked: Asked) -> Sentences:
    for role, parent in single_parents(asked):
        if parent.has_two:
            plainly = parent.shows and asked.recessive and len(asked.locus.alleles) == 1
            how = f"shows {asked.trait}" if plainly else f"has two copies of {asked.trait}"
            return (_every_young(asked, role, parent, how, "carries it"), *_without_the_other(asked))
    forced = f"By its parents, and by what its clutch showed, it can only carry {asked.trait}."
    return (forced, *_parents_sentence(asked))


def _by_proof(asked: Asked) -> Text:
    answers, trait, by = asked.answers, asked.what, asked.certain_by.proven_by
    clutch = answers.collection.clutches.get(by or "")
    condition = NO_WORDS if public_reasons(asked) else asked.no_other_male(by)
    only, hangs = condition and Text(", ", condition), asked.if_sired()
    if clutch is not None:
        hatch = proof_of(asked, clutch)
        if (
            answers.listed(clutch.id)
            and hatch.showing
            and asked.animal.id in clutch.parents
            and not asked.one_of_several
        ):
            alone = NOBODY in dict(clutch.sires.candidates)
            how = f"{hatched_words(hatch)}{'' if alone else _from_both(asked, hatch)}"
            told = "It follows from {}{}: {}" if hangs else "{} proved it{}: {}"
            return words.sentence(phrase(told, answers.clutch(clutch.id), only, how))
        hatched = answers.clutch(clutch.id)
        return phrase("Since {} hatched, our records leave no other way{}: it carries {}.", hatched, only, trait)
    if by is None:
        return Text(f"What was recorded later leaves no other way: it carries {trait}.")
    who = relative_words(answers, by, asked.animal.id)
    tested = sure_test(asked, by)
    if tested and asked.animal.id not in answers.parents(by):
        return words.sentence(phrase("{} of {}", test_words(tested, who), tested.trait))
    proves = Text("from which it follows" if hangs else "which proves it", only)
    if asked.of(by).shows:
        record = answers.collection.animals[by]
        shown = words.join_and(answers.looks_at(record, asked.locus)) if asked.one_of_several else trait
        return words.sentence(phrase("{} shows {}, {}", who, shown, proves))
    if tested:
        return words.sentence(phrase("{} of {}, {}", test_words(tested, who), tested.trait, proves))
    return phrase(
        "It follows from the record of {}{}." if hangs else "The record of {} proves it{}.", answers.named(by), only
    )


def _from_both(asked: Asked, hatch: Hatch) -> str:
    """Why what hatched proves it: ", and a Piebald has a copy from each parent"; "" where the look alone tells, or it takes more."""
    alone = asked.locus.looks.get(frozenset((hatch.look,)), ()) == ((asked.allele, asked.allele),)
    if not alone or not asked.recessive or asked.locus.sex_linked:
        return ""
    return f", and {words.an(hatch.look)} has a copy from each parent"


def _by_test(asked: Asked) -> Text:
    tested = asked.grounds.proven_by or asked.animal.id
    sure = [test for test in asked.of(tested).tests if not test.error]
    if not sure:
        return phrase("A test of {} proved it.", asked.answers.named(tested))
    return words.sentence(test_words(sure[0], relative_words(asked.answers, tested, asked.animal.id)))


def claim_of(asked: Asked) -> Claim | None:
    """What was said of its chance and still stands."""
    return next((claim for claim in asked.claims if claim.chance is not None), None)


def _by_claim(asked: Asked) -> Sentences:
    claim = claim_of(asked)
    if claim is not None:
        said = f"It came with the word that it is {claim_words(claim, asked.locus)}{source_words(claim)}"
        if asked.claimed_for_certain():
            return (f"{said}; nothing here has proven it yet.",)
        others = [name for name in asked.rests_on if asked.of(name).claimed_for_certain()]
        named = words.join_and(asked.answers.all_named(others)) or "others"
        return (
            f"{said}.",
            phrase("It is certain if what was said of {} is true; nothing here has proven it yet.", named),
        )
    if founders := asked.rests_on:
        named = words.join_and(asked.answers.all_named(founders))
        rests = phrase("It rests on what was said of {}; nothing here has proven it yet.", named)
        return (*_by_the_pair(asked), rests)
    if by := asked.who_excluded_others:
        rests = phrase("Who its sire is rests on what was said of {}.", words.join_and(asked.answers.all_named(by)))
        return (*_by_parentage(asked), rests)
    return ("It rests on a seller's word; nothing here has proven it yet.",)


def _by_the_pair(asked: Asked) -> Sentences:
    """Where it shows another allele, and its parents leave one pair of those that look so."""
    figure, locus = asked.figure, asked.locus
    looks = asked.answers.looks_at(asked.animal, locus)
    if not looks or not isinstance(figure, Figure) or len(figure.genotypes) != 1:
        return ()
    left = _looking_so(locus, figure)
    return (f"It shows {words.join_and(looks)}; by its parents that can only be {left}.",)


def _by_background(asked: Asked) -> str:
    frequency = asked.locus.background.get(asked.trait, Fraction(0))
    common = (
        f"how common it is taken to be among snakes without a record: {words.in_count(frequency)} copies of the gene"
    )
    if asked.moved:
        return f"Neither it nor its family shows {asked.trait}. The figure comes from {common}; and from what its young look like."
    return f"No record speaks of {asked.trait} here. The figure comes only from {common}."


def _by_tests_that_err(asked: Asked) -> Iterator[Text]:
    """Its own tests that move its chance, which sets it apart from its siblings."""
    animal, against = asked.animal, asked.answers.inferred.tests_against_looks
    tests = [test for test in animal.tests if test.error and test.locus == asked.locus.key]
    repeated = [replaced_by(animal, test) for test in tests]
    for test in sorted(tests, key=lambda test: test.on):
        if test not in repeated and (animal.id, test) not in against:
            of = f" of {test.trait}" if test.trait != asked.trait else ""
            yield words.sentence(test_that_counts(animal, test, ITSELF, of))


A_HET_HANDS_ON = "A het hands its copy on to half of its young"


def _from_parents_to_figure(asked: Asked) -> Sentences:
    """The rule that leads from what its parents are to its figure: the whole of it where both are certain, else its first half."""
    parents = single_parents(asked)
    if not asked.recessive or asked.locus.sex_linked or len(parents) < 2:
        return ()
    hets = [parent.one_copy == 1 for _, parent in parents]
    if all(hets) and asked.carries == Fraction(2, 3):
        return (f"Where both parents {_are_het(asked)}, a young that does not show it carries one copy 2 times in 3.",)
    if any(hets) and any(parent.carries == 0 for _, parent in parents) and asked.carries == Fraction(1, 2):
        return (f"{A_HET_HANDS_ON}.",)
    perhaps = [(role, parent.animal) for role, parent in parents if 0 < (parent.carries or 0) < 1]
    if not any(hets) or not perhaps:
        return ()
    role, other = perhaps[0]
    who = (
        f"this one's {role}" if other.nameless or not asked.answers.listed(other.id) else asked.answers.named(other.id)
    )
    without = f" One that does not show {asked.trait} cannot have two copies." if asked.seen_without else ""
    return (phrase("{}; {} may hand one on too.{}", A_HET_HANDS_ON, who, without),)


def _are_het(asked: Asked) -> str:
    return f"are het {asked.trait}" if asked.het else f"carry {asked.trait}"


def _as_said(asked: Asked) -> Sentences:
    """What was said of it when it came, where that still stands."""
    claim = claim_of(asked)
    if claim is None:
        return ()
    every = [
        one for allele in range(1, len(asked.locus.alleles) + 1) if (one := claim_of(replace(asked, allele=allele)))
    ]
    if len(every) > 1 and sum(one.chance or 0 for one in every) == 1:
        named = words.join_or([f"{one.trait} ({words.percent_text(Fraction(one.chance or 0))})" for one in every])
        return (f"It came with the word that it carries {named}, one of the {words.number(len(every))}.",)
    return (f"It came with the word that it is {claim_words(claim, asked.locus)}.",)


def _parents_sentence(asked: Asked) -> Sentences:
    """One sentence on both parents: "Both parents are het Piebald: its dam F-03 was proven by clutch C24-03; its sire M-02 ..."."""
    parents = single_parents(asked)
    both = len(parents) == 2 and all(parent.carries == 1 for _, parent in parents)
    named = [parent_named(asked, role, parent) for role, parent in parents]
    standing = [standing_clause(parent, told="was" if both else "", of=asked.animal.clutch) for _, parent in parents]
    clauses: list[str] = [phrase("{} {}", *pair) for pair in zip(named, standing, strict=True)]
    alike = both and standing[0] == standing[1]
    proved = [parent.grounds for _, parent in parents]
    unless = [parent.if_sired(parent.grounds.proven_by) for _, parent in parents] if both else []
    if alike and standing[0].startswith("was "):
        were = standing_clause(parents[0][1], told="were", of=asked.animal.clutch)
        clauses = [phrase("{} {}", words.join_and(named), were)]
    elif both and proved[0].kind == "proven" and proved[0] == proved[1] and unless[1] and not unless[0]:
        condition = words.no_other_male(["the clutch"]) if unless[1] == words.no_other_male(()) else unless[1]
        too = parents[1][1].label_now.only_on().as_verb
        clauses = [phrase("{} {}, and {} {} too, {}", named[0], standing[0], named[1], too, condition)]
    elif alike and parents[0][1].grounds.kind == "claim":
        clauses = [phrase("{}, {}", words.join_and(named), parents[0][1].on_claims())]
    if not any(role == "sire" for role, _ in parents):
        clauses += _sires_clauses(asked)
    if not clauses:
        return ()
    text = joined("; ", clauses)
    if both:
        hets = all(parent.one_copy == 1 and not parent.shows for _, parent in parents)
        what = _are_het(asked) if hets else f"carry {asked.trait}"
        return (phrase("Both parents {}: {}.", what, text),)
    return (words.sentence(text),)


def _sires_clauses(asked: Asked) -> Sentences:
    """Sires that are not a single recorded male: "its sire may be M-1, 2 in 3, which shows Piebald, or an unrecorded male, 1 in 3"."""
    answers = asked.answers
    sires = answers.sires_of(asked.animal)
    if not sires:
        return ()
    males = [(sire, chance) for sire, chance in sires if not isinstance(sire, Nobody)]
    if not males:
        kept, dam = asked.locus.kept_in_parthenogenesis, answers.dam_of(asked.animal)
        het = kept and dam and asked.of(dam).one_copy
        one_copy = f", and {words.in_count(kept)} of her young are taken to keep one copy" if het else ""
        return (f"she bred without a male{one_copy}",)
    must = _must_carry(asked)
    if len(sires) == 1:
        return (f"its sire is not recorded{must and f', and {must}'}",)
    alone = "" if len(males) == len(sires) else "; or it has no sire"
    if must and not alone and all(asked.of(sire.id).carries != 1 for sire, _ in males if isinstance(sire, Recorded)):
        return (phrase("its sire, {}, {}", words.join_or([answers.male(sire) for sire, _ in males]), must),)
    names_of: dict[Text, dict[Text, Fraction]] = {}
    for sire, chance in males:
        clause = standing_clause(asked.of(sire.id), of=asked.animal.clutch) if isinstance(sire, Recorded) else NO_WORDS
        names, name = names_of.setdefault(clause, {}), answers.male(sire)
        names[name] = names.get(name, Fraction(0)) + (chance or 0)
    if len(names_of) == 1:
        listed = words.join_or(tuple(*names_of.values()))
        return (phrase("its sire, {}, {}{}", listed, *names_of, alone),)
    parts = [
        Text(words.join_or([_likely(*one) for one in names.items()]), *((", which ", clause) if clause else ()))
        for clause, names in names_of.items()
    ]
    return (Text("its sire may be ", joined(", or ", parts), alone),)


def _likely(sire: Text, chance: Fraction | None) -> Text:
    """ "Lynx (M-1), 2 in 3"; the name alone where the chance is not computed."""
    return Text(sire, f", {words.note_count(chance)}" if chance else "")


def _must_carry(asked: Asked) -> str:
    """That whoever sired its clutch carries the trait, since young of it have a copy from each parent; "" where that is not so."""
    clutch = asked.answers.collection.clutches.get(asked.animal.clutch or "")
    showing = hatch_of(asked, clutch).of_both if clutch is not None and clutch.sires.kind != "mixed" else 0
    if not (showing and asked.plain):
        return ""
    seen = "one of the young shows" if showing == 1 else "young of the clutch show"
    return f"must carry {asked.trait} too, since {seen} it"


def standing_clause(asked: Asked, *, told: str = "", of: str | None = None) -> Text:
    """What a parent brings, as a clause after its name: "shows Piebald", "is het Piebald, proven by C24-03".

    `told`: that it carries the trait was said already, and the verb to go on with: "was proven by clutch C24-03".
    `of`: the clutch that is spoken of, which is "this clutch, C24-03".
    """
    figure = asked.figure
    if not isinstance(figure, Figure):
        return Text(f"has no figure for {asked.trait}")
    carries = figure.carries(asked.allele)
    if asked.shows:
        label = asked.label(figure)
        return label.as_verb if asked.locus.affects else Text("shows ", label)
    if carries == 0:
        return Text(_absence(asked))
    if carries < 1:
        return asked.label(figure, asked.certain_by if asked.one_of_several else None).as_verb
    grounds, certain = asked.grounds, Text(asked.label(figure).as_verb, ",")
    lead = told or certain
    match grounds.kind:
        case "proven":
            by, unless = _proven_by(asked, grounds, of), asked.if_sired(grounds.proven_by)
            said = Text(certain, " ", by) if unless else Text(lead, " proven ", by)
        case "test":
            return Text(lead, " proven by a test")
        case "parentage":
            said, unless = _parentage_clause(asked, "is" if told else lead), asked.if_sired()
        case _:
            return asked.label(figure, grounds).as_verb
    return Text(said, ", ", unless) if unless else said


def _absence(asked: Asked) -> str:
    """That a parent does not carry the trait, as its own record has it."""
    if tested_free(asked.animal, asked.trait):
        return f"carries no {asked.trait}, by a test"
    if looked_for(asked.animal, asked.trait):
        return f"was checked by eye for {asked.trait} and does not show it"
    if asked.ruled_out:
        return f"carries no {asked.trait}, by what is on record"
    if asked.answers.ever(*asked.key):
        return f"carries no {asked.trait}, as far as any record that still stands says"
    return f"has no record of {asked.trait} and is taken to carry none"


def _proven_by(asked: Asked, grounds: Grounds, of: str | None = None) -> Text:
    """ "by clutch C24-03 (two of the six hatchlings are Piebald)"."""
    answers, whose = asked.answers, {"male": "his", "female": "her"}.get(asked.animal.sex, "its")
    if grounds.proven_by is None:
        return Text(f"by what is recorded of {whose} young")
    clutch = answers.collection.clutches.get(grounds.proven_by)
    if clutch is None:
        return Text("by ", _proof_by(asked, grounds.proven_by, whose))
    if not answers.listed(clutch.id):
        return Text("by ", answers.clutch(clutch.id))
    hatch = proof_of(asked, clutch)
    how = f" ({hatched_words(hatch)})" if hatch.showing and asked.animal.id in clutch.parents else ""
    return Text("by this clutch, " if of == clutch.id else "by clutch ", Name(clutch.id), how)


def _proof_by(asked: Asked, by: str, whose: str) -> Text:
    """ "a test of his dam F-22", "her young C24-03-1, which shows Piebald"."""
    answers = asked.answers
    who = relative_words(answers, by, asked.animal.id, whose)
    if proved_by_test(asked, by):
        return Text("a test of ", who)
    return phrase("{}, which shows {}", who, asked.trait) if asked.of(by).shows else Text("what is recorded of ", who)


def proved_by_test(asked: Asked, by: str) -> bool:
    """Whether what proves the trait is a test of a relative, and not the look of its young."""
    seen = asked.of(by).shows and asked.animal.id in asked.answers.parents(by)
    return sure_test(asked, by) is not None and not seen


def sure_test(asked: Asked, animal: str) -> LabTest | None:
    """The last test of an animal at the locus that is not known to err."""
    sure = [test for test in asked.of(animal).animal.tests if test.locus == asked.locus.key and not test.error]
    return sure[-1] if sure else None


def _parentage_clause(asked: Asked, lead: str) -> Text:
    """`lead`: that it carries the trait, or "is" where that was said already."""
    answers = asked.answers
    for role, parent in single_parents(asked):
        if parent.shows and asked.recessive:
            if parent.animal.nameless:
                return phrase("has it from its own unnamed {}, which shows {}", role, asked.trait)
            child = {"male": "son", "female": "daughter"}.get(asked.animal.sex, "young")
            return phrase("{} a {} of {}, which shows {}", lead, child, answers.named(parent.animal.id), asked.trait)
    return Text("has it by its parentage")


def cause_of(asked: Asked) -> Text:
    """Where its chance comes from, in a few words: "its dam is 24% possible het, and its sire is het"; nothing where more counts."""
    answers, animal = asked.answers, asked.animal
    bred = answers.collection.clutches_of.get(animal.id)
    if not isinstance(asked.figure, Figure) or asked.carries in (0, 1) or not asked.recessive or bred:
        return NO_WORDS
    if asked.tests or asked.claims or asked.grounds.kind != "chance":
        return NO_WORDS
    dam, sires = answers.dam_of(animal), dict(answers.sires_of(animal))
    males = [asked.of(sire.id) for sire in sires if isinstance(sire, Recorded)]
    if dam is None or not males or len(males) < len(sires):
        return NO_WORDS
    mother, *fathers = (_standing_here(parent, animal.id) for parent in (asked.of(dam), *males))
    if mother is None or None in fathers:
        return NO_WORDS
    if len(males) == 1 and mother.words and mother == fathers[0]:
        if _one_of_the_two(asked.of(dam), males[0]):
            return phrase(
                "one of its parents {}, and nothing says which", "is het" if asked.het else f"carries {asked.trait}"
            )
        of_both = {"": f"carry {asked.trait}", "has: ": f"have: {mother.words}"}
        return phrase("both parents {}", of_both.get(mother.verb, Text("are ", mother.words)))
    if (
        len(males) > 1
        and asked.of(dam).one_copy == 1
        and asked.carries == Fraction(2, 3)
        and not any(male.shows for male in males)
    ):
        return phrase("both parents {}, whichever male is its sire", "are het" if asked.het else f"carry {asked.trait}")
    named = [(male, has) for male, has in zip(males, fathers, strict=True) if has and has.words]
    found = [phrase("its dam {}{}", *mother)] if mother.words else []
    if len(males) > 1 and named:
        chances = [(answers.male(sire), sires[sire]) for male, _ in named if (sire := Recorded(male.animal.id))]
        may_be = [phrase("{}, which {}{}", _likely(*one), *has) for one, (_, has) in zip(chances, named, strict=True)]
        found.append(phrase("its sire may be {}", joined(", or ", may_be)))
    elif named:
        found.append(phrase("its {} {}{}", sire_words(answers, animal), *named[0][1]))
    return joined(", and ", found)


def _one_of_the_two(dam: Asked, sire: Asked) -> bool:
    """Whether exactly one of two that are possible carriers has the trait."""
    found = dam.answers.inferred.joint(((dam.animal.id, dam.locus.key), (sire.animal.id, sire.locus.key)))
    return (
        isinstance(found, JointFigure)
        and found.chance(lambda pairs: sum(dam.allele in pair for pair in pairs) == 1) == 1
    )


class _Has(NamedTuple):
    """What a parent has of the trait: "is " and "het", "" and "shows it"; nothing of what it does not carry."""

    verb: str
    words: str


def _standing_here(parent: Asked, young: str) -> _Has | None:
    """A parent as seen from its young; None where there is no figure."""
    if not isinstance(parent.figure, Figure):
        return None
    if not parent.carries:
        return _Has("", "")
    label = parent.label(parent.figure, parent.certain_by)
    if label.condition and label.condition == words.nothing_unrecorded(parent.unrecorded()):
        free = [name for name in taken_for_free(parent) if name != parent.animal.id]
        related = [relative_words(parent.answers, name, young, near=True) for name in free]
        label = label.only_on(words.nothing_unrecorded(list(dict.fromkeys(related)) or parent.unrecorded()))
    if parent.shows and label.name != parent.trait:
        return _Has("shows ", label)
    plain = label.lead in (words.CARRIES, words.CARRIES_TWO) or parent.shows
    risk = label.lead in (words.MAY_BE_AFFECTED, words.MAY_CARRY)
    return _Has("" if plain else "has: " if risk else "is ", label.beside(parent.trait))
