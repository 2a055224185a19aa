"""The estimate of a line's width against the font itself."""

import string

from fontTools.ttLib import TTFont

from garage.core.drawing.text_width import WIDTHS, shortened, text_px

FONTS = "static/vendor/atkinson/atkinson-hyperlegible-next-latin-{}-normal.woff2"


def real_px(text: str, size_px: float, weight: int) -> float:
    """Source: the advance widths of the font's own hmtx table."""
    font = TTFont(FONTS.format(weight))
    names, widths = font.getBestCmap(), font["hmtx"]
    return sum(widths[names[ord(letter)]][0] for letter in text) * size_px / font["head"].unitsPerEm


def test_a_line_is_never_wider_than_estimated_and_not_much_narrower(pytestconfig, monkeypatch):
    monkeypatch.chdir(pytestconfig.rootpath)
    for text in (
        "42 Tarnhow 250, set-up",
        "43 power run, took 42’s time",
        "WWW MMM",
        "illicit till",
        string.ascii_letters,
    ):
        for weight in (400, 700):
            real = real_px(text, 13, weight)
            assert real <= text_px(text, 13) <= 1.35 * real, (text, weight)


def test_letters_that_are_not_in_the_table_count_as_wide():
    assert text_px("漢", 13) > text_px("W", 13)
    assert "漢" not in WIDTHS


def test_a_line_is_shortened_to_what_fits():
    for most in range(20, 300, 7):
        assert text_px(shortened("42 fix first: ceiling at 5 200", 13, most), 13) <= most


def test_a_line_that_just_fits_stays_whole_and_one_that_just_does_not_loses_a_letter():
    for text, shorter in (("gate", "ga…"), ("42 set-up", "42 set-…")):
        width = text_px(text, 13)
        assert shortened(text, 13, width) == text
        assert shortened(text, 13, width - 0.01) == shorter
        assert shortened(text, 13, text_px(shorter, 13)) == shorter


def test_no_space_is_left_before_the_dots_and_where_nothing_fits_only_they_remain():
    assert shortened("41 gate", 13, text_px("41 …", 13)) == "41…"
    assert shortened("41 gate", 13, 1) == "…"


def test_the_width_grows_with_the_size_and_with_each_letter():
    assert text_px("", 13) == 0
    assert text_px("gate", 26) == 2 * text_px("gate", 13)
    assert text_px("gate", 13) < text_px("gates", 13)
    assert text_px("漢", 13) == 13 * 1.03
