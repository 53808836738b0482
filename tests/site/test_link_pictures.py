"""The picture that stands for a page in a chat: its size, its name, what is drawn again and what is not."""

from __future__ import annotations

import io
import re

import pytest
from msgspec.structs import replace
from PIL import Image
from tests.site.conftest import Files, Told

from clutchlight.site import files as site_files_module
from clutchlight.site.parts import LinkPicture
from clutchlight.site.photos import HEIGHT, WIDTH, link_picture

PICTURE = LinkPicture(
    "Example Snakes", "Pastel male ball python", (("Certain", "het Piebald"),), "Available, €130", None, ()
)


def test_every_page_has_a_picture_of_the_size_that_previews_want(demo_files: Files) -> None:
    """Animals and clutches one of their own, the other pages that of the site; none is there for nothing."""
    named = {
        address: re.search(r'property="og:image" content="https://lanternwick.example.org/([^"]*)"', content.decode())
        for address, content in demo_files.items()
        if address.endswith("index.html") and b"og:title" in content
    }
    shown = {address: found[1] for address, found in named.items() if found}
    assert set(shown) == set(named)
    assert set(shown.values()) == {address for address in demo_files if "-link." in address}
    assert shown["animals/C26-01-5/index.html"] != shown["index.html"] == shown["lineage/index.html"]
    for address in sorted(set(shown.values()))[::20]:
        assert Image.open(io.BytesIO(demo_files[address])).size == (WIDTH, HEIGHT)


def test_a_picture_is_named_for_what_is_on_it() -> None:
    """Another word, price or colour is another name; the same is the same bytes."""
    others = (
        replace(PICTURE, foot="On hold"),
        replace(PICTURE, colours=(("ink", "#000000"),)),
        replace(PICTURE, photo="x"),
    )
    assert len({PICTURE.address, *(one.address for one in others)}) == 4
    assert link_picture(PICTURE, None) == link_picture(replace(PICTURE), None) != link_picture(others[0], None)


@pytest.mark.parametrize("words", ["x" * 300, "漢字", "", "a " * 400])
def test_any_words_can_be_drawn(words: str) -> None:
    """Longer than the picture, or in letters that the type does not have."""
    picture = LinkPicture(words, words, ((words, words), ("", words)), words, None, ())
    assert Image.open(io.BytesIO(link_picture(picture, None))).size == (WIDTH, HEIGHT)


def test_what_stands_is_not_drawn_again(family: Told, family_files: Files, monkeypatch: pytest.MonkeyPatch) -> None:
    """The next build takes the pictures of the one before."""

    def refuse(picture: LinkPicture, photo: bytes | None) -> bytes:
        raise AssertionError(picture)

    monkeypatch.setattr(site_files_module, "link_picture", refuse)
    assert family.files() == family_files
    assert any("-link." in address for address in family_files)
