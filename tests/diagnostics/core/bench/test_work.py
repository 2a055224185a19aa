"""The bank's steps as a table, and the chance that a fault is left after some of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diagnostics.core.bank.bank import Access, BankStep
from diagnostics.core.bench.work import TINY, Bench, bench_of, chance_left
from diagnostics.core.judging.inference import sets_of_faults
from tests.diagnostics.core.small_banks import small_bank

PLAIN = small_bank({"a": 0.1, "b": 0.2}, {"sign": ({"no": 0.9, "yes": 0.1}, {})})
STEPS = (
    BankStep("one", "One", 10.0, "", {"a": 1.0}),
    BankStep("two", "Two", 20.0, "lid", {"a": 0.25, "b": 1.0}),
    BankStep("three", "Three", 30.0, "tank", {"b": 0.5}),
)
BANK = replace(PLAIN, steps=STEPS, access={"tank": Access("tank off", 7.0), "lid": Access("lid off", 3.0)})


def test_steps_and_covers_stand_in_the_bank_s_order() -> None:
    bench = bench_of(BANK)
    assert (bench.minutes.tolist(), bench.access_minutes.tolist()) == ([10.0, 20.0, 30.0], [7.0, 3.0])
    assert bench.access.tolist() == [-1, 1, 0]
    assert bench.leaves.tolist() == [[0.0, 1.0], [0.75, 0.0], [1.0, 0.5]]
    assert (bench.has.tolist(), bench.at_once) == ([[0, 0], [1, 0], [0, 1], [1, 1]], 2)


def test_what_a_step_finds_and_looks_for_follows_from_what_it_leaves() -> None:
    bench = bench_of(BANK)
    assert bench.finds.tolist() == [[1.0, 0.0], [0.25, 1.0], [0.0, 0.5]]
    assert bench.looks.tolist() == [[1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]
    assert bench.shared.tolist() == [1]


def test_banks_that_differ_only_in_base_rates_share_their_steps() -> None:
    other = replace(BANK, faults=tuple(replace(fault, chance=0.3) for fault in BANK.faults))
    assert bench_of(other) is bench_of(BANK)


def test_the_chance_left_is_one_less_the_chance_that_each_fault_of_the_set_is_cleared() -> None:
    """By hand: nothing, a, b, both with 0.4, 0.3, 0.2, 0.1; a is left with 0.5, b with 0.25."""
    weight = np.array([0.4, 0.3, 0.2, 0.1])
    left = 0.3 * 0.5 + 0.2 * 0.25 + 0.1 * (1 - 0.5 * 0.75)
    found = chance_left(bench_of(BANK), weight, np.array([[0.5, 0.25], [1.0, 1.0], [0.0, 0.0]]))
    assert found == pytest.approx([left, 0.6, 0.0], abs=1e-12)


def test_the_chance_left_is_never_below_nothing() -> None:
    bench = Bench(np.ones(1), np.array([-1]), np.array([]), np.zeros((1, 3)), sets_of_faults(3, 3))
    weight = np.random.default_rng(1).dirichlet(np.ones(8), size=50)
    found = [chance_left(bench, one, np.zeros((1, 3)))[0] for one in weight]
    assert min(found) == 0.0
    assert max(found) < 1e-15
    assert chance_left(bench, 0.5 * weight[0], np.ones((1, 3)))[0] == pytest.approx(
        0.5 * (1 - weight[0][0]), abs=TINY**0.5
    )
