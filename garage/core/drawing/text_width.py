"""Estimates the width of a line of text on the drawing without loading a font.

Widths in thousandths of the font size, read from Atkinson Hyperlegible Next (hmtx tables of weights 400 and 700, the
wider of the two) and rounded up. Figures are assumed tabular.
"""

from __future__ import annotations

SPARE = 1.03  # for a browser's rounding; a fallback font may still be wider. By eye, no source
UNKNOWN = 1000  # thousandths of the font size, for characters not in the table: one em
LETTERS = {  # thousandths of the font size: the characters of that width
    220: "'",
    260: "j|",
    280: ",.:;’‘",
    300: "`i·",
    320: " !l",
    340: "()[",
    360: "]",
    380: "-frt",
    400: '"_{}°',
    440: "/I\\",
    480: "“”",
    500: "*",
    520: "csz–",
    540: "vxy×",
    560: "?Lak~",
    580: "<>FJehnoué",
    600: "E^bdgpq",
    620: "$+STZ",
    640: "=P£",
    660: "0123456789BCRVY",
    680: "AK",
    700: "DUX",
    720: "GHN",
    740: "&w",
    760: "OQ",
    780: "#…",
    800: "@",
    840: "—",
    860: "M½",
    900: "Wm",
    980: "%",
}
WIDTHS = {letter: width for width, letters in LETTERS.items() for letter in letters}


def text_px(text: str, size_px: float) -> float:
    """Width of a line in pixels, erring on the wide side.

    >>> round(text_px("gate", 13), 1)
    28.4
    """
    return sum(WIDTHS.get(letter, UNKNOWN) for letter in text) * size_px * SPARE / 1000


def shortened(text: str, size_px: float, most_px: float) -> str:
    """The text, or its beginning with an ellipsis if it is too wide.

    >>> shortened("fix first: ceiling at 5 200", 13, most_px=80)
    'fix first: c…'
    """
    if text_px(text, size_px) <= most_px:
        return text
    while text and text_px(text + "…", size_px) > most_px:
        text = text[:-1].rstrip()
    return text + "…"
