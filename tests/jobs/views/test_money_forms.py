"""Every form that moves money carries a key: pressed eight times, or sent again by a reload, it counts once."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.changes.visit import visits
from garage.core import states
from garage.core.keeping.periods import SENT_FORMS
from jobs.changes import invoices, kept_deposits, payments, sent_forms
from jobs.models.book import CreditNote, Invoice, Payment, SentForm
from tests.factories import garage, jobs
from tests.forms import keyed

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]
PRESSES = 8
WHOLE = Decimal("30.00")


@pytest.fixture
def desk(client):
    garage.shop()
    client.force_login(garage.front_desk())
    return client


def closed_card():
    card = jobs.closed_card()
    jobs.part(card, price_each=Decimal("100.00"))
    return card


def invoice():
    return invoices.issue(closed_card().visit, by=garage.boss(), now=timezone.now())


def did_not_come():
    by, now = garage.front_desk(), timezone.now()
    visit = garage.visit(state=states.DEPOSIT_AWAITED, deposit=WHOLE, starts_at=now - timedelta(hours=3))
    payments.deposit(visit, amount=WHOLE, how="cash", by=by, now=now)
    return visits.did_not_come(visit, by=by, now=now)


def kept():
    return kept_deposits.keep(did_not_come(), why="Nobody came.", by=garage.boss(), now=timezone.now())


PAID = {"amount": "10.00", "how": "cash"}
BACK = {"amount": "-10.00", "how": "cash"}
WHY = {"why": "Nobody came."}
# What is posted where, the page it stands on, its number, what is typed, and the rows of the book that it adds.
FORMS = {
    "a deposit": lambda: ("deposit-add", "deposit-add", garage.visit(deposit=WHOLE).number, PAID, (1, 0, 0)),
    "a deposit given back": lambda: ("deposit-add", "deposit-add", did_not_come().number, BACK, (1, 0, 0)),
    "a payment": lambda: ("payment-add", "invoice", invoice().number, PAID, (1, 0, 0)),
    "a deposit kept": lambda: ("deposit-keep", "deposit-keep", did_not_come().number, WHY, (0, 1, 0)),
    "a kept one given back": lambda: (*("credit-note-issue",) * 2, kept().number, PAID | WHY, (1, 1, 1)),
    "an invoice": lambda: ("invoice-issue", "invoice-issue", closed_card().visit.number, {"do": "issue"}, (0, 1, 0)),
}


def key_on(page):
    return {"key": re.search(r'name="key" value="([0-9a-f-]{36})"', page.text)[1]}


def counted():
    return Payment.objects.count(), Invoice.objects.count(), CreditNote.objects.count()


@pytest.mark.parametrize("name", FORMS)
def test_pressed_eight_times_it_is_recorded_once_and_leads_on_each_time(desk, name):
    post, page, number, typed, adds = FORMS[name]()
    sent = typed | key_on(desk.get(reverse(page, args=[number])))
    before = counted()
    answers = [desk.post(reverse(post, args=[number]), sent) for _ in range(PRESSES)]
    assert tuple(now - then for now, then in zip(counted(), before, strict=True)) == adds
    assert {(answer.status_code, answer["Location"]) for answer in answers} == {(302, answers[0]["Location"])}
    assert SentForm.objects.count() == 1


@pytest.mark.parametrize("name", FORMS)
@pytest.mark.parametrize("key", [{}, {"key": ""}, {"key": "no key"}])
def test_without_its_key_it_is_refused_in_a_sentence(desk, name, key):
    post, _, number, typed, _ = FORMS[name]()
    before = counted()
    answer = desk.post(reverse(post, args=[number]), typed | key)
    assert answer.status_code == 422
    assert "open the page again" in answer.text
    assert counted() == before


def test_each_page_has_a_key_of_its_own_so_that_the_same_sum_can_be_paid_twice(desk):
    where = reverse("deposit-add", args=[garage.visit(deposit=WHOLE).number])
    for _ in range(2):
        assert desk.post(where, PAID | key_on(desk.get(where))).status_code == 302
    assert Payment.objects.count() == 2


def test_what_was_refused_can_be_put_right_and_sent_from_the_same_page(desk):
    where = reverse("deposit-add", args=[garage.visit(deposit=WHOLE).number])
    sent = key_on(desk.get(where))
    refused = desk.post(where, PAID | sent | {"amount": "999999"})
    assert refused.status_code == 422
    assert key_on(refused) == sent
    assert desk.post(where, PAID | sent).status_code == 302
    assert Payment.objects.count() == 1


def test_a_key_counts_for_the_visit_whose_page_it_was_on(desk):
    one, other = garage.visit(deposit=WHOLE), garage.visit(deposit=WHOLE)
    sent = PAID | keyed()
    assert desk.post(reverse("deposit-add", args=[one.number]), sent).status_code == 302
    answer = desk.post(reverse("deposit-add", args=[other.number]), sent)
    assert answer.status_code == 409
    assert "This form was sent for another visit: open its page again." in answer.text
    assert Payment.objects.count() == 1


def test_keys_are_forgotten_after_some_months(desk):
    visit, now, by = garage.visit(), timezone.now(), garage.front_desk()
    for at in (now - SENT_FORMS.length, now - SENT_FORMS.length - timedelta(seconds=1)):
        SentForm.objects.create(key=uuid4(), visit=visit, at=at, by=by)
    sent_forms.sweep(now=now)
    assert SentForm.objects.get().at == now - SENT_FORMS.length


@pytest.mark.parametrize("make", [garage.person, garage.front_desk, garage.boss])
def test_nobody_collects_by_setting_the_state_by_hand(client, make):
    """Collecting is a deed of those who handle the money, with a button of its own."""
    visit = jobs.visit_here(state=states.READY)
    client.force_login(make())
    answer = client.post(reverse("visit-state", args=[visit.number]), {"state": "collected"}, follow=True)
    assert "allowed is one of the states on the page" in answer.text
    visit.refresh_from_db()
    assert (visit.state, visit.collected_at) == (states.READY, None)


def test_a_mechanic_does_not_collect(client):
    visit = jobs.visit_here(state=states.READY)
    client.force_login(garage.person())
    assert client.post(reverse("visit-collected", args=[visit.number])).status_code == 403
    visit.refresh_from_db()
    assert visit.state == states.READY
