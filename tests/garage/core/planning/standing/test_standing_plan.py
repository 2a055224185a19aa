"""A plan is kept by rows, and read against the day as it has become."""

from __future__ import annotations

import json

import pytest

from garage.core.errors import BadInput
from garage.core.planning.day_problem import Placed
from garage.core.planning.standing.standing_plan import (
    StandingPlan,
    StandingStep,
    from_json,
    kept_of,
    placed_of,
    to_json,
)

GATE = Placed("41", 0, "bench", 2, "Jo", 510, 530)
ROLLERS = Placed("41", 1, "roller", 1, "Sam", 540, 635)
STEP_IDS = {("41", 0): 70, ("41", 1): 71}
NAMES = {3: "Jo", 4: "Sam"}
KEPT = StandingPlan((StandingStep(70, 41, "bench", 2, 3, 510, 530), StandingStep(71, 41, "roller", 1, 4, 540, 635)))


def test_a_plan_is_kept_by_rows_and_comes_back_as_it_was():
    kept = kept_of((GATE, ROLLERS), STEP_IDS, {"Jo": 3, "Sam": 4})
    assert kept == KEPT
    assert placed_of(kept, STEP_IDS, NAMES) == (GATE, ROLLERS)


def test_a_kept_plan_survives_json():
    assert from_json(json.loads(json.dumps(to_json(KEPT)))) == KEPT


def test_a_plan_of_a_later_release_is_refused_by_name():
    with pytest.raises(BadInput, match="version 2"):
        from_json(to_json(KEPT) | {"version": 2})


def test_a_step_that_moves_down_keeps_its_place():
    """Bench work is put in before everything: the gate is now the second step."""
    assert placed_of(KEPT, {("41", 1): 70, ("41", 2): 71, ("41", 0): 72}, NAMES) == (
        Placed("41", 1, "bench", 2, "Jo", 510, 530),
        Placed("41", 2, "roller", 1, "Sam", 540, 635),
    )


def test_a_step_that_is_gone_is_left_out():
    assert placed_of(KEPT, {("41", 0): 70}, NAMES) == (GATE,)


def test_a_person_is_found_by_log_in_though_the_name_has_changed():
    (gate, _) = placed_of(KEPT, STEP_IDS, {3: "Jo (jo)", 4: "Sam"})
    assert gate.by == "Jo (jo)"


def test_somebody_who_has_left_has_no_name():
    assert [p.by for p in placed_of(KEPT, STEP_IDS, {4: "Sam"})] == ["", "Sam"]
