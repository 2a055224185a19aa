"""The course of a rev-out: tickover, climb, open throttle, shut, sought at once as the likeliest way through all four.

Noise or a voice may drown tickover, or be as loud as the engine; but only an engine ticks over slowly, then climbs
threefold within a second or so along its orders and stays up. Seen as a whole that is plainer than any part of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from diagnostics.core.arrays import Float32s, Int64s
from diagnostics.hearing.core.following.spectrum import CHUNK_FRAMES, HOP_S, STEP_LOG

HIGHEST_IDLE_RPM = 3800.0  # no small engine ticks over faster; common practice, no source
FROM_AT_MOST_RPM, TO_AT_LEAST_RPM = 2700.0, 4500.0  # of a climb; common practice for small engines, no source
LEAST_OPEN_RPM = 2000.0  # no engine is slower with its throttle open and unloaded; common practice, no source
BACKGROUND = 0.6  # evidence that noise gives along the best of many paths
# Tickover and the running down afterwards may be drowned and are then no worse than noise; nor better than plain.
# Tickover after the test may be as plain as an open throttle: else it is followed as every second turn of twice that.
QUIET_AT_LEAST, QUIET_AT_MOST, SETTLED_AT_MOST = 0.4, 1.0, 1.25
# Within these limits half of tickover's speed looks as good as tickover: by how much twice a speed explains more than
# the speed itself counts, so many times, against it.
HALVES_WEIGH = 0.5
# A climb is what makes a rev-out: what its evidence is short of or beyond this counts so many times more.
CLIMB_MIDDLE, CLIMB_WEIGH = 0.75, 5.0
BEYOND_WEIGHS = 0.15  # what is beyond its limits counts so much: enough that the better of two stays the better
OPEN_AT_MOST = 1.25  # a voice at its best gives more evidence than an engine
OPEN_STEP_COSTS = 0.1  # what a change of one candidate a frame takes: an engine that is up moves less than a voice
TICKS_BY_CANDIDATES = 1  # a frame, up or down
PART_CHANGE_COSTS = 3.0  # what shutting takes
AGAIN_COSTS = 70.0  # what another go takes: a climb heard well earns that, a voice's hardly ever
NEVER = np.float32(-1e9)
AHEAD_LOG = 0.15  # how near the speed of the hold is the same speed
AHEAD_FRAMES = 60  # before the climb, and of the hold
LEAST_TOTAL, LEAST_MEAN, LEAST_TICKS_S = 4.5, 0.8, 0.25  # less is no climb; chosen on the set `choose`


@dataclass(frozen=True)
class Climb:
    """A climb from tickover up.

    first: frame at which it leaves tickover; total: evidence above noise along it, summed over frames; mean: evidence
    along it; ahead: evidence before it for the speed that the hold has after it.
    """

    first: int
    total: float
    mean: float
    ahead: float

    @property
    def ticks_s(self) -> float:
        """How long it ticks over before."""
        return self.first * HOP_S

    @property
    def is_there(self) -> bool:
        """Whether it is a climb at all, and not a jump through nothing."""
        return self.total > LEAST_TOTAL and self.mean > LEAST_MEAN and self.ticks_s >= LEAST_TICKS_S


@dataclass(frozen=True)
class Course:
    """path: candidate of each frame; climb: None where there is none."""

    path: Int64s
    climb: Climb | None


@dataclass(frozen=True)
class Limits:
    """By how many candidates a frame the speed may rise and fall, what a change of pattern takes, and which candidates
    an open throttle (from `least`), tickover (below `low`) and the top of a climb (from `high`) have."""

    up: int
    down: int
    change: float
    least: int
    low: int
    high: int


def course_in(given: Float32s, halves: Float32s, rpm: Float32s, up: int, down: int, change: float) -> Course:
    """The likeliest course.

    given: (frames, patterns, candidates) evidence for each firing pattern, the first of which is that every turn fires;
    halves: (frames, candidates of tickover at least) by how much twice the speed explains more; rpm: (candidates,)
    ascending; up, down: candidates by which a frame may rise and fall at most; change: what a change of pattern takes.
    """
    places = np.searchsorted(rpm, [LEAST_OPEN_RPM, FROM_AT_MOST_RPM, TO_AT_LEAST_RPM]).tolist()
    limits = Limits(up, down, change, *places)
    totals = _forwards(given, halves, limits)
    path, way = _backwards(totals, given.shape[1], limits)
    return Course(path, _climb_of(given[:, 0], path, way - given.shape[1]))


# What the engine does besides running with the throttle open, which it does in one way for each pattern.
TICKS, CLIMBS, SHUT = 0, 1, 2


def _moves(limits: Limits) -> Int64s:
    """Where the path may have come from, against where it is."""
    return np.arange(-limits.up, limits.down + 1)


def _open_costs(limits: Limits) -> Float32s:
    return np.asarray(OPEN_STEP_COSTS * np.abs(_moves(limits)), dtype=np.float32)


def _windows(totals: Float32s, limits: Limits) -> Float32s:
    """(frames, moves, ways, candidates): what each candidate may come from."""
    width = limits.up + limits.down + 1
    return np.moveaxis(np.lib.stride_tricks.sliding_window_view(totals, width, axis=2), 3, 1)


def _forwards(given: Float32s, halves: Float32s, limits: Limits) -> Float32s:
    """(frames, ways, up + candidates + down): the best total with which each way and candidate is reached."""
    frames, patterns, count = given.shape
    ticks, climbs, shut = (patterns + way for way in (TICKS, CLIMBS, SHUT))
    up, low, high, least = limits.up, limits.low, limits.high, limits.least
    totals = np.full((frames, patterns + 3, up + count + limits.down), NEVER, np.float32)
    reached = totals[:, :, up : up + count]
    gains = _gains(given, halves, least, low)
    reached[0, [ticks, climbs], :low] = next(gains)[ticks, :low]
    costs = _open_costs(limits)[:, None, None]
    choices = np.empty((up + limits.down + 1, patterns, count - least), np.float32)
    highest, best, top = np.maximum.reduce, choices[0].copy(), choices[0, 0].copy()
    # Views of all frames, made at once: taken one by one in the loop they would cost as much as the sums.
    windows, nows = _windows(totals, limits)[:-1], reached[1:]
    near = slice(up - TICKS_BY_CANDIDATES, up + TICKS_BY_CANDIDATES + 1)
    opened, ticked, climbed = windows[:, :, :patterns, least:], windows[:, near, ticks, :low], windows[:, :up, climbs]
    fell, rose = windows[:, up:, shut], windows[:, up - TICKS_BY_CANDIDATES, shut, :low]
    befores = zip(opened, ticked, climbed, fell, rose, strict=True)
    reach = zip(nows, nows[:, :patterns], nows[:, ticks, :low], nows[:, climbs], nows[:, shut], strict=True)
    for before, gain, (now, run, tick, climb, rest) in zip(befores, gains, reach, strict=True):
        from_open, from_ticks, from_climb, from_above, from_below = before
        np.subtract(from_open, costs, out=choices)
        highest(choices, axis=0, out=best)
        np.subtract(highest(best, axis=0, out=top), limits.change, out=top)
        np.maximum(best, top, out=run[:, least:])
        highest(from_ticks, axis=0, out=tick)
        highest(from_climb, axis=0, out=climb)
        highest(from_above, axis=0, out=rest)
        np.maximum(rest[:low], from_below, out=rest[:low])
        now += gain
        # Who goes on to the next part does so within the frame.
        np.maximum(run[0, high:], climb[high:], out=run[0, high:])
        np.maximum(rest, highest(run, axis=0) - np.float32(PART_CHANGE_COSTS), out=rest)
        np.maximum(tick, rest[:low] - np.float32(AGAIN_COSTS), out=tick)
        np.maximum(climb[:low], tick, out=climb[:low])
    return totals


def _gains(given: Float32s, halves: Float32s, least: int, low: int) -> Iterator[Float32s]:
    """(ways, candidates): what each frame adds, in a buffer that the next ones are put into too; for memory."""
    frames, patterns, count = given.shape
    ticks, climbs, shut = (patterns + way for way in (TICKS, CLIMBS, SHUT))
    gains = np.zeros((min(CHUNK_FRAMES, frames), patterns + 3, count), np.float32)
    for start in range(0, frames, CHUNK_FRAMES):
        part = given[start : start + CHUNK_FRAMES]
        now, seen = gains[: len(part)], part[:, 0]
        now[:, :patterns, least:] = _limited(part[:, :, least:], float(NEVER), OPEN_AT_MOST)
        now[:, climbs] = seen + np.float32(CLIMB_WEIGH) * (seen - np.float32(CLIMB_MIDDLE))
        now[:, shut] = _limited(seen, QUIET_AT_LEAST, QUIET_AT_MOST)
        slow = halves[start : start + CHUNK_FRAMES, :low]
        now[:, ticks, :low] = now[:, shut, :low] - np.float32(HALVES_WEIGH) * slow
        now[:, shut, :low] = _limited(seen[:, :low], QUIET_AT_LEAST, SETTLED_AT_MOST)
        yield from now


def _limited(evidence: Float32s, least: float, most: float) -> Float32s:
    """Evidence that counts little beyond its limits."""
    inside = np.clip(evidence, np.float32(least), np.float32(most))
    return np.asarray(inside + np.float32(BEYOND_WEIGHS) * (evidence - inside), dtype=np.float32)


def _backwards(totals: Float32s, patterns: int, limits: Limits) -> tuple[Int64s, Int64s]:
    """Candidate and way of each frame on the path that ends with the highest total."""
    moves, costs = _moves(limits), _open_costs(limits)
    changes = (-limits.change * (1 - np.eye(patterns)))[:, :, None].astype(np.float32)
    ticks, climbs, shut = (patterns + way for way in (TICKS, CLIMBS, SHUT))
    up = limits.up
    settled = (up - TICKS_BY_CANDIDATES, len(moves))
    spans = {ticks: (settled[0], up + TICKS_BY_CANDIDATES + 1), climbs: (0, up), shut: (up, len(moves))}
    path, ways = np.empty(len(totals), np.int64), np.empty(len(totals), np.int64)
    reached = totals[-1, :, up : totals.shape[2] - limits.down]
    way, at = (int(place) for place in np.unravel_index(int(reached.argmax()), reached.shape))
    for index in range(len(totals) - 1, -1, -1):
        here = totals[index, :, up + at]
        begins = way == climbs and at < limits.low and here[ticks] == here[climbs]
        if begins:
            way = ticks
        if way == ticks and here[shut] - np.float32(AGAIN_COSTS) == here[ticks]:
            way = shut
        if way == shut and here[:patterns].max() - np.float32(PART_CHANGE_COSTS) == here[shut]:
            way = int(here[:patterns].argmax())
        if way == 0 and at >= limits.high and here[climbs] == here[0]:
            way = climbs
        path[index], ways[index] = at, climbs if begins else way
        if index == 0:
            break
        before = totals[index - 1, :, at : at + len(moves)]
        if way < patterns:
            options = before[:patterns] - costs + changes[way]
            way, move = divmod(int(options.argmax()), len(moves))
        else:
            from_, to = spans[way] if way != shut or at >= limits.low else settled
            move = from_ + int(before[way, from_:to].argmax())
        at += int(moves[move])
    return path, ways


def _climb_of(seen: Float32s, path: Int64s, way: Int64s) -> Climb | None:
    """The climb on the path; None where it has none that leads to an open throttle."""
    climbing, running = np.flatnonzero(way == CLIMBS), np.flatnonzero(way < 0)
    if not len(climbing) or not len(running):
        return None
    goes = np.split(climbing, np.flatnonzero(np.diff(climbing) > 1) + 1)
    climbing = max(goes, key=lambda go: float((seen[go, path[go]] - BACKGROUND).sum()))
    first = int(climbing[0])
    along = seen[climbing, path[climbing]]
    after = running[running > first]
    if not len(after):
        return None
    held = int(np.median(path[after[:AHEAD_FRAMES]]))
    near = round(AHEAD_LOG / (2 * STEP_LOG))  # a course goes over every second candidate
    before = seen[max(first - AHEAD_FRAMES, 0) : first, max(held - near, 0) : held + near + 1]
    ahead = float(before.max(axis=1).mean()) if len(before) else 0.0
    return Climb(first, float((along - BACKGROUND).sum()), float(along.mean()), ahead)
