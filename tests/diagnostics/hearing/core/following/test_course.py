"""A rev-out's course is the best of all that its rules allow, and what drowns a part of it does not hide it."""

import numpy as np
import pytest

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.course import Bounds, _forwards, course_in
from diagnostics.hearing.core.following.track import follow
from diagnostics.hearing.core.hear import hear
from tests.revouts.listened import samples_of
from tests.revouts.sets import CHOOSE, clip, quiet_ones

RPM = np.array([1000.0, 1800.0, 2500.0, 3600.0, 4600.0, 5200.0], np.float32)
OCTAVE = 55  # candidates, at 0.0125 of the natural logarithm
LOW, HIGH, OPEN_FROM = 3, 4, 2  # candidates by the limits of the rules
UP, DOWN, CHANGE = 3, 1, 0.7


def limited(value, least, most):
    inside = min(max(value, least), most)
    return inside + limits.BEYOND_WEIGHS * (value - inside)


def gain(given, halves, frame, way, at):
    """What a frame adds; None where the engine can't be so there."""
    seen = given[frame, 0, at]
    if way == "climbs":
        return seen + limits.CLIMB_WEIGH * (seen - limits.CLIMB_MIDDLE)
    if way == "ticks":
        halved = limits.HALVES_WEIGH * halves[frame, at]
        return limited(seen, limits.QUIET_AT_LEAST, limits.QUIET_AT_MOST) - halved if at < LOW else None
    if way == "shut":
        return limited(seen, limits.QUIET_AT_LEAST, limits.SETTLED_AT_MOST if at < LOW else limits.QUIET_AT_MOST)
    return limited(given[frame, way, at], -1e9, limits.OPEN_AT_MOST) if at >= OPEN_FROM else None


def onwards(given, way, at):
    """Every way that the next frame may have, where it may be, and what that costs."""
    opens = way == "climbs" and at >= HIGH
    if at < LOW and (way == "shut" or isinstance(way, int)):  # another go
        again = limits.AGAIN_COSTS + (0.0 if way == "shut" else limits.SHUTTING_COSTS)
        yield from ((to_way, to, costs + again) for to_way, to, costs in onwards(given, "ticks", at))
    for to in range(given.shape[2]):
        rise = to - at
        near, rises, runs = abs(rise) <= limits.TICKS_BY_CANDIDATES, 1 <= rise <= UP, -DOWN <= rise <= UP
        if way == "ticks" and near:
            yield "ticks", to, 0.0
        if rises and (way == "climbs" or (way == "ticks" and at < LOW)):
            yield "climbs", to, 0.0
        for pattern in range(given.shape[1]) if runs and (opens or isinstance(way, int)) else ():
            changes = CHANGE if pattern != (0 if opens else way) else 0.0
            yield pattern, to, limits.OPEN_STEP_COSTS * abs(rise) + changes
        if (-DOWN <= rise <= 0 or (near and to < LOW)) and (way == "shut" or opens or isinstance(way, int)):
            yield "shut", to, 0.0 if way == "shut" else limits.SHUTTING_COSTS


def totals_from(given, halves, frame, way, at, total):
    """The totals of all courses that the rules allow from here on, one by one: what `course_in` finds at once."""
    if frame == len(given) - 1:
        yield total
        return
    for to_way, to, costs in onwards(given, way, at):
        more = gain(given, halves, frame + 1, to_way, to)
        if more is not None:
            yield from totals_from(given, halves, frame + 1, to_way, to, total + more - costs)


