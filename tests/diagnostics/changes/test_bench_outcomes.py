"""Outcomes of the bench and the causes are one story: put down together, taken back together, learned from once."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.changes import bench_outcomes, causes
from diagnostics.core.bank.bank import NOTHING_WRONG, BankStep
from diagnostics.core.learning.counts import count
from diagnostics.models.bench import BenchOutcome
from diagnostics.models.causes import Cause
from diagnostics.reads.bank import the_bank
from diagnostics.reads.causes import fault_words
from diagnostics.reads.learning import closed_cards, counts_now
from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from jobs.changes import cards, closing, corrections
from tests.factories import garage, jobs
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic() -> Person:
    return garage.person()


@pytest.fixture
def visit(mechanic: Person) -> Visit:
    return jobs.visit_here(state=states.ON_THE_BENCH)


def standing(visit: Visit) -> list[tuple[str, bool]]:
    rows = Cause.objects.filter(visit=visit, withdrawn_at=None)
    return sorted((row.fault, row.found_good) for row in rows)


def test_this_was_it_is_the_cause(visit, mechanic):
    outcome = bench_outcomes.this_was_it(visit, step="plug", fault="ht-side", by=mechanic, now=timezone.now())
    assert standing(visit) == [("ht-side", False)]
    assert Cause.objects.get().outcome == outcome
    did = "Try a known good plug of the right grade and gap, and a good cap: a test only"
    said = f"bench, {did}: this was it, the high-tension side"
    assert TrailRow.objects.filter(did__startswith=said).exists()


def test_found_good_is_good_only_for_what_the_step_shows_for_certain(visit, mechanic):
    bench_outcomes.found_good(visit, step="plug", by=mechanic, now=timezone.now())
    assert standing(visit) == []
    bench_outcomes.found_good(visit, step="main-jet", by=mechanic, now=timezone.now())
    assert standing(visit) == [("main-jet-lean", True), ("main-jet-rich", True)]


def test_taking_back_takes_the_causes_too_and_keeps_every_row(visit, mechanic):
    outcome = bench_outcomes.found_good(visit, step="main-jet", by=mechanic, now=timezone.now())
    bench_outcomes.take_back(outcome, by=mechanic, now=timezone.now())
    assert standing(visit) == []
    assert (BenchOutcome.objects.count(), Cause.objects.count()) == (1, 2)
    with pytest.raises(Refused, match="already taken back"):
        bench_outcomes.take_back(outcome, by=mechanic, now=timezone.now())
    bench_outcomes.this_was_it(visit, step="main-jet", fault="main-jet-rich", by=mechanic, now=timezone.now())
    assert standing(visit) == [("main-jet-rich", False)]


def test_withdrawing_one_cause_of_an_outcome_takes_the_whole_outcome_back(visit, mechanic):
    outcome = bench_outcomes.found_good(visit, step="main-jet", by=mechanic, now=timezone.now())
    causes.withdraw(outcome.causes.first(), by=mechanic, now=timezone.now())
    outcome.refresh_from_db()
    assert outcome.withdrawn_at
    assert standing(visit) == []


def test_a_step_has_one_outcome_at_a_time(visit, mechanic):
    bench_outcomes.found_good(visit, step="coil", by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="already done"):
        bench_outcomes.this_was_it(visit, step="coil", fault="ht-side", by=mechanic, now=timezone.now())


def test_what_stands_by_hand_stays_the_only_one_and_outlives_the_outcome(visit, mechanic):
    causes.confirm(visit, fault="ht-side", words="cracked cap", by=mechanic, now=timezone.now())
    outcome = bench_outcomes.this_was_it(visit, step="plug", fault="ht-side", by=mechanic, now=timezone.now())
    bench_outcomes.found_good(visit, step="coil", by=mechanic, now=timezone.now())
    assert standing(visit) == [("ht-side", False)]
    bench_outcomes.take_back(outcome, by=mechanic, now=timezone.now())
    assert standing(visit) == [("ht-side", False)]


def test_what_stands_as_good_is_not_called_the_cause_before_it_is_withdrawn(visit, mechanic):
    bench_outcomes.found_good(visit, step="coil", by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="Withdraw that first"):
        bench_outcomes.this_was_it(visit, step="plug", fault="ht-side", by=mechanic, now=timezone.now())
    assert not BenchOutcome.objects.filter(step="plug").exists()


@pytest.mark.parametrize(("step", "fault"), [("gremlins", "ht-side"), ("coil", "air-leak"), ("coil", "")])
def test_only_a_step_of_the_bank_and_a_fault_that_it_looks_for_are_accepted(visit, mechanic, step, fault):
    with pytest.raises(BadInput):
        bench_outcomes.this_was_it(visit, step=step, fault=fault, by=mechanic, now=timezone.now())
    assert not BenchOutcome.objects.exists()


def test_no_outcome_is_recorded_before_arrival(mechanic):
    garage.shop()
    with pytest.raises(Refused, match="nothing has been looked at yet"):
        bench_outcomes.found_good(garage.visit(), step="coil", by=mechanic, now=timezone.now())


def test_a_closed_card_takes_no_outcome_and_gives_none_back(visit, mechanic):
    cards.step_was_it(visit, step="plug", fault="ht-side", by=mechanic, now=timezone.now())
    closing.close_with_causes(visit, by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="is closed"):
        cards.step_good(visit, step="unit", by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="is closed"):
        cards.step_back(BenchOutcome.objects.get(), by=mechanic, now=timezone.now())


def test_a_card_closed_with_an_outcome_counts_like_any_other(visit, mechanic):
    cards.step_good(visit, step="unit", by=mechanic, now=timezone.now())
    cards.step_was_it(visit, step="plug", fault="ht-side", by=mechanic, now=timezone.now())
    closing.close_with_causes(visit, by=mechanic, now=timezone.now())
    assert counts_now().times["ht-side"] == 1
    assert counts_now().times["spark-module"] == 0
    assert_exact()


def test_an_outcome_taken_back_before_closing_teaches_nothing(visit, mechanic):
    cards.step_was_it(visit, step="plug", fault="ht-side", by=mechanic, now=timezone.now())
    cards.step_back(BenchOutcome.objects.get(), by=mechanic, now=timezone.now())
    closing.close_with_nothing_wrong(visit, by=mechanic, now=timezone.now())
    assert counts_now().times["ht-side"] == 0
    assert counts_now().times[NOTHING_WRONG] == 1
    assert_exact()


def test_a_cause_of_an_outcome_corrected_later_recounts_exactly(visit, mechanic):
    cards.step_was_it(visit, step="plug", fault="ht-side", by=mechanic, now=timezone.now())
    closing.close_with_causes(visit, by=mechanic, now=timezone.now())
    corrections.correct_cause(Cause.objects.get(), fault="flywheel-key", words="", by=mechanic, now=timezone.now())
    assert (counts_now().times["ht-side"], counts_now().times["flywheel-key"]) == (0, 1)
    assert BenchOutcome.objects.get().withdrawn_at
    assert_exact()


def assert_exact() -> None:
    """The counts are those of the standing cards counted from nothing."""
    anew = count(the_bank(), closed_cards())
    now = counts_now()
    assert (now.times, now.chances, now.learned) == (dict(anew.times), dict(anew.chances), anew.learned)


def test_an_outcome_is_kept_whole_noted_and_taken_back(visit, mechanic):
    now, later = timezone.now(), timezone.now() + timedelta(minutes=1)
    do = "Try a known good plug of the right grade and gap, and a good cap: a test only"
    outcome = bench_outcomes.this_was_it(visit, step="plug", fault="ht-side", by=mechanic, now=now)
    check_noted(f"bench, {do}: this was it, {fault_words('ht-side')}", by=mechanic, at=now, visit=visit)
    outcome.refresh_from_db()
    assert (outcome.visit, outcome.step, outcome.did, outcome.fault) == (visit, "plug", do, "ht-side")
    assert (outcome.at, outcome.by, outcome.withdrawn_at) == (now, mechanic, None)
    boss = garage.boss()
    bench_outcomes.take_back(outcome, by=boss, now=later)
    check_noted(f"bench, taken back: {do}", by=boss, at=later, visit=visit)
    outcome.refresh_from_db()
    assert outcome.withdrawn_at == outcome.causes.get().withdrawn_at == later
    outcome = bench_outcomes.found_good(visit, step="plug", by=mechanic, now=later)
    check_noted(f"bench, {do}: checked, OK", by=mechanic, at=later, visit=visit)
    assert (outcome.fault, outcome.at, outcome.by) == ("", later, mechanic)


def test_each_refusal_of_an_outcome_says_what_is_allowed(visit, mechanic):
    now, do = timezone.now(), "Try a known good plug of the right grade and gap, and a good cap: a test only"
    with refuses("The step is 'gremlins'; allowed is a step of the bank.", BadInput):
        bench_outcomes.found_good(visit, step="gremlins", by=mechanic, now=now)
    looked_for = ", ".join(fault_words(fault) for fault in _step("plug").clears)
    allowed = f"allowed is what this step looks for: {looked_for}."
    for fault, found in (("air-leak", "'air-leak'"), ("", "missing")):
        with refuses(f"The fault is {found}; {allowed}", BadInput):
            bench_outcomes.this_was_it(visit, step="plug", fault=fault, by=mechanic, now=now)
    outcome = bench_outcomes.found_good(visit, step="plug", by=mechanic, now=now)
    with refuses(f"{do}: this step is already done. Take it back first if that is wrong."):
        bench_outcomes.found_good(visit, step="plug", by=mechanic, now=now)
    bench_outcomes.take_back(outcome, by=mechanic, now=now)
    with refuses("This was already taken back."):
        bench_outcomes.take_back(outcome, by=mechanic, now=now)
    coming = garage.visit()
    with refuses(f"Visit {coming.number} is booked: nothing has been looked at yet."):
        bench_outcomes.found_good(coming, step="plug", by=mechanic, now=now)
    assert bench_outcomes.found_good(jobs.visit_here(), step="plug", by=mechanic, now=now).pk


def _step(step_id: str) -> BankStep:
    return next(step for step in the_bank().steps if step.id == step_id)
