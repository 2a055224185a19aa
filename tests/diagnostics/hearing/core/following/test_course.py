"""A rev-out's course is the best of all that its rules allow, and what drowns a part of it does not hide it."""

import numpy as np
import pytest

from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.climb import Climb, climb_of
from diagnostics.hearing.core.following.course import (
    Bounds,
    _backwards,
    _forwards,
    _limited,
    course_in,
    slow_of,
)
from diagnostics.hearing.core.following.track import follow
from diagnostics.hearing.core.hear import hear
from tests.revouts.listened import samples_of
from tests.revouts.sets import CHOOSE, clip, quiet_ones

RPM = np.array([1000.0, 1800.0, 2500.0, 3600.0, 4600.0, 5200.0], np.float32)
OCTAVE = 55  # candidates, at 0.0125 of the natural logarithm
LOW, HIGH, OPEN_FROM = 3, 4, 2  # candidates by the limits of the rules
UP, DOWN, CHANGE = 3, 1, 0.7
SLOW, SHIFTS = (slice(0), slice(3, 4)), (0, 2)  # candidates, of each pattern
BOUNDS = Bounds(UP, DOWN, CHANGE, OPEN_FROM, LOW, HIGH, SLOW, SHIFTS)
LOUD = np.random.default_rng(9).uniform(0, 0.5, (limits.CHUNK_FRAMES + 20, 2)).astype(np.float32)


def limited(value, least, most):
    inside = min(max(value, least), most)
    return inside + limits.BEYOND_WEIGHS * (value - inside)


def gain(given, halves, frame, way, at):
    """What a frame adds; None where the engine can't be so there."""
    seen = given[frame, 0, at]
    if isinstance(way, tuple):
        _, pattern = way
        if at < SHIFTS[pattern]:
            return None
        fired = given[frame, 0, at - SHIFTS[pattern]] - (limits.CLIMB_PATTERN_COSTS if pattern else 0.0)
        return fired + limits.CLIMB_WEIGH * (fired - limits.CLIMB_MIDDLE)
    if way == "ticks":
        halved = limits.HALVES_WEIGH * halves[frame, at]
        return limited(seen, limits.QUIET_AT_LEAST, limits.QUIET_AT_MOST) - halved if at < LOW else None
    loud, quiet = LOUD[frame]
    if way == "shut":
        most = limits.SETTLED_AT_MOST if at < LOW else limits.QUIET_AT_MOST
        return limited(seen, limits.QUIET_AT_LEAST, most) - limits.LOUD_SHUT_COSTS * loud
    runs = at >= OPEN_FROM and at not in range(len(RPM))[SLOW[way]]
    open_costs = limits.QUIET_OPEN_COSTS * quiet
    return limited(given[frame, way, at], -1e9, limits.OPEN_AT_MOST) - open_costs if runs else None


def onwards(given, way, at):
    """Every way that the next frame may have, where it may be, and what that costs. A climb is ("climbs", pattern)."""
    climbs = isinstance(way, tuple)
    opens = climbs and at >= HIGH
    runs = way[1] if opens else way
    if at < LOW and (way == "shut" or isinstance(way, int)):  # another go
        again = limits.AGAIN_COSTS + (0.0 if way == "shut" else limits.SHUTTING_COSTS)
        yield from ((to_way, to, costs + again) for to_way, to, costs in onwards(given, "ticks", at))
    for to in range(given.shape[2]):
        rise = to - at
        near, stays = abs(rise) <= limits.TICKS_BY_CANDIDATES, -DOWN <= rise <= UP
        if way == "ticks" and near:
            yield "ticks", to, limits.TICK_STEP_COSTS * abs(rise)
        for pattern in range(given.shape[1]) if 0 <= rise <= UP else ():
            change = limits.CLIMB_CHANGE_COSTS
            stands = limits.STANDS_COSTS if rise == 0 else 0.0
            if climbs:
                yield ("climbs", pattern), to, stands + (change if pattern != way[1] else 0.0)
            if way == "ticks" and at < LOW:  # it begins to climb in any pattern, and may change it at once
                begun = change if pattern else 0.0
                yield ("climbs", pattern), to, stands + begun
        for pattern in range(given.shape[1]) if stays and isinstance(runs, int) else ():
            changes = CHANGE if pattern != runs else 0.0
            yield pattern, to, limits.OPEN_STEP_COSTS * abs(rise) + changes
        if (-DOWN <= rise <= 0 or (near and to < LOW)) and (way == "shut" or isinstance(runs, int)):
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
    totals = _forwards(given, halves, BOUNDS, LOUD[: len(given)])
    assert totals[-1].max() == pytest.approx(best, abs=1e-4)
    steps = np.diff(_backwards(totals, 2, BOUNDS)[0])
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


