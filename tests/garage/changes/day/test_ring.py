"""Ringing an owner: what was said takes the visit off the list, and nothing else does."""

import pytest
from django.utils import timezone

from garage.changes.day import ring
from garage.core.errors import BadInput, Refused
from garage.models.visits import Visit
from tests.factories import garage
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
NOW = timezone.now()


def _ring(visit, said="Rings back on Monday."):
    return ring.rung(visit, by=garage.front_desk(), now=timezone.now(), what_was_said=said)


def test_a_rung_visit_leaves_the_ring_list_and_the_trail_keeps_what_was_said():
    visit, by, now = garage.visit(to_ask=["Does it stutter?"]), garage.front_desk(), timezone.now()
    rung = ring.rung(visit, by=by, now=now, what_was_said="Only when hot.")
    check_noted("the owner was rung", by=by, at=now, visit=visit, what_was_said="Only when hot.")
    visit.refresh_from_db()
    assert (visit.rung_at, visit.to_ask) == (rung.rung_at, rung.to_ask) == (now, [])


def test_a_visit_that_is_not_on_the_ring_list_is_not_rung():
    visit = garage.visit()
    with refuses(f"Visit {visit.number} is not on the ring list any more."):
        _ring(visit)


@pytest.fixture
def visit():
    return garage.visit(to_ask=["How old is the plug?"])


def test_what_was_said_is_kept_without_the_spaces_around_it(visit):
    ring.rung(visit, by=garage.person(), now=NOW, what_was_said=" New this spring. ")
    rung = Visit.objects.get()
    assert (rung.to_ask, rung.rung_at) == ([], NOW)
    assert visit.trail.get(did="the owner was rung").detail == {"what_was_said": "New this spring."}


@pytest.mark.parametrize("said", ["", " \n"])
def test_nothing_said_is_refused(visit, said):
    with pytest.raises(Refused, match="Write down what was said"):
        ring.rung(visit, by=garage.person(), now=NOW, what_was_said=said)
    assert Visit.objects.get().to_ask


def test_a_note_of_the_length_allowed_is_kept_and_one_letter_more_is_not(visit):
    with pytest.raises(BadInput, match="2001 characters"):
        ring.rung(visit, by=garage.person(), now=NOW, what_was_said="x" * 2001)
    ring.rung(visit, by=garage.person(), now=NOW, what_was_said="x" * 2000)
    assert Visit.objects.get().to_ask == []


def test_nobody_answered_leaves_everything_as_it_is_but_the_trail(visit):
    before = Visit.objects.values().get()
    ring.nobody_answered(visit, by=garage.person(), now=NOW)
    assert Visit.objects.values().get() == before
    assert visit.trail.filter(did=ring.NOBODY_ANSWERED, at=NOW).exists()


def test_a_visit_that_is_not_on_the_list_cannot_be_tried_either():
    with pytest.raises(Refused, match="not on the ring list"):
        ring.nobody_answered(garage.visit(), by=garage.person(), now=NOW)
