"""A build over a site that stands gives what a build into an empty folder gives, and does only what has changed."""

from __future__ import annotations

import json
import os
import re
import shutil
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from random import Random

import pytest
from tests.bench.breaking import records
from tests.rooms import FAMILY

from clutchlight import desk, pipeline, shipped
from clutchlight.drawing import svg
from clutchlight.pipeline import Book, Built, build, build_desk, open_book
from clutchlight.problems import RecordsError
from clutchlight.publishing import building_again
from clutchlight.publishing.manifest import MANIFEST
from clutchlight.site import files
from clutchlight.site.rendering import printed
from clutchlight.site.sandbox import Sandbox
from clutchlight.site.theme import Theme

Edit = Callable[[Path, Random], None]


def book_of(folder: Path) -> Book:
    opened = open_book(folder)
    assert opened.book is not None, opened.problems
    return opened.book


def built(folder: Path, out: Path, theme: str | None = None) -> Built:
    return build(book_of(folder), out, theme=theme)


def whole(out: Path) -> dict[str, bytes]:
    """Every file, the manifest included."""
    return {file.relative_to(out).as_posix(): file.read_bytes() for file in sorted(out.rglob("*")) if file.is_file()}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A few records, with a private side."""
    place = records(tmp_path / "records", 1)
    (place / "sales").mkdir()
    (place / "sales/2026.yaml").write_text(
        "- {animals: [C21-01-2], buyer: A, agreed: 90, handed_over: 2021-10-02}\n", encoding="utf-8"
    )
    return place


SEVERAL: Mapping[str, str] = {
    "animals/hets.yaml": "- {id: M-09, sex: male, hatched: 2020-07-01, shows: normal, claims: {Piebald: 66%}}\n"
    "- {id: F-09, sex: female, hatched: 2020-07-01, shows: normal, claims: {Piebald: 66%}}\n",
    **{f"animals/C26-01-{n}.md": f"---\nid: C26-01-{n}\nname: Name {n}\n---\nQuiet.\n" for n in range(1, 5)},
    "clutches/C25-09.md": "---\nid: C25-09\nsire: M-02\ndam: F-09\nhatched: 2025-07-01\neggs: 2\n"
    "young:\n  - 1 f normal\n  - 2 m normal\n---\n",
    "clutches/C26-02.md": "---\nid: C26-02\nsire: M-01\ndam: F-02\nlaid: 2026-05-20\nhatched: 2026-07-20\neggs: 2\n"
    "young:\n  - 1 f normal; holdback\n  - 2 m normal; available 60\n---\n",
    "pages/about.md": "---\ntitle: About\n---\nWords.\n",
    "sales/2026.yaml": "- {animals: [C26-01-2], buyer: A, held: 2026-09-01, until: 2026-12-01}\n",
}
"""A few families, so that an edit has pages that it does not touch."""
PROOF = """---
id: C26-90
sire: M-09
dam: F-09
hatched: 2026-07-30
eggs: 2
young:
  - 1 f Piebald
  - 2 m normal
