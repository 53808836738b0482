"""The file for the phone writes lines at the rack: offline, by itself, kept until they arrived; `log --from` makes them rows of the log."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from urllib.parse import unquote

import pytest
from click.testing import CliRunner
from playwright.sync_api import Browser, BrowserContext, Page
from tests.rooms import HEADER, SETTINGS, Room
from tests.site.accessibility import violations

from clutchlight import shipped
from clutchlight.cli import main
from clutchlight.desk import desk_files
from clutchlight.pipeline import open_book
from clutchlight.site.theme import load_theme

pytestmark = pytest.mark.browser

NOW = "2026-11-28T20:15:00"
BEGUN = HEADER + "2026-11-20,M-01,weight,,851,\n2026-11-21,F-01,meal,,rat pup,\n2026-11-22,F-02,weight,,1320,\n"
ROOM = Room(
    {
        "collection.yaml": SETTINGS,
        "animals/all.yaml": "- {id: M-01, name: Goliath, sex: male, hatched: 2019, status: breeder}\n"
        "- {id: M-02, sex: male, hatched: 2019, status: breeder}\n- {id: F-01, name: Nyx, sex: female, hatched: 2019, status: breeder}\n"
        "- {id: F-02, name: Big Nettle, sex: female, hatched: 2019, status: breeder}\n"
        "- {id: M-21, species: corn-snake, sex: male, hatched: 2019, status: breeder}\n",
        "clutches/C26-01.md": "---\nid: C26-01\nsire: M-01\ndam: F-01\nlaid: 2026-10-20\neggs: 6\n---\n",
        "log/2026.csv": BEGUN,
    }
)


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1795867200")
    return ROOM.write(tmp_path / "room", {})


@pytest.fixture
def alone(room: Path, tmp_path: Path) -> Path:
    """The one file, carried to a phone."""
    book = open_book(room).book
    assert book is not None
    file = tmp_path / "phone" / "phone.html"
    file.parent.mkdir()
    file.write_bytes(desk_files(book, load_theme("paper", [shipped.themes()]), date(2026, 11, 28))["phone.html"])
    return file


@pytest.fixture
def phone(chromium: Browser) -> Iterator[BrowserContext]:
    """A phone in flight mode, on the evening of a Saturday."""
    context = chromium.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, offline=True, reduced_motion="reduce"
    )
    context.set_default_timeout(5000)
    yield context
    context.close()


def opened(phone: BrowserContext, file: Path) -> Page:
    page = phone.new_page()
    page.clock.set_fixed_time(NOW)
    page.goto(file.as_uri())
    return page


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).filter(visible=True).click()


def take(page: Page, typed: str) -> None:
    """Finds an animal and takes it in hand."""
    if not page.locator("#enter").is_visible():
        press(page, "Write down")
    elif not page.locator("[name=find]").is_visible():
        press(page, "Animals")
    page.locator("[name=find]").fill(typed)
    page.locator(".enter-animals button").first.click()


def lines(page: Page) -> str:
    """What would be handed over, from the list."""
    page.locator(".enter-steps").get_by_role("button", name="Hand over").click()
    return page.locator("[name=text]").input_value()


def test_from_a_phone_in_flight_mode_to_the_log(room: Path, alone: Path, phone: BrowserContext, tmp_path: Path) -> None:
    """Written with one hand, corrected, removed, put back, kept over a closed page, copied, taken in: each once, and nothing else."""
    page = opened(phone, alone)
    said: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda mistake: said.append(str(mistake)))
    page.on("request", lambda request: asked.append(request.url))
    take(page, "goli")
    assert page.locator("p[data-last]").inner_text() == "851 g on 20 Nov"
    page.locator("[name=grams]").fill("8600")
    press(page, "Weight")
    assert (
        page.get_by_role("status").inner_text() == "Written: M-01 weight 8600. It was 851 g before: look at the digits."
    )
    press(page, "Correct M-01 weight 8600")
    page.get_by_label("The line").fill("M-01 weight 860")
    page.get_by_label("The line").press("Enter")
    take(page, "nyx")
    assert page.locator("[name=prey]").input_value() == "rat pup"
    press(page, "Ate")
    press(page, "Shed")
    press(page, "Remove F-01 shed")
    press(page, "Put it back")
    press(page, "Refused")
    press(page, "Remove F-01 refused rat pup")
    take(page, "M-02")
    page.locator("[name=partner]").select_option("F-02")
    page.locator("[name=note]").fill("seen (late)\n at night")
    press(page, "Lock")
    take(page, "c26-01")
    page.locator("[name=event]").select_option("candled")
    page.locator("[name=figure]").fill("5")
    press(page, "Add")
    press(page, "Animals")
    page.locator("[name=day]").fill("2026-11-26")
    take(page, "f-02")
    page.locator("[name=figure]").fill("calm, shed soon (I think)")
    press(page, "Add")
    page.close()

    page = opened(phone, alone)
    press(page, "Hand over 6")
    press(page, "Copy")
    assert "Copied" in page.get_by_role("status").inner_text()
    notes = tmp_path / "notes.txt"
    notes.write_text(pasted(phone), encoding="utf-8")
    assert notes.read_text(encoding="utf-8") == (
        "2026-11-26\nF-02 note calm, shed soon (I think)\n\n2026-11-28\nM-01 weight 860\nF-01 meal rat pup\nF-01 shed\n"
        "M-02 x F-02 lock (seen (late) at night)\nC26-01 candled 5\n"
    )
    command = ["log", "--from", str(notes), "--collection", str(room)]
    taken = CliRunner().invoke(main, command)
    assert (taken.exit_code, taken.stderr) == (0, "")
    rows = (
        '2026-11-26,F-02,note,,,"calm, shed soon (I think)"\n2026-11-28,M-01,weight,,860,\n2026-11-28,F-01,meal,,rat pup,\n'
        "2026-11-28,F-01,shed,,,\n2026-11-28,M-02,lock,F-02,,seen (late) at night\n2026-11-28,C26-01,candled,,5,\n"
    )
    assert (room / "log/2026.csv").read_text(encoding="utf-8") == BEGUN + rows

    press(page, "It arrived")
    assert page.locator("[data-nothing]").is_visible()
    take(page, "f-02")
    press(page, "Ate")
    assert "F-02 meal" in lines(page)
    notes.write_text(page.locator("[name=text]").input_value(), encoding="utf-8")
    assert "M-01 weight 860\n" in notes.read_text(encoding="utf-8")
    again = CliRunner().invoke(main, command)
    assert again.stdout.endswith("1 row written, 5 entries stood there already, nothing left\n")
    assert (room / "log/2026.csv").read_text(encoding="utf-8") == BEGUN + rows + "2026-11-28,F-02,meal,,,\n"
    assert said == []
    assert set(asked) <= {alone.as_uri()}


def pasted(phone: BrowserContext) -> str:
    """What lies on the clipboard, as pasted elsewhere."""
    elsewhere = phone.new_page()
    elsewhere.set_content("<textarea></textarea>")
    elsewhere.locator("textarea").focus()
    elsewhere.keyboard.press("Control+V")
    return elsewhere.locator("textarea").input_value()


def test_it_goes_out_by_share_and_by_mail(alone: Path, phone: BrowserContext) -> None:
    """Share is offered where the phone has it; a mail that a link could cut short is not."""
    phone.add_init_script("navigator.share = what => { window.shared = what.text; return Promise.resolve(); };")
    page = opened(phone, alone)
    take(page, "goliath")
    press(page, "Shed")
    wanted = lines(page)
    press(page, "Share")
    assert page.evaluate("window.shared") == wanted == "2026-11-28\nM-01 shed\n"
    mail = page.get_by_role("link", name="Mail").get_attribute("href") or ""
    assert unquote(mail) == "mailto:?subject=At the rack&body=2026-11-28\r\nM-01 shed\r\n"
    take(page, "goliath")
    page.locator("[name=figure]").fill("long " * 400)
    press(page, "Add")
    lines(page)
    assert page.get_by_role("link", name="Mail").is_hidden()
    assert page.locator("[data-long]").is_visible()


def test_animals_stand_as_they_were_gone_through_last_and_the_next_is_one_press_away(
    alone: Path, phone: BrowserContext
) -> None:
    """At first as on the page; a search narrows them; beside each what was last, and what was written today."""
    page = opened(phone, alone)
    press(page, "Write down")
    names = page.locator(".enter-animals b")
    assert names.all_inner_texts() == ["Goliath (M-01)", "M-02", "M-21", "Nyx (F-01)", "Big Nettle (F-02)", "C26-01"]
    assert page.locator(".enter-animals button").nth(3).inner_text().split("\n") == ["Nyx (F-01) ate 21 Nov"]
    page.locator("[name=find]").fill("NET")
    assert names.all_inner_texts() == ["Big Nettle (F-02)"]
    take(page, "big")
    press(page, "Shed")
    take(page, "goliath")
    press(page, "Shed")
    take(page, "")
    assert page.locator("#enter-heading").inner_text() == "M-02"
    press(page, "Animals")
    assert names.all_inner_texts() == ["M-02", "M-21", "Nyx (F-01)", "Big Nettle (F-02)", "Goliath (M-01)", "C26-01"]
    assert "shed" in page.locator(".enter-animals button").nth(4).inner_text()
    page.locator(".enter-animals button").nth(3).click()
    press(page, "Next: Goliath")
    assert page.locator("#enter-heading").inner_text() == "Goliath (M-01)"
    press(page, "Animals")
    page.locator("[name=order]").select_option("list")
    assert names.all_inner_texts()[0] == "Goliath (M-01)"


def test_a_mate_is_of_the_other_sex_and_of_the_same_species(alone: Path, phone: BrowserContext) -> None:
    page = opened(phone, alone)
    take(page, "goliath")
    assert page.locator("[name=partner] option").all_inner_texts() == ["choose", "Nyx (F-01)", "Big Nettle (F-02)"]
    press(page, "Lock")
    assert page.get_by_role("status").inner_text() == "Choose the other animal first."
    page.locator("[name=grams]").fill("heavy")
    press(page, "Weight")
    assert page.get_by_role("status").inner_text() == "Write the grams in digits, such as 1215."
    press(page, "Parted")
    assert lines(page) == "2026-11-28\nM-01 parted\n"


def test_a_browser_that_keeps_nothing_says_so(alone: Path, phone: BrowserContext) -> None:
    """What was written can still be handed over."""
    phone.add_init_script("Storage.prototype.setItem = () => { throw new Error('full'); };")
    page = opened(phone, alone)
    take(page, "goliath")
    assert page.locator("[data-not-kept]").is_visible()
    press(page, "Shed")
    assert lines(page) == "2026-11-28\nM-01 shed\n"


def test_two_rooms_on_one_phone_are_kept_apart_and_a_new_desk_finds_what_waits(
    alone: Path, phone: BrowserContext, tmp_path: Path
) -> None:
    page = opened(phone, alone)
    take(page, "goliath")
    press(page, "Shed")
    page.close()
    newer, other = tmp_path / "newer.html", tmp_path / "other.html"
    shutil.copy(alone, newer)
    text = alone.read_text(encoding="utf-8")
    other.write_text(text.replace('data-room="3f6c2f0e', 'data-room="0f6c2f0e'), encoding="utf-8")
    for file, count in ((newer, "1"), (other, "0")):
        page = opened(phone, file)
        assert page.locator(".enter-bar [data-count]").inner_text() == count
        page.close()


def test_it_is_worked_by_keyboard_alone(alone: Path, phone: BrowserContext) -> None:
    """From button to field to button, with Enter and Escape; the focus stays in what is open, and comes back."""
    page = opened(phone, alone)
    page.locator("[data-open=animals]").first.focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "enter-heading"
    page.locator("[name=find]").focus()
    page.keyboard.type("goliath")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.locator("[name=grams]").focus()
    page.keyboard.type("860")
    page.keyboard.press("Enter")
    assert page.get_by_role("status").inner_text() == "Written: M-01 weight 860"
    page.keyboard.press("Escape")
    assert page.locator("#enter").is_hidden()
    assert page.evaluate("document.activeElement.getAttribute('data-open')") == "animals"


@pytest.mark.parametrize("width", [320, 390])
def test_it_is_wide_enough_for_a_thumb_and_axe_finds_nothing(alone: Path, phone: BrowserContext, width: int) -> None:
    """In every view, in the light and in the dark: no sideways scrolling, targets of 44 pixels and more, no violation."""
    page = opened(phone, alone)
    page.set_viewport_size({"width": width, "height": 640})
    take(page, "goliath")
    press(page, "Shed")
    press(page, "Ate")
    for view in ("animal", "animals", "list"):
        if view != "animal":
            page.locator(f".enter-steps [data-open={view}]").click()
        assert page.locator(f"section[data-view={view}]").is_visible()
        assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") == 0
        body = "(() => { const body = document.querySelector('.enter-body'); return body.scrollWidth - body.clientWidth; })()"
        assert page.evaluate(body) == 0, view
        targets = page.locator("#enter :is(button, input, select, .button)").filter(visible=True).all()
        boxes = [target.bounding_box() for target in targets]
        assert len(boxes) > 5
        assert all(box is not None and box["height"] >= 44 and box["width"] >= 44 for box in boxes), view
        assert (view, violations(page)) == (view, [])
