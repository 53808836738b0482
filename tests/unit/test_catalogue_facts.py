"""The species files as data, read without the loader: every fact has its source, every name its one meaning."""

from __future__ import annotations

import re
from collections import defaultdict
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
import yaml

SPECIES_DIR = Path(__file__).parents[2] / "builder" / "clutchlight" / "reading" / "species"
SPECIES = ("ball-python", "corn-snake", "western-hognose")

TOP_KEYS = {
    "species", "name", "scientific_name", "also_called", "sex_determination", "clutch", "incubation_days", "feeding",
    "ready_when", "readiness", "season", "stored_sperm", "parthenogenesis", "cautions", "law", "looks_source", "loci", "combos",
}  # fmt: skip
LOCUS_KEYS = {
    "locus", "inheritance", "alleles", "source", "what", "also_called", "two_copies", "together", "subtle", "hides",
    "sex_linked", "two_copies_harm", "together_harm", "welfare", "welfare_source", "gene", "gene_source",
    "affects", "may_be_alleles",
}  # fmt: skip
LOG_EVENTS = {
    "paired", "lock", "plug", "building", "ovulation", "pre-lay shed", "laid", "pipped", "hatched", "first shed",
    "first meal",
}  # fmt: skip
WORDS_ONLY = {"not known", "line-bred"}
NO_SOURCE = "common practice, no source"

# What the published work says, checked against the files word by word: species, locus, key, part of its text.
PUBLISHED = [
    ("ball-python", "piebald", "gene", "TFEC"),
    ("ball-python", "piebald", "gene_source", "2023, Curr Biol"),
    ("ball-python", "clown", "gene", "MC1R"),
    ("ball-python", "clown", "source", "recessive, and that the two are alleles"),
    ("ball-python", "albino", "gene", "TYR"),
    ("ball-python", "albino", "gene_source", "Brown et al. 2022, PLoS ONE 17:e0276376"),
    ("ball-python", "lavender-albino", "gene", "OCA2"),
    ("ball-python", "lavender-albino", "gene_source", "Brown et al. 2022, PLoS ONE 17:e0276376"),
    ("ball-python", "ultramel", "gene", "TYRP1"),
    ("ball-python", "ultramel", "gene_source", "Brown et al. 2022, PLoS ONE 17:e0276376"),
    ("ball-python", "yellow-belly", "gene", "EDNRB1 or EDNRB2"),
    ("ball-python", "yellow-belly", "source", "Dao et al. 2023, G3 13(7)"),
    ("ball-python", "yellow-belly", "source", "no source"),
    ("ball-python", "spider", "welfare_source", "Rose & Williams 2014, J Exot Pet Med 23"),
    ("ball-python", "spider", "welfare_source", "Starck et al. 2022, PLoS ONE e0262788"),
    ("ball-python", "spider", "welfare", "All animals examined"),
    ("ball-python", "banana", "source", "Mallery & Carrillo 2016, Phyllomedusa 15:29-42"),
    ("ball-python", "blue-eyed-leucistic", "source", "no science source was found"),
    ("ball-python", "axanthic-a", "source", NO_SOURCE),
    ("ball-python", "axanthic-b", "source", NO_SOURCE),
    ("corn-snake", "amelanistic", "gene", "OCA2"),
    ("corn-snake", "amelanistic", "source", "Saenko et al. 2015, Sci Rep 5"),
    ("corn-snake", "anerythristic", "source", "Bechtel & Bechtel 1989, J Hered"),
    ("corn-snake", "charcoal", "source", "Bechtel & Bechtel 1989, J Hered"),
    ("corn-snake", "motley", "gene", "CLCN2"),
    ("corn-snake", "motley", "source", "Montandon et al. 2025, Genome Biol 26:73"),
    ("corn-snake", "lavender", "gene", "LYST"),
    ("corn-snake", "lavender", "gene_source", "Ullate-Agote et al. 2020, PNAS"),
    ("corn-snake", "terrazzo", "gene", "PMEL"),
    ("corn-snake", "terrazzo", "gene_source", "Tzika et al. 2024, Nat Commun 15:7655"),
    ("corn-snake", "scaleless", "gene", "EDARADD"),
]