---
"""


@pytest.fixture
def several(tmp_path: Path) -> Path:
    return FAMILY.write(tmp_path / "records", SEVERAL)


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "site"


def same_as_afresh(folder: Path, out: Path, theme: str | None = None) -> Built:
    """Builds over what stands and into an empty folder, and compares every byte."""
    book = book_of(folder)  # what is stated does not depend on what stands
    again = build(book, out, theme=theme)
    empty = out.parent / "empty"
    shutil.rmtree(empty, ignore_errors=True)
    build(book, empty, theme=theme)
    assert whole(out) == whole(empty)
    return again


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What is printed and laid out from now on."""
    found: list[str] = []
    draw = svg.draw

    def counted(templates: Sandbox, folder: str, name: str, page: object) -> bytes:
        found.append(type(page).__name__)
        return printed(templates, folder, name, page)

    def counted_draw(*arguments: object) -> object:
        found.append("drawing")
        return draw(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(files, "printed", counted)
    monkeypatch.setattr(svg, "draw", counted_draw)
    return found


# Edits


def _animals(folder: Path, chance: Random) -> Path:
    return chance.choice(sorted((folder / "animals").glob("C26*.md")))


def reprice(folder: Path, chance: Random) -> None:
    file = folder / "clutches/C26-02.md"
    text = re.sub(r"available \d+", f"available {chance.randrange(100, 900)}", file.read_text(encoding="utf-8"))
    file.write_text(text, encoding="utf-8")


def tell_more(folder: Path, chance: Random) -> None:
    with _animals(folder, chance).open("a", encoding="utf-8") as file:
        file.write(f"\nIt likes {chance.choice(['shade', 'its *second* hide', 'F-02 nearby'])}.\n")


def call(folder: Path, chance: Random) -> None:
    file = _animals(folder, chance)
    text = re.sub(r"^name:.*\n", "", file.read_text(encoding="utf-8"), flags=re.MULTILINE)
    file.write_text(text.replace("---\n", f"---\nname: Name {chance.randrange(99)}\n", 1), encoding="utf-8")


def hide(folder: Path, chance: Random) -> None:
    file = _animals(folder, chance)
    text = re.sub(r"^publish:.*\n", "", file.read_text(encoding="utf-8"), flags=re.MULTILINE)
    how = chance.choice(["no", "name only", "page"])
    file.write_text(text.replace("---\n", f"---\npublish: {how}\n", 1), encoding="utf-8")


def hatch(folder: Path, chance: Random) -> None:
    number = chance.randrange(50, 99)
    looks = [chance.choice(["normal", "normal", "Piebald"]) for _ in range(5)]
    young = "".join(f"  - {{id: C26-{number}-{n}, shows: {look}}}\n" for n, look in enumerate(looks, 1))
    record = f"---\nid: C26-{number}\nsire: M-02\ndam: F-02\nhatched: 2026-08-20\neggs: 5\nyoung:\n{young}---\n"
    (folder / f"clutches/C26-{number}.md").write_text(record, encoding="utf-8")


def sell_nothing(folder: Path, chance: Random) -> None:
    for file in sorted((folder / "sales").glob("*.yaml"))[:1]:
        file.unlink()


def write_page(folder: Path, chance: Random) -> None:
    (folder / f"pages/more-{chance.randrange(3)}.md").write_text(
        f"---\ntitle: More {chance.random()}\n---\nWords.\n", encoding="utf-8"
    )


EDITS: tuple[Edit, ...] = (reprice, tell_more, call, hide, hatch, sell_nothing, write_page)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1, 1 + 2 * int(os.environ.get("CLUTCHLIGHT_LONG", "1"))))
def test_any_edit_over_any_earlier_site_gives_what_an_empty_folder_gives(several: Path, out: Path, seed: int) -> None:
    """Random edits one after the other, each built over the site of the one before, and now and then over a much older one."""
    chance = Random(seed)
    built(several, out)
    shutil.copytree(out, out.parent / "older")
    for turn in range(6):
        chance.choice(EDITS)(several, chance)
        if open_book(several).book is not None:
            same_as_afresh(several, out)
        if turn == 3:
            shutil.rmtree(out)
            shutil.copytree(out.parent / "older", out)


def test_one_clutch_names_exactly_the_figures_that_it_changed(several: Path, out: Path) -> None:
    """A clutch that proves a possible het: the summary's animals are those whose published figures differ, and nobody else."""
    built(several, out)
    before = {file: json.loads(file.read_bytes()) for file in out.glob("animals/*/statement.json")}
    (several / "clutches/C26-90.md").write_text(PROOF, encoding="utf-8")
    again = built(several, out)
    differing = {
        file.parent.name
        for file, said in before.items()
        if [(trait["trait"], trait["carries"], trait["label"]) for trait in said["traits"]]
        != [(one["trait"], one["carries"], one["label"]) for one in json.loads(file.read_bytes())["traits"]]
    }
    assert {change.animal for change in again.figures} == differing
    assert {
        "M-09: 66% possible het Piebald → het Piebald, if no other male sired clutch C26-90",
        "F-09: 66% possible het Piebald → het Piebald",
    } < {str(change) for change in again.figures}
    assert len(differing) < len(before)


