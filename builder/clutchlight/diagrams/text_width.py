"""How wide a text can be, without knowing the reader's font.

The figures are generous, in hundredths of the font size: no common sans or serif face sets these letters wider. Labels are
shortened by them, so that neighbours never meet.
"""

NARROW = frozenset("ijlI.,:;'|!()[]·’ ")
MIDDLING = frozenset("cfrstz-J")
WIDE = frozenset("mwMWOQ@%—…")


def text_width(text: str, size: int) -> int:
    """The greatest width of `text`, in points, rounded up."""
    hundredths = 0
    for character in text:
        if character in NARROW:
            hundredths += 40
        elif character in MIDDLING:
            hundredths += 56
        elif character in WIDE:
            hundredths += 98
        elif character.isascii() and (character.islower() or character.isdecimal() or character in "_?"):
            hundredths += 64
        elif character.isascii():
            hundredths += 78
        else:
            hundredths += 105
    return -(-hundredths * size // 100)


def shortened(text: str, size: int, most: int) -> str:
    """`text`, or as much of it as fits into `most` points with an ellipsis."""
    if text_width(text, size) <= most:
        return text
    kept = text
    while kept and text_width(kept + "…", size) > most:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def wrapped(text: str, size: int, most: int) -> list[str]:
    """`text` in lines of at most `most` points, broken at spaces."""
    lines: list[str] = []
    for word in text.split():
        if lines and text_width(f"{lines[-1]} {word}", size) <= most:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines
