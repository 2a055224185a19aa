"""Closed visits from before: each with all that the rest of the garage expects of one."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.reads.closed_visits import closed_visits
from diagnostics.reads.judgement import latest
from diagnostics.reads.learning import counts_now
from garage.core import states
from garage.models.messages import Message
from garage.models.owners import Owner
from garage.models.visits import Visit
from jobs.demo.past_visits import PastMachine, PastVisit, put_down
from jobs.reads.access import card_of
from tests.factories import garage
from tests.factories.diagnostics import FALSE_CEILING, HEALTHY

pytestmark = pytest.mark.django_db


@pytest.fixture
def machine() -> PastMachine:
    garage.shop()
    values = {"owner": "Sandy Rigg", "email": "sandy.rigg@example.org", "telephone": "07700 900640"}
    return PastMachine(kind=garage.machine_kind(), year=1984, **values)


def past(machine: PastMachine, *causes: str, days: int = 40, **given: object) -> PastVisit:
    values = {"kind": garage.visit_kind(), "starts_at": timezone.now() - timedelta(days=days), "answers": HEALTHY}
    return PastVisit(machine=machine, causes=causes, **values | given)


def test_they_are_numbered_in_time_order_after_the_highest_and_share_machine_and_owner(machine):
    highest = garage.visit().number
    put_down([past(machine, days=10), past(machine, days=30)], by=garage.person(), now=timezone.now())
    older, newer = Visit.objects.filter(number__gt=highest)
    assert (older.number, newer.number) == (highest + 1, highest + 2)
    assert older.starts_at < newer.starts_at
    assert older.machine == newer.machine
    assert Owner.objects.filter(name="Sandy Rigg").count() == 1
    assert {older.state, newer.state} == {states.COLLECTED}
    assert not Message.objects.exists()


def test_each_is_judged_by_the_bank_alone_before_arrival_and_counts(machine):
    put_down(
        [past(machine, "spark-module", answers=FALSE_CEILING), past(machine, answers={})],
        by=garage.person(),
        now=timezone.now(),
    )
    judged, unjudged = sorted(closed_visits(), key=lambda one: one.judged is None)
    assert (judged.taken, judged.judged.route, judged.causes) == ("fix-first", "fix-first", {"spark-module"})
    assert unjudged.judged is None
    assert latest(Visit.objects.get(number=judged.number)).learned is None
    assert counts_now().learned == 2


def test_what_was_kept_on_the_rollers_ran_and_what_the_gate_held_did_not(machine):
    kept = past(machine, "spark-module", answers=FALSE_CEILING, kept_its_time=True)
    held = past(machine, "air-leak", days=20, is_held_at_the_gate=True)
    put_down([kept, held], by=garage.person(), now=timezone.now())
    assert [(one.taken, one.ran) for one in closed_visits()] == [("roller-ready", True), ("roller-ready", False)]


def test_its_card_is_closed_with_what_it_was(machine):
    put_down([past(machine, words="a cracked rubber"), past(machine, days=20)], by=garage.person(), now=timezone.now())
    worded, sound = (card_of(visit) for visit in Visit.objects.order_by("number"))
    assert worded.closed_at
    assert (worded.nothing_wrong, sound.nothing_wrong) == (False, True)
    assert [one.has_own_words for one in closed_visits()] == [True, False]
