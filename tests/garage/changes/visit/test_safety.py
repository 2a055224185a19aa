"""What an owner was told about the machine's safety: who, when, how and what, for good."""

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from garage.changes.mail import telling
from garage.changes.visit import safety
from garage.core.errors import BadInput, Refused
from garage.models.messages import Message
from garage.models.owners import Owner
from garage.models.safety import COUNTER, MAIL, TELEPHONE, SafetyRemark
from garage.reads.safety import safety_remarks_of
from tests.factories import garage

pytestmark = pytest.mark.django_db
TYRE = "The rear tyre is worn through to the cords."


@pytest.fixture
def visit():
    garage.shop()
    return garage.visit()


@pytest.mark.parametrize("how", [COUNTER, TELEPHONE])
def test_it_is_kept_who_said_what_when_and_how(visit, how):
    by, now = garage.person(first_name="Ted"), timezone.now()
    safety.told(visit, words=f"  {TYRE}\n", how=how, by=by, now=now)
    [row] = safety_remarks_of(visit)
    assert (row.words, row.how, row.at, row.by) == (TYRE, how, now, by)
    trail = visit.trail.first()
    assert trail.did == f"told the owner {row.get_how_display()} about its safety: {TYRE}"
    assert trail.by_words == by.name
    assert not Message.objects.exists()


def test_by_email_it_is_written_in_the_same_words_and_says_if_it_came_back(visit):
    safety.told_by_mail(visit, words=TYRE, by=garage.person(), now=timezone.now())
    [row] = safety_remarks_of(visit)
    assert (row.how, row.message.to) == (MAIL, visit.owner.email)
    assert TYRE in row.message.text
    assert not row.was_not_reached
    Message.objects.update(bounced_at=timezone.now())
    [row] = safety_remarks_of(visit)
    assert row.was_not_reached
    telling.told(row.message, by=garage.person(), now=timezone.now())
    [row] = safety_remarks_of(visit)
    assert not row.was_not_reached


def test_without_an_address_it_is_to_be_said(visit):
    Owner.objects.update(email="")
    with pytest.raises(Refused, match="say it by telephone or at the counter"):
        safety.told_by_mail(visit, words=TYRE, by=garage.person(), now=timezone.now())
    assert not SafetyRemark.objects.exists()


@pytest.mark.parametrize(("words", "said"), [(" ", "a sentence"), ("x" * 301, "301 characters long")])
def test_nothing_and_too_much_are_refused(visit, words, said):
    with pytest.raises(BadInput, match=said):
        safety.told(visit, words=words, how=COUNTER, by=garage.person(), now=timezone.now())


def test_an_email_is_not_said_to_have_been_spoken(visit):
    with pytest.raises(BadInput, match="at the counter or by telephone"):
        safety.told(visit, words=TYRE, how=MAIL, by=garage.person(), now=timezone.now())


def test_the_database_keeps_it_as_it_is(visit):
    safety.told(visit, words=TYRE, how=COUNTER, by=garage.person(), now=timezone.now())
    with pytest.raises(IntegrityError, match="is never changed"), transaction.atomic():
        SafetyRemark.objects.update(words="Fine")
    with pytest.raises(IntegrityError, match="is never changed"), transaction.atomic():
        SafetyRemark.objects.all().delete()
