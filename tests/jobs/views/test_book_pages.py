"""The pages of the book for the bookkeeper: VAT by both schemes, who owes what, an owner's statement, the journal."""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from jobs.changes import credit_notes, invoices, payments
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 5, 12, 10, tzinfo=UTC)  # the minutes before it are of the same month, which the pages show


@pytest.fixture(autouse=True)
def _a_clock_in_the_middle_of_a_month(monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: NOW)


@pytest.fixture
def invoice(client):
    card, by = jobs.closed_card(), garage.front_desk()
    garage.shop(vat_number="GB980780684")
    client.force_login(by)
    jobs.part(card, price_each=Decimal("120.00"))
    payments.deposit(card.visit, amount=Decimal("30.00"), how="cash", by=by, now=NOW - timedelta(minutes=3))
    row = invoices.issue(card.visit, by=by, now=NOW - timedelta(minutes=2))
    payments.take(row, amount=Decimal("45.00"), how="card", by=by, now=NOW - timedelta(minutes=1))
    credit_notes.credit(row, amounts={1: Decimal("12.00")}, how="later", why="A scratch.", by=by, now=NOW)
    return row


def shown(client, name, *args, **query):
    return " ".join(client.get(reverse(name, args=args), query).text.split())


def test_the_vat_of_a_period_stands_by_both_schemes(client, invoice):
    page = client.get(reverse("book-vat")).context["page"]
    # accrual: 20.00 less the note's 2.00; cash: 75.00 of 108.00 is paid, 75/108 of 18.00 is 12.50
    assert [(scheme.net, scheme.vat) for scheme in page.schemes] == [
        (Decimal("90.00"), Decimal("18.00")),
        (Decimal("62.50"), Decimal("12.50")),
    ]
    assert (page.advances_net, page.advances_vat) == (Decimal("25.00"), Decimal("5.00"))
    assert "£25.00 and £5.00 VAT, due the day each was paid" in shown(client, "book-vat")
    assert "Nothing with VAT in this period." in shown(client, "book-vat", first="2020-01-01", last="2020-03-31")


def test_the_invoice_shows_the_vat_of_its_deposit_as_accounted_for(client, invoice):
    said = '<th scope="row">In it, VAT accounted for when it was paid</th><td class="number">£5.00</td>'
    assert said in shown(client, "invoice", invoice.number)


def test_who_owes_what_is_aged_from_the_day_it_is_due(client, invoice):
    page = client.get(reverse("book-owed")).context["page"]
    assert next((band.band, band.left) for band in page.bands) == ("not due yet", Decimal("33.00"))
    assert [(row.owed.left, row.band) for row in page.rows] == [(Decimal("33.00"), "not due yet")]
    assert reverse("owner-statement", args=[invoice.visit.owner_id]) in shown(client, "book-owed")


def test_a_statement_has_every_paper_and_payment_with_what_was_owed_after_it(client, invoice):
    owner = invoice.visit.owner_id
    rows = client.get(reverse("owner-statement", args=[owner])).context["page"].rows
    assert [(row.words, row.amount, row.owed) for row in rows] == [
        ("Deposit paid, cash", Decimal("-30.00"), Decimal("-30.00")),
        (f"Invoice {invoice.number}", Decimal("120.00"), Decimal("90.00")),
        ("Paid, card machine", Decimal("-45.00"), Decimal("45.00")),
        (f"Credit note {invoice.number + 1}", Decimal("-12.00"), Decimal("33.00")),
    ]
    paper = PdfReader(io.BytesIO(client.get(reverse("owner-statement-pdf", args=[owner])).content))
    assert "£33.00 to pay." in " ".join(paper.pages[0].extract_text().split())


def test_the_journal_of_a_period_balances(client, invoice):
    answer = client.get(reverse("book-journal"))
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    rows = list(csv.DictReader(io.StringIO(answer.text, newline="")))
    debit, credit = (sum(Decimal(row[side] or 0) for row in rows) for side in ("debit", "credit"))
    assert debit == credit > 0
    assert {row["document"].split()[0] for row in rows} == {"Visit", "Invoice", "Credit"}


@pytest.mark.parametrize(("name", "most"), [("book-vat", 12), ("book-owed", 12), ("book-journal", 12)])
def test_as_many_queries_whatever_the_book_holds(client, invoice, name, most, django_assert_max_num_queries):
    with django_assert_max_num_queries(most):
        client.get(reverse(name))


@pytest.mark.parametrize("name", ["book-vat", "book-owed", "book-journal"])
def test_a_mechanic_reads_none_of_it(client, invoice, name):
    client.force_login(garage.person())
    assert client.get(reverse(name)).status_code == 403
