"""How wide a line of text will be on the drawing, without a font at hand.

Widths in thousandths of the letter size, read off Atkinson Hyperlegible Next 400 (its hmtx table) and rounded up;
figures are taken as tabular. A tenth is added for bold and for the stand-in fonts of a machine that lacks ours.
"""

from __future__ import annotations

SPARE = 1.1  # bold is some 5 % wider; the rest is for stand-in fonts. By eye, no source
UNKNOWN = 1000  # thousandths of the letter size for what the table lacks: as wide as it is high
LETTERS = {  # thousandths of the letter size: the letters that wide
    200: "'",
    230: ",.:;’‘",
    240: "|",
    250: "ij",
    270: "l",
    280: " ",
    290: "!",
    300: '"()·',
    310: "f",
    330: "t",
    350: "r",
    360: "-",
    390: "/I",
    400: "°",
    450: "y",
    460: "vz",
    470: "s",
    480: "?cx",
    490: "k",
    510: "J",
    530: "a",
    540: "Leu",
    550: "Fhno",
    560: "–Tdg",
    570: "EYbpq",
    590: "PSV",
    610: "+BRZ",
    620: "X",
    630: "AK",
    650: "C0123456789",
    670: "D",
    680: "w",
    690: "GHNU",
    710: "O",
    720: "Q",
    730: "&",
    750: "…",
    820: "M",
    840: "m",
    860: "W",
    920: "%",
}
WIDTHS = {letter: width for width, letters in LETTERS.items() for letter in letters}


def text_px(text: str, size_px: float) -> float:
    """Width of a line in pixels, rather too wide than too narrow.

    >>> round(text_px("gate", 13), 1)
    28.0
    """
    return sum(WIDTHS.get(letter, UNKNOWN) for letter in text) * size_px * SPARE / 1000


def shortened(text: str, size_px: float, most_px: float) -> str:
    """The text itself, or its beginning with an ellipsis where it is too wide.

    >>> shortened("fix first: bounces at 5 200", 13, most_px=80)
    'fix first: bo…'
    """
    if text_px(text, size_px) <= most_px:
        return text
    while text and text_px(text + "…", size_px) > most_px:
        text = text[:-1].rstrip()
    return text + "…"