@pytest.mark.parametrize("seed", range(8))
def test_the_course_is_the_best_of_all(seed):
    rng = np.random.default_rng(seed)
    given = rng.normal(0.7, 0.6, (5, 2, len(RPM))).astype(np.float32)
    halves = rng.exponential(0.5, (5, len(RPM))).astype(np.float32)
    begins = (gain(given, halves, 0, "ticks", at) for at in range(LOW))
    best = max(max(totals_from(given, halves, 0, "ticks", at, total)) for at, total in enumerate(begins))
    reached = _forwards(given, halves, Bounds(UP, DOWN, CHANGE, OPEN_FROM, LOW, HIGH))[-1].max()
    assert reached == pytest.approx(best, abs=1e-4)
    course = course_in(given, halves, RPM, UP, DOWN, CHANGE)
    steps = np.diff(course.path)
    assert ((steps >= -DOWN) & (steps <= UP)).all()


def drawn(voice=False, climbs=True, halved=False, halves_told=True):
    """Evidence of a rev-out over 200 frames and 263 candidates: tickover, climb, hold, shut; a voice over tickover, or
    tickover heard at half its speed nearly as plainly."""
    rpm = np.asarray(600 * np.exp(0.0125 * np.arange(263)), np.float32)
    true = np.r_[np.full(60, 1500.0), np.geomspace(1500, 8000, 30), np.full(70, 8000.0), np.geomspace(8000, 3000, 40)]
    if not climbs:
        true[:90] = 8000.0
    places = np.searchsorted(rpm, true)
    seen = np.random.default_rng(4).normal(0.0, 0.15, (len(true), len(rpm))).astype(np.float32)
    loud = np.full(len(true), 1.2)
    if voice:
        loud[:60] = 0.2
        at = int(np.searchsorted(rpm, 11000))
        seen[:60, at - 2 : at + 3] += 1.5
    for step, share in ((-1, 0.8), (0, 1.0), (1, 0.8)):
        seen[np.arange(len(true)), places + step] += loud * share
    halves = np.zeros_like(seen)
    if halved:
        seen[:60, places[0] - OCTAVE] = 1.25
        halves[:60, places[0] - OCTAVE] = 0.7 * halves_told
        seen[np.arange(54, 60), places[0] - OCTAVE + 9 * np.arange(1, 7)] = 1.0
    return course_in(seen[:, None], halves, rpm, 10, 4, 3.0), places


@pytest.mark.parametrize("voice", [False, True])
def test_a_voice_that_drowns_tickover_is_not_taken_for_the_engine(voice):
    course, places = drawn(voice)
    assert course.climb.is_there
    assert course.climb.first == pytest.approx(60, abs=4)
    assert np.abs(course.path[65:200] - places[65:200]).max() <= 4


def test_tickover_is_not_half_of_what_explains_it_better():
    """With the limits that tickover's evidence has, half the speed looks as good, and a longer climb pays."""
    course, places = drawn(halved=True)
    assert np.abs(course.path[:58] - places[:58]).max() <= 2
    untold, _ = drawn(halved=True, halves_told=False)
    assert np.abs(untold.path[:50] - (places[:50] - OCTAVE)).max() <= 2


def test_who_is_up_from_the_beginning_is_heard_ahead_of_any_climb():
    climb = drawn(climbs=False)[0].climb
    assert climb is None or not climb.is_there or climb.ahead > 1.0
    assert drawn()[0].climb.ahead < 0.5


def test_a_frame_or_two_have_no_climb():
    for frames in (1, 2):
        given, halves = np.ones((frames, 1, 6), np.float32), np.zeros((frames, 6), np.float32)
        assert course_in(given, halves, RPM, UP, DOWN, CHANGE).climb is None


@pytest.mark.parametrize("kind", ["healthy", "breaks", "eight"])
def test_a_rev_out_heard_well_climbs_where_the_throttle_opens(kind):
    for number in quiet_ones(CHOOSE, kind, 2):
        made = clip(CHOOSE, kind, number)
        climb = follow(samples_of(made), made.fires_per_turn).climb
        assert climb.first * limits.HOP_S == pytest.approx(made.truth.held[0], abs=1.3)


@pytest.mark.parametrize("number", range(10))
def test_where_there_is_no_engine_there_is_no_verdict(number):
    assert hear(samples_of(clip(CHOOSE, "none", number)), 1.0).verdict == "unclear"
