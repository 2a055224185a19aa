"""Verdicts of the strobe: the table of the manual of `timing`, its limits, and the trend against an outside fit."""

from decimal import Decimal

import numpy
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from diagnostics.core.timing.strobe import judge_strobe
from diagnostics.core.timing.strobe_words import LOOK_AT, MEANS, MEANS_SET_EARLY, MEANS_SET_LATE
from garage.core.errors import BadInput

VERDICTS = ("advances", "erratic", "retards-far", "eases-back", "in-spec", "set-wrong")


# The garage's design rule (common practice, no source): fixed timing moves a degree or so at most; 17 easing to 16 is
# harmless; 14 at tickover climbing to 19-20 is a pickup not level with the magnets.
@pytest.mark.parametrize(
    ("readings", "verdict"),
    [
        ([(1400, 17), (9000, 17)], "in-spec"),
        ([(1400, 17), (9000, 16)], "in-spec"),
        ([(1400, 17.5), (9000, 16)], "eases-back"),
        ([(1400, 14), (9000, 19)], "advances"),
        ([(1400, 14), (5000, 17), (9000, 20)], "advances"),
    ],
)
def test_the_garages_own_rule_is_followed(readings, verdict):
    assert judge_strobe(17, readings).verdict == verdict


# Limits of the manual's table, each with a step on either side.
@pytest.mark.parametrize(
    ("spec", "degrees", "verdict"),
    [
        (17, ["16.9", "17.9"], "in-spec"),
        (17, ["16.9", "17.9000001"], "advances"),
        (17, ["17.9", "16.9"], "in-spec"),
        (17, ["17.9", "16.8999999"], "eases-back"),
        (17, ["18", "15.5"], "eases-back"),
        (17, ["18", "15.4999999"], "retards-far"),
        (17, ["18.0000001", "16.5"], "set-wrong"),
        (17, ["18.0000001", "18"], "set-wrong"),
        (17, ["16", "16"], "in-spec"),
        (17, ["15.9999999", "16"], "set-wrong"),
        (17, ["20", "20"], "set-wrong"),
        (17, ["17", "19.25", "17"], "set-wrong"),  # 1.5 off the line of 17.75: not over
        (17, ["17", "19.2500001", "17"], "erratic"),
        (17, ["17", "21", "18.1"], "advances"),  # erratic too, but advances stands higher
        (17, ["17", "18.5", "15.5"], "eases-back"),  # a reading 1.5 off, but easing back
        (17, ["18", "12", "15"], "erratic"),  # retards far too, but erratic stands higher
    ],
)
def test_limits_are_exact_in_decimal(spec, degrees, verdict):
    revs = [2000 + 2000 * place for place in range(len(degrees))]
    for kind in (Decimal, float):
        pairs = [(rpm, kind(deg)) for rpm, deg in zip(revs, degrees, strict=True)]
        assert judge_strobe(spec, pairs).verdict == verdict


def test_the_designs_own_change_is_taken_off_and_each_spec_moves_with_it():
    retarding = judge_strobe(20, [(2000, 20), (5000, 17), (8000, 14)], "retarding", 6)
    assert retarding.verdict == "in-spec"
    assert retarding.drift_deg == -6
    assert judge_strobe(20, [(2000, 20), (5000, 18.1), (8000, 14)], "retarding", 6).verdict == "set-wrong"
    assert judge_strobe(20, [(2000, 20), (8000, 20)], "retarding", 6).verdict == "advances"
    assert judge_strobe(10, [(2000, 10), (8000, 25)], "advancing", 15).verdict == "in-spec"
    assert judge_strobe(10, [(2000, 10), (8000, 10)], "advancing", 15).verdict == "retards-far"


def test_readings_are_taken_in_order_of_revs_and_keep_their_order_at_the_same_revs():
    judged = judge_strobe(17, [(9000, 16), (1400, 17.25), (9000, 16.5), (1400, 17)])
    assert (judged.at_idle, judged.at_peak, judged.drift_deg) == (17.25, 16.5, -0.75)


def test_a_change_is_ignored_on_a_fixed_system():
    assert judge_strobe(17, [(1000, 17), (2000, 17)], "fixed", 10).verdict == "in-spec"


def test_a_wrong_setting_says_which_way():
    assert any("early" in words for words in judge_strobe(17, [(1000, 20), (2000, 20)]).means)
    assert any("late" in words for words in judge_strobe(17, [(1000, 14), (2000, 14)]).means)


