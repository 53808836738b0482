"""Draws the small pictures of tests/said/: a coiled band on one plain colour, a few hundred bytes each, the same every time.

Run from the repository root: `python -m tests.tools.draw_said_photos` (needs Pillow only). Writes tests/said/NAME/photos/*.png.
"""

from __future__ import annotations

from pathlib import Path

from PIL import Image, ImageDraw

SAID = Path(__file__).parents[1] / "said"
SIZE = (48, 36)
PICTURES = {
    "photos-and-prose": {
        "sepia.png": ("#f3ecdd", "#8a5a20"),
        "sepia-old.png": ("#e4e8d9", "#a8783c"),
        "sepia-undated.png": ("#e2e7e8", "#8a5a20"),
        "ochre.png": ("#f1e4de", "#c89038"),
        "c25-01-1.png": ("#f2e8cd", "#60401c"),
        "clutch.png": ("#dcd6c8", "#fdfdf8"),
    },
    "private-everywhere": {"portiere.png": ("#e4e8d9", "#8a5a20")},
}


def picture(ground: str, band: str) -> Image.Image:
    """Two rings and a head, in two colours."""
    image = Image.new("RGB", SIZE, ground)
    draw = ImageDraw.Draw(image)
    draw.ellipse((8, 4, 40, 32), outline=band, width=4)
    draw.ellipse((16, 11, 32, 25), outline=band, width=4)
    draw.ellipse((36, 14, 44, 20), fill=band)
    return image.quantize(8)


def main() -> None:
    for name, pictures in PICTURES.items():
        folder = SAID / name / "photos"
        folder.mkdir(parents=True, exist_ok=True)
        for file, (ground, band) in pictures.items():
            picture(ground, band).save(folder / file, optimize=True)


if __name__ == "__main__":
    main()
