"""Engine speed over time: the path with most evidence that an engine can follow, then refined by phase.

To be read first in this folder. The evidence comes from spectrum.py (its tables from teeth.py), the search for a whole
rev-out is in course.py, the refinement in phase.py. What parts a rev-out has is found afterwards: parts.py, rise.py.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnostics.core.arrays import Bools, Float32s, Float64s, Int64s
from diagnostics.hearing.core import limits
from diagnostics.hearing.core.blocks import block_at, middles_s
from diagnostics.hearing.core.following.climb import Climb
from diagnostics.hearing.core.following.course import NEVER, Course, course_in, slow_of
from diagnostics.hearing.core.following.phase import refined
from diagnostics.hearing.core.following.spectrum import (
    HALVED_RATE_HZ,
    Combs,
    bend,
    combs,
    envelope_of,
    evidence,
    halved,
    rates_hz,
)
from diagnostics.hearing.core.following.swell import loud_in

# By how many candidates a frame the speed may rise and fall.
STEPS = tuple(round(log_s * limits.HOP_S / limits.STEP_LOG) for log_s in (limits.RISES_LOG_S, limits.FALLS_LOG_S))


@dataclass(frozen=True)
class Track:
    """The speed at the middle of each block.

    firing_hz: (blocks,) how often the engine would fire if every turn did. evidence: (blocks,) along the path,
    NOISE_EVIDENCE for noise. envelope: of the sound, at ENVELOPE_RATE_HZ. climb: of the rev-out; None where there is
    none.
    """

    firing_hz: Float64s
    evidence: Float64s
    envelope: Float32s
    fires_per_turn: float
    climb: Climb | None = None

    @property
    def rpm(self) -> Float64s:
        return np.asarray(self.firing_hz * 60 / self.fires_per_turn)


def follow(samples: Float32s, fires_per_turn: float) -> Track:
    """The speed throughout the clip. It has one whether there is an engine in it or not: `evidence` says which.

    samples: (n,) float32 at RATE_HZ, SHORTEST_CLIP_S of them at least.
    """
    rates = rates_hz(fires_per_turn)
    sound, envelope = halved(samples), envelope_of(samples)
    seen, path, pattern, climb = _likeliest(sound, envelope, rates, fires_per_turn)
    fired = path - np.array([_shift_of(nth) for nth in limits.PATTERNS])[pattern]
    along = seen[np.arange(len(path)), fired]
    at_s = middles_s(block_at(len(samples) / limits.RATE_HZ))
    frame_s = (np.arange(len(path)) + 0.5) * limits.HOP_S
    firing_hz = np.interp(at_s, frame_s, _between(seen, fired, rates) * np.array(limits.PATTERNS)[pattern])
    along = np.interp(at_s, frame_s, along)
    return Track(refined(sound, envelope, firing_hz), along, envelope, fires_per_turn, climb)


def _likeliest(
    sound: Float32s, envelope: Float32s, rates: Float32s, fires_per_turn: float
) -> tuple[Float32s, Int64s, Int64s, Climb | None]:
    """Evidence, candidate and pattern of each frame: near a rev-out's course where there is one, else on any path."""
    made = combs(sound, envelope, rates)
    seen, moves, standing = _looked_at_twice(made, len(sound), len(rates))
    with_all = None if moves else _capped(seen[:, 0])
    rpm = rates * 60 / fires_per_turn
    seen[:, 0] -= limits.STANDING_SHARE * standing
    halves = _halves_in(seen[:, 0])
    seen[:, 0] = _capped(seen[:, 0])
    given = patterned(seen, halves, limits.PATTERNS)
    _bar_fast(given, rpm)
    loud = loud_in(envelope, len(given))
    course, heard = _course_of(given, halves, rpm, loud), given[:, 0]
    floor_rpm = _stalls_below(heard, 2 * course.path, rpm)
    if floor_rpm:
        heard = heard.copy()
        _quieten(given, floor_rpm, rpm)
        course = _course_of(given, halves, rpm, loud, floor_rpm)
    is_there = course.climb is not None and course.climb.is_there
    _bar_slow(given, ~(course.climbs & is_there), rpm, floor_rpm)
    if is_there:
        return heard, *best_path(*_near(given, 2 * course.path)), course.climb
    if with_all is not None and not floor_rpm:
        _raise(given, with_all - given[:, 0], limits.PATTERNS)
    return heard, *best_path(given), None


def _bar_fast(given: Float32s, rpm: Float32s) -> None:
    """Takes from all frames what skips turns above SKIPS_TO_RPM."""
    given[:, 1:, int(np.searchsorted(rpm, limits.SKIPS_TO_RPM)) :] = NEVER