@pytest.mark.parametrize("nth", [2, 3])
def test_an_engine_that_skips_turns_from_the_opening_on_keeps_the_speed_of_its_crank(nth):
    """Its firings begin below tickover's, as no crank can. With the throttle shut it is heard at its speed again."""
    rpm = np.asarray(600 * np.exp(2 * limits.STEP_LOG * np.arange(132)), np.float32)
    true = np.r_[np.full(60, 1900.0), np.geomspace(1900, 8000, 50), np.full(80, 8000.0), np.geomspace(8000, 3000, 50)]
    fires = np.r_[np.full(60, 1), np.full(130, nth), np.full(50, 1)]
    heard_at = np.searchsorted(rpm, true / fires)
    seen = np.random.default_rng(4).normal(0.0, 0.15, (len(true), len(rpm))).astype(np.float32)
    for step, share in ((-1, 0.8), (0, 1.0), (1, 0.8)):
        seen[np.arange(len(true)), np.maximum(heard_at + step, 0)] += 1.2 * share
    given = np.repeat(seen[:, None], 3, axis=1)
    for pattern in (1, 2):
        shift = round(np.log(pattern + 1) / (2 * limits.STEP_LOG))
        given[:, pattern] = -1.0
        given[:, pattern, shift:] = seen[:, :-shift] - 0.15
    course = course_in(given, np.zeros_like(seen), rpm, 5, 2, limits.CHANGE_COSTS)
    places = np.searchsorted(rpm, true)
    assert np.abs(course.path[70:235] - places[70:235]).max() <= 2
    assert course.climb.first == pytest.approx(60, abs=5)
    assert course.climbs[70:90].all()
    assert not course.climbs[:55].any()
    assert not course.climbs[140:].any()


OPENED, TICKS, SHUT, CLIMBS = range(4)  # the ways where every turn fires


def test_a_climb_is_told_with_its_beginning_and_its_evidence():
    seen = np.full((30, 80), 0.2, np.float32)
    path = np.r_[np.full(10, 20), np.arange(25, 50, 5), np.full(15, 50)]
    way = np.r_[np.full(10, TICKS), np.full(5, CLIMBS), np.full(15, OPENED)]
    seen[np.arange(10, 15), path[10:15]] = 1.1
    seen[:10, 47] = 0.8  # within 0.15 of ln speed of the hold: 6 of these candidates
    climb = climb_of(seen[:, None], path, way, CLIMBS)
    assert climb.first == 10
    assert climb.total == pytest.approx(5 * (1.1 - limits.BACKGROUND), rel=1e-5)
    assert climb.mean == pytest.approx(1.1)
    assert climb.ahead == pytest.approx(0.8)
    seen[:10, 47], seen[:10, 43] = 0.2, 0.8
    assert climb_of(seen[:, None], path, way, CLIMBS).ahead == pytest.approx(0.2)
    seen[:10, 56] = 0.7
    assert climb_of(seen[:, None], path, way, CLIMBS).ahead == pytest.approx(0.7)


def test_of_two_climbs_the_one_with_more_evidence_counts_if_the_throttle_opens_after_it():
    way = np.repeat([TICKS, CLIMBS, OPENED, SHUT, TICKS, CLIMBS, OPENED], [5, 5, 5, 3, 5, 5, 5])
    path, seen = np.full(33, 10), np.full((33, 20), 0.6, np.float32)
    seen[5:10] = 1.0
    seen[23:28] = 1.2
    assert climb_of(seen[:, None], path, way, CLIMBS).first == 23
    seen[5:10] = 1.3
    assert climb_of(seen[:, None], path, way, CLIMBS).first == 5
    seen[5:10] = 1.0
    assert climb_of(seen[:28, None], path[:28], way[:28], CLIMBS) is None
    assert climb_of(seen[:10, None], path[:10], way[:10], CLIMBS) is None
    assert climb_of(seen[:, None], path, np.where(way == CLIMBS, TICKS, way), CLIMBS) is None


def test_a_climb_at_once_has_nothing_ahead_of_it():
    way, path = np.repeat([CLIMBS, OPENED], 5), np.full(10, 3)
    climb = climb_of(np.ones((10, 1, 20), np.float32), path, way, CLIMBS)
    assert (climb.first, climb.ahead) == (0, 0.0)


