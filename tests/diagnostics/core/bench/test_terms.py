"""The sum over sets of steps against the chances set by set."""

from __future__ import annotations

import numpy as np
import pytest

from diagnostics.core.arrays import Float64s
from diagnostics.core.bench.terms import BYTE, MOST_TERMS, spread, terms_of
from diagnostics.core.bench.work import Bench, bench_of, chance_left
from diagnostics.core.judging.inference import sets_of_faults
from diagnostics.reads.bank import the_bank
from tests.diagnostics.core.random_benches import random_instance


def left_by_terms(bench: Bench, weight: Float64s, done: int) -> float:
    terms = terms_of(bench)
    masks = sum(part << (BYTE * at) for at, part in enumerate(terms.parts))
    of_set = np.repeat(np.arange(len(weight)), terms.many)
    counts = np.asarray(masks) & ~done == 0
    return float(weight.sum() - (terms.share * weight[of_set])[counts].sum())


@pytest.mark.parametrize("seed", range(5))
def test_the_terms_of_steps_done_add_up_to_the_chance_that_nothing_is_left(seed: int) -> None:
    chance = np.random.default_rng(seed)
    bench, weight = random_instance(chance, steps=10, faults=5)
    check(bench, weight, chance)


def test_they_also_agree_on_the_whole_bank() -> None:
    chance, bench = np.random.default_rng(8), bench_of(the_bank())
    check(bench, chance.dirichlet(np.ones(len(bench.has))), chance)


def check(bench: Bench, weight: Float64s, chance: np.random.Generator) -> None:
    for _ in range(20):
        done = [step for step in range(len(bench.minutes)) if chance.random() < 0.6]
        left = chance_left(bench, weight, np.prod(bench.leaves[done], axis=0)[None])[0]
        assert left_by_terms(bench, weight, sum(1 << step for step in done)) == pytest.approx(left, abs=1e-12)


def test_with_very_many_finders_the_terms_stay_few() -> None:
    leaves = np.full((20, 6), 0.5)
    bench = Bench(np.ones(20), np.full(20, -1), np.array([]), leaves, sets_of_faults(6, 4), 4)
    assert 0 < len(terms_of(bench).share) <= MOST_TERMS


def test_runs_are_spread_out() -> None:
    run, place = spread(np.array([5, 0, 9]), np.array([2, 0, 3]))
    assert run.tolist() == [0, 0, 2, 2, 2]
    assert place.tolist() == [5, 6, 9, 10, 11]
