"""The looks of the demo's snakes: their colours, and skins as functions of the place on the body.

Drawings, not records: they show what a reader would recognise, and make no claim to be exact.
Convention of `along` and `across`: see snake_drawing.
"""

from __future__ import annotations

import math

from msgspec import Struct
from msgspec.structs import replace
from tests.tools.snake_drawing import Colour, Skin, hex_colour, mix, wave

WHITE = hex_colour("#fbf6ec")


class Paint(Struct, frozen=True):
    """The colours of one look. Ball python: ground and blotch; corn snake: ground, saddle and its edge."""

    ground: Colour
    blotch: Colour
    rim: Colour
    belly: Colour
    eye: Colour = (58, 44, 34)
    pupil: Colour = (14, 10, 10)
    ink: Colour = (46, 32, 28)


def paint(ground: str, blotch: str, rim: str, belly: str, *, albino: bool = False, ink: str = "#2e201c") -> Paint:
    plain = Paint(hex_colour(ground), hex_colour(blotch), hex_colour(rim), hex_colour(belly), ink=hex_colour(ink))
    return replace(plain, eye=hex_colour("#d9616a"), pupil=hex_colour("#8f1f33")) if albino else plain


BALL = {
    "normal": paint("#3b2a1f", "#b58a58", "#d9b683", "#e9dcc2"),
    "pastel": paint("#57432a", "#e8bd48", "#f6dd86", "#f4ead0"),
    "enchi": paint("#4c2914", "#d78638", "#efb56a", "#efdcba"),
    "pinstripe": paint("#b98748", "#c99a58", "#52371f", "#eedfc0"),
    "desert ghost": paint("#77684f", "#d8c592", "#ecdfb6", "#f3ecd8", ink="#4a3d32"),
    "pinstripe desert ghost": paint("#d3bb84", "#dfcb98", "#857861", "#f5eeda", ink="#574a3b"),
    "lavender albino": paint("#ceb1cb", "#f3d36c", "#fbe9a8", "#fbf3e4", albino=True, ink="#8c6a80"),
    "candino": paint("#efd0a4", "#f3b66a", "#fbdca2", "#fcf4e4", albino=True, ink="#a37650"),
    "pastel candino": paint("#f6ead0", "#f6d95c", "#fcefa6", "#fdf8ea", albino=True, ink="#ab8d55"),
}
CORN = {
    "normal": paint("#bd8a58", "#9d4326", "#3a2018", "#eadfc9"),
    "amelanistic": paint("#f0a765", "#d9482b", "#fbe3c2", "#fdf3e2", albino=True, ink="#a3512f"),
    "anerythristic": paint("#aaa49c", "#615b57", "#2a2726", "#e6e2da"),
    "snow": paint("#f8efe8", "#f0c9bd", "#fae2d4", "#fdf8f2", albino=True, ink="#b8928a"),
    "motley": paint("#c68d58", "#a04a2a", "#5a2a1a", "#eadfc9"),
    "stripe": paint("#c9935f", "#9c4729", "#6b3320", "#eadfc9"),
}


