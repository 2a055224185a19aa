"""The course of a rev-out: the likeliest way through tickover, climb, open throttle and shut throttle, in one search.

Noise or a voice may drown tickover, or be as loud as the engine. But only an engine ticks over slowly, then climbs to
three times that speed within a second or so along its orders, and stays up. The whole of it stands out better than any
one part.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from diagnostics.core.arrays import Bools, Float32s, Int64s
from diagnostics.hearing.core import limits
from diagnostics.hearing.core.following.climb import Climb, climb_of

NEVER = np.float32(limits.NEVER)


@dataclass(frozen=True)
class Course:
    """path, climbs: (frames,) the candidate of each frame, and whether it climbs. climb: None where there is none."""

    path: Int64s
    climbs: Bools
    climb: Climb | None


@dataclass(frozen=True)
class Bounds:
    """What the path may do.

    up, down: by how many candidates a frame the speed may rise and fall. change: the cost of a change of pattern. An
    open throttle has candidates from `least` on, tickover those below `low`, the top of a climb those from `high` on.
    slow, shifts: for each pattern, the candidates that it does not have with an open throttle, and by how many
    candidates its firings lie below the speed of the crank.
    """

    up: int
    down: int
    change: float
    least: int
    low: int
    high: int
    slow: tuple[slice, ...]
    shifts: tuple[int, ...]


def course_in(
    given: Float32s,
    halves: Float32s,
    rpm: Float32s,
    up: int,
    down: int,
    change: float,
    floor_rpm: float = 0.0,
    loud: Float32s | None = None,
) -> Course:
    """The likeliest course.

    given: (frames, patterns, candidates) evidence for each firing pattern; in the first every turn fires. halves:
    (frames, candidates, those of tickover at least) how much more twice the speed explains. rpm: (candidates,)
    ascending. up, down, change: as in Bounds. floor_rpm: as slow_of has it. loud: as
    following/swell.py makes it; where it is None the sound is everywhere as loud.
    """
    edges_rpm = (limits.LEAST_OPEN_RPM, limits.CLIMBS_FROM_RPM, limits.CLIMBS_TO_RPM)
    least, low, high = (int(np.searchsorted(rpm, edge_rpm)) for edge_rpm in edges_rpm)
    patterns = limits.PATTERNS[: given.shape[1]]
    shifts = tuple(min(round(np.log(nth) / (2 * limits.STEP_LOG)), len(rpm)) for nth in patterns)
    bounds = Bounds(up, down, change, least, low, high, slow_of(rpm, len(patterns), floor_rpm), shifts)
    totals = _forwards(given, halves, bounds, np.zeros((len(given), 2), np.float32) if loud is None else loud)
    path, way = _backwards(totals, given.shape[1], bounds)
    return Course(path, way >= _first_climb(given.shape[1]), climb_of(given, path, way, _first_climb(given.shape[1])))


def slow_of(rpm: Float32s, patterns: int, floor_rpm: float) -> tuple[slice, ...]:
    """For each pattern the candidates at which its firings come as slowly as in tickover: then it is tickover.

    floor_rpm: what fires still more slowly skips turns after all, since no engine runs on at so low a speed.
    """
    edges = [(nth * floor_rpm, nth * limits.FIRES_FROM_RPM) for nth in limits.PATTERNS[:patterns]]
    return (slice(0), *(slice(*np.searchsorted(rpm, edge).tolist()) for edge in edges[1:]))


# The ways of a course: for each pattern the throttle is open; it ticks over; it is shut; for each pattern it climbs.
OTHER_WAYS = 2


def _ticks_and_shut(patterns: int) -> tuple[int, int]:
    return patterns, patterns + 1


def _first_climb(patterns: int) -> int:
    return patterns + OTHER_WAYS


def _open_costs(bounds: Bounds) -> Float32s:
    """(moves,): of each move of an open throttle's speed, by where the path may have come from."""
    moves = np.arange(-bounds.up, bounds.down + 1)
    return np.asarray(limits.OPEN_STEP_COSTS * np.abs(moves), dtype=np.float32)


def _windows(totals: Float32s, bounds: Bounds) -> Float32s:
    """(frames, moves, ways, candidates): the totals that each candidate may have come from."""
    width = bounds.up + bounds.down + 1
    return np.moveaxis(np.lib.stride_tricks.sliding_window_view(totals, width, axis=2), -1, 1)


