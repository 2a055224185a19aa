"""Two zeros: struck where it stands in tables, numbers and codes, open where it stands in a sentence."""

from __future__ import annotations

import io

import pytest
from fontTools.ttLib import TTFont
from PIL import Image, ImageDraw, ImageFont

from tests.jobs.papers import running_zero

PX = 200  # of an em
SHIFT = (20, 20)


def glyph(font: TTFont, letter: str) -> Image.Image:
    """As it is drawn, cropped to its ink."""
    font.flavor = None
    into = io.BytesIO()
    font.save(into)
    drawn = Image.new("L", (2 * PX, 2 * PX))
    ImageDraw.Draw(drawn).text(SHIFT, letter, 255, ImageFont.truetype(io.BytesIO(into.getvalue()), PX))
    return drawn.crop(drawn.getbbox())


def middle_is_inked(picture: Image.Image) -> bool:
    return picture.getpixel((picture.width // 2, picture.height // 2)) > 127


@pytest.mark.parametrize("weight", running_zero.WEIGHTS)
def test_the_zero_of_sentences_has_no_stroke_and_is_no_letter_o(weight: int):
    struck = TTFont(running_zero.FONTS / f"atkinson-hyperlegible-next-latin-{weight}-normal.woff2")
    letter_o, zero = glyph(struck, "O"), glyph(struck, "0")
    running = glyph(TTFont(running_zero.stored(weight)), "0")
    assert middle_is_inked(zero)
    assert not middle_is_inked(running)
    assert max(abs(running.width - zero.width), abs(running.height - zero.height)) <= 1
    assert running.width < 0.85 * letter_o.width


@pytest.mark.parametrize("weight", running_zero.WEIGHTS)
def test_what_is_kept_is_what_the_script_makes_and_has_a_name_of_its_own(weight: int):
    kept, made = TTFont(running_zero.stored(weight)), TTFont(io.BytesIO(running_zero.made(weight)))
    assert kept["glyf"]["zero"] == made["glyf"]["zero"]
    names = {name.nameID: str(name) for name in kept["name"].names}
    assert {names[1], names[4]} == {running_zero.FAMILY}