def ball_skin(look: Paint, seed: float, *, plain_back: bool = False, white: float = 0.0, last: float = 14.2) -> Skin:
    """Blotches with dark eyes along both flanks of a dark ground; fine lines for `plain_back`; `white` is the share left unpainted."""

    def skin(along: float, across: float) -> Colour:
        if white and _bare(along, across):
            return WHITE
        colour = lines(along, across) if plain_back else blotches(along, across)
        return mix(colour, look.belly, (abs(across) - 0.8) * 4.5)

    def _bare(along: float, across: float) -> bool:
        ragged = 0.17 * wave(along * 2.4 + across * 2.1, seed * 1.7) + 0.07 * wave(along * 5.1 - across * 6.3, seed)
        return 1 - abs((along * 0.36 + seed) % 1.0 - 0.5) * 2 + ragged > 1 - white and along < last

    def lines(along: float, across: float) -> Colour:
        spine = abs(across - 0.1 * wave(along * 0.8, seed))
        if abs(spine - 0.34 - 0.06 * wave(along * 1.3, seed + 1)) < 0.035:
            return look.rim
        if spine > 0.5 and abs(math.sin(along * 1.9 + seed + across)) < 0.07:
            return look.rim
        return mix(look.ground, look.blotch, 0.5 + 0.5 * math.cos(spine * 4))

    def blotches(along: float, across: float) -> Colour:
        ground = mix(look.ground, look.blotch, 0.08 + 0.05 * wave(along, seed))
        for side in (-1, 1):
            inside = _blob(along, across, side)
            if inside < 1:
                eye = _eyes(along, across, side)
                if eye < 1:
                    return ground
                return mix(look.blotch, look.rim, max(0.0, inside - 0.45) * 1.7)
        if (
            abs(across - 0.06 * wave(along, seed)) < 0.13 + 0.1 * wave(along * 1.1, seed + 4)
            and wave(along * 0.9, seed + 2) > 0.12
        ):
            return mix(look.blotch, look.rim, 0.3)
        return ground

    def _blob(along: float, across: float, side: int) -> float:
        number, middle = _place(along, side)
        long = 0.3 + 0.075 * wave(number * 1.9, seed)
        deep = 0.5 + 0.14 * wave(number * 2.7, seed + side)
        edge = 1 + 0.2 * wave(along * 5 + across * 3, seed + number)
        return (math.pow(abs(along - middle) / long, 2.2) + math.pow(abs(across - 0.68 * side) / deep, 2.2)) / edge

    def _eyes(along: float, across: float, side: int) -> float:
        number, middle = _place(along, side)
        if wave(number * 2.3, seed + side) < -0.1:
            return 2.0
        lean = 0.3 * (abs(across) - 0.62)
        return ((along - middle - 0.05 * wave(number * 4.1, seed) - lean) / 0.07) ** 2 + (
            (across - 0.62 * side) / 0.19
        ) ** 2

    def _place(along: float, side: int) -> tuple[int, float]:
        pace = 0.86
        number = round(along / pace + 0.25 * side)
        return number, (number - 0.25 * side) * pace + 0.11 * wave(number * 1.3, seed + side)

    return skin


def corn_skin(look: Paint, kind: str, seed: float) -> Skin:
    """Edged saddles along the spine; joined ones that leave pale spots for `motley`; two long lines for `stripe`."""

    def skin(along: float, across: float) -> Colour:
        colour = {"motley": motley, "stripe": stripe}.get(kind, saddles)(along, across)
        return mix(colour, look.belly, (abs(across) - 0.84) * 5)

    def saddles(along: float, across: float) -> Colour:
        pace = 1.55
        near = (along + 0.08 * wave(along * 0.7, seed)) % pace - pace / 2
        saddle = math.pow(abs(near) / 0.5, 2.4) + math.pow(abs(across) / 0.66, 2.6)
        if saddle < 0.62:
            return look.blotch
        if saddle < 1.05:
            return look.rim
        flank = (abs(abs(near) - pace / 2) / 0.3) ** 2 + ((abs(across) - 0.74) / 0.17) ** 2
        return mix(look.blotch, look.rim, 0.3) if flank < 1 else look.ground

    def motley(along: float, across: float) -> Colour:
        pace = 1.25
        near = (along + seed) % pace - pace / 2
        spot = (abs(near) / 0.3) ** 2 + (across / 0.3) ** 2
        if spot < 1:
            return mix(look.ground, look.belly, 0.25)
        if spot < 1.4 or abs(abs(across) - 0.6) < 0.06:
            return look.rim
        return look.blotch if abs(across) < 0.6 else look.ground

    def stripe(along: float, across: float) -> Colour:
        line = abs(abs(across - 0.03 * wave(along, seed)) - 0.4)
        if line < 0.11:
            return mix(look.blotch, look.rim, 0.2)
        return look.ground if line < 0.16 or abs(across) > 0.4 else mix(look.ground, look.belly, 0.3)

    return skin
