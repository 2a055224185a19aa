"""The course of a rev-out: the likeliest way through tickover, climb, open throttle and shut throttle, in one search.

Noise or a voice may drown tickover, or be as loud as the engine. But only an engine ticks over slowly, then climbs to
three times that speed within a second or so along its orders, and stays up. The whole of it stands out better than any
one part.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from diagnostics.core.arrays import Float32s, Int64s
from diagnostics.hearing.core import limits

NEVER = np.float32(limits.NEVER)


@dataclass(frozen=True)
class Climb:
    """A climb up from tickover.

    first: the frame at which it leaves tickover. total: evidence above BACKGROUND along it, summed over frames. mean:
    mean evidence along it. ahead: evidence before the climb for the speed of the hold after it.
    """

    first: int
    total: float
    mean: float
    ahead: float

    @property
    def ticks_s(self) -> float:
        """How long the engine ticks over before it."""
        return self.first * limits.HOP_S

    @property
    def is_there(self) -> bool:
        """Whether it is a climb at all, not a jump through noise."""
        return (
            self.total > limits.CLIMB_TOTAL and self.mean > limits.CLIMB_MEAN and self.ticks_s >= limits.CLIMB_TICKS_S
        )


@dataclass(frozen=True)
class Course:
    """path: (frames,) the candidate of each frame. climb: None where there is none."""

    path: Int64s
    climb: Climb | None


@dataclass(frozen=True)
class Bounds:
    """What the path may do.

    up, down: by how many candidates a frame the speed may rise and fall. change: the cost of a change of pattern. An
    open throttle has candidates from `least` on, tickover those below `low`, the top of a climb those from `high` on.
    """

    up: int
    down: int
    change: float
    least: int
    low: int
    high: int


def course_in(given: Float32s, halves: Float32s, rpm: Float32s, up: int, down: int, change: float) -> Course:
    """The likeliest course.

    given: (frames, patterns, candidates) evidence for each firing pattern; in the first every turn fires. halves:
    (frames, candidates, those of tickover at least) how much more twice the speed explains. rpm: (candidates,)
    ascending. up, down, change: as in Bounds.
    """
    places = np.searchsorted(rpm, [limits.LEAST_OPEN_RPM, limits.CLIMBS_FROM_RPM, limits.CLIMBS_TO_RPM]).tolist()
    bounds = Bounds(up, down, change, *places)
    totals = _forwards(given, halves, bounds)
    path, way = _backwards(totals, given.shape[1], bounds)
    return Course(path, _climb_of(given[:, 0], path, way - given.shape[1]))


# What the engine does besides running with the throttle open. With it open there is one way for each pattern.
_, CLIMBS, _ = OTHER_WAYS = 0, 1, 2  # it ticks over, it climbs, the throttle is shut


def _moves(bounds: Bounds) -> Int64s:
    """Where the path may have come from, relative to where it is."""
    return np.arange(-bounds.up, bounds.down + 1)


def _open_costs(bounds: Bounds) -> Float32s:
    return np.asarray(limits.OPEN_STEP_COSTS * np.abs(_moves(bounds)), dtype=np.float32)


def _windows(totals: Float32s, bounds: Bounds) -> Float32s:
    """(frames, moves, ways, candidates): the totals that each candidate may have come from."""
    width = bounds.up + bounds.down + 1
    return np.moveaxis(np.lib.stride_tricks.sliding_window_view(totals, width, axis=2), -1, 1)


def _forwards(given: Float32s, halves: Float32s, bounds: Bounds) -> Float32s:
    """(frames, ways, up + candidates + down): the best total with which each way and candidate can be reached."""
    frames, patterns, count = given.shape
    ticks, climbs, shut = (patterns + way for way in OTHER_WAYS)
    up, low, high, least = bounds.up, bounds.low, bounds.high, bounds.least
    totals = np.full((frames, patterns + len(OTHER_WAYS), up + count + bounds.down), NEVER, np.float32)
    reached = totals[:, :, up : up + count]
    gains = _gains(given, halves, least, low)
    reached[0, [ticks, climbs], :low] = next(gains)[ticks, :low]
    costs = _open_costs(bounds)[:, None, None]
    choices = np.empty((up + bounds.down + 1, patterns, count - least), np.float32)
    highest, best, top = np.maximum.reduce, choices[0].copy(), choices[0, 0].copy()
    # Views of all frames are made at once: made one by one in the loop they would cost as much as the sums.
    windows, nows = _windows(totals, bounds)[:-1], reached[1:]
    near = slice(up - limits.TICKS_BY_CANDIDATES, up + limits.TICKS_BY_CANDIDATES + 1)
    opened, ticked, climbed = windows[:, :, :patterns, least:], windows[:, near, ticks, :low], windows[:, :up, climbs]
    fell, rose = windows[:, up:, shut], windows[:, up - limits.TICKS_BY_CANDIDATES, shut, :low]
    befores = zip(opened, ticked, climbed, fell, rose, strict=True)
    reach = zip(nows, nows[:, :patterns], nows[:, ticks, :low], nows[:, climbs], nows[:, shut], strict=True)
    for before, gain, (now, run, tick, climb, rest) in zip(befores, gains, reach, strict=True):
        from_open, from_ticks, from_climb, from_above, from_below = before
        np.subtract(from_open, costs, out=choices)
        highest(choices, axis=0, out=best)
        np.subtract(highest(best, axis=0, out=top), bounds.change, out=top)
        np.maximum(best, top, out=run[:, least:])
        highest(from_ticks, axis=0, out=tick)
        highest(from_climb, axis=0, out=climb)
        highest(from_above, axis=0, out=rest)
        np.maximum(rest[:low], from_below, out=rest[:low])
        now += gain
        # The step from one part to the next is taken within the frame.
        np.maximum(run[0, high:], climb[high:], out=run[0, high:])
        np.maximum(rest, highest(run, axis=0) - np.float32(limits.SHUTTING_COSTS), out=rest)
        np.maximum(tick, rest[:low] - np.float32(limits.AGAIN_COSTS), out=tick)
        np.maximum(climb[:low], tick, out=climb[:low])
    return totals


def _gains(given: Float32s, halves: Float32s, least: int, low: int) -> Iterator[Float32s]:
    """(ways, candidates): what each frame adds. To save memory the frames share a buffer."""
    frames, patterns, count = given.shape
    ticks, climbs, shut = (patterns + way for way in OTHER_WAYS)
    gains = np.zeros((min(limits.CHUNK_FRAMES, frames), patterns + len(OTHER_WAYS), count), np.float32)
    for start in range(0, frames, limits.CHUNK_FRAMES):
        part = given[start : start + limits.CHUNK_FRAMES]
        now, seen = gains[: len(part)], part[:, 0]
        now[:, :patterns, least:] = _limited(part[:, :, least:], float(NEVER), limits.OPEN_AT_MOST)
        now[:, climbs] = seen + np.float32(limits.CLIMB_WEIGH) * (seen - np.float32(limits.CLIMB_MIDDLE))
        now[:, shut] = _limited(seen, limits.QUIET_AT_LEAST, limits.QUIET_AT_MOST)
        slow = halves[start : start + limits.CHUNK_FRAMES, :low]
        now[:, ticks, :low] = now[:, shut, :low] - np.float32(limits.HALVES_WEIGH) * slow
        now[:, shut, :low] = _limited(seen[:, :low], limits.QUIET_AT_LEAST, limits.SETTLED_AT_MOST)
        yield from now


def _limited(evidence: Float32s, least: float, most: float) -> Float32s:
    """Evidence between two limits; what lies beyond them counts for little."""
    inside = np.clip(evidence, np.float32(least), np.float32(most))
    return np.asarray(inside + np.float32(limits.BEYOND_WEIGHS) * (evidence - inside), dtype=np.float32)


def _backwards(totals: Float32s, patterns: int, bounds: Bounds) -> tuple[Int64s, Int64s]:
    """(frames,) each: candidate and way along the path that ends with the highest total."""
    moves, costs = _moves(bounds), _open_costs(bounds)
    changes = (-bounds.change * (1 - np.eye(patterns)))[:, :, None].astype(np.float32)
    ticks, climbs, shut = (patterns + way for way in OTHER_WAYS)
    up = bounds.up
    settled = (up - limits.TICKS_BY_CANDIDATES, len(moves))
    spans = {ticks: (settled[0], up + limits.TICKS_BY_CANDIDATES + 1), climbs: (0, up), shut: (up, len(moves))}
    path, ways = np.empty(len(totals), np.int64), np.empty(len(totals), np.int64)
    reached = totals[-1, :, up : totals.shape[2] - bounds.down]
    way, at = (int(place) for place in np.unravel_index(int(reached.argmax()), reached.shape))
    for index in range(len(totals) - 1, -1, -1):
        here = totals[index, :, up + at]
        begins = way == climbs and at < bounds.low and here[ticks] == here[climbs]
        if begins:
            way = ticks
        if way == ticks and here[shut] - np.float32(limits.AGAIN_COSTS) == here[ticks]:
            way = shut
        if way == shut and here[:patterns].max() - np.float32(limits.SHUTTING_COSTS) == here[shut]:
            way = int(here[:patterns].argmax())
        if way == 0 and at >= bounds.high and here[climbs] == here[0]:
            way = climbs
        path[index], ways[index] = at, climbs if begins else way
        if index == 0:
            break
        before = totals[index - 1, :, at : at + len(moves)]
        if way < patterns:
            options = before[:patterns] - costs + changes[way]
            way, move = divmod(int(options.argmax()), len(moves))
        else:
            from_, to = spans[way] if way != shut or at >= bounds.low else settled
            move = from_ + int(before[way, from_:to].argmax())
        at += int(moves[move])
    return path, ways


def _climb_of(seen: Float32s, path: Int64s, way: Int64s) -> Climb | None:
    """The climb on the path; None where none leads to an open throttle."""
    climbing, running = np.flatnonzero(way == CLIMBS), np.flatnonzero(way < 0)
    if not len(climbing) or not len(running):
        return None
    goes = np.split(climbing, np.flatnonzero(np.diff(climbing) > 1) + 1)
    climbing = max(goes, key=lambda go: float((seen[go, path[go]] - limits.BACKGROUND).sum()))
    first = int(climbing[0])
    along = seen[climbing, path[climbing]]
    after = running[running > first]
    if not len(after):
        return None
    held = int(np.median(path[after[: limits.AHEAD_FRAMES]]))
    near = round(limits.AHEAD_LOG / (2 * limits.STEP_LOG))  # a course uses every second candidate only
    before = seen[max(first - limits.AHEAD_FRAMES, 0) : first, max(held - near, 0) : held + near + 1]
    ahead = float(before.max(axis=1).mean()) if len(before) else 0.0
    return Climb(first, float((along - limits.BACKGROUND).sum()), float(along.mean()), ahead)
