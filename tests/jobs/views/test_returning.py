"""A come-back is named on the visit's page; card and invoice say so, and it is charged only if somebody says why."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from diagnostics.changes import causes, learning
from diagnostics.models.returning import ReturningVisit
from garage.core import states
from jobs.changes import closing, come_back_charges, invoices
from jobs.core.billing.charges import Charge, uncharged
from jobs.core.billing.invoice import Line
from jobs.models.book import Invoice
from jobs.models.cards import Card
from tests.factories import garage, jobs
from tests.sentences import refuses

pytestmark = pytest.mark.django_db
WHY = "Crashed in between."


@pytest.fixture
def desk(client):
    person = garage.front_desk()
    client.force_login(person)
    return person


@pytest.fixture
def earlier(desk):
    card = jobs.closed_card()
    causes.confirm(card.visit, fault="spark-module", by=desk, now=timezone.now())
    learning.card_closed(card.visit, by=desk, now=timezone.now())
    return card.visit


@pytest.fixture
def visit(earlier, desk):
    visit = garage.visit(machine=earlier.machine, owner=earlier.owner, state=states.HERE, arrived_at=timezone.now())
    jobs.part(jobs.card(visit=visit, by=desk), price_each=Decimal("4.50"))
    return visit


def page(client, name, number):
    return client.get(reverse(name, args=[number])).text


def named(client, visit, earlier, do="is"):
    return client.post(reverse("visit-come-back", args=[visit.number]), {"do": do, "earlier": earlier.number})


def close(client, visit, **given):
    if not visit.causes.exists():
        causes.confirm(visit, fault="spark-module", by=garage.person(), now=timezone.now())
    return client.post(reverse("card-close", args=[visit.number]), {"with": "causes"} | given)


def test_the_page_offers_it_and_then_visit_card_and_paper_say_so(client, visit, earlier):
    assert f"A come-back of visit {earlier.number}: no charge" in page(client, "visit", visit.number)
    assert named(client, visit, earlier).url == reverse("visit", args=[visit.number])
    for name in ("visit", "card"):
        shown = page(client, name, visit.number)
        assert "the ignition unit breaks down" in shown
        assert "Nothing is charged." in shown
    assert client.get(reverse("card-pdf", args=[visit.number])).status_code == 200
    named(client, visit, earlier, do="not")
    assert not ReturningVisit.objects.exists()


def test_closing_asks_and_keeps_asking_until_it_is_said(client, visit, earlier):
    named(client, visit, earlier)
    assert "Was it that again?" in page(client, "card", visit.number)
    assert "say whether it was the same trouble again" in close(client, visit).text
    assert Card.objects.get(visit=visit).closed_at is None
    assert close(client, visit, again="yes").status_code == 302
    assert "It was that again." in page(client, "card", visit.number)
    assert "Nothing is learned from this card" in page(client, "card", earlier.number)


def test_the_invoice_shows_what_was_done_and_that_it_is_free(client, visit, earlier, desk):
    named(client, visit, earlier)
    close(client, visit, again="no")
    shown = page(client, "invoice-issue", visit.number)
    assert f"Come-back of visit {earlier.number}: no charge" in shown
    invoice = invoices.issue(visit, by=desk, now=timezone.now())
    assert (invoice.gross, invoice.net, invoice.vat) == (0, 0, 0)
    assert [line.gross for line in invoice.lines.all()] == [Decimal("4.50"), Decimal("-4.50")]
    with refuses(f"Visit {visit.number} has invoice {invoice.number}: what it charges stays."):
        come_back_charges.charge_after_all(visit, why=WHY, by=desk, now=timezone.now())


def test_charged_after_all_with_a_reason_it_costs_what_it_costs(client, visit, earlier, desk):
    named(client, visit, earlier)
    address = reverse("visit-come-back-charge", args=[visit.number])
    assert "why a come-back is charged" in client.post(address, {"do": "charge", "why": ""}, follow=True).text
    client.post(address, {"do": "charge", "why": WHY})
    assert WHY in page(client, "card", visit.number)
    client.post(address, {"do": "nothing"})
    assert "Nothing is charged." in page(client, "visit", visit.number)
    client.post(address, {"do": "charge", "why": WHY})
    close(client, visit, again="no")
    invoices.issue(visit, by=desk, now=timezone.now())
    assert Invoice.objects.get().gross == Decimal("4.50")


def test_whoever_does_not_handle_money_does_not_charge_it(client, visit, earlier):
    named(client, visit, earlier)
    client.force_login(garage.person(first_name="Mechanic"))
    assert client.post(reverse("visit-come-back-charge", args=[visit.number]), {"why": WHY}).status_code == 403
    assert "Charge it after all" not in page(client, "visit", visit.number)


@pytest.mark.parametrize("earlier_number", ["", "x", "99999999999"])
def test_a_number_that_is_none_is_not_found(client, visit, earlier_number):
    answer = client.post(reverse("visit-come-back", args=[visit.number]), {"earlier": earlier_number})
    assert answer.status_code == 404


def test_closing_by_a_change_asks_too(visit, earlier, desk, client):
    named(client, visit, earlier)
    with refuses(closing.SAY_WHETHER):
        closing.close_with_nothing_wrong(visit, worked_min={}, by=desk, now=timezone.now())


def test_what_costs_nothing_needs_no_line_that_takes_it_off():
    free = (Charge(Line("part", "Washer", Decimal(1), Decimal(0))),)
    assert uncharged(free, words="no charge") == free
    assert uncharged((), words="no charge") == ()