# What is not done again


def test_nothing_is_printed_or_drawn_where_nothing_changed(folder: Path, out: Path, made: list[str]) -> None:
    """A file that was saved unchanged costs no page."""
    built(folder, out)
    made.clear()
    (folder / "animals/F-02.md").touch()
    again = built(folder, out)
    assert made == []
    assert (again.published.added, again.published.changed, again.published.removed) == ((), (), ())


def test_only_what_shows_a_price_is_printed_again(several: Path, out: Path, made: list[str]) -> None:
    """Its page, its clutch's and the list of what is available: two pedigrees of them all."""
    built(several, out)
    made.clear()
    file = several / "clutches/C26-02.md"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("available 60", "available 777"), encoding="utf-8")
    again = built(several, out)
    pages = [address for address in again.published.changed if address.endswith(".html")]
    assert "animals/C26-02-2/index.html" in pages
    assert sorted(made).count("drawing") <= 2
    assert len([name for name in made if name != "drawing"]) == len(pages) < 6


def test_of_several_mistakes_in_templates_the_first_page_s_is_told(folder: Path, out: Path) -> None:
    """The page made first is the one that is told."""
    own = folder / "themes/ours/templates"
    own.mkdir(parents=True)
    (own.parent / "theme.yaml").write_text("name: ours\nneeds: 1\nextends: paper\n", encoding="utf-8")
    for name in ("availability.html", "animal.html", "trait.html", "prose.html"):
        (own / name).write_text("{{ page.nothing }}", encoding="utf-8")
    with pytest.raises(RecordsError) as caught:
        built(folder, out, "ours")
    assert [problem.file for problem in caught.value.problems] == ["themes/ours/templates/availability.html"]


# What else a page depends on


def test_another_theme_gives_what_it_gives_afresh(folder: Path, out: Path) -> None:
    """There and back."""
    built(folder, out)
    same_as_afresh(folder, out, "slate")
    same_as_afresh(folder, out)


def test_an_edited_template_counts(folder: Path, out: Path) -> None:
    """Every page that it prints is printed again, although no page object changed."""
    own = folder / "themes/ours/templates"
    own.mkdir(parents=True)
    (own.parent / "theme.yaml").write_text("name: ours\nneeds: 1\nextends: paper\n", encoding="utf-8")
    built(folder, out, "ours")
    text = (shipped.themes() / "paper/templates/base.html").read_text(encoding="utf-8")
    (own / "base.html").write_text(text.replace("</footer>", "<p>Ours.</p></footer>"), encoding="utf-8")
    again = same_as_afresh(folder, out, "ours")
    assert "index.html" in again.published.changed
    assert b"<p>Ours.</p>" in (out / "animals/F-02/index.html").read_bytes()


def test_another_version_counts(folder: Path, out: Path, monkeypatch: pytest.MonkeyPatch, made: list[str]) -> None:
    """The program's own sources and its libraries are part of what made a page."""
    built(folder, out)
    made.clear()
    for module in (files, pipeline):
        monkeypatch.setattr(module, "rendering_digest", lambda templates: "another")
    same_as_afresh(folder, out)
    assert len(made) > 30
    assert json.loads((out / MANIFEST).read_bytes())["rendering"] == "another"


def test_a_page_that_was_deleted_is_made_again(folder: Path, out: Path) -> None:
    """And nothing else is."""
    built(folder, out)
    (out / "animals/F-02/index.html").unlink()
    assert same_as_afresh(folder, out).published.added == ("animals/F-02/index.html",)


def test_a_page_changed_by_hand_is_never_taken_over(folder: Path, out: Path) -> None:
    """It is refused by name, since somebody wrote that; once it is gone, the page is made again."""
    built(folder, out)
    page = out / "animals/F-02/index.html"
    page.write_bytes(page.read_bytes() + b"<!-- mine -->")
    with pytest.raises(RecordsError, match="changed by hand"):
        built(folder, out)
    page.unlink()
    same_as_afresh(folder, out)