def _bar_slow(given: Float32s, barred: Bools, rpm: Float32s, floor_rpm: float) -> None:
    """Takes from frames that are no climb what skips turns as slowly as tickover fires."""
    for place, slow in enumerate(slow_of(rpm, given.shape[1], floor_rpm)):
        given[barred, place, slow] = NEVER


def _course_of(given: Float32s, halves: Float32s, rpm: Float32s, loud: Float32s, floor_rpm: float = 0.0) -> Course:
    steps = (STEPS[0] // 2, STEPS[1] // 2)
    return course_in(_coarser(given), _coarser(halves), rpm[::2], *steps, limits.CHANGE_COSTS, floor_rpm, loud)


def _stalls_below(seen: Float32s, path: Int64s, rpm: Float32s) -> float:
    """The speed below which the engine cannot run on, if the path does so for long; else 0.

    An engine that is slower than its own tickover for long stalls. What fires so slowly then, and plainly, is a faster
    engine that skips turns.
    """
    path = np.minimum(path, len(rpm) - 1)
    plain = seen[np.arange(len(path)), path] > limits.CREEPS_FROM
    first = slice(0, limits.CREEPS_AFTER_FRAMES)
    if plain[first].sum() < limits.CREEPS_AFTER_FRAMES // 2:
        return 0.0
    floor_rpm = limits.CREEPS_BELOW * float(np.median(rpm[path[first]][plain[first]]))
    creeps = plain & (rpm[path] < floor_rpm)
    return floor_rpm if creeps.sum() >= limits.CREEPS_FRAMES else 0.0


def _quieten(given: Float32s, floor_rpm: float, rpm: Float32s) -> None:
    """Lets every turn firing below floor_rpm count no more than a shut throttle that cannot be heard."""
    slow = given[:, 0, : int(np.searchsorted(rpm, floor_rpm))]
    np.minimum(slow, np.float32(limits.QUIET_AT_LEAST), out=slow)


def _coarser(evidence: Float32s) -> Float32s:
    """Every second candidate, with the better of its own evidence and the next one's: enough to find a course by."""
    coarser = evidence[..., ::2].copy()
    half = evidence.shape[-1] // 2
    np.maximum(coarser[..., :half], evidence[..., 1::2], out=coarser[..., :half])
    return coarser


def _looked_at_twice(made: list[Combs], samples: int, candidates: int) -> tuple[Float32s, bool, Float32s]:
    """Evidence of each frame, whether the speed moves in the clip, and the evidence that stands still throughout it.

    Bent frames take their time, so they are computed only where the speed does not clearly stand still.
    """
    frames = np.arange(int(samples / HALVED_RATE_HZ / limits.HOP_S))
    seen = evidence(made, len(frames), candidates)
    path = np.repeat(best_path(seen[:: limits.GLANCE_EVERY, :1])[0], limits.GLANCE_EVERY)[: len(frames)]
    moves, over = np.gradient(path.astype(float)), limits.MOVES_OVER_FRAMES
    moved = np.abs(np.convolve(moves, np.ones(over) / over, "same"))
    steady = (moved < limits.STEADY_STEPS) & (seen[frames, 0, path] > limits.CLEAR_EVIDENCE)
    standing = _standing_in(seen[:, 0])
    bend(made, frames[np.convolve(~steady, np.ones(limits.BENT_FRAMES), "same") > 0], seen)
    range_log = float(np.ptp(np.percentile(path, limits.MOVES_PERCENTILES)) * limits.STEP_LOG)
    return seen, range_log > limits.STANDS_STILL_LOG, standing


def _standing_in(evidence: Float32s) -> Float32s:
    """(candidates,): the evidence that nearly all frames of a clip have: mains hum, a compressor."""
    some = evidence[:: limits.STANDING_EVERY]
    place = int(limits.STANDING_BELOW * len(some))
    return np.asarray(np.maximum(np.partition(some, place, axis=0)[place], np.float32(0.0)))


def _capped(evidence: Float32s) -> Float32s:
    return np.asarray(limits.CAPPED_AT * np.tanh(evidence / limits.CAPPED_AT), dtype=np.float32)


def patterned(seen: Float32s, halves: Float32s, patterns: tuple[int, ...]) -> Float32s:
    """(frames, patterns, candidates): evidence that the crank turns at a candidate while only every n-th turn fires.

    A turn that does not fire still pumps and rattles, so every n-th tooth of the firings' comb stands out. It also does
    where firings come twice as often, which `halves` shows. The result takes the place of `seen`, since three minutes
    of it are tens of megabytes.
    """
    for place in range(1, len(patterns)):
        to, from_ = _shifted(patterns[place], seen.shape[2])
        turns = seen[:, place, from_] - limits.TURNS_FROM
        turns = limits.TURNS_WEIGH * np.clip(turns, limits.TURNS_AT_LEAST, limits.TURNS_AT_MOST)
        turns -= limits.TWICE_WEIGHS * np.minimum(halves[:, from_], limits.TWICE_AT_MOST)
        turns += seen[:, 0, from_]
        seen[:, place] = NEVER
        seen[:, place, to] = turns
    return seen


def _raise(given: Float32s, more: Float32s, patterns: tuple[int, ...]) -> None:
    """Adds (frames, candidates) to the evidence for every turn firing, and so to that of every pattern."""
    for place, nth in enumerate(patterns):
        to, from_ = _shifted(nth, given.shape[2])
        given[:, place, to] += more[:, from_]


def _shifted(nth: int, count: int) -> tuple[slice, slice]:
    """The speeds at which only every n-th turn may fire, and the candidates at which such firing is heard."""
    shift = min(_shift_of(nth), count)
    return slice(shift, None), slice(count - shift)


def _halves_in(seen: Float32s) -> Float32s:
    """(frames, candidates up to half the highest): how much more twice a speed explains than the speed itself."""
    octave = _shift_of(2)
    more = seen[:, octave:] - seen[:, :-octave]
    return np.asarray(np.maximum(more, 0, out=more))


def _shift_of(nth: int) -> int:
    return round(float(np.log(nth)) / limits.STEP_LOG)


def best_path(given: Float32s, starts: Int64s | None = None) -> tuple[Int64s, Int64s]:
    """(frames,) each: candidate and firing pattern on the path with most evidence that an engine can follow.

    given: (frames, patterns, candidates), as `patterned` makes it. starts: (frames,) the first candidate that is given
    for each frame, where only some are.

    Dynamic programming over speed and pattern. Where every second turn fires the evidence lies at half the rate, but
    the crank has not slowed down: a change of pattern costs less than a dive that no engine can make.
    """
    frames, ways, count = given.shape
    starts = np.zeros(frames, np.int64) if starts is None else starts
    slides = np.diff(starts, prepend=starts[0])
    up, down = STEPS
    left, right = up + max(0, -int(slides.min())), down + max(0, int(slides.max()))
    moves = np.arange(-up, down + 1)  # where the path may have come from, relative to where it is
    costs = (limits.STEP_COSTS * np.abs(moves)).astype(np.float32)
    totals = np.full((frames, ways, left + count + right), NEVER, np.float32)
    inner = totals[:, :, left : left + count]
    windows = np.moveaxis(np.lib.stride_tricks.sliding_window_view(totals, up + down + 1, axis=2), -1, 1)
    firsts = (left - up + slides).tolist()
    choices = np.empty((len(moves), ways, count), np.float32)
    best, top = choices[0].copy(), choices[0, 0].copy()
    highest, change, down_costs = np.maximum.reduce, np.float32(limits.CHANGE_COSTS), costs[:, None, None]
    inner[0] = given[0]
    inner[0, 1:] -= limits.BEGINS_COSTS
    for before, first, gain, now in zip(windows, firsts[1:], given[1:], inner[1:], strict=False):
        np.subtract(before[:, :, first : first + count], down_costs, out=choices)
        highest(choices, axis=0, out=best)
        if ways > 1:
            np.subtract(highest(best, axis=0, out=top), change, out=top)
            np.maximum(best, top, out=best)
        np.add(best, gain, out=now)
    path, pattern = np.empty(frames, np.int64), np.empty(frames, np.int64)
    changes = (-limits.CHANGE_COSTS * (1 - np.eye(ways)))[:, :, None].astype(np.float32)
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
    """The evidence within COURSE_WIDTH of a path, and the first of these candidates in each frame."""
    starts = path - limits.COURSE_WIDTH
    places = starts[:, None] + np.arange(2 * limits.COURSE_WIDTH + 1)
    inside = (places >= 0) & (places < given.shape[2])
    near = np.take_along_axis(given, np.clip(places, 0, given.shape[2] - 1)[:, None], axis=2)
    return np.where(inside[:, None], near, NEVER), starts


def _between(seen: Float32s, path: Int64s, rates: Float32s) -> Float64s:
    """(frames,): the rate at the vertex of a parabola through each candidate and its neighbours."""
    rows = np.arange(len(path))
    middle = np.clip(path, 1, seen.shape[1] - 2)
    before, here, after = (seen[rows, middle + step].astype(float) for step in (-1, 0, 1))
    bend = before - 2 * here + after
    shift = np.where(bend < -1e-6, 0.5 * (before - after) / np.where(bend < -1e-6, bend, -1.0), 0.0)
    shift = np.where(path == middle, np.clip(shift, -0.5, 0.5), 0.0)
    return np.asarray(rates[path] * np.exp(limits.STEP_LOG * shift), dtype=np.float64)
