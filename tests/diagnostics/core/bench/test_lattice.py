"""Which orders a lattice holds, and its sums, against trying all."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from diagnostics.core.bench.lattice import Lattice, chains, window


def orders_in(lattice: Lattice) -> list[tuple[int, ...]]:
    found: list[tuple[int, tuple[int, ...]]] = [(0, ())]
    for _ in lattice.by_place:
        found = [
            (int(lattice.then[move]), (*way, int(lattice.place[move])))
            for state, way in found
            for move in np.flatnonzero(lattice.state == state)
        ]
    return [way for _, way in found]


def test_a_window_holds_every_order_in_which_none_comes_before_one_that_is_its_width_ahead() -> None:
    held = [
        order
        for order in permutations(range(6))
        if all(order.index(one) < order.index(other) for one in range(6) for other in range(one + 3, 6))
    ]
    assert sorted(orders_in(window(6, 3))) == held
    assert len(orders_in(window(5, 9))) == 120
    assert window(5, 9).is_full
    assert not window(6, 3).is_full


def test_chains_take_turns_in_every_way_and_keep_their_own_order() -> None:
    held = [order for order in permutations(range(5)) if order.index(0) < order.index(1) < order.index(2)]
    held = [order for order in held if order.index(3) < order.index(4)]
    assert sorted(orders_in(chains((3, 2)))) == held


@pytest.mark.parametrize("lattice", [window(8, 3), window(6, 6), chains((4, 3, 2))])
def test_sums_are_over_all_terms_whose_places_are_taken(lattice: Lattice) -> None:
    chance = np.random.default_rng(1)
    case, share = chance.integers(0, 3, 200), chance.normal(size=200)
    places = chance.integers(0, 2 ** len(lattice.by_place), 200).astype(np.int32)
    sums = lattice.sums(case, places, share, 3)
    for state, done in enumerate(lattice.done.tolist()):
        for one in range(3):
            within = share[(case == one) & (places & ~done == 0)].sum()
            assert sums[state, one] == pytest.approx(within, abs=1e-12)
