"""The chance that a fault is left: the quick sum against set by set."""

from __future__ import annotations

import numpy as np
import pytest

from diagnostics.core.bench.chances import chances_left
from diagnostics.core.bench.work import Bench, chance_left
from diagnostics.core.judging.inference import sets_of_faults


@pytest.mark.parametrize(("faults", "at_once"), [(19, 4), (6, 4), (5, 3), (4, 2), (3, 1), (1, 1), (5, 5), (3, 4)])
def test_the_fast_sum_over_the_sets_equals_the_plain_sum(faults: int, at_once: int) -> None:
    chance = np.random.default_rng(faults)
    has = sets_of_faults(faults, at_once)
    leaves = chance.choice([0.0, 0.3, 1.0], size=(10, 7, faults))
    weights = chance.dirichlet(np.ones(len(has)), 10)
    bench = Bench(np.ones(7), np.full(7, -1), np.array([]), leaves[0], has, at_once)
    set_by_set = [chance_left(bench, *case) for case in zip(weights, leaves, strict=True)]
    assert chances_left(bench, weights, leaves) == pytest.approx(np.array(set_by_set), abs=1e-12)
    for_all = [chance_left(bench, weight, leaves[0]) for weight in weights]
    assert chances_left(bench, weights, leaves[:1]) == pytest.approx(np.array(for_all), abs=1e-12)
