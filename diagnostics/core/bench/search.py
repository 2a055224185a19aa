"""Searches for the best orders of several cases at once, by dynamic programming over lattices of what has been done.

With few steps it searches all subsets, so the order is optimal. With more, it starts from the order by chance per
minute. First the steps behind each cover, and those behind none, interleave in the best way, each group in its own
order. Then every step may move within a window. Then the same again with thorough steps apart from quick ones. Each
search includes the order it starts from, so none makes it worse.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from diagnostics.core.arrays import Float64s, Indices
from diagnostics.core.bench.chances import chances_left
from diagnostics.core.bench.lattice import Lattice, chains, window
from diagnostics.core.bench.terms import BYTE, BYTES, Likely, in_bytes, likely_terms
from diagnostics.core.bench.work import TINY, Bench, Masks

SAME_DIGITS = 9  # decimals: what differs further on is how a processor sums, and the order of the bank decides
FEW = 12  # steps that are ordered exactly: 4,096 subsets
MOST = 46  # steps that can be searched: the bits of a mask that also holds the number of a set
WIDTHS = ((15, 9), (20, 7), (MOST, 6))  # (steps up to, width of the window)
MOST_TURNS = 1500  # most states of a lattice of chains


class _Rules(NamedTuple):
    """For each step of a bench, as masks of steps in bytes. behind: the steps behind its cover. idle_after: slots of
    steps that clear one of its faults for certain; the step is idle once each slot has a step done. chains: two ways
    to divide the steps, as (steps,) the chain of each step and the sizes of the chains."""

    behind: Indices
    idle_after: tuple[Indices, ...]
    chains: tuple[tuple[Indices, tuple[int, ...]], ...]


@lru_cache(maxsize=32)
def _rules(bench: Bench) -> _Rules:
    steps = len(bench.minutes)
    bits = np.int64(1) << np.arange(steps, dtype=np.int64)
    behind = ((bench.access[:, None] == bench.access) & (bench.access >= 0)) @ bits
    slots = [_idle_after(bench, step) for step in range(steps)]
    most = max(len(of_step) for of_step in slots)
    padded = np.array(
        [(of_step * most)[:most] if len(of_step) < most else of_step for of_step in slots], dtype=np.int64
    )
    return _Rules(
        in_bytes(behind, steps),
        tuple(in_bytes(slot, steps) for slot in padded.T),
        tuple((chain, tuple(np.bincount(chain).tolist())) for chain in (_by_cover(bench), _by_depth(bench))),
    )


def _idle_after(bench: Bench, step: int) -> list[int]:
    """For each fault it looks for, the other steps that clear it for certain; none at all if a fault has no other."""
    slots = []
    for fault in np.flatnonzero(bench.looks[step]):
        others = [int(other) for other in np.flatnonzero(bench.leaves[:, fault] <= 0.0) if other != step]
        slots.append(sum(1 << other for other in others))
    return sorted(set(slots)) if slots and all(slots) else [0]


def _by_cover(bench: Bench) -> Indices:
    """A chain for the steps behind each cover, largest first, as long as the states do not become too many."""
    chain = np.zeros(len(bench.minutes), dtype=np.intp)
    behind = np.bincount(bench.access[bench.access >= 0], minlength=1)
    rest, turns = len(chain), 1
    for cover in np.argsort(-behind, kind="stable").tolist():
        rest, turns = rest - int(behind[cover]), turns * int(behind[cover] + 1)
        if turns * (rest + 1) <= MOST_TURNS:
            chain[bench.access == cover] = chain.max() + 1
    return np.unique(chain, return_inverse=True)[1]


def _by_depth(bench: Bench) -> Indices:
    """For steps behind no cover: a chain for thorough steps, which leave another step nothing to find, and one for
    quick looks, to which another step leaves nothing. Which of these come first decides the place of all others."""
    looks, sure = bench.looks > 0.0, bench.leaves <= 0.0
    leaves_nothing = np.all(~looks[None, :, :] | sure[:, None, :], axis=2) & ~np.eye(len(looks), dtype=np.bool_)
    is_thorough, is_quick = leaves_nothing.any(axis=1), leaves_nothing.any(axis=0)
    chain = np.where(is_thorough, 1, np.where(is_quick, 2, 0)) * (bench.access < 0)
    return np.unique(chain, return_inverse=True)[1]


class Minutes(NamedTuple):
    """step: (cases, steps) what each step takes; cover: (cases, steps) what its cover takes, 0 if it has none."""

    step: Float64s
    cover: Float64s


def own_minutes(bench: Bench, cases: int) -> Minutes:
    """The bench's own minutes for each of several cases."""
    cover = np.append(bench.access_minutes, 0.0)[bench.access]
    return Minutes(np.tile(bench.minutes, (cases, 1)), np.tile(cover, (cases, 1)))