@cache
def species_file(species: str) -> dict[str, Any]:
    """One species file, every scalar as text."""
    loaded = yaml.load((SPECIES_DIR / f"{species}.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)  # noqa: S506
    assert isinstance(loaded, dict)
    return loaded


def loci_of(species: str) -> list[dict[str, Any]]:
    return list(species_file(species)["loci"])


def locus_of(species: str, slug: str) -> dict[str, Any]:
    return next(locus for locus in loci_of(species) if locus["locus"] == slug)


def looks_of(locus: dict[str, Any]) -> set[str]:
    """Every look that a locus can give a name to."""
    doubled = set(locus.get("two_copies", {}).values()) - {"dies"}
    return {*locus["alleles"], *doubled, *locus.get("together", {}).values()}


def aliases_of(locus: dict[str, Any]) -> list[str]:
    return [alias for names in locus.get("also_called", {}).values() for alias in names]


ALL_LOCI = [(species, locus["locus"]) for species in SPECIES for locus in loci_of(species)]
every_species = pytest.mark.parametrize("species", SPECIES)
every_locus = pytest.mark.parametrize(("species", "slug"), ALL_LOCI)


def test_the_species_files_are_the_expected_ones() -> None:
    """A species file that is added or lost shows here, so none escapes the checks below."""
    assert sorted(path.stem for path in SPECIES_DIR.iterdir()) == sorted(SPECIES)


@every_species
def test_a_file_is_named_for_its_species_and_has_exactly_the_known_keys(species: str) -> None:
    """No misspelt key hides a fact."""
    data = species_file(species)
    assert data["species"] == species
    assert set(data) == TOP_KEYS
    assert {key for locus in data["loci"] for key in locus} <= LOCUS_KEYS


@every_species
def test_what_is_called_a_risk_has_its_source(species: str) -> None:
    """A locus that affects its visuals says on whose word."""
    risks = [locus for locus in species_file(species)["loci"] if "affects" in locus]
    assert all(locus.get("welfare") and locus.get("welfare_source") for locus in risks)


@every_species
def test_files_use_plain_yaml_only(species: str) -> None:
    """No anchor, alias or tag, and no key twice: the strict reader of records can take the file."""
    text = (SPECIES_DIR / f"{species}.yaml").read_text("utf-8")
    for event in yaml.parse(text, Loader=yaml.BaseLoader):
        assert getattr(event, "anchor", None) is None
        assert getattr(event, "tag", None) is None
    nodes = [yaml.compose(text, Loader=yaml.BaseLoader)]
    while nodes:
        node = nodes.pop()
        if isinstance(node, yaml.MappingNode):
            keys = [key.value for key, _ in node.value]
            assert len(keys) == len(set(keys)), keys
            nodes += [value for _, value in node.value]
        elif isinstance(node, yaml.SequenceNode):
            nodes += node.value


@every_locus
def test_every_locus_has_a_description_and_a_source(species: str, slug: str) -> None:
    """A source is a citation with its year, or says that there is none."""
    locus = locus_of(species, slug)
    assert locus["what"].endswith(".")
    for key in ("source", "welfare_source", "gene_source"):
        text = locus.get(key, NO_SOURCE)
        assert NO_SOURCE in text or re.search(r"\b(19|20)\d\d\b", text), (key, text)


@every_locus
def test_welfare_genes_and_harm_come_with_their_source(species: str, slug: str) -> None:
    """None of them stands without the other."""
    locus = locus_of(species, slug)
    assert ("welfare" in locus) == ("welfare_source" in locus)
    assert ("gene" in locus) == ("gene_source" in locus)
    harmful = {"two_copies_harm", "together_harm"} & set(locus)
    assert not harmful or "welfare" in locus
    assert set(locus.get("two_copies_harm", {})) <= set(locus["alleles"])
    assert set(locus.get("together_harm", {})) <= set(locus.get("together", {}))


@every_species
def test_every_species_fact_has_a_source(species: str) -> None:
    """Sex, clutch, incubation, readiness, season, sperm, parthenogenesis, cautions and law alike."""
    data = species_file(species)
    facts = [
        *(data[key] for key in ("sex_determination", "clutch", "incubation_days", "feeding", "ready_when")),
        *data["readiness"].values(),
        data["season"]["male"],
        *data["season"]["windows"],
        data["stored_sperm"],
        data["parthenogenesis"],
        *data["cautions"],
        *data["law"],
        {"source": data["looks_source"]},
    ]
    assert [fact for fact in facts if not fact.get("source")] == []


@every_locus
def test_each_inheritance_names_the_looks_it_needs(species: str, slug: str) -> None:
    """Incomplete dominants name every double dose, recessive series every pair, words-only loci no look at all."""
    locus = locus_of(species, slug)
    alleles = locus["alleles"]
    pairs = {frozenset(pair.split(" + ")) for pair in locus.get("together", {})}
    assert pairs <= {frozenset(pair) for pair in combinations(alleles, 2)}
    assert len(pairs) == len(locus.get("together", {}))
    if locus["inheritance"] == "incomplete dominant":
        assert list(locus["two_copies"]) == alleles
    else:
        assert "two_copies" not in locus
    if locus["inheritance"] == "recessive":
        assert pairs == {frozenset(pair) for pair in combinations(alleles, 2)}
    if locus["inheritance"] in WORDS_ONLY:
        assert set(locus) <= {"locus", "inheritance", "alleles", "also_called", "what", "source"}
    assert locus["inheritance"] in {"recessive", "incomplete dominant", "dominant", *WORDS_ONLY}
    assert set(locus.get("subtle", [])) <= set(alleles)
    assert set(locus.get("also_called", {})) <= looks_of(locus)


@every_species
def test_a_name_means_one_thing(species: str) -> None:
    """Slugs are unique, and a name stands at one locus or one combo, but for an alias shared by look-alike lines."""
    slugs = [locus["locus"] for locus in loci_of(species)]
    assert len(slugs) == len(set(slugs))
    owners: dict[str, set[str]] = defaultdict(set)
    shared_as_alias: dict[str, int] = defaultdict(int)
    for locus in loci_of(species):
        aliases = aliases_of(locus)
        assert len(aliases) == len({alias.casefold() for alias in aliases})
        assert not {alias.casefold() for alias in aliases} & {look.casefold() for look in looks_of(locus)}
        for name in {*looks_of(locus), *aliases}:
            owners[name.casefold()].add(locus["locus"])
        for alias in aliases:
            shared_as_alias[alias.casefold()] += 1
    for combo in species_file(species)["combos"]:
        owners[combo.casefold()].add(f"combo {combo}")
    doubtful = {name: found for name, found in owners.items() if len(found) > shared_as_alias[name] and len(found) > 1}
    assert doubtful == {}
    look_alikes = sorted(name for name, found in owners.items() if len(found) > 1)
    assert look_alikes == (["axanthic"] if species == "ball-python" else [])


@every_species
def test_combos_are_made_of_looks_that_can_be_seen_together(species: str) -> None:
    """Each part is a look of its own locus, and no part hides another."""
    home = {look: locus for locus in loci_of(species) for look in looks_of(locus)}
    seen: set[frozenset[str]] = set()
    for combo, written in species_file(species)["combos"].items():
        parts = written["looks"] if isinstance(written, dict) else written
        if isinstance(written, dict):
            assert set(written) == {"looks", "harm", "source"}
            assert combo.split() == " ".join(parts).split() or len(combo.split()) == 1
        slugs = [home[part]["locus"] for part in parts]
        assert len(set(slugs)) == len(parts) >= 2, combo
        hidden = {slug for part in parts for slug in hidden_by(species, home[part], part)}
        assert not hidden & set(slugs), combo
        assert frozenset(parts) not in seen, combo
        seen.add(frozenset(parts))


def hidden_by(species: str, locus: dict[str, Any], look: str) -> set[str]:
    """The loci that a look hides, also where the file names those that it does not hide."""
    written = locus.get("hides", {}).get(look, [])
    if not isinstance(written, dict):
        return set(written)
    return {each["locus"] for each in loci_of(species)} - set(written["everything_but"]) - {locus["locus"]}


@every_locus
def test_looks_hide_other_loci_that_exist(species: str, slug: str) -> None:
    """A mask names computed loci of the same species, each once, never its own."""
    computed = {locus["locus"] for locus in loci_of(species) if locus["inheritance"] not in WORDS_ONLY}
    locus = locus_of(species, slug)
    for look, written in locus.get("hides", {}).items():
        named = written["everything_but"] if isinstance(written, dict) else written
        assert look in looks_of(locus)
        assert len(named) == len(set(named))
        assert set(named) <= {each["locus"] for each in loci_of(species)} - {slug}
        assert hidden_by(species, locus, look) <= computed - {slug}


@pytest.mark.parametrize(
    ("slug", "look"),
    [
        ("blue-eyed-leucistic", "Blue-eyed Leucistic"),
        ("blue-eyed-leucistic", "Super Mojave"),
        ("black-eyed-leucistic", "Black-eyed Leucistic"),
        ("yellow-belly", "Ivory"),
        ("hidden-gene-woma", "Pearl"),
    ],
)
def test_a_white_ball_python_is_no_evidence_about_other_colours(slug: str, look: str) -> None:
    """A white look hides every computed locus but those that eyes or scales still tell."""
    told_by_eyes_or_scales = {"albino", "lavender-albino", "scaleless-head"}
    computed = {each["locus"] for each in loci_of("ball-python") if each["inheritance"] not in WORDS_ONLY}
    assert hidden_by("ball-python", locus_of("ball-python", slug), look) == computed - told_by_eyes_or_scales - {slug}


def test_no_crossover_figure_is_shipped() -> None:
    """None was found printed (Mallery & Carrillo 2016), so only the source stands there, and only for Banana."""
    linked = {
        slug: locus_of(species, slug)["sex_linked"]
        for species, slug in ALL_LOCI
        if "sex_linked" in locus_of(species, slug)
    }
    assert list(linked) == ["banana"]
    assert set(linked["banana"]) == {"source"}
    assert "Mallery & Carrillo 2016" in linked["banana"]["source"]


def test_only_champagne_is_taken_as_lethal() -> None:
    """`dies` changes figures, so it stands only where the trade is of one mind; other harm is said in words."""
    lethal = [
        (species, slug, allele)
        for species, slug in ALL_LOCI
        for allele, look in locus_of(species, slug).get("two_copies", {}).items()
        if look == "dies"
    ]
    assert lethal == [("ball-python", "champagne", "Champagne")]


@pytest.mark.parametrize(("species", "slug", "key", "part"), PUBLISHED)
def test_published_findings_are_cited(species: str, slug: str, key: str, part: str) -> None:
    """The published gene and source stand at the locus, with the certainty that they have."""
    assert part in locus_of(species, slug)[key]


def test_published_species_facts_are_cited() -> None:
    """Morrill et al. 2011, Gamble et al. 2017, Booth et al. 2014, Levine et al. 2021 with their figures."""
    ball = species_file("ball-python")
    assert ball["clutch"]["usual"] == "7"
    assert ball["clutch"]["hatch_rate"] == "81%"
    assert "Morrill et al. 2011, Herpetol Rev 42:226-231" in ball["clutch"]["source"]
    assert ball["sex_determination"]["system"] == "XY"
    assert "Gamble et al. 2017, Curr Biol 27:2148-2153" in ball["sex_determination"]["source"]
    assert "Booth et al. 2014, Biol J Linn Soc 112:461-468" in ball["parthenogenesis"]["source"]
    assert ball["incubation_days"] | {"source": ""} == {"from": "55", "to": "60", "source": ""}
    for species in SPECIES:
        assert "Levine et al. 2021, PLoS ONE 16:e0252049" in species_file(species)["stored_sperm"]["source"]
    assert [species_file(species)["sex_determination"]["system"] for species in SPECIES] == ["XY", "ZW", "ZW"]


@every_species
def test_ranges_and_windows_run_forwards(species: str) -> None:
    """From is not after to, and windows join events of the log."""
    data = species_file(species)
    ranges = [data["incubation_days"], *(window["days"] for window in data["season"]["windows"])]
    ranges += [who[key] for who in data["readiness"].values() for key in ("age_months", "weight_g")]
    assert [each for each in ranges if int(each["from"]) > int(each["to"])] == []
    for window in data["season"]["windows"]:
        assert {window["after"], window["comes"]} <= LOG_EVENTS
    hatching = next(window["days"] for window in data["season"]["windows"] if window["after"] == "laid")
    assert hatching == {key: data["incubation_days"][key] for key in ("from", "to")}


@every_species
def test_small_and_first_season_males_are_flagged_sooner(species: str) -> None:
    """Each threshold for them is at least as careful, and the one on weight is more so."""
    male = species_file(species)["season"]["male"]
    small = male["small_or_first_season"]
    assert int(small["pairings_per_7_days"]) < int(male["pairings_per_7_days"])
    assert int(small["rest_days"]) > int(male.get("rest_days", 0))
    assert int(small["days_in_a_row"]) < int(male["days_in_a_row"])
    assert int(small["females"]) < int(male["females"])
    assert int(small["weight_loss_percent"]) < int(male["weight_loss_percent"])
    assert int(small["refusals"]) < int(male["refusals"])


@every_species
def test_trait_names_carry_no_mark_of_a_person_or_business(species: str) -> None:
    """No mark, possessive or address; capitals are a trade word or the initials of the trait's own name.

    Lines of a trait are commonly labelled with a breeder's initials; such a label would fail here.
    """
    text = (SPECIES_DIR / f"{species}.yaml").read_text("utf-8")
    assert not re.search(r"[™®©]|https?:|www\.|\.com\b|@", text)
    trade_words = {"GHI"}
    for locus in loci_of(species):
        for owner in {*looks_of(locus), *locus.get("also_called", {})}:
            words = re.split(r"[ -]", owner.removeprefix("Super "))
            initials = "".join(word[0] for word in words).upper()
            for name in (owner, *locus.get("also_called", {}).get(owner, [])):
                assert "'" not in name
                for capitals in re.findall(r"\b[A-Z]{2,}\b", name):
                    assert capitals in trade_words or capitals == initials, name
    for combo in species_file(species)["combos"]:
        assert not re.search(r"\b[A-Z]{2,}\b|'", combo)
