"""The deposit on the pages: awaited until a day, missed on the ring list, given back or kept when a visit is over."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from garage.changes.visit import visits
from garage.core import states
from garage.models.shop import Shop
from garage.models.visits import Visit
from garage.reads import links
from garage.reads.shop import today
from jobs.changes import payments
from jobs.models.book import Invoice
from tests.factories import garage
from tests.forms import keyed

pytestmark = pytest.mark.django_db
WHOLE = Decimal("30.00")


@pytest.fixture
def desk(client):
    garage.shop(cancel_words="Later than a day before we keep it.")
    client.force_login(garage.front_desk())
    return client


def awaited(**given):
    return garage.visit(**{"state": states.DEPOSIT_AWAITED, "deposit": WHOLE} | given)


def did_not_come():
    visit = awaited(starts_at=timezone.now() - timedelta(hours=3))
    by = garage.front_desk()
    payments.deposit(visit, amount=WHOLE, how="transfer", by=by, now=timezone.now())
    return visits.did_not_come(visit, by=by, now=timezone.now())


def words(answer):
    return " ".join(answer.text.split())


def yesterday():
    return today(now=timezone.now()) - timedelta(days=1)


def test_workshop_and_owner_read_until_when_it_is_awaited(desk, client):
    visit = awaited(deposit_due_on="2035-05-04")
    assert "£30.00 to come by Friday 4 May 2035" in words(desk.get(reverse("visit", args=[visit.number])))
    owners = client.get(reverse("owner-visit", args=[links.token(visit, links.VISIT)]))
    assert "Please pay it by Friday 4 May 2035." in words(owners)


def test_one_that_did_not_come_is_on_the_ring_list_with_the_words_to_text(desk):
    visit = awaited(deposit_due_on=yesterday())
    said = words(desk.get(reverse("ring-list")))
    assert "Deposits that have not come" in said
    assert "sms:+447700900123?body=Quarry%20Lane%20Rolling%20Road%3A%20the%20deposit%20of%20%C2%A330.00" in said
    assert "The time is free again on" not in said
    Shop.objects.update(deposit_frees_after_days=2)
    assert "The time is free again on" in words(desk.get(reverse("ring-list")))
    wait = reverse("deposit-wait", args=[visit.number])
    assert desk.get(wait).status_code == 200
    answer = desk.post(wait, {"day": f"{today(now=timezone.now())}"}, follow=True)
    assert f"Visit {visit.number} keeps its time until then." in answer.text
    assert "Deposits that have not come" not in answer.text


def test_a_day_past_the_visit_is_refused_in_one_sentence_and_stays_typed(desk):
    visit = awaited(deposit_due_on=yesterday())
    answer = desk.post(reverse("deposit-wait", args=[visit.number]), {"day": "2099-01-01"})
    assert answer.status_code == 422
    assert answer.text.count("a day from today to") == 1
    assert 'value="2099-01-01"' in answer.text


def test_a_mechanic_rings_but_takes_no_money(client, desk):
    visit = awaited(deposit_due_on=yesterday())
    client.force_login(garage.person())
    said = client.get(reverse("ring-list")).text
    assert reverse("deposit-wait", args=[visit.number]) in said
    assert f'"{reverse("deposit-add", args=[visit.number])}"' not in said
    assert client.get(reverse("deposit-keep", args=[visit.number])).status_code == 403


def test_it_is_kept_with_a_reason_and_leads_to_its_invoice(desk):
    visit = did_not_come()
    book = words(desk.get(reverse("the-book")))
    assert "Deposits of visits that are over" in book
    assert "to be kept or given back" in book
    keep = reverse("deposit-keep", args=[visit.number])
    assert keep in desk.get(reverse("visit", args=[visit.number])).text
    assert "Later than a day before we keep it." in desk.get(keep).text
    answer = desk.post(keep, keyed(why="Nobody came."), follow=True)
    invoice = Invoice.objects.get()
    assert answer.redirect_chain == [(reverse("invoice", args=[invoice.number]), 302)]
    assert f"Deposit kept, visit {visit.number}" in answer.text
    page = words(desk.get(reverse("visit", args=[visit.number])))
    assert f"Invoice {invoice.number}</a>, £30.00: Nobody came." in page
    assert "Refund the deposit" not in page
    assert "Deposits of visits that are over" not in desk.get(reverse("the-book")).text


def test_one_that_was_paid_without_being_asked_for_is_shown_as_kept_too(desk, client):
    visit = did_not_come()
    Visit.objects.filter(pk=visit.pk).update(deposit=0)
    desk.post(reverse("deposit-keep", args=[visit.number]), keyed(why="Nobody came."))
    assert "£30.00: Nobody came." in words(desk.get(reverse("visit", args=[visit.number])))
    owners = client.get(reverse("owner-visit", args=[links.token(visit, links.VISIT)]))
    assert "We kept the deposit of £30.00: Nobody came." in words(owners)


def test_the_owner_reads_that_it_was_kept_and_opens_its_paper(desk, client):
    visit = did_not_come()
    desk.post(reverse("deposit-keep", args=[visit.number]), keyed(why="Nobody came."))
    token = links.token(visit, links.VISIT)
    assert "We kept the deposit of £30.00: Nobody came." in words(client.get(reverse("owner-visit", args=[token])))
    assert client.get(reverse("owner-invoice", args=[token]))["Content-Type"] == "application/pdf"


def test_without_a_reason_it_is_not_kept(desk):
    visit = did_not_come()
    answer = desk.post(reverse("deposit-keep", args=[visit.number]), keyed(why=" "))
    assert answer.status_code == 422
    assert not Invoice.objects.exists()


@pytest.mark.parametrize(("ticked", "said"), [({}, "goes back"), ({"owner_asked": "on"}, "to be kept or given back")])
def test_who_wished_to_call_it_off_late_decides_about_the_deposit(desk, ticked, said):
    visit = awaited(starts_at=timezone.now() + timedelta(hours=3))
    payments.deposit(visit, amount=WHOLE, how="cash", by=garage.front_desk(), now=timezone.now())
    call_off = reverse("visit-call-off", args=[visit.number])
    assert "If we call it off, it goes back to the owner." in words(desk.get(call_off))
    answer = desk.post(call_off, {"why": "Ill."} | ticked, follow=True)
    assert f"£30.00 paid, <b>{said}" in words(answer)
    assert Visit.objects.get().state == states.CALLED_OFF


def test_what_is_given_back_is_typed_already(desk):
    visit = did_not_come()
    address = reverse("deposit-add", args=[visit.number])
    assert 'value="-30.00"' in desk.get(address).text
    desk.post(address, keyed(amount="-30.00", how="transfer"))
    assert Visit.objects.get().deposit_paid == 0
