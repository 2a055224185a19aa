"""The search for the best order, against slow judges that share no search with it."""

from __future__ import annotations

import numpy as np
import pytest

from diagnostics.core.arrays import Float64s
from diagnostics.core.bench.order import expected_minutes
from diagnostics.core.bench.search import FEW, MOST, best_orders
from diagnostics.core.bench.work import Bench, bench_of
from diagnostics.core.judging.evidence import gather
from diagnostics.core.judging.inference import model_of, sets_of_faults
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.drawn_sheets import draw_sheet
from tests.diagnostics.core.random_benches import (
    best_steps,
    of_all_subsets,
    of_every_order,
    random_instance,
    without_idle_steps,
)


@pytest.mark.parametrize("seed", range(30))
def test_with_few_steps_no_order_at_all_is_better(seed: int) -> None:
    bench, weight = random_instance(np.random.default_rng(300 + seed), steps=5, faults=3)
    assert expected_minutes(bench, weight, best_steps(bench, weight)) == pytest.approx(of_every_order(bench, weight))


@pytest.mark.parametrize("seed", range(4))
def test_up_to_twelve_steps_are_ordered_exactly(seed: int) -> None:
    bench, weight = random_instance(np.random.default_rng(400 + seed), FEW, faults=6)
    assert expected_minutes(bench, weight, best_steps(bench, weight)) == pytest.approx(of_all_subsets(bench, weight))


@pytest.mark.parametrize(("steps", "seed"), [(13, 1), (13, 2), (14, 3), (15, 4), (15, 5)])
def test_more_steps_come_within_a_hundredth_of_the_best(steps: int, seed: int) -> None:
    bench, weight = random_instance(np.random.default_rng(seed), steps, faults=6)
    ratio = expected_minutes(bench, weight, best_steps(bench, weight)) / of_all_subsets(bench, weight)
    assert 1 - 1e-9 <= ratio <= 1.01


@pytest.mark.parametrize(("steps", "seed"), [(16, 1), (20, 2), (21, 3), (30, 4)])
def test_with_many_steps_no_order_is_dearer_than_by_chance_per_minute(steps: int, seed: int) -> None:
    bench, weight = random_instance(np.random.default_rng(seed), steps, faults=6)
    order = best_steps(bench, weight)
    found = expected_minutes(bench, weight, order)
    assert found <= expected_minutes(bench, weight, without_idle_steps(bench, by_gain(bench, weight))) + 1e-9


def test_on_the_bank_no_two_steps_changed_over_make_the_order_better_by_a_hundredth() -> None:
    bank = the_bank()
    weight = gather(model_of(bank), draw_sheet(bank, np.random.default_rng(3)).case).weight()
    bench = bench_of(bank)
    order = best_steps(bench, weight)
    found = expected_minutes(bench, weight, order)
    assert found <= expected_minutes(bench, weight, without_idle_steps(bench, by_gain(bench, weight))) + 1e-9
    for at in range(len(order) - 1):
        changed = [*order[:at], order[at + 1], order[at], *order[at + 2 :]]
        assert expected_minutes(bench, weight, without_idle_steps(bench, changed)) >= 0.99 * found


def test_beyond_what_can_be_searched_the_order_is_by_chance_per_minute() -> None:
    bench, weight = random_instance(np.random.default_rng(7), MOST + 1, faults=5)
    order = best_orders(bench, weight[None], (weight @ bench.has)[None])[0]
    assert order.tolist() == by_gain(bench, weight)


def by_gain(bench: Bench, weight: Float64s) -> list[int]:
    """Falling chance of clearing a fault per minute, without covers; equals in the bank's order."""
    gain = ((weight @ bench.has) * (1 - bench.leaves)).sum(axis=1) / bench.minutes
    return sorted(range(len(gain)), key=lambda step: -gain[step])


@pytest.mark.parametrize("steps", [6, 14])
def test_every_case_has_the_same_order_alone_and_among_others(steps: int) -> None:
    chance = np.random.default_rng(11)
    bench, _ = random_instance(chance, steps, faults=5)
    weights = chance.dirichlet(np.full(len(bench.has), 0.3), size=9)
    chances = weights @ bench.has
    together = best_orders(bench, weights, chances)
    assert together.shape == (9, steps)
    for weight, of_faults, order in zip(weights, chances, together, strict=True):
        assert np.array_equal(best_orders(bench, weight[None], of_faults[None])[0], order)
        assert sorted(order.tolist()) == list(range(steps))


@pytest.mark.parametrize("more", [0, 12], ids=["few steps", "many steps"])
def test_a_step_behind_a_cover_that_is_off_already_comes_before_one_behind_another(more: int) -> None:
    """By hand. Three faults, equally likely, one at a time; each step takes 10, each cover 30. Behind the first cover
    lie two of the steps, so it comes off first: 40 + 10 × 2/3, where the other cover would still cost its 30. Steps
    that look for a fault nobody has come last.
    """
    steps = 3 + more
    leaves = np.ones((steps, 4))
    leaves[[0, 1, 2], [0, 1, 2]] = 0.0
    leaves[3:, 3] = 0.0
    access = np.array([1, 0, 0, *[-1] * more])
    bench = Bench(np.full(steps, 10.0), access, np.array([30.0, 30.0]), leaves, sets_of_faults(4, 1), 1)
    weight = np.array([0.0, 1.0, 1.0, 1.0, 0.0]) / 3
    order = best_steps(bench, weight)
    assert order[:3] in ([1, 2, 0], [2, 1, 0])
    assert expected_minutes(bench, weight, order[:3]) == pytest.approx(40 + 10 * 2 / 3 + 40 / 3)
