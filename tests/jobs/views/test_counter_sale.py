"""Sold over the counter: an invoice without a visit, with everything else that an invoice has."""

from __future__ import annotations

import io
from decimal import Decimal

import pytest
from django.urls import reverse
from pypdf import PdfReader

from jobs import tasks
from jobs.models.book import Invoice, Payment
from jobs.reads.book import unpaid
from tests.factories import garage
from tests.forms import keyed

pytestmark = pytest.mark.django_db
SOLD = {"words_1": "Spark plug", "quantity_1": "2", "price_1": "6.00", "how": "cash"}


@pytest.fixture
def desk(client):
    garage.shop(vat_number="GB980780684")
    client.force_login(garage.front_desk())
    return client


def sell(desk, **typed):
    return desk.post(reverse("counter-sale"), keyed(**SOLD | typed))


def test_a_sale_is_a_numbered_invoice_paid_at_once_with_a_paper_and_no_mail(desk):
    typed = keyed(**SOLD, words_2="Loyal customer", price_2="-1", words_3="Manual", price_3="10", rate_3="0")
    for _ in range(2):  # a double-click sells once
        desk.post(reverse("counter-sale"), typed)
    tasks.make_papers()
    invoice = Invoice.objects.get()
    assert (invoice.number, invoice.visit, invoice.buyer["name"]) == (1, None, "Counter sale")
    assert [(line.words, line.gross, line.vat_category) for line in invoice.lines.all()] == [
        ("Spark plug", Decimal("12.00"), "S"),
        ("Discount: Loyal customer", Decimal("-1.00"), "S"),
        ("Manual", Decimal("10.00"), "Z"),
    ]
    assert [(paid.amount, paid.how, paid.visit) for paid in Payment.objects.all()] == [(Decimal("21.00"), "cash", None)]
    pages = [
        reverse("invoice", args=[1]),
        reverse("the-book"),
        reverse("search") + "?q=invoice 1",
        reverse("book-owed"),
    ]
    assert [desk.get(page).status_code for page in pages] == [200] * 4
    paper = PdfReader(io.BytesIO(desk.get(reverse("invoice-pdf", args=[1])).content))
    assert "Spark plug" in paper.pages[0].extract_text()


def test_it_is_paid_in_parts_later_and_credited_like_any_other(desk):
    sell(desk, how="later")
    desk.post(reverse("payment-add", args=[1]), keyed(amount="5", how="card"))
    assert [row.left for row in unpaid()] == [Decimal("7.00")]
    desk.post(reverse("invoice-credit", args=[1]), keyed(line_1="12", how="cash", why="Brought back."))
    assert unpaid() == []
    assert sum(Payment.objects.values_list("amount", flat=True)) == 0


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"words_1": "", "price_1": ""}, "There is nothing on it: fill in at least one line."),
        ({"price_1": ""}, "A line needs a price"),
        ({"words_1": ""}, "A line needs a few words"),
        ({"price_1": "1.23456"}, "an amount in pounds from 0 to 999,999.99"),
        ({"quantity_1": "1000000000000"}, "less than or equal to 9999"),
        ({"price_1": "126"}, "over £250 with VAT a full invoice is needed"),
        ({"price_1": "-1"}, "take less off"),
    ],
)
def test_what_cannot_be_sold_is_one_sentence_and_nothing_is_written(desk, typed, said):
    answer = sell(desk, **typed)
    assert (answer.status_code in (409, 422), said in answer.text) == (True, True)
    assert (Invoice.objects.count(), Payment.objects.count()) == (0, 0)