def best_orders(bench: Bench, weights: Float64s, chances: Float64s, minutes: Minutes | None = None) -> Indices:
    """(cases, steps): the best order found for each case, including steps that are idle in it.

    weights: (cases, sets) adding up to 1; chances: (cases, faults) of each fault by it; minutes: if they are not the
    bench's own.
    """
    steps = len(bench.minutes)
    minutes = own_minutes(bench, len(weights)) if minutes is None else minutes
    if steps <= FEW:
        return _best_of_all(bench, weights, minutes)
    gain = np.matmul(chances[:, None, :], bench.finds.T)[
        :, 0
    ]  # a product for each case gives the same bits alone and among others
    order = np.argsort((-gain / minutes.step).astype(np.float32), axis=1, kind="stable")
    if steps > MOST:
        return order
    likely = likely_terms(bench, weights)
    for chain, sizes in _rules(bench).chains:
        if len(sizes) > 1:
            by_chain = np.argsort(chain[order], axis=1, kind="stable")
            order = _best_way(bench, likely, np.take_along_axis(order, by_chain, axis=1), chains(sizes), minutes)
        order = _best_way(bench, likely, order, window(steps, _width(steps)), minutes)
    return order


def _best_of_all(bench: Bench, weights: Float64s, minutes: Minutes) -> Indices:
    steps = len(bench.minutes)
    order = np.tile(np.arange(steps), (len(weights), 1))
    lattice = window(steps, steps)
    left = np.maximum(chances_left(bench, weights, _leaves_after(bench)[None, lattice.done]), TINY)
    cost = _costs(bench, order, _place_bits(order), lattice, left.T, minutes)
    return _way(lattice, cost)


@lru_cache(maxsize=8)
def _leaves_after(bench: Bench) -> Float64s:
    """(2 ** steps, faults): the chance that each fault is left after the steps of each mask."""
    leaves = np.ones((1 << len(bench.minutes), bench.leaves.shape[1]))
    for step, of_step in enumerate(bench.leaves):
        np.multiply(leaves[: 1 << step], of_step, out=leaves[1 << step : 2 << step])
    return leaves


def _width(steps: int) -> int:
    return next(width for most, width in WIDTHS if steps <= most)


def _best_way(bench: Bench, likely: Likely, order: Indices, lattice: Lattice, minutes: Minutes) -> Indices:
    """The best order that the lattice allows, with the places numbered as in `order`."""
    table = _place_bits(order)
    left = likely.total - lattice.sums(likely.case, _in_places(table, likely.cells), likely.share, len(order))
    np.maximum(left, TINY, out=left)
    cost = _costs(bench, order, table, lattice, left, minutes)
    return np.take_along_axis(order, _way(lattice, cost), axis=1)


