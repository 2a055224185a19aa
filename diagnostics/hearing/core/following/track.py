"""Engine speed over time: the path of most evidence that an engine can follow, then refined by phase."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnostics.core.arrays import Float32s, Float64s, Int64s
from diagnostics.hearing.core.following.course import NEVER, Climb, course_in
from diagnostics.hearing.core.following.phase import BLOCK_S, refined
from diagnostics.hearing.core.following.spectrum import (
    FIRES_FROM_RPM,
    HALVED_RATE_HZ,
    HOP_S,
    RATE_HZ,
    SLOWEST_RPM,
    STEP_LOG,
    Combs,
    bend,
    combs,
    envelope_of,
    evidence,
    halved,
    rates_hz,
)

RISES_LOG_S = 6.0  # fastest gain of speed, natural logarithm a second; common practice for small engines, no source
FALLS_LOG_S = 2.5
STEPS = (round(RISES_LOG_S * HOP_S / STEP_LOG), round(FALLS_LOG_S * HOP_S / STEP_LOG))  # candidates a frame
PATTERNS = (1, 2, 3, 4)  # every turn fires, every second (four-stroking), every third, every fourth (eight-stroking)
CHANGE_COSTS = 3.0  # what a change of pattern takes, once
BEGINS_COSTS = 12.0  # what it takes to begin with a pattern: a rev-out begins at tickover
CAPPED_AT = 1.5  # no single frame may convince by more: a loud voice must not outweigh a quiet tickover
# What the turns between two firings count, where they are heard: every n-th tooth's level over the others'.
TURNS_WEIGH, TURNS_FROM, TURNS_NEVER_BELOW, TURNS_CAPPED_AT = 0.5, 0.35, -0.3, 0.4
# By how much twice a firing rate explains more than the rate itself counts against it.
TWICE_WEIGHS, TWICE_AT_MOST = 0.5, 1.0
NOTHING = -2.0  # no evidence speaks more against a speed
STEP_COSTS = 0.025  # what a change of one candidate a frame takes from the evidence
STEADY_STEPS = 0.8  # candidates a frame: slower than this a frame need not be bent
GLANCE = 2  # every how manieth frame shows whether the speed stands still
STANDS_STILL_LOG = 0.3  # an engine that moves more is not what stands still: that is hum or a compressor
STANDING_SHARE = 0.75  # of which so much is taken out
STANDING_EVERY, STANDING_BELOW = 4, 0.2  # frames that are looked at; share of them that may show less
COURSE_WIDTH = 8  # candidates to both sides: so near to a rev-out's course its speed is looked for once more
CLEAR = 0.9  # evidence that leaves little doubt


@dataclass(frozen=True)
class Track:
    """Speed every BLOCK_S, counted at block centres.

    firing_hz: the firing rate; evidence: the comb's along the path, NOISE for noise; pattern: place in PATTERNS of
    which turns fire; envelope: the sound's, at ENVELOPE_RATE_HZ; climb: the rev-out's, None where there is none.
    """

    firing_hz: Float64s
    evidence: Float64s
    pattern: Int64s
    envelope: Float32s
    fires_per_turn: float
    climb: Climb | None = None

    @property
    def rpm(self) -> Float64s:
        return np.asarray(self.firing_hz * 60 / self.fires_per_turn)


def follow(samples: Float32s, fires_per_turn: float) -> Track:
    """The engine's speed through the clip, whether there is an engine or not: `evidence` tells."""
    rates = rates_hz(fires_per_turn)
    sound, envelope = halved(samples), envelope_of(samples)
    seen, path, pattern, climb = _likeliest(sound, envelope, rates, fires_per_turn)
    fired = path - np.array([_shift_of(nth) for nth in PATTERNS])[pattern]
    along = seen[np.arange(len(path)), fired]
    blocks = max(int(len(samples) / RATE_HZ / BLOCK_S), 1)
    at_s = (np.arange(blocks) + 0.5) * BLOCK_S
    frame_s = (np.arange(len(path)) + 0.5) * HOP_S
    firing_hz = np.interp(at_s, frame_s, _between(seen, fired, rates) * np.array(PATTERNS)[pattern])
    along = np.interp(at_s, frame_s, np.maximum(along, NOTHING))
    return Track(refined(sound, envelope, firing_hz), along, _nearest(pattern, blocks), envelope, fires_per_turn, climb)


