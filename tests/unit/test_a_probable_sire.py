"""A male who is left only by what was said of another is "probably" the sire, wherever he is named."""

from __future__ import annotations

from pathlib import Path

from tests.rooms import BARE

FILES = {
    "animals/all.yaml": """
- {id: M-1, sex: male, shows: normal}
- {id: F-1, sex: female, shows: normal}
- {id: M-3, sex: male, shows: [Pinstripe], claims: {Pinstripe: {two_copies: 100%}}}
- {id: M-4, sex: male, shows: normal, sire: M-1, dam: F-1, hatched: 2022}
- {id: F-2, sex: female, shows: normal, sire: M-1, hatched: 2021}
""",
    "clutches/C26-01.md": """---
id: C26-01
sire: [M-3, M-4]
dam: F-2
laid: 2026-04-20
eggs: 2
hatched: 2026-06-17
young: [1 f normal; holdback, 2 m normal; holdback]
---
""",
}


def test_he_is_probably_the_sire_on_each_page_that_names_him(tmp_path: Path) -> None:
    """In the heading, beside the young's parents with whose word it is, in the pedigree, and where the parents are related."""
    clutch = BARE.page(tmp_path, FILES, "clutches/C26-01/index.html")
    assert "# Ball python clutch, probably M-4 × F-2" in clutch
    assert "The parents are half-siblings, if M-4 is the sire." in clutch
    young = BARE.page(tmp_path, FILES, "animals/C26-01-1/index.html")
    assert any(line.endswith("by what was said of M-3") and line.startswith("probably M-4 × F-2") for line in young)
    assert "Its parents are half-siblings, if M-4 is the sire." in young
    pedigree = young[young.index("> The pedigree in words") :]
    assert "- C26-01-1, female, its parents may be related" in pedigree
    assert "- M-4, probably the sire" in pedigree


def test_where_genotypes_alone_leave_him_nothing_is_probable(tmp_path: Path) -> None:
    """Two copies for certain, by a look that one copy does not have, leave the other male."""
    files = {
        **FILES,
        "animals/all.yaml": FILES["animals/all.yaml"].replace(
            "[Pinstripe], claims: {Pinstripe: {two_copies: 100%}}", "[Super Pastel]"
        ),
    }
    clutch = BARE.page(tmp_path, files, "clutches/C26-01/index.html")
    assert "# Ball python clutch, M-4 × F-2" in clutch
    assert not any("probabl" in line for line in clutch)


def test_what_is_certain_by_him_is_no_word_about_the_trait(tmp_path: Path) -> None:
    """He shows it, so his young carry it: nobody said so of any of them; what was said left him."""
    files = {
        **FILES,
        "animals/all.yaml": FILES["animals/all.yaml"].replace(
            "M-4, sex: male, shows: normal", "M-4, sex: male, shows: [Piebald]"
        ),
    }
    young = " ".join(BARE.page(tmp_path, files, "animals/C26-01-1/index.html"))
    assert "het Piebald, by its probable sire" in young
    assert "het Piebald, on the seller's word" not in young
