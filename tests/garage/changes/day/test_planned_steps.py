"""Which steps a visit still needs, in which order, and how long they take."""

from __future__ import annotations

import pytest
from django.utils import timezone

from garage.changes.day import planned_steps
from garage.models.shop import Shop
from garage.models.visits import Step, Visit
from tests.factories import garage

pytestmark = pytest.mark.django_db
GATE = (0, "bench", 10, "gate", True)


@pytest.fixture
def shop() -> Shop:
    return garage.shop(gate_minutes=10)


@pytest.fixture
def visit(shop) -> Visit:
    """A set-up of 90 minutes on the rollers, beside another visit with steps of its own."""
    other = garage.visit()
    for index in range(3):
        Step.objects.create(visit=other, index=index, at="roller", minutes=5, what="fix first", began_at=timezone.now())
        Step.objects.create(visit=other, index=index + 3, at="bench", minutes=5, what="fix first", pin_station=1)
    return garage.visit()


@pytest.fixture(autouse=True)
def _others_stay(shop):
    yield
    first = Step.objects.exclude(visit=Visit.objects.order_by("number").last())
    assert [(step.index, step.minutes, step.pin_station) for step in first.order_by("index")] == [
        (index, 5, None if index < 3 else 1) for index in range(6)
    ]


def _steps(visit):
    return [(step.index, step.at, step.minutes, step.what, step.is_check) for step in visit.steps.all()]


def _begun(visit, index, **given):
    values = {"at": "bench", "minutes": 15, "what": "bench", "began_at": timezone.now()}
    return Step.objects.create(visit=visit, index=index, **values | given)


def test_a_roller_visit_is_planned_with_a_gate_before_the_rollers(visit, shop):
    planned_steps.plan_booked(visit, shop)
    assert _steps(visit) == [GATE, (1, "roller", 90, "set-up", False)]


def test_a_bench_visit_is_planned_at_the_bench_alone(visit, shop):
    visit.kind = garage.visit_kind(slug="bench", booked_as="bench", name="Bench check", at="bench", minutes=60)
    planned_steps.plan_booked(visit, shop)
    assert _steps(visit) == [(0, "bench", 60, "bench check", False)]


def test_a_step_is_called_by_the_first_forty_characters_of_its_kind(visit, shop):
    visit.kind = garage.visit_kind(slug="long", name="İ" * 40)  # in lower case each is two characters
    planned_steps.need_the_rollers(visit, 30, shop)
    assert visit.steps.get(at="roller").what == "i̇" * 20


def test_waiting_steps_take_new_minutes_and_are_not_planned_twice(visit, shop):
    for minutes in (90, 60):
        planned_steps.need_fix_first(visit, minutes + 2)
    for minutes in (90, 60):
        planned_steps.need_the_rollers(visit, minutes, shop)
    assert _steps(visit) == [
        (0, "bench", 62, "fix first", False),
        (1, "bench", 10, "gate", True),
        (2, "roller", 60, "set-up", False),
    ]
    planned_steps.need_the_bench(visit, 20)
    assert [step.minutes for step in visit.steps.all()] == [20, 10, 60]


def test_rollers_already_begun_get_another_turn_after_everything_else(visit, shop):
    _begun(visit, 0, at="roller", what="set-up")
    planned_steps.need_the_rollers(visit, 45, shop)
    assert _steps(visit)[1:] == [(1, "bench", 10, "gate", True), (2, "roller", 45, "set-up", False)]


def test_after_a_passed_gate_no_other_gate_is_planned(visit, shop):
    visit.gate_passed_at = timezone.now()
    planned_steps.need_the_rollers(visit, 45, shop)
    assert _steps(visit) == [(0, "roller", 45, "set-up", False)]


def test_a_gate_that_waits_is_not_the_bench_work_that_is_needed(visit, shop):
    planned_steps.need_the_rollers(visit, 45, shop)
    planned_steps.need_the_bench(visit, 30)
    assert _steps(visit) == [GATE, (1, "roller", 45, "set-up", False), (2, "bench", 30, "bench", False)]


def test_fix_first_comes_after_what_has_begun_and_before_all_that_waits(visit, shop):
    _begun(visit, 0)
    planned_steps.need_the_rollers(visit, 45, shop)
    planned_steps.need_fix_first(visit, 50)
    assert [(index, what) for index, _, _, what, _ in _steps(visit)] == [
        (0, "bench"),
        (1, "fix first"),
        (2, "gate"),
        (3, "set-up"),
    ]


def test_fix_first_is_dropped_only_while_it_waits(visit):
    now = timezone.now()
    _begun(visit, 0, what="fix first", began_at=now, ended_at=now)
    planned_steps.need_fix_first(visit, 50)
    assert _steps(visit)[1] == (1, "bench", 50, "fix first", False)
    planned_steps.drop_fix_first(visit)
    assert _steps(visit) == [(0, "bench", 15, "fix first", False)]


def test_fix_first_that_is_under_way_is_not_planned_once_more(visit):
    _begun(visit, 0, what="fix first")
    planned_steps.need_fix_first(visit, 50)
    assert _steps(visit) == [(0, "bench", 15, "fix first", False)]


def test_with_a_new_time_the_pins_of_what_waits_are_forgotten(visit):
    by, now = garage.person(), timezone.now()
    pins = {"pin_station": 2, "pin_by": by, "pin_begins_at": now}
    _begun(visit, 0, **pins)
    Step.objects.create(visit=visit, index=1, at="bench", minutes=5, what="bench", **pins)
    planned_steps.forget_pins(visit)
    kept = list(visit.steps.values_list("pin_station", "pin_by", "pin_begins_at"))
    assert kept == [(2, by.pk, now), (None, None, None)]


def test_strapping_down_has_its_minutes_on_the_rollers_until_a_gate_is_passed(visit, shop):
    planned_steps.need_the_rollers(visit, 90, shop)
    assert [step.strap_minutes for step in visit.steps.all()] == [0, shop.strap_minutes]
    visit.steps.filter(at="roller").update(strapped_from=timezone.now())
    shop.strap_minutes = 8
    planned_steps.need_the_rollers(visit, 60, shop)
    row = visit.steps.get(at="roller")
    assert (row.minutes, row.strap_minutes, row.strapped_from) == (60, 8, None)


def test_after_a_passed_gate_no_strapping_is_planned(visit, shop):
    visit.gate_passed_at = timezone.now()
    planned_steps.need_the_rollers(visit, 45, shop)
    assert visit.steps.get(at="roller").strap_minutes == 0
