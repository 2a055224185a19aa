"""What was judged and learned stays as it was: what the database itself refuses, whoever asks."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from diagnostics.changes import judgements, learning
from diagnostics.models.judgements import Judgement
from diagnostics.models.learning import Closing, Learned
from tests.factories import garage
from tests.factories.jobs import visit_here

pytestmark = pytest.mark.django_db


@pytest.fixture
def closing():
    visit = visit_here()
    learning.card_closed(visit, by=garage.person())
    return Closing.objects.filter(visit=visit)


def refused():
    return pytest.raises(IntegrityError, match=r"never (closed anew|changed)")


def test_a_closing_is_marked_once_and_not_marked_anew_or_taken_back(closing):
    assert closing.update(came_back_at=timezone.now()) == 1
    for value in (None, timezone.now() + timedelta(days=1)):
        with refused(), transaction.atomic():
            closing.update(came_back_at=value)
    assert closing.get().came_back_at is not None


@pytest.mark.parametrize("other", ["at", "by", "visit"])
def test_nothing_else_of_a_closing_changes_along_with_the_mark(closing, other):
    values = {"at": timezone.now() - timedelta(days=3), "by": garage.person(), "visit": visit_here()}
    with refused(), transaction.atomic():
        closing.update(came_back_at=timezone.now(), **{other: values[other]})
    with refused(), transaction.atomic():
        closing.update(**{other: values[other]})


def test_a_closing_is_not_deleted(closing):
    with refused(), transaction.atomic():
        closing._raw_delete("default")
    assert closing.exists()


def test_counts_are_neither_changed_nor_deleted(closing):
    counts = Learned.objects.all()
    with refused(), transaction.atomic():
        counts.update(learned=7)
    with refused(), transaction.atomic():
        counts._raw_delete("default")
    assert counts.get().learned == 1


def test_a_judgement_is_not_changed():
    judged = Judgement.objects.filter(pk=judgements.judge_again(visit_here()).pk)
    with refused(), transaction.atomic():
        judged.update(route="fix-first")
    with refused(), transaction.atomic():
        judged.update(learned=None, edition="another")
