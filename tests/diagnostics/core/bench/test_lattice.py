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


@pytest.mark.parametrize("lattice", [window(6, 3), window(4, 4), window(3, 9), chains((3, 2)), chains((1, 1, 1))])
def test_every_table_of_a_lattice_tells_of_the_same_moves(lattice: Lattice) -> None:
    """States fewest places first; a move takes one place that was free; options and places name each move once."""
    places, moves, done = len(lattice.by_place), len(lattice.place), lattice.done.tolist()
    assert done[0] == 0
    assert done[-1] == 2**places - 1
    assert [one.bit_count() for one in done] == sorted(one.bit_count() for one in done)
    assert len(set(done)) == len(done)
    for state, place, then in zip(lattice.state, lattice.place, lattice.then, strict=True):
        assert not done[state] >> place & 1
        assert done[then] == done[state] | 1 << place
    named = [sorted(set(column.tolist()) - {moves}) for column in lattice.options.T]
    assert named == [np.flatnonzero(lattice.state == state).tolist() for state in range(len(done))]
    assert lattice.options.shape[0] == max(map(len, named))
    for place, (then, state) in enumerate(lattice.by_place):
        taken = lattice.place == place
        assert then.tolist() == lattice.then[taken].tolist()
        assert state.tolist() == lattice.state[taken].tolist()


@pytest.mark.parametrize("lattice", [window(6, 3), window(4, 4), chains((3, 2))])
def test_each_layer_holds_the_states_with_as_many_places_taken_and_their_moves(lattice: Lattice) -> None:
    assert len(lattice.layers) == len(lattice.by_place)
    for taken, (layer, moves, after) in enumerate(lattice.layers):
        assert {int(done).bit_count() for done in lattice.done[layer]} == {taken}
        assert np.array_equal(moves, lattice.options[:, layer])
        real = moves < len(lattice.place)
        assert np.array_equal(after[real], lattice.then[moves[real]])
        assert not after[~real].any()  # the extra move leads nowhere in particular


@pytest.mark.parametrize("lattice", [window(7, 3), window(5, 5), chains((3, 2, 2))])
def test_the_key_of_places_is_that_of_the_smallest_state_that_holds_them(lattice: Lattice) -> None:
    for places in range(2 ** len(lattice.by_place)):
        state = int(lattice.state_of[lattice.key(np.array([places], dtype=np.int32))][0])
        holding = [done for done in lattice.done.tolist() if done & places == places]
        assert lattice.done[state] == min(holding, key=int.bit_count)


def test_only_chains_of_one_place_each_allow_every_order() -> None:
    assert chains((1, 1, 1)).is_full
    assert not chains((2, 1)).is_full
    assert window(3, 3).is_full
    assert not window(4, 3).is_full