def test_an_advance_looks_first_at_whether_pickup_and_magnets_are_level():
    judged = judge_strobe(17, [(1400, 14), (9000, 19.5)])
    assert "level" in judged.look_at[0]
    assert any("before any full-throttle run" in words for words in judged.means)


@pytest.mark.parametrize(
    ("call", "where"),
    [
        ({"spec_btdc": None}, "spec_btdc"),
        ({"spec_btdc": True}, "spec_btdc"),
        ({"spec_btdc": float("inf")}, "spec_btdc"),
        ({"readings": []}, "readings"),
        ({"readings": [(1000, 17)]}, "readings"),
        ({"readings": "no"}, "readings"),
        ({"readings": {"1": 2, "3": 4}}, "readings"),
        ({"readings": [(1000, 17), (1000, 18)]}, "readings"),
        ({"readings": [(1000, 17), 5]}, "readings[1]"),
        ({"readings": [(1000, 17), (2000,)]}, "readings[1]"),
        ({"readings": [(0, 17), (2000, 17)]}, "readings[0] rpm"),
        ({"readings": [(-5, 17), (2000, 17)]}, "readings[0] rpm"),
        ({"readings": [(1000, "x"), (2000, 17)]}, "readings[0] degrees"),
        ({"curve": "wild"}, "curve"),
        ({"curve": ["fixed"]}, "curve"),
        ({"curve": "retarding", "change_deg": -1}, "change_deg"),
    ],
)
def test_bad_input_is_named(call, where):
    with pytest.raises(BadInput) as refused:
        judge_strobe(**({"spec_btdc": 17, "readings": [(1000, 17), (2000, 17)]} | call))
    assert refused.value.where == where


speeds = st.integers(500, 14000)
angles = st.decimals(-5, 40, places=2)


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.lists(st.tuples(speeds, angles), min_size=2, max_size=8), angles)
def test_scatter_agrees_with_numpys_fit_and_the_verdict_is_one_of_the_table(readings, spec):
    assume(len({rpm for rpm, _ in readings}) > 1)
    judged = judge_strobe(spec, readings)
    revs = numpy.array([float(rpm) for rpm, _ in readings])
    degrees = numpy.array([float(deg) for _, deg in readings])
    centred = revs - revs.mean()
    slope, offset = numpy.linalg.lstsq(numpy.vstack([centred, numpy.ones_like(centred)]).T, degrees, rcond=None)[0]
    assert judged.erratic_deg == pytest.approx(abs(degrees - slope * centred - offset).max(), abs=1e-9)
    assert judged.verdict in VERDICTS
    assert judged.means


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.lists(st.tuples(speeds, angles), min_size=2, max_size=6), angles, st.integers(0, 20))
def test_a_design_that_retards_is_judged_like_a_fixed_one_once_its_change_is_put_back(readings, spec, change):
    assume(len({rpm for rpm, _ in readings}) > 1)
    low, high = min(rpm for rpm, _ in readings), max(rpm for rpm, _ in readings)
    assume(all((change * (rpm - low) * 100) % (high - low) == 0 for rpm, _ in readings))
    straightened = [(rpm, deg + Decimal(change * (rpm - low)) / (high - low)) for rpm, deg in readings]
    assert judge_strobe(spec, readings, "retarding", change).verdict == judge_strobe(spec, straightened).verdict


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.lists(st.tuples(speeds, angles), min_size=2, max_size=8), angles, st.integers(0, 20))
def test_readings_trend_and_own_spec_agree_with_numpy(readings, spec, change):
    assume(len({rpm for rpm, _ in readings}) > 1)
    judged = judge_strobe(spec, readings, "advancing", change)
    revs = numpy.array([reading.rpm for reading in judged.readings])
    assert list(revs) == sorted(float(rpm) for rpm, _ in readings)
    degrees = numpy.array([reading.deg for reading in judged.readings])
    fitted = numpy.polynomial.Polynomial.fit(revs, degrees, 1)
    assert judged.trend == pytest.approx((fitted(revs[0]), fitted(revs[-1])), abs=1e-7)
    own = numpy.interp(revs, [revs[0], revs[-1]], [float(spec), float(spec) + change])
    assert [reading.spec_deg for reading in judged.readings] == pytest.approx(list(own), abs=1e-9)
    assert [reading.off_deg for reading in judged.readings] == pytest.approx(list(degrees - own), abs=1e-9)


