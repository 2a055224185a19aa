"""An order of tests and repairs made better move by move: each step is tried at every earlier place at once."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from diagnostics.core.bench_chances import Pairs
from diagnostics.core.bench_work import Work
from diagnostics.core.inference import Floats, Whole

MOVES = 40  # at most so many; the orders of the bank take two in the mean
LITTLE = 0.1  # of the minutes: a move that costs no more may make way for others
TOO_LITTLE = 1e-4  # of the minutes: a gain that is not worth another look


class Laid(NamedTuple):
    """Steps laid out in an order. before: (steps, faults) what is left of each fault when the step begins; minutes:
    with what must come off for it, 0 for a step that can find nothing more; opener: the place at which its cover comes
    off, the last where it never does, −1 for a step with none; cover: the minutes of that; by_another: these minutes
    where it comes off for another step before, else 0.
    """

    order: Whole
    before: Floats
    minutes: Floats
    opener: Whole
    cover: Floats
    by_another: Floats


def lay_out(work: Work, order: Whole) -> Laid:
    before = np.empty((len(order), work.leaves.shape[1]))
    before[0] = 1.0
    np.multiply.accumulate(work.leaves[order[:-1]], axis=0, out=before[1:])
    can_find = np.einsum("nf,nf->n", before, work.facts.looks[order]) > 0.0
    minutes = (work.minutes[order] * can_find).tolist()
    opener, cover_minutes, by_another = [-1] * len(order), [0.0] * len(order), [0.0] * len(order)
    covers = [work.access[step] for step in order.tolist()]
    for cover, more in enumerate(work.access_minutes.tolist()):
        behind = [place for place, other in enumerate(covers) if other == cover]
        first = next((place for place in behind if minutes[place] > 0.0), None)
        for place in behind:
            opener[place], cover_minutes[place] = len(order) - 1 if first is None else first, more
            by_another[place] = more if first is not None and first < place else 0.0
        if first is not None:
            minutes[first] += more
    return Laid(order, before, np.array(minutes), np.array(opener), np.array(cover_minutes), np.array(by_another))


class Found(NamedTuple):
    """An order, its expected minutes by pairs of faults, and (places, steps) about how many more of them it takes when
    the second is moved forward to the first."""

    laid: Laid
    minutes: float
    more: Floats


def moved_forward(work: Work, pairs: Pairs, order: Sequence[int]) -> Found:
    """The order after single steps were moved forward, the best such move first, until none gains anything much."""
    best = _found(work, pairs, order)
    for _ in range(MOVES):
        place, step = divmod(int(best.more.argmin()), len(order))
        if best.more[place, step] >= -TOO_LITTLE * best.minutes:
            break
        tried = best.laid.order.tolist()
        tried.insert(place, tried.pop(step))
        found = _found(work, pairs, tried)
        if found.minutes >= best.minutes:
            break
        best = found
    return best


def _found(work: Work, pairs: Pairs, order: Sequence[int]) -> Found:
    laid = lay_out(work, np.array(order))
    left, more = _more_minutes(work, pairs, laid)
    return Found(laid, float(laid.minutes @ left), more)


def thorough_at_once(work: Work, pairs: Pairs, found: Found) -> Found:
    """The order with a quick look left out for the thorough step that makes it idle, where that is better.

    A single move shows that, but for a thorough step behind a cover: once that is off, others behind it may come first
    too. So these are tried, where the move by itself costs little.
    """
    order, (places, earlier, _) = found.laid.order, _order(len(found.laid.order))
    is_spared = work.facts.spares[order[:, None], order] * (found.laid.minutes[:, None] * earlier) > 0.0
    is_cheap = (found.more < LITTLE * found.minutes) & (places[:, None] <= found.laid.opener)
    best = found
    for quick, thorough in np.argwhere(is_spared & is_cheap).tolist():
        tried = order.tolist()
        tried[quick], tried[thorough] = tried[thorough], tried[quick]
        better = moved_forward(work, pairs, tried)
        best = better if better.minutes < best.minutes else best
    return best


class _Order(NamedTuple):
    """Of places in an order: places, (n,) from 0; earlier, (n, n) 1.0 where the first is before the second; not_later,
    where it is that or the same."""

    places: Whole
    earlier: Floats
    not_later: Floats


@lru_cache(maxsize=16)
def _order(steps: int) -> _Order:
    ones = np.ones((steps, steps))
    return _Order(np.arange(steps), np.triu(ones, 1), np.triu(ones))


def _more_minutes(work: Work, pairs: Pairs, laid: Laid) -> tuple[Floats, Floats]:
    """(steps,) the chance that a fault is left when each begins; (places, steps) about how many expected minutes more
    it is when the second is moved forward to the first.

    It is done sooner, so more often: its minutes, and its cover's where that is still on, times the chance that a
    fault is left at its new place. All between are done less often: what it finds they need not look for, and one that
    it leaves nothing to find is not done at all. 0 where the first place is not the earlier. Two faults found by one
    step at once are counted twice.
    """
    order, base = laid.order, work.minutes[laid.order]
    places, earlier, not_later = _order(len(order))
    cleared = 1.0 - laid.before
    with_others = cleared @ pairs.pair
    falling = pairs.single + with_others
    left = pairs.some - np.einsum("nf,nf->n", cleared, falling)
    falling += with_others
    falling *= laid.before
    gain = falling @ work.facts.finds[order].T
    after = left[:, None] - gain
    spared = work.facts.spares[order[:, None], order] * np.minimum(base, laid.minutes)[:, None]
    saved = (laid.minutes[:, None] * gain + spared * after) * earlier
    credit = laid.by_another * after[laid.opener, places]
    more = (base + (places[:, None] <= laid.opener) * laid.cover) * left[:, None]
    more -= not_later @ saved
    more -= laid.minutes * left
    more -= (places[:, None] <= laid.opener) * credit
    more *= earlier
    return left, more
