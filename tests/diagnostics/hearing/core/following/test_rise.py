"""The rev-out's rise among others: the one that climbs plainly, else the one that stays up; a voice ends it."""

import numpy as np

from diagnostics.hearing.core.following.rise import rise_in


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