def _forwards(given: Float32s, halves: Float32s, bounds: Bounds, loud: Float32s) -> Float32s:
    """(frames, ways, up + candidates + down): the best total with which each way and candidate can be reached."""
    frames, patterns, count = given.shape
    ticks, _ = _ticks_and_shut(patterns)
    first_climb, up, low, high, least = _first_climb(patterns), bounds.up, bounds.low, bounds.high, bounds.least
    totals = np.full((frames, first_climb + patterns, up + count + bounds.down), NEVER, np.float32)
    gains = _gains(given, halves, bounds, loud)
    totals[0, [ticks, first_climb], up : up + low] = next(gains)[ticks, :low]
    costs, climb_costs = _open_costs(bounds)[:, None, None], _climb_costs(bounds)[:, None, None]
    starts, tick_costs = _starting_costs(patterns)[:, None], _tick_costs()[:, None]
    change, climb_change, highest = np.float32(bounds.change), np.float32(limits.CLIMB_CHANGE_COSTS), np.maximum.reduce
    befores, reaches = _befores(totals, patterns, bounds), _reaches(totals, patterns, bounds)
    for before, reach, gain in zip(befores, reaches, gains, strict=True):
        from_open, from_ticks, from_climb, from_above, from_below = before
        now, run, tick, climb, rest = reach
        _arrive(from_open - costs, change, run[:, least:])
        highest(from_ticks - tick_costs, axis=0, out=tick)
        _arrive(from_climb - climb_costs, climb_change, climb)
        highest(from_above, axis=0, out=rest)
        np.maximum(rest[:low], from_below, out=rest[:low])
        now += gain
        # The step from one part to the next is taken within the frame.
        np.maximum(run[:, high:], climb[:, high:], out=run[:, high:])
        np.maximum(rest, highest(run, axis=0) - np.float32(limits.SHUTTING_COSTS), out=rest)
        np.maximum(tick, rest[:low] - np.float32(limits.AGAIN_COSTS), out=tick)
        np.maximum(climb[:, :low], tick - starts, out=climb[:, :low])
    return totals


def _befores(totals: Float32s, patterns: int, bounds: Bounds) -> Iterator[tuple[Float32s, ...]]:
    """Of each frame but the last: the totals that an open throttle, tickover, a climb and running down may come from,
    and those that tickover may come up from again. Views of all frames are made at once: made one by one in the loop
    they would cost as much as the sums.
    """
    ticks, shut = _ticks_and_shut(patterns)
    windows, up, low = _windows(totals, bounds)[:-1], bounds.up, bounds.low
    near = slice(up - limits.TICKS_BY_CANDIDATES, up + limits.TICKS_BY_CANDIDATES + 1)
    opened, ticked = windows[:, :, :patterns, bounds.least :], windows[:, near, ticks, :low]
    climbed = windows[:, : up + 1, _first_climb(patterns) :]
    fell, rose = windows[:, up:, shut], windows[:, up - limits.TICKS_BY_CANDIDATES, shut, :low]
    return zip(opened, ticked, climbed, fell, rose, strict=True)


def _reaches(totals: Float32s, patterns: int, bounds: Bounds) -> Iterator[tuple[Float32s, ...]]:
    """Of each frame but the first: all that can be reached, and of it each way by itself."""
    ticks, shut = _ticks_and_shut(patterns)
    nows = totals[1:, :, bounds.up : totals.shape[2] - bounds.down]
    ways = nows[:, :patterns], nows[:, ticks, : bounds.low], nows[:, _first_climb(patterns) :], nows[:, shut]
    return zip(nows, *ways, strict=True)


def _arrive(choices: Float32s, change: np.float32, out: Float32s) -> None:
    """The best of (moves, patterns, candidates) for each pattern, from its own or from another less `change`."""
    best = np.maximum.reduce(choices, axis=0)
    np.maximum(best, np.maximum.reduce(best, axis=0) - change, out=out)


def _climb_costs(bounds: Bounds) -> Float32s:
    """(moves,) of a climb: it may stand for a moment, but standing makes no climb."""
    costs = np.zeros(bounds.up + 1, np.float32)
    costs[-1] = limits.STANDS_COSTS
    return costs


def _tick_costs() -> Float32s:
    """(moves,) of tickover."""
    steps = np.arange(-limits.TICKS_BY_CANDIDATES, limits.TICKS_BY_CANDIDATES + 1)
    return np.asarray(limits.TICK_STEP_COSTS * np.abs(steps), dtype=np.float32)


def _starting_costs(patterns: int) -> Float32s:
    """(patterns,): what it costs to begin a climb in each."""
    return np.asarray(limits.CLIMB_CHANGE_COSTS * (np.arange(patterns) > 0), dtype=np.float32)