READINGS = "a list of two or more readings [rpm, degrees], at two speeds at least"
DEGREES = "degrees before top dead centre, -180 to 180"
SPEED = "a speed above 0, at most 100000"


@pytest.mark.parametrize(
    ("call", "where", "found", "allowed"),
    [
        ({"spec_btdc": 181}, "spec_btdc", 181, DEGREES),
        ({"spec_btdc": -181}, "spec_btdc", -181, DEGREES),
        ({"readings": [(1000, 17)]}, "readings", [(1000, 17)], READINGS),
        ({"readings": [(1000, 17), (1000.0, 18)]}, "readings", "all at 1000 rpm", READINGS),
        ({"readings": [(1000, 17), (2000,)]}, "readings[1]", (2000,), "a pair [rpm, degrees]"),
        ({"readings": [(0, 17), (2000, 17)]}, "readings[0] rpm", 0, SPEED),
        ({"readings": [(1000, 17), (100_001, 17)]}, "readings[1] rpm", 100_001, SPEED),
        ({"readings": [(1000, 181), (2000, 17)]}, "readings[0] degrees", 181, DEGREES),
        ({"readings": [(1000, 17), (2000, -181)]}, "readings[1] degrees", -181, DEGREES),
        ({"curve": "wild"}, "curve", "wild", "fixed, retarding or advancing"),
        ({"curve": "advancing", "change_deg": 181}, "change_deg", 181, "degrees, 0 to 180"),
        ({"curve": "retarding", "change_deg": -1}, "change_deg", -1, "degrees, 0 to 180"),
    ],
)
def test_bad_input_is_refused_with_what_is_allowed(call, where, found, allowed):
    with pytest.raises(BadInput) as refused:
        judge_strobe(**({"spec_btdc": 17, "readings": [(1000, 17), (2000, 17)]} | call))
    assert (refused.value.where, refused.value.found, refused.value.allowed) == (where, found, allowed)


@pytest.mark.parametrize("spec", [-180, 180])
def test_every_number_may_be_as_great_as_its_limit(spec):
    judged = judge_strobe(spec, [(1, spec), [100_000, 0]], "advancing" if spec < 0 else "retarding", 180)
    assert (judged.verdict, judged.at_idle, judged.at_peak) == ("in-spec", spec, 0)


def test_a_judgement_has_the_figures_of_its_readings_as_plain_numbers():
    """Halfway up half of the change: 13.5 against 15 there. The line through the three is 10, 14.5, 19 and 1 off."""
    judged = judge_strobe(10, [(9000, 20), (5000, 13), (1000, 10)], "advancing", 10)
    assert [(r.rpm, r.deg, r.spec_deg, r.off_deg) for r in judged.readings] == [
        (1000, 10, 10, 0),
        (5000, 13, 15, -2),
        (9000, 20, 20, 0),
    ]
    assert judged.drift_deg == 10
    assert judged.trend == pytest.approx((28 / 3, 58 / 3))  # mean 43 / 3, five degrees to either side
    assert judged.erratic_deg == pytest.approx(4 / 3)
    figures = [judged.at_idle, judged.at_peak, judged.drift_deg, judged.erratic_deg, *judged.trend]
    assert {type(figure) for figure in [*figures, judged.readings[0].rpm, judged.readings[1].deg]} == {float}


@pytest.mark.parametrize(
    ("degrees", "verdict"),
    [
        ((14, 19.5), "advances"),
        ((17, 21, 17), "erratic"),
        ((18, 12), "retards-far"),
        ((17, 15), "eases-back"),
        ((17, 17), "in-spec"),
    ],
)
def test_each_verdict_means_and_asks_to_look_at_what_belongs_to_it(degrees, verdict):
    judged = judge_strobe(17, [(1000 + 1000 * place, deg) for place, deg in enumerate(degrees)])
    assert (judged.verdict, judged.means, judged.look_at) == (verdict, MEANS[verdict], LOOK_AT[verdict])


@pytest.mark.parametrize(
    ("degrees", "which"),
    [
        ((20, 20), MEANS_SET_EARLY),
        ((14, 14), MEANS_SET_LATE),
        ((19.2, 18.1), MEANS_SET_EARLY),
        ((15, 16), MEANS_SET_LATE),
    ],
)
def test_a_wrong_setting_says_after_what_it_means_which_way_it_is_furthest_off(degrees, which):
    judged = judge_strobe(17, [(1000, degrees[0]), (2000, degrees[1])])
    assert (judged.verdict, judged.means) == ("set-wrong", MEANS["set-wrong"] + which)
