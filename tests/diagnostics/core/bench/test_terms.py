"""The sum over sets of steps against the chances set by set."""

from __future__ import annotations

import numpy as np
import pytest

from diagnostics.core.arrays import Float64s
from diagnostics.core.bench.terms import BYTE, MOST_TERMS, in_bytes, likely_terms, spread, terms_of
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


def test_a_fault_is_cleared_with_the_terms_of_its_steps_multiplied_out() -> None:
    """By hand: 0.5 and 0.4 make 0.5 x + 0.4 y − 0.2 x y; the step that finds neither is in no term."""
    leaves = np.array([[0.5], [1.0], [0.6]])
    bench = Bench(np.ones(3), np.full(3, -1), np.array([]), leaves, sets_of_faults(1, 1), 1)
    terms = terms_of(bench)
    assert (terms.first.tolist(), terms.many.tolist()) == ([0, 1], [1, 3])  # no fault: a single term of no step
    assert terms.parts.tolist() == [[0b000, 0b001, 0b100, 0b101]]
    assert terms.share == pytest.approx([1.0, 0.5, 0.4, -0.2])


def test_of_more_than_five_finders_the_surest_and_those_most_useful_for_their_minutes_are_kept() -> None:
    """Seven steps find the fault. The surest is slow; the last two of the others by chance per minute are left out."""
    finds, minutes = [0.9, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6], [1000.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0]
    leaves = 1.0 - np.array(finds)[:, None]
    bench = Bench(np.array(minutes), np.full(7, -1), np.array([]), leaves, sets_of_faults(1, 1), 1)
    single = {int(part): share for part, share in zip(terms_of(bench).parts[0], terms_of(bench).share, strict=True)}
    kept = {step for step in range(7) if 1 << step in single}
    assert kept == {0, 3, 4, 5, 6}
    assert single[1 << 0] == pytest.approx(0.9)
    assert single[1 << 0 | 1 << 6] == pytest.approx(-0.54)


def test_masks_are_split_into_eight_bits_at_a_time() -> None:
    masks = np.array([0b1_00000001, 0b10_11111111, 0], dtype=np.int32)
    assert in_bytes(masks, 10).tolist() == [[1, 255, 0], [1, 2, 0]]
    assert in_bytes(masks & 255, 8).tolist() == [[1, 255, 0]]
    assert in_bytes(masks, 9).shape == (2, 3)


def test_only_sets_likely_enough_beside_all_that_are_wrong_count_and_each_case_has_its_own_cells() -> None:
    """Two cases of one fault: an unlikely set counts in the first, where little is wrong, and not in the second."""
    bench, _ = random_instance(np.random.default_rng(4), steps=9, faults=3)
    weights = np.zeros((2, len(bench.has)))
    weights[0, :3] = 0.8, 0.19995, 5e-5  # little, but a good share of the fifth that is wrong
    weights[1, :3] = 0.5, 2e-5, 0.49998
    likely, terms = likely_terms(bench, weights), terms_of(bench)
    counted = [(0, 0), (0, 1), (0, 2), (1, 0), (1, 2)]
    assert likely.total == pytest.approx([1.0, 0.99998])
    assert likely.case.tolist() == [case for case, one in counted for _ in range(terms.many[one])]
    runs = [slice(terms.first[one], terms.first[one] + terms.many[one]) for _, one in counted]
    shares = [weights[case, one] * terms.share[run] for (case, one), run in zip(counted, runs, strict=True)]
    assert likely.share == pytest.approx(np.concatenate(shares))
    cells = [terms.parts[:, run] + case * 256 for (case, _), run in zip(counted, runs, strict=True)]
    assert np.array_equal(likely.cells, np.concatenate(cells, axis=1))
