from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.changes import causes
from diagnostics.models.bench import BenchOutcome
from diagnostics.pages.causes import cause_lines
from diagnostics.reads.causes import cause_words, fault_words, has_a_cause
from garage.core import states
from garage.core.errors import BadInput, Refused
from tests.factories import garage
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


@pytest.fixture
def mechanic():
    garage.shop()
    return garage.person()


@pytest.fixture
def visit(mechanic):
    return garage.visit(state=states.ON_THE_BENCH)


def test_a_cause_counts_until_it_is_withdrawn(visit, mechanic):
    cause = causes.confirm(visit, fault="pickup-misaligned", words="0.8 mm low", by=mechanic, now=timezone.now())
    assert has_a_cause(visit)
    assert "0.8 mm low" in cause_lines(visit)[0].says
    causes.withdraw(cause, by=mechanic, now=timezone.now())
    assert not has_a_cause(visit)
    with pytest.raises(Refused, match="already withdrawn"):
        causes.withdraw(cause, by=mechanic, now=timezone.now())


def test_a_part_found_good_is_not_a_cause(visit, mechanic):
    causes.looked_good(visit, fault="reed-valve", by=mechanic, now=timezone.now())
    assert [line.cause.found_good for line in cause_lines(visit)] == [True]
    assert not has_a_cause(visit)


def test_a_cause_is_a_fault_from_the_bank_or_free_text(visit, mechanic):
    for given in ({"fault": "gremlins"}, {}, {"words": " "}, {"words": "x" * 161}):
        with pytest.raises(BadInput):
            causes.confirm(visit, by=mechanic, now=timezone.now(), **given)
    causes.confirm(visit, by=mechanic, now=timezone.now(), words="mouse nest in the air box")
    assert len(cause_lines(visit)) == 1


def test_the_same_finding_is_not_recorded_twice_or_before_arrival(visit, mechanic):
    causes.confirm(visit, fault="ht-side", by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="already"):
        causes.confirm(visit, fault="ht-side", by=mechanic, now=timezone.now())
    with pytest.raises(Refused, match="nothing has been looked at yet"):
        causes.confirm(garage.visit(), fault="ht-side", by=mechanic, now=timezone.now())


def test_each_cause_is_kept_whole_and_noted(visit, mechanic):
    now, kept = timezone.now(), {"by": mechanic, "visit": visit}
    cause = causes.confirm(visit, fault="ht-side", words=" cracked cap ", by=mechanic, now=now)
    cause.refresh_from_db()
    assert (cause.visit, cause.fault, cause.words, cause.found_good) == (visit, "ht-side", "cracked cap", False)
    assert (cause.at, cause.by, cause.withdrawn_at, cause.outcome) == (now, mechanic, None, None)
    check_noted(f"cause: {cause_words(cause)}", at=now, **kept)
    good = causes.looked_good(visit, fault="reed-valve", words="new", by=mechanic, now=now)
    assert (good.fault, good.words, good.found_good, good.at) == ("reed-valve", "new", True, now)
    check_noted(f"checked, OK: {cause_words(good)}", at=now, **kept)
    later, boss = now + timedelta(minutes=1), garage.boss()
    causes.withdraw(cause, by=boss, now=later)
    check_noted(f"withdrawn: {cause_words(cause)}", by=boss, at=later, visit=visit)
    cause.refresh_from_db()
    assert cause.withdrawn_at == later


def test_each_refusal_of_a_cause_says_what_is_allowed(visit, mechanic):
    now, allowed = timezone.now(), "allowed is a fault from the list, or your own words."

    def put_down(at=visit, **given):
        return causes.confirm(at, by=mechanic, now=now, **given)

    with refuses(f"The cause is 'gremlins'; {allowed}", BadInput):
        put_down(fault="gremlins")
    with refuses(f"The cause is missing; {allowed}", BadInput):
        put_down(words=" ")
    with refuses("The cause is '161 characters'; allowed is at most 160 characters.", BadInput):
        put_down(words="x" * 161)
    put_down(words="x" * 160)
    cause = put_down(fault="ht-side")
    with refuses("This is already entered. Withdraw it first if it is wrong."):
        put_down(fault="ht-side")
    put_down(fault="ht-side", words="the cap")
    causes.withdraw(cause, by=mechanic, now=now)
    put_down(fault="ht-side")
    with refuses("This was already withdrawn."):
        causes.withdraw(cause, by=mechanic, now=now)
    coming = garage.visit()
    with refuses(f"Visit {coming.number} is booked: nothing has been looked at yet."):
        put_down(coming, fault="ht-side")


def test_a_cause_withdrawn_takes_its_outcome_along_and_says_so(visit, mechanic):
    now = timezone.now()
    outcome = BenchOutcome.objects.create(visit=visit, step="plug", did="Fit a plug", fault="", at=now, by=mechanic)
    for fault in ("ht-side", "air-leak"):
        causes.came_with(outcome, fault=fault, found_good=False)
    first, other = outcome.causes.order_by("pk")
    assert (first.visit, first.fault, first.found_good, first.at, first.by) == (visit, "ht-side", False, now, mechanic)
    elsewhere = causes.confirm(visit, words="by hand", by=mechanic, now=now)
    later = now + timedelta(minutes=1)
    causes.withdraw(first, by=mechanic, now=later)
    said = f"withdrawn: {cause_words(first)}, and with it what the bench did: Fit a plug"
    check_noted(said, by=mechanic, at=later, visit=visit)
    for row in (outcome, first, other, elsewhere):
        row.refresh_from_db()
    assert (outcome.withdrawn_at, other.withdrawn_at, elsewhere.withdrawn_at) == (later, later, None)


def test_what_was_withdrawn_before_keeps_its_own_time(visit, mechanic):
    now = timezone.now()
    outcome = BenchOutcome.objects.create(visit=visit, step="plug", did="Fit a plug", fault="", at=now, by=mechanic)
    causes.came_with(outcome, fault="ht-side", found_good=True)
    outcome.causes.update(withdrawn_at=now)
    causes.withdraw_outcome(outcome, at=now + timedelta(minutes=1))
    assert outcome.causes.get().withdrawn_at == now


def test_an_outcome_enters_no_fault_twice_and_turns_none_round(visit, mechanic):
    now = timezone.now()
    outcome = BenchOutcome.objects.create(visit=visit, step="plug", did="Fit a plug", fault="", at=now, by=mechanic)
    for found_good in (False, True):
        causes.came_with(outcome, fault="ht-side", found_good=found_good)
    assert [(cause.fault, cause.found_good) for cause in outcome.causes.all()] == [("ht-side", False)]
    causes.came_with(outcome, fault="air-leak", found_good=True)
    said = f"This is already entered as “checked, OK”: {fault_words('air-leak')}. Withdraw that first if it is wrong."
    with refuses(said):
        causes.came_with(outcome, fault="air-leak", found_good=False)
    other = garage.visit(state=states.HERE)
    elsewhere = BenchOutcome.objects.create(visit=other, step="plug", did="", fault="", at=now, by=mechanic)
    causes.came_with(elsewhere, fault="air-leak", found_good=False)
    assert elsewhere.causes.count() == 1