@pytest.mark.parametrize(
    ("total", "mean", "first", "is_there"),
    [(4.6, 0.81, 13, True), (4.5, 0.81, 13, False), (4.6, 0.8, 13, False), (4.6, 0.81, 12, False)],
)
def test_a_climb_needs_evidence_and_a_quarter_of_a_second_of_tickover(total, mean, first, is_there):
    # A frame lasts 20 ms: 13 of them are 0.26 s.
    climb = Climb(first, total, mean, 0.0)
    assert climb.is_there == is_there
    assert climb.ticks_s == pytest.approx(first * 0.02)


@pytest.mark.parametrize("seed", range(6))
def test_the_path_is_one_that_earns_the_best_total(seed):
    """With the ways that the path took not told, the best of all ways along it earns as much as the best of all."""
    rng = np.random.default_rng(100 + seed)
    given = rng.normal(0.7, 0.9, (5, 2, len(RPM))).astype(np.float32)
    halves = rng.exponential(0.5, (5, len(RPM))).astype(np.float32)
    totals = _forwards(given, halves, BOUNDS, LOUD[: len(given)])
    path, best = _backwards(totals, 2, BOUNDS)[0], totals[-1].max()
    barred = given.copy()
    others = np.ones(given.shape, bool)
    others[np.arange(5), :, path] = False
    others[np.arange(5), 0, np.maximum(path - SHIFTS[1], 0)] = False  # what a climb in the other pattern is heard by
    barred[others] -= 100
    along = _forwards(barred, halves, BOUNDS, LOUD[: len(barred)])[-1].max()
    assert along == pytest.approx(best, abs=1e-4)


def test_long_clips_are_gone_through_in_parts_and_may_have_several_goes():
    rng = np.random.default_rng(5)
    frames = limits.CHUNK_FRAMES + 20
    given = rng.normal(0.5, 0.5, (frames, 2, len(RPM))).astype(np.float32)
    given[20:40, 0, :], given[200:215, 0, :] = 9.0, 9.0
    halves = rng.exponential(0.5, (frames, len(RPM))).astype(np.float32)
    best = {("ticks", at): gain(given, halves, 0, "ticks", at) for at in range(LOW)}
    for frame in range(1, frames):
        reached = {}
        for (way, at), total in best.items():
            for to_way, to, costs in onwards(given, way, at):
                more = gain(given, halves, frame, to_way, to)
                if more is not None:
                    reached[to_way, to] = max(reached.get((to_way, to), -np.inf), total + more - costs)
        best = reached
    totals = _forwards(given, halves, BOUNDS, LOUD[: len(given)])
    assert totals.dtype == np.float32
    assert totals[-1].max() == pytest.approx(max(best.values()), rel=1e-5)


def test_evidence_beyond_its_limits_counts_for_little():
    found = _limited(np.array([-2.0, 0.5, 3.0], np.float32), 0.0, 1.0)
    beyond = limits.BEYOND_WEIGHS
    assert found == pytest.approx([-2.0 * beyond, 0.5, 1.0 + 2.0 * beyond])
    assert found.dtype == np.float32


def test_what_skips_turns_fires_no_slower_than_tickover_but_far_below_it():
    rpm = np.array([1900.0, 2100.0, 2600.0, 2800.0], np.float32)
    assert slow_of(rpm, 2, 0.0) == (slice(0), slice(0, 3))
    assert slow_of(rpm, 2, 1000.0) == (slice(0), slice(1, 3))


def test_a_loud_stretch_in_which_little_is_heard_is_no_shut_throttle():
    """Firing that fails leaves little evidence, but it is as loud as what fired before."""
    rpm = (600 * np.exp(2 * limits.STEP_LOG * np.arange(130))).astype(np.float32)
    given = np.full((200, 1, len(rpm)), 0.1, np.float32)
    true = np.searchsorted(rpm, np.r_[np.full(50, 1500.0), np.geomspace(1500, 6000, 20), np.full(130, 6000.0)])
    given[np.arange(90), 0, true[:90]] = 1.2
    loud = np.zeros((200, 2), np.float32)
    loud[60:, 0] = 0.5
    halves = np.zeros((200, len(rpm)), np.float32)
    fallen = course_in(given, halves, rpm, 5, 2, limits.CHANGE_COSTS)
    stayed = course_in(given, halves, rpm, 5, 2, limits.CHANGE_COSTS, loud=loud)
    assert fallen.path[180] < true[180] - 20
    assert stayed.path[180] > true[180] - 5