def _gains(given: Float32s, halves: Float32s, bounds: Bounds, loud: Float32s) -> Iterator[Float32s]:
    """(ways, candidates): what each frame adds. To save memory the frames share a buffer."""
    frames, patterns, count = given.shape
    ticks, shut = _ticks_and_shut(patterns)
    first_climb, least, low = _first_climb(patterns), bounds.least, bounds.low
    gains = np.zeros((min(limits.CHUNK_FRAMES, frames), first_climb + patterns, count), np.float32)
    weigh, middle = np.float32(limits.CLIMB_WEIGH), np.float32(limits.CLIMB_MIDDLE)
    for start in range(0, frames, limits.CHUNK_FRAMES):
        part = given[start : start + limits.CHUNK_FRAMES]
        now, seen = gains[: len(part)], part[:, 0]
        now[:, :patterns, least:] = _limited(part[:, :, least:], float(NEVER), limits.OPEN_AT_MOST)
        for pattern, slow in enumerate(bounds.slow):
            now[:, pattern, slow] = NEVER
        for pattern, shift in enumerate(bounds.shifts):
            fired = seen[:, : count - shift] - np.float32(limits.CLIMB_PATTERN_COSTS * (pattern > 0))
            now[:, first_climb + pattern, :shift] = NEVER
            now[:, first_climb + pattern, shift:] = fired + weigh * (fired - middle)
        now[:, shut] = _limited(seen, limits.QUIET_AT_LEAST, limits.QUIET_AT_MOST)
        twice = halves[start : start + limits.CHUNK_FRAMES, :low]
        now[:, ticks, :low] = now[:, shut, :low] - np.float32(limits.HALVES_WEIGH) * twice
        now[:, shut, :low] = _limited(seen[:, :low], limits.QUIET_AT_LEAST, limits.SETTLED_AT_MOST)
        above, below = loud[start : start + limits.CHUNK_FRAMES].T
        now[:, shut] -= np.float32(limits.LOUD_SHUT_COSTS) * above[:, None]
        now[:, :patterns] -= np.float32(limits.QUIET_OPEN_COSTS) * below[:, None, None]
        yield from now


def _limited(evidence: Float32s, least: float, most: float) -> Float32s:
    """Evidence between two limits; what lies beyond them counts for little."""
    inside = np.clip(evidence, np.float32(least), np.float32(most))
    return np.asarray(inside + np.float32(limits.BEYOND_WEIGHS) * (evidence - inside), dtype=np.float32)


def _backwards(totals: Float32s, patterns: int, bounds: Bounds) -> tuple[Int64s, Int64s]:
    """(frames,) each: candidate and way along the path that ends with the highest total."""
    costs, climb_costs, tick_costs = _open_costs(bounds), _climb_costs(bounds), _tick_costs()
    stays = (1 - np.eye(patterns, dtype=np.float32))[:, :, None]
    changes, climb_changes = np.float32(bounds.change) * stays, np.float32(limits.CLIMB_CHANGE_COSTS) * stays
    (ticks, shut), first_climb, up = _ticks_and_shut(patterns), _first_climb(patterns), bounds.up
    width, settled = len(costs), up - limits.TICKS_BY_CANDIDATES
    path, ways = np.empty(len(totals), np.int64), np.empty(len(totals), np.int64)
    reached = totals[-1, :, up : totals.shape[2] - bounds.down]
    way, at = (int(place) for place in np.unravel_index(int(reached.argmax()), reached.shape))
    for index in range(len(totals) - 1, -1, -1):
        path[index] = at
        ways[index], way = _came_by(totals[index, :, up + at], way, at, patterns, bounds)
        if index == 0:
            break
        before = totals[index - 1, :, at : at + width]
        if way < patterns:
            way, move = divmod(int((before[:patterns] - costs - changes[way]).argmax()), width)
        elif way >= first_climb:
            options = before[first_climb:, : up + 1] - climb_costs - climb_changes[way - first_climb]
            pattern, move = divmod(int(options.argmax()), up + 1)
            way = first_climb + pattern
        elif way == ticks:
            move = settled + int((before[ticks, settled : settled + len(tick_costs)] - tick_costs).argmax())
        else:
            slowest = up if at >= bounds.low else settled
            move = slowest + int(before[shut, slowest:].argmax())
        at += move - up
    return path, ways


def _came_by(here: Float32s, way: int, at: int, patterns: int, bounds: Bounds) -> tuple[int, int]:
    """The way that a frame is told to have, and the way before the steps from one part to the next that lie within it.

    here: (ways,) the totals at its candidate `at`. way: the one it ends with.
    """
    (ticks, shut), first_climb = _ticks_and_shut(patterns), _first_climb(patterns)
    starts = _starting_costs(patterns)
    begins = way >= first_climb and at < bounds.low and here[ticks] - starts[way - first_climb] == here[way]
    told, way = way, ticks if begins else way
    if way == ticks and here[shut] - np.float32(limits.AGAIN_COSTS) == here[ticks]:
        way = shut
    if way == shut and here[:patterns].max() - np.float32(limits.SHUTTING_COSTS) == here[shut]:
        way = int(here[:patterns].argmax())
    if way < patterns and at >= bounds.high and here[first_climb + way] == here[way]:
        way = first_climb + way
    return (told if begins else way), way
