"""One reminder of a request that nobody answered, then the ring list."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from garage.changes.visit import visits
from garage.models.messages import Message
from garage.models.owners import Owner
from garage.models.shop import Shop
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from jobs.changes import asking_again, closing, consents
from jobs.models.consents import AskedAgain, Consent
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db
TUESDAY = datetime(2026, 3, 3, 10, tzinfo=UTC)  # in winter the garage's clock shows UTC
NEXT_DAY = TUESDAY + timedelta(hours=24)


@pytest.fixture
def visit():
    by = garage.boss()
    row = jobs.card(by=by, opened_at=TUESDAY - timedelta(hours=2)).visit
    Shop.objects.update(ask_again_hours=24)
    return row


@pytest.fixture
def consent(visit):
    return ask(visit)


def ask(visit, at=TUESDAY, **given):
    values = {"words": "A new chain, fitted.", "price": Decimal("85.00"), "by": visit.card.opened_by, "now": at}
    return consents.ask(visit, **values | given)


def reminded(now):
    """How many mails the sweep writes at that time."""
    before = Message.objects.count()
    asking_again.ask_all_again(now=now)
    return Message.objects.count() - before


def since(visit):
    return Visit.objects.get(pk=visit.pk).asked_since


def test_an_owner_is_reminded_once_after_the_time_that_the_shop_sets(consent, visit):
    assert reminded(NEXT_DAY - timedelta(minutes=1)) == 0
    assert [reminded(NEXT_DAY), reminded(NEXT_DAY), reminded(NEXT_DAY + timedelta(days=9))] == [1, 0, 0]
    mail = Message.objects.get(what="may_we_do_more_again")
    assert "A new chain, fitted." in mail.text
    assert "£85.00" in mail.text
    assert f"/asked/{consent.pk}/" in mail.text
    assert since(visit) == TUESDAY
    assert TrailRow.objects.filter(visit=visit, did="reminded: asked about more work, £85.00").count() == 1


def test_a_second_worker_that_looked_before_the_first_one_wrote_changes_nothing(consent):
    asking_again.ask_again(consent, now=NEXT_DAY)
    asking_again.ask_again(consent, now=NEXT_DAY)
    assert (AskedAgain.objects.count(), Message.objects.filter(what="may_we_do_more_again").count()) == (1, 1)


@pytest.mark.parametrize("answer", ["yes", "no"])
def test_after_the_answer_nobody_is_reminded_and_nobody_rung(consent, visit, answer):
    asking_again.ask_again(consent, now=NEXT_DAY)
    consents.answer_by_owner(consent, answer=answer, now=NEXT_DAY)
    assert since(visit) is None
    other = ask(visit, at=NEXT_DAY)
    consents.answer_by_owner(other, answer=answer, now=NEXT_DAY)
    asking_again.ask_again(other, now=NEXT_DAY + timedelta(days=3))  # found before the answer came
    assert reminded(NEXT_DAY + timedelta(days=3)) == 0


def test_what_was_asked_anew_is_reminded_of_in_place_of_the_old_one(consent, visit):
    asking_again.ask_again(consent, now=NEXT_DAY)
    by = visit.card.opened_by
    consents.ask_anew(consent, words="A chain and a sprocket.", price=Decimal("99.00"), by=by, now=NEXT_DAY)
    assert since(visit) is None
    assert reminded(NEXT_DAY + timedelta(hours=24)) == 1
    assert since(visit) == NEXT_DAY


def test_the_oldest_of_two_says_since_when(consent, visit):
    other = ask(visit, at=TUESDAY + timedelta(hours=3))
    assert reminded(NEXT_DAY + timedelta(hours=4)) == 2
    assert since(visit) == TUESDAY
    consents.answer_by_owner(consent, answer="yes", now=NEXT_DAY)
    assert since(visit) == other.asked_at


def test_no_reminder_when_the_card_is_closed_or_the_visit_is_over(consent, visit):
    asking_again.ask_again(consent, now=NEXT_DAY)
    closing.close_with_nothing_wrong(visit, by=visit.card.opened_by, now=NEXT_DAY)
    assert since(visit) is None
    assert reminded(NEXT_DAY + timedelta(days=2)) == 0


def test_nothing_goes_out_at_night_nor_on_days_that_do_not_count(visit):
    ask(visit, at=TUESDAY.replace(day=7, hour=12))  # a Saturday; Sunday is closed
    assert reminded(TUESDAY.replace(day=8, hour=18)) == 0
    assert reminded(TUESDAY.replace(day=9, hour=11)) == 0
    ask(visit, at=TUESDAY.replace(hour=2))
    assert reminded(TUESDAY.replace(day=4, hour=3)) == 0
    assert reminded(TUESDAY.replace(day=4, hour=8)) == 1


def test_a_shop_can_do_without(consent):
    Shop.objects.update(ask_again_hours=0)
    assert reminded(NEXT_DAY + timedelta(days=5)) == 0


def test_an_owner_without_an_address_is_on_the_ring_list_and_gets_no_second_mail(consent, visit):
    Owner.objects.update(email="")
    assert reminded(NEXT_DAY) == 0
    assert since(visit) == TUESDAY


def test_the_ring_list_says_since_when_and_gives_the_number(consent, visit, client):
    client.force_login(visit.card.opened_by)
    assert "not answered since" not in client.get(reverse("ring-list")).text
    reminded(NEXT_DAY)
    said = client.get(reverse("ring-list")).text
    assert "not answered since Tuesday 3 March" in said
    assert f"Ring {visit.owner.telephone}" in said
    consents.answer_by_owner(consent, answer="no", now=NEXT_DAY)
    assert "not answered since" not in client.get(reverse("ring-list")).text


def test_the_card_gives_the_number_to_ring_and_says_when_the_owner_was_reminded(consent, visit, client):
    client.force_login(visit.card.opened_by)
    said = client.get(reverse("card", args=[visit.number])).text
    assert f'ring {visit.owner.name}, <a href="tel:' in said
    reminded(NEXT_DAY)
    said = client.get(reverse("card", args=[visit.number])).text
    assert "reminded Wednesday 4 March" in said
    assert "not answered since Tuesday 3 March" in said


def test_calling_it_off_takes_it_off_the_ring_list(client):
    by = garage.boss()
    garage.shop(ask_again_hours=24)
    row = garage.visit(starts_at=TUESDAY + timedelta(days=9))
    Consent.objects.create(visit=row, words="More", price=Decimal(9), asked_at=TUESDAY, asked_by=by)
    asking_again.ask_all_again(now=NEXT_DAY)
    client.force_login(by)
    assert "not answered since" in client.get(reverse("ring-list")).text
    visits.call_off(row, by=by, why="", now=NEXT_DAY)
    assert "not answered since" not in client.get(reverse("ring-list")).text