@pytest.mark.parametrize("form", ["older", "no pages", "pages of another kind"])
def test_a_manifest_of_another_form_only_costs_the_saving(folder: Path, out: Path, form: str) -> None:
    """Its files are known, its pages are not."""
    built(folder, out)
    listed = json.loads((out / MANIFEST).read_bytes())
    if form == "older":
        listed = {"made_by": "clutchlight", "format": 1, "kind": "site", "files": listed["files"]}
    elif form == "no pages":
        del listed["pages"]
    else:
        listed["pages"] = [1, 2]
    (out / MANIFEST).write_text(json.dumps(listed), encoding="utf-8")
    same_as_afresh(folder, out)


def test_a_cut_off_manifest_makes_the_folder_nobodys(folder: Path, out: Path) -> None:
    """Nothing says any more what in it may be deleted; it is refused and stays as it is."""
    built(folder, out)
    (out / MANIFEST).write_bytes((out / MANIFEST).read_bytes()[:-200])
    before = whole(out)
    with pytest.raises(RecordsError, match="not made by clutchlight"):
        built(folder, out)
    assert whole(out) == before


# A build with nothing to do


@pytest.fixture
def settled(monkeypatch: pytest.MonkeyPatch) -> None:
    """As if the last edits were long ago."""
    monkeypatch.setattr(building_again, "SETTLED", -(10**15))


def ended_early(folder: Path, out: Path, theme: str | None = None) -> bool:
    """Builds again, and tells whether that ended before anything was put into words."""
    book = book_of(folder)
    again = build(book, out, theme=theme)
    early = "statements" not in vars(book)
    assert not early or (again.published.added, again.published.changed, again.published.removed) == ((), (), ())
    return early


@pytest.mark.usefixtures("settled")
@pytest.mark.skipif(os.name == "nt", reason="there is no time of change")
def test_a_build_with_nothing_to_do_ends_early(folder: Path, out: Path) -> None:
    """The second one does; it says the same of the site as the first."""
    first = built(folder, out)
    assert ended_early(folder, out)
    assert built(folder, out).pages == first.pages
    same_as_afresh(folder, out)


def older_content(folder: Path, out: Path) -> None:
    """Another content under the old time, as a program that restores a file does it."""
    file = folder / "animals/F-02.md"
    stat = file.stat()
    file.write_text(file.read_text(encoding="utf-8") + "\nMore.\n", encoding="utf-8")
    os.utime(file, ns=(stat.st_atime_ns, stat.st_mtime_ns))


def a_folder_less(folder: Path, out: Path) -> None:
    shutil.rmtree(folder / "sales")


def a_page_less(folder: Path, out: Path) -> None:
    (out / "index.html").unlink()


def no_notes(folder: Path, out: Path) -> None:
    shutil.rmtree(folder / ".clutchlight")


def broken_notes(folder: Path, out: Path) -> None:
    (folder / ".clutchlight/built.json").write_text('{"x": [', encoding="utf-8")


def another_site(folder: Path, out: Path) -> None:
    """The site of other records in its place, good in itself."""
    other = shutil.copytree(folder, out.parent / "other")
    (other / "animals/F-02.md").write_text("---\nid: F-02\nsex: female\nname: Another\n---\n", encoding="utf-8")
    shutil.rmtree(out)
    built(other, out)


@pytest.mark.usefixtures("settled")
@pytest.mark.parametrize("happened", [older_content, a_folder_less, a_page_less, no_notes, broken_notes, another_site])
def test_anything_touched_ends_no_build_early(folder: Path, out: Path, happened: Callable[[Path, Path], None]) -> None:
    """Records, the site itself, and the notes of the last build."""
    built(folder, out)
    happened(folder, out)
    assert not ended_early(folder, out)
    same_as_afresh(folder, out)


