"""What was paid of an invoice, and what is left."""

from decimal import Decimal

import pytest
from django.utils import timezone

from jobs.changes import invoices, payments
from jobs.reads.book import frozen_sums, left_on, paid_with_notes, unpaid
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db
NOW = timezone.now()


@pytest.fixture
def invoice():
    card = jobs.closed_card()
    garage.shop(vat_number="GB980780684")
    jobs.part(card, price_each=Decimal("60.00"))
    return invoices.issue(card.visit, by=garage.boss(), buyer_address="1 Mill Row", now=NOW)


def test_the_frozen_sums_are_those_of_the_invoice(invoice):
    sums = frozen_sums(invoice)
    assert (sums.net, sums.vat, sums.gross, sums.left) == tuple(map(Decimal, ("50.00", "10.00", "60.00", "60.00")))
    assert [(rate.percent, rate.net, rate.vat) for rate in sums.rates] == [("20", Decimal("50.00"), Decimal("10.00"))]


def test_what_is_left_goes_down_with_each_payment_and_up_with_what_is_given_back(invoice):
    by = garage.front_desk()
    for amount, left in (("45.00", "15.00"), ("-5.00", "20.00"), ("20.00", "0.00")):
        payments.take(invoice, amount=Decimal(amount), how="cash", by=by, now=NOW)
        assert left_on(invoice) == Decimal(left)
    assert paid_with_notes(invoice) == Decimal("60.00")
    assert unpaid() == []


def test_an_invoice_is_unpaid_to_the_last_penny(invoice):
    payments.take(invoice, amount=Decimal("59.99"), how="card", by=garage.front_desk(), now=NOW)
    assert [(row.invoice, row.left) for row in unpaid()] == [(invoice, Decimal("0.01"))]