def _likeliest(
    sound: Float32s, envelope: Float32s, rates: Float32s, fires_per_turn: float
) -> tuple[Float32s, Int64s, Int64s, Climb | None]:
    """Evidence, candidate and pattern of each frame: on a rev-out's course where there is one, else on any path."""
    made = combs(sound, envelope, rates)
    seen, moves, standing = _looked_at_twice(made, len(sound), len(rates))
    with_all = None if moves else _capped(seen[:, 0])
    rpm = rates * 60 / fires_per_turn
    seen[:, 0] -= STANDING_SHARE * standing
    halves = _halves_in(seen[:, 0])
    seen[:, 0] = _capped(seen[:, 0])
    given = patterned(seen, halves, PATTERNS)
    course = course_in(_coarser(given), _coarser(halves), rpm[::2], STEPS[0] // 2, STEPS[1] // 2, CHANGE_COSTS)
    if course.climb is not None and course.climb.is_there:
        return given[:, 0], *best_path(*_near(given, 2 * course.path)), course.climb
    if with_all is not None:
        _raise(given, with_all - given[:, 0], PATTERNS)
    return given[:, 0], *best_path(given), None


def _coarser(evidence: Float32s) -> Float32s:
    """For every second candidate the better of it and the next: a course is near enough with that, in less time."""
    coarser = evidence[..., ::2].copy()
    half = evidence.shape[-1] // 2
    np.maximum(coarser[..., :half], evidence[..., 1::2], out=coarser[..., :half])
    return coarser


def _nearest(pattern: Int64s, blocks: int) -> Int64s:
    per_frame = round(HOP_S / BLOCK_S)
    return np.asarray(np.pad(np.repeat(pattern, per_frame), (0, per_frame), mode="edge")[:blocks])


def _looked_at_twice(made: list[Combs], samples: int, candidates: int) -> tuple[Float32s, bool, Float32s]:
    """Evidence of each frame, whether the speed moves in the clip, and what evidence stands still through it.

    Only where the speed does not clearly stand still are bent frames worth their time."""
    frames = np.arange(max(int(samples / HALVED_RATE_HZ / HOP_S), 1))
    seen = evidence(made, len(frames), candidates)
    path = np.repeat(best_path(seen[::GLANCE, :1])[0], GLANCE)[: len(frames)]
    moved = np.abs(np.convolve(np.gradient(path.astype(float)) if len(path) > 1 else path, np.ones(5) / 5, "same"))
    steady = (moved < STEADY_STEPS) & (seen[frames, 0, path] > CLEAR)
    standing = _standing_in(seen[:, 0])
    bend(made, frames[np.convolve(~steady, np.ones(3), "same") > 0], seen)
    return seen, bool(np.ptp(np.percentile(path, [5, 95])) * STEP_LOG > STANDS_STILL_LOG), standing


def _standing_in(evidence: Float32s) -> Float32s:
    """(candidates): what nearly all of a clip's frames show (mains hum, a compressor)."""
    some = evidence[::STANDING_EVERY]
    place = int(STANDING_BELOW * len(some))
    return np.asarray(np.maximum(np.partition(some, place, axis=0)[place], np.float32(0.0)))


def _capped(evidence: Float32s) -> Float32s:
    return np.asarray(CAPPED_AT * np.tanh(evidence / CAPPED_AT), dtype=np.float32)


def patterned(seen: Float32s, halves: Float32s, patterns: tuple[int, ...]) -> Float32s:
    """Evidence (frames, patterns, candidates) that the crank turns at a candidate while every n-th turn only fires.

    A turn that does not fire still pumps and rattles: every n-th tooth of the firing's comb then stands out. So it does
    where firings come twice as often, which `halves` tells. Made in the place of `seen`: three minutes of it take tens
    of megabytes.
    """
    for place in range(1, len(patterns)):
        to, from_ = _shifted(patterns[place], seen.shape[2])
        turns = TURNS_WEIGH * np.clip(seen[:, place, from_] - TURNS_FROM, TURNS_NEVER_BELOW, TURNS_CAPPED_AT)
        turns -= TWICE_WEIGHS * np.minimum(halves[:, from_], TWICE_AT_MOST)
        turns += seen[:, 0, from_]
        seen[:, place] = NEVER
        seen[:, place, to] = turns
    return seen


def _raise(given: Float32s, more: Float32s, patterns: tuple[int, ...]) -> None:
    """Adds to the evidence of every turn's firing (frames, candidates), and with it to every pattern's."""
    for place, nth in enumerate(patterns):
        to, from_ = _shifted(nth, given.shape[2])
        given[:, place, to] += more[:, from_]


def _shifted(nth: int, count: int) -> tuple[slice, slice]:
    """The speeds at which every n-th turn may fire only, and the candidates that such firing is heard at."""
    shift = min(_shift_of(nth), count)
    slowest = nth * FIRES_FROM_RPM if nth > 1 else SLOWEST_RPM
    first = min(max(shift, int(np.log(slowest / SLOWEST_RPM) / STEP_LOG)), count)
    return slice(first, None), slice(first - shift, count - shift)


def _halves_in(seen: Float32s) -> Float32s:
    """(frames, candidates up to half the highest): by how much twice the speed explains more than a speed does."""
    octave = _shift_of(2)
    more = seen[:, octave:] - seen[:, :-octave]
    return np.asarray(np.maximum(more, 0, out=more))


def _shift_of(nth: int) -> int:
    return round(float(np.log(nth)) / STEP_LOG)


def best_path(given: Float32s, starts: Int64s | None = None) -> tuple[Int64s, Int64s]:
    """Candidate and firing pattern of each frame on the path of most evidence that an engine can follow.

    given: (frames, patterns, candidates), as `patterned` makes it; starts: (frames,) which candidate is the first one
    given of each frame, where only some are.
    Dynamic programming over speed and pattern: where every second turn fires the evidence stands at half the rate, but
    the crank has not slowed down, and a change of pattern costs less than the dive that no engine can make.
    """
    frames, ways, count = given.shape
    starts = np.zeros(frames, np.int64) if starts is None else starts
    slides = np.diff(starts, prepend=starts[0])
    up, down = STEPS
    left, right = up + max(0, -int(slides.min())), down + max(0, int(slides.max()))
    moves = np.arange(-up, down + 1)  # where the path may have come from, against where it is
    costs = (STEP_COSTS * np.abs(moves)).astype(np.float32)
    totals = np.full((frames, ways, left + count + right), NEVER, np.float32)
    inner = totals[:, :, left : left + count]
    windows = np.moveaxis(np.lib.stride_tricks.sliding_window_view(totals, up + down + 1, axis=2), 3, 1)
    firsts = (left - up + slides).tolist()
    choices = np.empty((len(moves), ways, count), np.float32)
    best, top = choices[0].copy(), choices[0, 0].copy()
    highest, change, down_costs = np.maximum.reduce, np.float32(CHANGE_COSTS), costs[:, None, None]
    inner[0] = given[0]
    inner[0, 1:] -= BEGINS_COSTS
    for before, first, gain, now in zip(windows, firsts[1:], given[1:], inner[1:], strict=False):
        np.subtract(before[:, :, first : first + count], down_costs, out=choices)
        highest(choices, axis=0, out=best)
        if ways > 1:
            np.subtract(highest(best, axis=0, out=top), change, out=top)
            np.maximum(best, top, out=best)
        np.add(best, gain, out=now)
    path, pattern = np.empty(frames, np.int64), np.empty(frames, np.int64)
    changes = (-CHANGE_COSTS * (1 - np.eye(ways)))[:, :, None].astype(np.float32)
    way, at = divmod(int(inner[-1].argmax()), count)
    steps = (moves + slides[:, None]).tolist()
    for index in range(frames - 1, 0, -1):
        path[index], pattern[index] = at, way
        first = firsts[index] + at
        here = totals[index - 1, :, first : first + len(moves)] - costs
        here += changes[way]
        way, move = divmod(int(here.argmax()), len(moves))
        at += steps[index][move]
    path[0], pattern[0] = at, way
    return path + starts, pattern


def _near(given: Float32s, path: Int64s) -> tuple[Float32s, Int64s]:
    """The evidence within COURSE_WIDTH of a path, and the first candidate of each frame."""
    starts = path - COURSE_WIDTH
    places = starts[:, None] + np.arange(2 * COURSE_WIDTH + 1)
    inside = (places >= 0) & (places < given.shape[2])
    near = np.take_along_axis(given, np.clip(places, 0, given.shape[2] - 1)[:, None], axis=2)
    return np.where(inside[:, None], near, NEVER), starts


def _between(seen: Float32s, path: Int64s, rates: Float32s) -> Float64s:
    """The rate at the top of a parabola through a candidate and its neighbours."""
    rows = np.arange(len(path))
    middle = np.clip(path, 1, seen.shape[1] - 2)
    before, here, after = (seen[rows, middle + step].astype(float) for step in (-1, 0, 1))
    bend = before - 2 * here + after
    shift = np.where(bend < -1e-6, 0.5 * (before - after) / np.where(bend < -1e-6, bend, -1.0), 0.0)
    shift = np.where(path == middle, np.clip(shift, -0.5, 0.5), 0.0)
    return np.asarray(rates[path] * np.exp(STEP_LOG * shift), dtype=np.float64)