def _place_bits(order: Indices) -> Masks:
    """(bytes, cases, 256): for each byte of a mask of steps, the mask of their places."""
    cases, steps = order.shape
    bit = np.empty((cases, steps), dtype=np.int64)
    np.put_along_axis(bit, order, np.int64(1) << np.arange(steps, dtype=np.int64)[None], axis=1)
    table = np.zeros((-(-steps // BYTE), cases, BYTES), dtype=np.int64)
    for step in range(steps):
        byte, at = step // BYTE, 1 << step % BYTE
        np.add(table[byte, :, :at], bit[:, step, None], out=table[byte, :, at : 2 * at])
    return table


def _in_places(table: Masks, cells: Indices) -> Masks:
    """(n,): masks of steps, given as cells of the table, converted to masks of their places in the case's order."""
    places: Masks = table[0].ravel().take(cells[0])
    for of_byte, cell in zip(table[1:], cells[1:], strict=True):
        places += of_byte.ravel().take(cell)
    return places


def _costs(bench: Bench, order: Indices, table: Masks, lattice: Lattice, left: Float64s, minutes: Minutes) -> Float64s:
    """(moves + 1, cases): expected minutes of each move; the extra last one is infinite.

    A step that can find nothing more takes no minutes. If every order is searched, it is not done at all, because it
    would open its cover for nothing.
    """
    rules = _rules(bench)
    place, done = lattice.place, np.repeat(lattice.done[lattice.state][:, None], len(order), axis=1)
    cost = np.empty((len(place) + 1, len(order)))
    cost[-1] = np.inf
    moves = cost[:-1]
    np.take_along_axis(minutes.step, order, axis=1).T.take(place, axis=0, out=moves, mode="clip")
    masks, is_busy = np.empty(moves.shape, dtype=np.int64), np.zeros(moves.shape, dtype=np.bool_)
    for slot in rules.idle_after:
        _of_steps(table, slot, order).take(place, axis=0, out=masks, mode="clip")
        masks &= done
        is_busy |= masks == 0
    if lattice.is_full:
        moves[~is_busy] = np.inf
    else:
        moves *= is_busy
    _of_steps(table, rules.behind, order).take(place, axis=0, out=masks, mode="clip")
    masks &= done
    more = np.take_along_axis(minutes.cover, order, axis=1).T.take(place, axis=0)
    more *= masks == 0
    moves += more
    left.take(lattice.state, axis=0, out=more, mode="clip")
    moves *= more
    return cost


def _of_steps(table: Masks, parts: Indices, order: Indices) -> Masks:
    """(places, cases): the mask of places for the step at each place."""
    cells = parts[:, order.T] + np.arange(len(order)) * BYTES
    return _in_places(table, cells)


def _way(lattice: Lattice, cost: Float64s) -> Indices:
    """(cases, places): the places in the best order."""
    (most, states), cases = lattice.options.shape, cost.shape[1]
    ahead, options = _ahead(lattice, cost).ravel(), lattice.options.ravel()
    then, place = np.append(lattice.then, 0), np.append(lattice.place, 0)
    of_option = np.arange(most)[:, None] * (states * cases) + np.arange(cases)
    state = np.zeros(cases, dtype=np.intp)
    way = np.empty((len(lattice.by_place), cases), dtype=np.intp)
    for taken in way:
        best = np.round(ahead.take(state * cases + of_option), SAME_DIGITS).argmin(axis=0)
        move = options.take(best * states + state)
        place.take(move, out=taken, mode="clip")
        state = then.take(move)
    return way.T


def _ahead(lattice: Lattice, cost: Float64s) -> Float64s:
    """(options, states, cases): fewest expected minutes from each state on if this move is made next."""
    ahead = np.empty((*lattice.options.shape, cost.shape[1]))
    to_come = np.zeros((len(lattice.done), cost.shape[1]))
    for layer, moves, after in reversed(lattice.layers):
        of_layer = cost.take(moves, axis=0)
        of_layer += to_come.take(after, axis=0)
        ahead[:, layer] = of_layer
        least = of_layer.min(axis=0, out=to_come[layer])
        if lattice.is_full:
            least[np.isinf(least)] = 0.0
    return ahead
