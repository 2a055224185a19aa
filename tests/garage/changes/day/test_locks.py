"""Rows that make concurrent changes wait. That they do is seen in tests/garage/test_races.py."""

from datetime import date

import pytest

from garage.changes.day import locks
from garage.core import states
from garage.models.visits import Day, Visit
from tests.factories import garage

pytestmark = pytest.mark.django_db


def test_a_change_gets_the_visit_as_it_is_now_with_all_that_belongs_to_it(django_assert_num_queries):
    visit = garage.visit(machine=garage.machine(kind=garage.machine_kind()))
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE)
    with django_assert_num_queries(2):
        row = locks.visit_for_change(visit)
        assert (row.pk, row.state) == (visit.pk, states.HERE)
        assert (row.owner, row.machine, row.machine.kind, row.kind) == (
            visit.owner,
            visit.machine,
            visit.machine.kind,
            visit.kind,
        )


def test_a_day_has_one_row_however_often_it_is_locked():
    first, second = date(2026, 12, 1), date(2026, 12, 2)
    locks.days_for_change(second, first, second)
    locks.days_for_change(first)
    assert sorted(Day.objects.values_list("day", flat=True)) == [first, second]


def test_visits_are_numbered_from_one_and_on_from_the_highest():
    garage.shop()
    assert locks.next_visit_number() == 1
    for number in (41, 7):
        garage.visit(number=number)
    assert locks.next_visit_number() == 42
