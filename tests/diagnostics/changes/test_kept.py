"""What was judged and learned stays as it was: what the database itself refuses, whoever asks."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from diagnostics.changes import judgements, learning
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.learning import Closing, ComeBack, Learned
from tests.factories import garage
from tests.factories.jobs import visit_here

pytestmark = pytest.mark.django_db


@pytest.fixture
def closing():
    visit = visit_here()
    learning.card_closed(visit, by=garage.person(), now=timezone.now())
    return Closing.objects.filter(visit=visit)


def refused():
    return pytest.raises(IntegrityError, match=r"never (closed anew|changed)")


@pytest.mark.parametrize("other", ["at", "by", "visit"])
def test_nothing_of_a_closing_changes(closing, other):
    values = {"at": timezone.now() - timedelta(days=3), "by": garage.person(), "visit": visit_here()}
    with refused(), transaction.atomic():
        closing.update(**{other: values[other]})


@pytest.fixture
def come_back(closing):
    learning.came_back(closing.get().visit, by=garage.person(), now=timezone.now())
    return ComeBack.objects.filter(closing=closing.get())


def test_a_come_back_is_withdrawn_once_and_not_marked_again(come_back):
    by = garage.person()
    assert come_back.update(withdrawn_at=timezone.now(), withdrawn_by=by) == 1
    for values in ({"withdrawn_at": None, "withdrawn_by": None}, {"withdrawn_at": timezone.now()}):
        with refused(), transaction.atomic():
            come_back.update(**values)
    assert come_back.get().withdrawn_by == by


@pytest.mark.parametrize("other", ["at", "by", "closing"])
def test_nothing_else_of_a_come_back_changes_along_with_its_withdrawal(come_back, other):
    visit = visit_here()
    learning.card_closed(visit, by=garage.person(), now=timezone.now())
    values = {"at": timezone.now() - timedelta(days=3), "by": garage.person(), "closing": visit.closing}
    withdrawn = {"withdrawn_at": timezone.now(), "withdrawn_by": garage.person()}
    for also in (withdrawn, {}):
        with refused(), transaction.atomic():
            come_back.update(**also, **{other: values[other]})


def test_a_come_back_is_not_deleted(come_back):
    with refused(), transaction.atomic():
        come_back._raw_delete("default")
    assert come_back.exists()


def test_a_card_has_only_one_come_back_that_counts(come_back):
    with pytest.raises(IntegrityError), transaction.atomic():
        ComeBack.objects.create(closing=come_back.get().closing, at=timezone.now(), by=garage.person())


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
    judged = KeptJudgement.objects.filter(pk=judgements.judge_again(visit_here(), now=timezone.now()).pk)
    with refused(), transaction.atomic():
        judged.update(route="fix-first")
    with refused(), transaction.atomic():
        judged.update(learned=None, edition="another")
