"""The keys of `timing`: what goes in, what comes out, what is an error and what it names."""

from decimal import Decimal

import pytest

from diagnostics.core.timing.piston import btdc_deg, btdc_mm
from diagnostics.core.timing.strobe import judge_strobe
from diagnostics.core.timing.timing_lines import answer_line
from garage.core.errors import BadInput

PISTON = {"ask": "piston", "stroke_mm": 54, "rod_mm": 110}
STROBE = {"ask": "strobe", "spec_btdc": 17, "readings": [[1400, 17], [9000, 16]]}
SPEC = "degrees before top dead centre, -180 to 180"
PACKER = {"ask": "packer", "pickup_mm": 12, "magnet_mm": 13, "packers_mm": [1]}


def test_piston_gives_both_measures_and_the_rim_where_there_is_a_flywheel():
    assert answer_line(PISTON | {"btdc_deg": 18}) == {"btdc_deg": 18.0, "btdc_mm": btdc_mm(18, 54, 110)}
    with_rim = answer_line(PISTON | {"btdc_mm": 2, "btdc_deg": None, "flywheel_mm": 110})
    assert set(with_rim) == {"btdc_deg", "btdc_mm", "rim_mm"}
    assert (with_rim["btdc_deg"], with_rim["btdc_mm"]) == (btdc_deg(2, 54, 110), 2.0)
    assert with_rim["rim_mm"] == pytest.approx(0.959931 * with_rim["btdc_deg"], abs=1e-5)  # pi * 110 / 360 a degree


def test_strobe_gives_the_keys_of_the_manual():
    answer = answer_line(STROBE)
    assert set(answer) == {"verdict", "at_idle", "at_peak", "drift_deg", "erratic_deg", "means", "look_at"}
    assert answer["verdict"] == judge_strobe(17, STROBE["readings"]).verdict == "in-spec"
    assert isinstance(answer["means"], list)
    assert isinstance(answer["look_at"], list)


def test_strobe_takes_the_change_that_belongs_to_its_curve():
    falling = STROBE | {"readings": [[1400, 17], [9000, 12]], "advances_deg": 9}
    assert answer_line(falling | {"curve": "retarding", "retards_deg": 5})["verdict"] == "in-spec"
    assert answer_line(falling | {"curve": None, "retards_deg": 5})["verdict"] == "retards-far"


def test_packer_gives_nearest_only_where_there_is_no_stack():
    assert answer_line(PACKER)["stack_mm"] == [1.0]
    assert "nearest_mm" not in answer_line(PACKER)
    without = answer_line(PACKER | {"packers_mm": [Decimal("0.3")]})
    assert (without["stack_mm"], without["nearest_mm"], without["left_over_mm"]) == (None, [0.3], 0.7)
    assert answer_line(PACKER | {"magnet_mm": 12.05})["stack_mm"] == []
    lower = answer_line(PACKER | {"magnet_mm": 11})
    assert lower["stack_mm"] is None
    assert "down" in lower["means"][0]


@pytest.mark.parametrize(
    ("line", "where"),
    [
        ({}, "ask"),
        ({"ask": "colour"}, "ask"),
        ({"ask": ["piston"]}, "ask"),
        (PISTON, "btdc_deg"),
        (PISTON | {"btdc_deg": 18, "btdc_mm": 2}, "btdc_deg"),
        (PISTON | {"btdc_deg": 200}, "btdc_deg"),
        (PISTON | {"btdc_mm": 54.001}, "btdc_mm"),
        (PISTON | {"btdc_mm": 2, "rod_mm": 27}, "rod_mm"),
        (PISTON | {"btdc_mm": 2, "flywheel_mm": -1}, "flywheel_mm"),
        ({"ask": "piston", "btdc_mm": 2}, "stroke_mm"),
        ({"ask": "strobe"}, "spec_btdc"),
        ({"ask": "strobe", "spec_btdc": 17}, "readings"),
        (STROBE | {"readings": [[1400, 17], [1400, 18]]}, "readings"),
        (STROBE | {"readings": [[0, 17], [1400, 18]]}, "readings[0] rpm"),
        (STROBE | {"curve": "bent"}, "curve"),
        (STROBE | {"curve": {}}, "curve"),
        (STROBE | {"curve": "retarding", "advances_deg": 3}, "retards_deg"),
        (STROBE | {"curve": "advancing", "advances_deg": -3}, "advances_deg"),
        ({"ask": "packer"}, "magnet_mm"),
        (PACKER | {"packers_mm": None}, "packers_mm"),
    ],
)
def test_an_unusable_line_names_its_key(line, where):
    with pytest.raises(BadInput) as refused:
        answer_line(line)
    assert refused.value.where == where


@pytest.mark.parametrize(
    ("line", "found", "allowed"),
    [
        ({"ask": "colour"}, "colour", "piston, strobe or packer"),
        (PISTON, None, "crank degrees from 0 to 180, or btdc_mm in its place"),
        (PISTON | {"btdc_deg": 18, "btdc_mm": 2}, "18 beside a btdc_mm of 2", "one of the two"),
        (STROBE | {"curve": "bent"}, "bent", "fixed, retarding or advancing"),
        (STROBE | {"curve": "retarding", "advances_deg": 3}, None, "the design's own change in degrees, 0 to 180"),
        (STROBE | {"curve": "advancing", "advances_deg": -3}, -3, "the design's own change in degrees, 0 to 180"),
        (STROBE | {"curve": "advancing", "advances_deg": 3, "spec_btdc": 200}, 200, SPEC),
    ],
)
def test_an_unusable_line_is_refused_with_what_is_allowed(line, found, allowed):
    with pytest.raises(BadInput) as refused:
        answer_line(line)
    assert (refused.value.found, refused.value.allowed) == (found, allowed)


def test_every_figure_of_a_strobe_answer_is_the_judgement_s():
    readings = [[1000, 14], [5000, 16], [9000, 20]]
    judged = judge_strobe(10, readings, "advancing", 9)
    assert answer_line(
        {"ask": "strobe", "spec_btdc": 10, "readings": readings, "curve": "advancing", "advances_deg": 9}
    ) == {
        "verdict": judged.verdict,
        "at_idle": 14,
        "at_peak": 20,
        "drift_deg": 6,
        "erratic_deg": judged.erratic_deg,
        "means": list(judged.means),
        "look_at": list(judged.look_at),
    }


def test_every_figure_of_a_packer_answer_is_given_as_a_list():
    assert answer_line(PACKER | {"magnet_mm": 13.05}) == {
        "needed_mm": 1.05,
        "stack_mm": [1.0],
        "left_over_mm": 0.05,
        "means": ["Put 1 mm of packers under the stator plate, then reset the timing."],
    }


def test_a_piston_answer_is_in_plain_numbers_however_it_was_asked():
    answer = answer_line(PISTON | {"btdc_deg": Decimal(18), "flywheel_mm": 110})
    assert {type(figure) for figure in answer.values()} == {float}
    assert answer["btdc_deg"] == 18
    assert answer["rim_mm"] == pytest.approx(17.2788, abs=1e-4)
