"""Drop-outs: which firings in the hold are missing, and which runs of missing ones count."""

from __future__ import annotations

import numpy as np

from diagnostics.core.arrays import Bools, Float64s, Int64s
from diagnostics.hearing.core import verdict_limits
from diagnostics.hearing.core.following.teeth import NTHS
from diagnostics.hearing.core.verdict import fitted
from diagnostics.hearing.core.verdict.firings import Firings


def missing(firings: Firings) -> Bools:
    """The likeliest course of firing and failing: the odds of each firing, and a price for each change (Viterbi)."""
    weights = fitted.MISSING
    odds = (
        weights["always"]
        + weights["level"] * firings.level
        + weights["pulse"] * firings.pulse
        + weights["wave"] * firings.wave
    )
    odds = np.clip(odds, *verdict_limits.MISSING_ODDS)
    stay, failing, change = 0.0, -weights["change"], weights["change"]
    came: list[tuple[bool, bool]] = []
    for gain in odds.tolist():
        to_fire, to_fail = failing - change, stay - change
        came.append((to_fire > stay, to_fail > failing))
        stay, failing = max(stay, to_fire), max(failing, to_fail) + gain
    state = failing > stay
    out = np.zeros(len(odds), bool)
    for index in range(len(odds) - 1, -1, -1):
        out[index] = state
        state = state != came[index][state]
    return out


def runs_of(missed: Bools) -> list[tuple[int, int]]:
    """First and past-the-last place of every run.

    >>> runs_of(np.array([False, True, True, False, True]))
    [(1, 3), (4, 5)]
    """
    edges = np.diff(np.concatenate([[0], missed, [0]]))
    return [(int(a), int(b)) for a, b in zip(np.flatnonzero(edges == 1), np.flatnonzero(edges == -1), strict=True)]


def drop_outs_in(firings: Firings, missed: Bools) -> list[tuple[float, float]]:
    """The drop-outs, start and end in s. What a regular pattern leaves out is none."""
    found: list[tuple[float, float]] = []
    fired = np.flatnonzero(~missed)
    for first, last in runs_of(missed):
        if last == len(missed) or last - first < verdict_limits.LEAST_MISSED:
            continue
        nth = max(_pattern_about(fired, first), int(np.median(firings.pattern[first:last])))
        if nth > 1 and last - first < (verdict_limits.LEAST_MISSED + 1) * nth - 1:
            continue
        if float(firings.level[first:last].mean()) > -verdict_limits.LEAST_DROP:
            continue
        start_s, end_s = firings.at_s[first], firings.at_s[last]
        if end_s - start_s < verdict_limits.LEAST_GAP_S or _goes_on(firings.at_s, first, last):
            continue
        if found and start_s - found[-1][1] < verdict_limits.JOIN_S:
            found[-1] = (found[-1][0], float(end_s))
        else:
            found.append((float(start_s), float(end_s)))
    return found


def _goes_on(at_s: Float64s, first: int, last: int) -> bool:
    """Whether the speed is kept up through a long run as it is while firing: then firing is drowned, not missing."""
    lasts_s, around = float(at_s[last] - at_s[first]), verdict_limits.SPACINGS
    before, after = np.diff(at_s[max(first - around, 0) : first + 1]), np.diff(at_s[last : last + around + 1])
    if lasts_s < verdict_limits.LONG_GAP_S or not len(before) or not len(after):
        return False
    return float(np.log(after.mean() / before.mean())) < verdict_limits.SLOWS_LOG_S * lasts_s


def _pattern_about(fired: Int64s, first: int) -> int:
    """n, 2 to 4, where every n-th turn fires before or after the run that begins at `first`, by most of the spacings;
    else 1. fired: places of the firings that fired, ascending.

    >>> _pattern_about(np.array([0, 3, 6, 9, 12, 18, 21, 24, 27, 30]), 13)
    3
    """
    after, around = int(np.searchsorted(fired, first)), verdict_limits.SPACINGS
    found = 1
    for side in (fired[max(after - around - 1, 0) : after], fired[after : after + around + 1]):
        spacings = np.diff(side).tolist()
        found = max([found, *(nth for nth in NTHS if spacings.count(nth) >= around - 1)])
    return found
