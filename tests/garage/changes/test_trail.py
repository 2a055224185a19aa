import pytest
from django.db import IntegrityError, transaction
from django.db.models import ProtectedError
from django.utils import timezone

from garage.changes import trail
from garage.models.actors import OWNER, SYSTEM
from garage.models.trail import TrailRow
from tests.factories import garage as make

pytestmark = pytest.mark.django_db


@pytest.fixture
def row():
    trail.about_visit(make.visit(), "called off", by=make.boss(), now=timezone.now(), why="rain")
    return TrailRow.objects.get()


def test_a_trail_row_says_who_what_and_when(row):
    assert row.by_words == row.by.name
    assert (row.about, row.did, row.detail) == (f"visit {row.visit.number}", "called off", {"why": "rain"})


@pytest.mark.parametrize(("actor", "words"), [(OWNER, "the owner"), (SYSTEM, "Tickover itself")])
def test_a_person_without_a_log_in_is_still_named(actor, words):
    trail.about_visit(make.visit(), "moved", by=actor, now=timezone.now())
    row = TrailRow.objects.get()
    assert (row.by, row.by_words) == (None, words)


def test_every_change_needs_an_actor():
    with pytest.raises(TypeError, match="'by'"):
        trail.about_visit(make.visit(), "moved", now=timezone.now())
    with pytest.raises(AttributeError):
        trail.about_visit(make.visit(), "moved", by=None, now=timezone.now())


def test_a_trail_row_cannot_be_changed_even_past_the_models(row):
    with pytest.raises(IntegrityError, match="only added to"), transaction.atomic():
        TrailRow.objects.filter(id=row.id).update(did="nothing")
    row.refresh_from_db()
    assert row.did == "called off"


def test_a_trail_row_cannot_be_deleted_even_past_the_models(row):
    with pytest.raises(IntegrityError, match="only added to"), transaction.atomic():
        TrailRow.objects.filter(id=row.id)._raw_delete("default")
    assert TrailRow.objects.filter(id=row.id).exists()


def test_a_visit_with_a_trail_cannot_be_deleted(row):
    with pytest.raises(ProtectedError):
        row.visit.delete()
