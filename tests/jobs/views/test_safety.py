"""Remarks on the machine's safety stand on visit, card and papers."""

from datetime import timedelta

import pytest
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone

from garage.changes.visit import safety
from garage.models.safety import COUNTER, SafetyRemark
from garage.reads.shop import the_shop
from jobs.changes import invoices
from jobs.pages.card import card_page
from jobs.papers import invoice
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db
TYRE = "The rear tyre is worn through to the cords."


@pytest.fixture
def visit(client):
    client.force_login(garage.person(first_name="Ida"))
    return jobs.visit_here()


def test_a_mechanic_puts_it_down_and_it_stands_on_visit_and_card(client, visit):
    page = reverse("visit-safety", args=[visit.number])
    answer = client.post(page, {"words": TYRE, "how": "telephone"})
    assert answer.url == f"{reverse('visit', args=[visit.number])}#safety"
    for name in ("visit", "card", "visit-safety"):
        text = client.get(reverse(name, args=[visit.number])).text
        assert TYRE in text
        assert "Ida" in text
        assert "by telephone" in text


def test_by_email_it_is_sent(client, visit):
    client.post(reverse("visit-safety", args=[visit.number]), {"words": TYRE, "how": "mail"})
    assert TYRE in visit.messages.get().text


@pytest.mark.parametrize("wrong", [{"words": ""}, {"words": "x" * 301}, {"how": ""}, {"how": "shouted"}])
def test_what_cannot_be_used_is_said_and_stays_typed(client, visit, wrong):
    typed = {"words": TYRE, "how": "counter"} | wrong
    answer = client.post(reverse("visit-safety", args=[visit.number]), typed)
    assert answer.status_code == 422
    assert typed["words"] in answer.text
    assert not SafetyRemark.objects.exists()


def test_it_is_printed_on_card_and_invoice_but_not_what_was_told_after_the_invoice(client, visit, monkeypatch):
    by, now = garage.front_desk(), timezone.now()
    safety.told(visit, words=TYRE, how=COUNTER, by=by, now=now)
    card = jobs.closed_card(visit=visit)
    jobs.part(card)
    issued = invoices.issue(visit, by=by, now=now)
    safety.told(visit, words="The chain is slack.", how=COUNTER, by=by, now=now + timedelta(minutes=1))
    paper = render_to_string("papers/card.html", {"page": card_page(visit, now=now), "shop": the_shop()})
    assert TYRE in paper
    assert "The chain is slack." in paper
    monkeypatch.setattr(invoice, "pdf_to_keep", lambda text, inside: text.encode())
    printed = invoice.invoice_pdf(issued).decode()
    assert TYRE in printed
    assert "The chain is slack." not in printed
