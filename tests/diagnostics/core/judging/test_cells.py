"""Sums cell by cell, against plain sums over every set of faults."""

from __future__ import annotations

import numpy as np
import pytest

from diagnostics.core.arrays import Float64s
from diagnostics.core.bank.bank import GROUPS, VISIT_KINDS
from diagnostics.core.judging.cells import AT_ONCE, TOWARDS, Sums, cells_of, group_masks, sums_of
from diagnostics.core.judging.inference import model_of
from diagnostics.core.judging.strobe_chances import combinations_of
from diagnostics.reads.bank import the_bank

BANK = the_bank()
MODEL = model_of(BANK)
ORDER = cells_of(MODEL).order
COMBINATION = combinations_of(MODEL)
RICH = ("main-jet-rich", "rich-otherwise")


@pytest.fixture(name="weights", scope="module")
def weights_drawn() -> Float64s:
    """More cases than fit into one product."""
    drawn = np.random.default_rng(5).uniform(0, 1, (AT_ONCE + 3, len(MODEL.has)))
    return np.asarray(drawn / drawn.sum(axis=1, keepdims=True))


@pytest.fixture(name="sums", scope="module")
def sums_drawn(weights: Float64s) -> list[Sums]:
    return sums_of(MODEL, weights)


def having(*faults: str) -> Float64s:
    """(sets,) 1.0 for each set with any of the faults."""
    has = dict(zip(BANK.fault_ids, MODEL.has.T, strict=True))
    return np.asarray(np.max([has[fault] for fault in faults], axis=0))


def spoiling(booked: str, *, jetting_too: bool = True) -> Float64s:
    faults = [f.id for f in BANK.faults if booked in f.spoils and (jetting_too or not f.is_jetting)]
    return having(*faults) if faults else np.zeros(len(MODEL.has))


def test_every_case_has_its_own_sums_whatever_their_number(weights: Float64s, sums: list[Sums]) -> None:
    assert len(sums) == len(weights)
    for weight, found in zip(weights, sums, strict=True):
        assert found.fault_chances() == pytest.approx(weight @ MODEL.has, rel=1e-12)
        assert found.mass.sum() == pytest.approx(1.0)
        np.testing.assert_allclose(found.weight, weight[ORDER], rtol=1e-6, atol=1e-12)


def test_each_group_has_the_chance_of_a_set_with_one_of_its_faults(weights: Float64s, sums: list[Sums]) -> None:
    found = sums[0].group_chances()
    assert tuple(found) == TOWARDS == (*GROUPS, "nothing-wrong")
    for group in GROUPS:
        faults = [fault.id for fault in BANK.faults if fault.group == group]
        assert found[group] == pytest.approx(weights[0] @ having(*faults), rel=1e-12)
    assert found["nothing-wrong"] == pytest.approx(weights[0][0], rel=1e-9)  # the first set is the empty one
    assert found == pytest.approx(dict(zip(TOWARDS, weights[0] @ group_masks(MODEL), strict=True)))


@pytest.mark.parametrize("booked", VISIT_KINDS)
def test_the_odds_of_a_visit_are_sums_over_the_sets_that_spoil_it(
    booked: str, weights: Float64s, sums: list[Sums]
) -> None:
    odds = sums[-1].odds(booked)
    assert odds.spoilt == pytest.approx(weights[-1] @ spoiling(booked), rel=1e-12)
    assert odds.otherwise == pytest.approx(weights[-1] @ spoiling(booked, jetting_too=False), rel=1e-12)
    assert odds.rich == pytest.approx(weights[-1] @ having(*RICH), rel=1e-12)


@pytest.mark.parametrize("booked", ["set-up", "power-run"])
def test_each_answer_has_its_chance_and_that_with_a_spoilt_visit(
    booked: str, weights: Float64s, sums: list[Sums]
) -> None:
    expected = MODEL.chance @ np.column_stack([weights[1], weights[1] * spoiling(booked)])
    assert sums[1].with_answers(booked) == pytest.approx(expected, rel=1e-10)


def test_each_combination_of_faults_that_move_the_timing_has_its_chance(weights: Float64s, sums: list[Sums]) -> None:
    spoilt = weights[1] * spoiling("power-run")
    expected = np.column_stack([np.bincount(COMBINATION, weights=one) for one in (weights[1], spoilt)])
    assert sums[1].with_combinations("power-run") == pytest.approx(expected, rel=1e-10)


def test_leaving_an_answer_out_divides_every_weight_by_its_chance(weights: Float64s, sums: list[Sums]) -> None:
    rows = [7, 0]
    for row, without in zip(rows, sums[2].without_answers(rows), strict=True):
        assert without @ sums[2].cells.inside == pytest.approx((weights[2] / MODEL.chance[row]) @ group_masks(MODEL))


def test_factors_multiply_the_weight_of_each_set_or_combination(weights: Float64s, sums: list[Sums]) -> None:
    chance = np.random.default_rng(6)
    of_sets = chance.uniform(0, 2, (3, len(ORDER)))
    found = sums[2].times(of_sets[:, ORDER]) @ sums[2].cells.inside
    assert found == pytest.approx((of_sets * weights[2]) @ group_masks(MODEL))
    of_combinations = chance.uniform(0, 2, (2, COMBINATION.max() + 1))
    found = sums[2].times_combinations(of_combinations) @ sums[2].cells.inside
    assert found == pytest.approx((of_combinations[:, COMBINATION] * weights[2]) @ group_masks(MODEL))


def test_the_sets_of_a_cell_agree_in_their_groups_and_in_what_they_spoil() -> None:
    cells = cells_of(MODEL)
    assert sorted(ORDER.tolist()) == list(range(len(MODEL.has)))
    spoilt = {kind: spoiling(kind) for kind in VISIT_KINDS}
    for at, (begin, end) in enumerate(cells.bounds):
        sets = ORDER[begin:end]
        assert len(sets) > 0
        assert np.all(group_masks(MODEL)[sets] == cells.inside[at])
        assert all(np.all(spoilt[kind][sets] == cells.spoilt[kind][at]) for kind in VISIT_KINDS)
    kinds = np.column_stack([group_masks(MODEL), *spoilt.values()])
    assert len(cells.bounds) == len(np.unique(kinds, axis=0))  # and no two cells are alike
