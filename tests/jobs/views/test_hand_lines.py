"""Lines of any kind on a card's invoice: put on before it is issued, taken off again, and one sentence for bad ones."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from garage.core.text.unbroken import kept_together
from jobs.models.book import HandLine, Invoice
from tests.factories import garage, jobs
from tests.forms import keyed

pytestmark = pytest.mark.django_db
OFF = {"kind": "discount", "words": "Club member", "quantity": "1", "price_each": "-10.00"}


@pytest.fixture
def visit(client):
    card = jobs.closed_card()
    garage.shop(vat_number="GB980780684")
    client.force_login(garage.front_desk())
    jobs.part(card, price_each=Decimal("60.00"))
    return card.visit


def put(client, visit, **typed):
    return client.post(reverse("hand-line-add", args=[visit.number]), keyed(**OFF | typed))


def issued(client, visit):
    client.post(reverse("invoice-issue", args=[visit.number]), {"do": "issue"} | keyed())
    return Invoice.objects.get()


def test_each_kind_says_what_it_is_and_takes_off_where_it_must(client, visit):
    put(client, visit)
    put(client, visit, kind="goodwill", words="You waited", price_each="-5")
    put(client, visit, kind="warranty", words="New seal", price_each="0")
    put(client, visit, kind="extra", words="A book on jets", price_each="12", vat_percent="0")
    put(client, visit, kind="extra", words="A course", price_each="7", exempt_why="Education")
    invoice = issued(client, visit)
    assert [(line.words, line.gross, line.vat_percent, line.vat_category) for line in invoice.lines.all()] == [
        ("Main jet 98", Decimal("60.00"), 20, "S"),
        ("Discount: Club member", Decimal("-10.00"), 20, "S"),
        ("Goodwill: You waited", Decimal("-5.00"), 20, "S"),
        ("Under warranty: New seal", Decimal("0.00"), 20, "S"),
        ("A book on jets", Decimal("12.00"), 0, "Z"),
        ("A course", Decimal("7.00"), 0, "E"),
    ]
    assert (invoice.gross, invoice.vat, invoice.exemption_words) == (Decimal("64.00"), Decimal("7.50"), "Education")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"price_each": "-60.01"}, "The lines at 20 % VAT come to -£0.01"),
        ({"price_each": "10"}, "an amount with a minus in front, which is taken off"),
        ({"kind": "warranty", "price_each": "1"}, "0, or an amount with a minus in front"),
        ({"kind": "extra"}, "0 or more: money off is a discount"),
        ({"quantity": "1000000000000"}, "Ensure this value is less than or equal to 9999"),
        ({"price_each": "1.23456"}, "an amount in pounds from 0 to 999,999.99"),
        ({"kind": "extra", "price_each": "999999", "quantity": "9999"}, "an invoice takes at most £999,999.99"),
        ({"kind": "magic"}, "Select a valid choice"),
    ],
)
def test_what_fits_no_invoice_is_one_sentence_and_keeps_what_was_typed(client, visit, typed, said):
    answer = put(client, visit, **typed)
    assert answer.status_code in (409, 422)
    assert kept_together(said) in answer.text.replace("&#x27;", "'")
    assert ("Club member" in answer.text, HandLine.objects.count()) == (True, 0)


def test_a_line_is_taken_off_again_until_the_invoice_is_issued(client, visit):
    put(client, visit)
    line = HandLine.objects.get()
    strike = reverse("hand-line-strike", args=[visit.number, line.pk])
    assert strike in client.get(reverse("invoice-issue", args=[visit.number])).text
    client.post(strike)
    assert issued(client, visit).gross == Decimal("60.00")
    answer = client.post(reverse("hand-line-add", args=[visit.number]), keyed(**OFF), follow=True)
    assert "credit it to take something off" in answer.text


def test_a_double_click_puts_one_line_on(client, visit):
    typed = keyed(**OFF)
    for _ in range(2):
        client.post(reverse("hand-line-add", args=[visit.number]), typed)
    assert HandLine.objects.count() == 1


def test_where_money_off_exceeds_the_rest_later_the_page_says_so_and_issues_nothing(client, visit):
    put(client, visit, price_each="-60")
    visit.card.lines.update(struck_at=visit.booked_at)
    page = client.get(reverse("invoice-issue", args=[visit.number]))
    assert (page.status_code, "come to -£60.00" in page.text) == (200, True)
    client.post(reverse("invoice-issue", args=[visit.number]), {"do": "issue"} | keyed())
    assert not Invoice.objects.exists()
