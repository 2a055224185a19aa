"""The rev-out's rise among others: the one that climbs plainly, else the one that stays up; a voice ends it."""

import numpy as np
import pytest

from diagnostics.hearing.core.following.rise import _leaps, rise_in


def risen(*stretches, climbs_at=None):
    """The rise in a course of speeds, each (rpm from, rpm to, seconds), all of it heard."""
    rpm = np.concatenate([np.geomspace(low, high, round(100 * lasts_s)) for low, high, lasts_s in stretches])
    return rise_in(rpm, np.ones(len(rpm), bool), rpm, climbs_at)


def test_the_rise_begins_where_the_speed_leaves_tickover():
    rise = risen((1500, 1500, 2.0), (1500, 8000, 0.8), (8000, 8000, 2.5), (8000, 2000, 1.0))
    assert 190 <= rise.start <= 210
    assert rise.low_rpm < 1600
    assert rise.peak_rpm > 7900


def test_of_a_blip_and_a_rev_out_the_one_that_stays_up_is_taken():
    rise = risen(
        (1500, 1500, 1.0), (1500, 4000, 0.3), (4000, 1500, 0.6), (1500, 1500, 1.0), (1500, 8000, 0.8), (8000, 8000, 2)
    )
    assert rise.start > 250


def test_of_two_the_one_with_the_plain_climb_is_taken_though_the_other_stays_up_longer():
    course = (1500, 1500, 1.0), (1500, 8000, 0.8), (8000, 8000, 1.0), (8000, 1500, 1.0), (1500, 1500, 1.5)
    voice = (1500, 9000, 0.6), (9000, 9000, 3.0)
    assert risen(*course, *voice).start > 400
    assert risen(*course, *voice, climbs_at=105).start < 200


def test_what_leaps_up_from_the_hold_and_stays_there_is_no_engine():
    rise = risen((1500, 1500, 1.0), (1500, 7000, 0.8), (7000, 7000, 2.0), (7000, 12000, 0.05), (12000, 12000, 1.0))
    assert 340 < rise.ends < 390
    assert rise.peak_rpm < 7100


def test_a_speed_that_stands_still_has_no_rise():
    assert risen((3000, 3000, 4.0)) is None


def test_a_rise_by_less_than_six_tenths_is_none():
    assert risen((3000, 3000, 2.0), (3000, 4700, 0.5), (4700, 4700, 2.0)) is None
    assert risen((3000, 3000, 2.0), (3000, 4900, 0.5), (4900, 4900, 2.0)) is not None


def test_a_rise_that_takes_longer_than_a_throttle_needs_is_none():
    # 1.5 s are allowed for six tenths: 3000 to 6000 in 2.5 s gains 1.52 times in them, in 1.5 s twice.
    assert risen((3000, 3000, 1.0), (3000, 6000, 2.5), (6000, 6000, 1.0)) is None
    assert risen((3000, 3000, 1.0), (3000, 6000, 1.5), (6000, 6000, 1.0)) is not None


def test_a_rise_is_over_when_the_speed_has_fallen_most_of_the_way():
    rise = risen((2000, 2000, 1.0), (2000, 8000, 0.8), (8000, 8000, 1.0), (8000, 2000, 1.0), (2000, 2000, 2.0))
    # It shows at 1.6 times 2000 rpm; three tenths of the way there are 2360 rpm. The fall takes ln 4 in 1 s.
    assert rise.ends == pytest.approx(280 + 100 * np.log(8000 / 2360) / np.log(4), abs=2)


def test_how_long_the_speed_is_up_is_counted_from_where_it_is_nearly_up():
    rise = risen((1500, 1500, 2.0), (1500, 8000, 0.8), (8000, 8000, 2.0))
    climbs = 80 * np.log(8000 / 6000) / np.log(8000 / 1500)  # blocks of the climb above three quarters of 8000
    assert rise.up == pytest.approx(200 + climbs, abs=2)
    assert rise.low_rpm == pytest.approx(1500, rel=0.02)
    assert rise.peak_rpm == pytest.approx(8000)
    assert rise.ends == 480


def test_a_plain_climb_later_than_the_speed_leaves_tickover_is_where_the_rise_starts():
    stretches = (1500, 1500, 1.0), (1500, 1900, 1.0), (1900, 8000, 0.6), (8000, 8000, 2.0)
    plain = risen(*stretches, climbs_at=205)
    assert plain.climbs
    assert plain.start == 205
    assert not risen(*stretches).climbs
    assert not risen(*stretches, climbs_at=20).climbs


def test_a_speed_that_is_never_held_has_no_peak():
    rpm = np.concatenate([np.full(200, 1500.0), np.geomspace(1500, 8000, 80), np.full(200, 8000.0)])
    heard = np.ones(len(rpm), bool)
    assert rise_in(rpm, heard, np.minimum(rpm, 6000.0), None).peak_rpm == 6000.0
    assert rise_in(rpm, heard, np.full(len(rpm), 1500.0), None) is None
    assert rise_in(rpm, ~heard, rpm, None) is None


@pytest.mark.parametrize(
    ("rises_to", "lasts_s", "leaps"), [(7000 * 1.15, 1.0, False), (7000 * 1.4, 1.0, True), (7000 * 1.4, 0.1, False)]
)
def test_a_leap_is_by_more_than_engines_gain_and_does_not_come_back(rises_to, lasts_s, leaps):
    after = (rises_to, rises_to, lasts_s), (7000, 7000, 1.5 if lasts_s < 1 else 0.02)
    rpm = np.concatenate([np.full(100, 7000.0), *(np.geomspace(a, b, round(100 * s)) for a, b, s in after)])
    assert (_leaps(rpm, 1500.0) < len(rpm)) == leaps


def test_tickover_may_leap_and_a_climb_is_no_leap():
    assert _leaps(np.repeat([2400.0, 6000.0], 100), 1500.0) == 200
    assert _leaps(np.repeat([2600.0, 6000.0], 100), 1500.0) < 101
    climb = np.concatenate([np.full(30, 2600.0), np.geomspace(2600, 9000, 100), np.full(100, 9000.0)])
    assert _leaps(climb, 1000.0) == len(climb) or _leaps(climb, 1000.0) > 30


def test_a_tickover_that_has_quickened_is_no_part_of_the_plain_climb_after_it():
    stretches = (1500, 1500, 1.0), (1500, 2600, 0.3), (2600, 2600, 2.5), (2600, 9000, 0.6), (9000, 9000, 2.0)
    rise = risen(*stretches, climbs_at=382)
    assert rise.start == pytest.approx(382, abs=6)
    assert rise.low_rpm == pytest.approx(2600, rel=0.02)
    assert risen(*stretches).start == pytest.approx(105, abs=10)


def test_an_engine_thrown_back_comes_up_again_hardly_faster_than_it_climbed():
    thrown_back = (1500, 1500, 1.0), (1500, 7000, 0.8), (7000, 3500, 1.0), (3500, 6000, 0.3), (6000, 6000, 0.4)
    assert risen(*thrown_back, (6000, 4500, 0.3)).ends > 375
    slow_climb = (1500, 1500, 1.0), (1500, 7000, 1.4), (7000, 3500, 1.0), (3500, 11000, 0.1), (11000, 11000, 0.4)
    assert risen(*slow_climb).ends < 350
