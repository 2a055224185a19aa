"""The picture is read back: what stands in its SVG, and where."""

import re
from dataclasses import replace

import pytest

from diagnostics.hearing.pages.clip_picture import chart_of
from garage.output.pictures import HAND
from tests.factories.diagnostics import heard

CLIP = heard(
    seconds=10.0,
    outline=(0.1,) * 300 + (1.0,) * 300,
    t0_s=0.01,
    step_s=0.02,
    rpm=(1500.0,) * 200 + (6000.0,) * 100 + (None,) * 10 + (6000.0,) * 100 + (1500.0,) * 90,
    held=(4.0, 8.0),
    drop_outs=((6.0, 6.2), (7.0, 7.03)),
    ceiling_rpm=6050.0,
)
NOTHING = heard(
    verdict="unclear", seconds=3.0, outline=(0.0,) * 600, rpm=(None,) * 150, held=None, drop_outs=(), ceiling_rpm=None
)
DESIGN_RPM = 8800.0


def red_parts(picture: bytes) -> int:
    return picture.decode().count(f"fill: {HAND}")


def size(picture: bytes) -> list[str]:
    return re.findall(r'viewBox="([^"]+)"', picture.decode())


def test_the_same_clip_gives_the_same_picture():
    assert chart_of(CLIP, DESIGN_RPM) == chart_of(CLIP, DESIGN_RPM)


def test_each_drop_out_and_the_ceiling_are_drawn_in_the_colour_that_needs_a_hand():
    with_two = red_parts(chart_of(CLIP, DESIGN_RPM))
    assert red_parts(chart_of(replace(CLIP, drop_outs=CLIP.drop_outs[:1]), DESIGN_RPM)) == with_two - 1
    assert red_parts(chart_of(replace(CLIP, drop_outs=(), ceiling_rpm=None), DESIGN_RPM)) == 0


@pytest.mark.parametrize("design_rpm", [None, DESIGN_RPM])
@pytest.mark.parametrize(
    "clip",
    [
        NOTHING,
        replace(CLIP, rpm=(), outline=(), held=None, drop_outs=()),
        replace(CLIP, ceiling_rpm=8790.0),
        replace(CLIP, seconds=180.0),
        replace(NOTHING, seconds=0.0, outline=(), rpm=()),
    ],
    ids=["no engine", "no trace", "ceiling at the design speed", "three minutes", "nothing"],
)
def test_whatever_was_heard_makes_a_picture(clip, design_rpm):
    assert size(chart_of(clip, design_rpm))


def test_two_lines_at_one_speed_make_no_other_size_of_picture():
    assert size(chart_of(replace(CLIP, ceiling_rpm=8800.0), DESIGN_RPM)) == size(chart_of(CLIP, DESIGN_RPM))