@pytest.mark.usefixtures("settled")
@pytest.mark.skipif(os.name == "nt", reason="there is no time of change")
def test_a_desk_is_made_again_for_another_day_and_for_other_records(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And where a file of it is missing; else what stands is looked through, and nothing made."""
    place, day, made = tmp_path / "desk", date(2026, 11, 29), list[date]()
    real = desk.desk_files

    def counted(book: Book, theme: Theme, on: date) -> dict[str, bytes]:
        made.append(on)
        return real(book, theme, on)

    monkeypatch.setattr(desk, "desk_files", counted)

    def again(on: date = day, theme: str | None = None) -> tuple[int, int]:
        """How many desks were made, and how many files of this one were written."""
        published = build_desk(book_of(folder), place, tmp_path / "site", on, theme=theme)
        return len(made), len(published.added) + len(published.changed)

    first = again()
    assert first == (1, len(whole(place)) - 1)
    assert again() == (1, 0)
    assert again(date(2026, 11, 30))[0] == 2
    assert again()[0] == 3
    assert again(theme="slate")[0] == 4
    (folder / "sales/2026.yaml").write_text("[]\n", encoding="utf-8")
    assert again()[0] == 5
    (place / "index.html").unlink()
    assert again() == (6, 1)
    assert again() == (6, 0)


@pytest.mark.usefixtures("settled")
@pytest.mark.parametrize("noted", [True, False])
def test_a_private_change_leaves_no_trace_in_the_site(folder: Path, out: Path, noted: bool) -> None:
    """Not a byte, not a time of a file or a folder: who looks cannot tell that anything was written down. `noted`: what it is made of."""
    built(folder, out)
    before = {file: (file.stat().st_mtime_ns, file.stat().st_ino) for file in (out, *out.rglob("*"))}
    (folder / "sales/2026.yaml").write_text(
        "- {animals: [C21-01-2], buyer: B, agreed: 95, handed_over: 2021-10-02, note: paid late}\n", encoding="utf-8"
    )
    (folder / "log").mkdir(exist_ok=True)
    (folder / "log/2026.csv").write_text("date,animal,event\n2026-01-01,F-02,meal\n", encoding="utf-8")
    if not noted:
        (folder / ".clutchlight/built.json").unlink()
    assert ended_early(folder, out) is (noted and os.name != "nt")
    assert {file: (file.stat().st_mtime_ns, file.stat().st_ino) for file in (out, *out.rglob("*"))} == before
    assert ended_early(folder, out)


@pytest.mark.usefixtures("settled")
def test_what_a_build_notes_is_kept_from_git_and_small(folder: Path, out: Path) -> None:
    """It lies in the collection's folder, not in the site; of many sites the latest are remembered."""
    for number in range(building_again.MOST_NOTES + 3):
        built(folder, out.parent / f"site-{number}")
    kept = folder / ".clutchlight"
    assert sorted(file.name for file in kept.iterdir()) == [".gitignore", "built.json"]
    assert (kept / ".gitignore").read_text(encoding="utf-8") == "*\n"
    assert len(json.loads((kept / "built.json").read_text(encoding="utf-8"))) == building_again.MOST_NOTES
    assert ended_early(folder, out.parent / f"site-{building_again.MOST_NOTES + 2}")
    assert not ended_early(folder, out.parent / "site-0")


@pytest.mark.usefixtures("settled")
def test_where_nothing_can_be_noted_a_build_does_all_its_work(folder: Path, out: Path) -> None:
    """A file in the place of the folder, a link that leads out of the collection."""
    (folder / ".clutchlight").write_text("mine", encoding="utf-8")
    built(folder, out)
    assert not ended_early(folder, out)
    assert (folder / ".clutchlight").read_text(encoding="utf-8") == "mine"
    (folder / ".clutchlight").unlink()
    (out.parent / "elsewhere").mkdir()
    (folder / ".clutchlight").symlink_to(out.parent / "elsewhere")
    built(folder, out)
    assert list((out.parent / "elsewhere").iterdir()) == []


@pytest.mark.usefixtures("settled")
def test_another_wish_ends_no_build_early(folder: Path, out: Path) -> None:
    """Another theme, another day."""
    built(folder, out)
    assert not ended_early(folder, out, "slate")
    assert not ended_early(folder, out)


def test_an_edit_of_this_moment_ends_no_build_early(folder: Path, out: Path) -> None:
    """A next edit might bear the same time."""
    built(folder, out)
    assert not ended_early(folder, out)
