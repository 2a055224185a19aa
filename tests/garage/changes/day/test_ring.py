"""An owner was rung."""

import pytest
from django.utils import timezone

from garage.changes.day import ring
from garage.core.errors import BadInput
from tests.factories import garage
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


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


def test_a_telephone_note_has_two_thousand_characters_at_most():
    visit = garage.visit(to_ask=["Does it stutter?"])
    with refuses("what was said is '2001 characters'; allowed is a note of at most 2000.", BadInput):
        _ring(visit, "x" * 2001)
    assert _ring(visit, "x" * 2000).to_ask == []
