from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from garage.reads.shop import local_time, today
from jobs.changes import invoices, payments
from jobs.models.book import Payment
from jobs.pages.book import book_page
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


def shown(first, last):
    return book_page(first, last, local_time())


def issued(amount):
    card = jobs.closed_card()
    garage.shop(vat_number="GB980780684")
    jobs.part(card, price_each=Decimal(amount))
    return invoices.issue(card.visit, by=garage.boss(), now=timezone.now(), buyer_address="1 Mill Row")


def test_vat_is_summed_by_rate_from_the_invoices_as_they_stand():
    """Three invoices of £3.33 hold 56p VAT each (0.555 half up): £1.68, not the £1.67 of their sum (gross/6)."""
    for _ in range(3):
        issued("3.33")
    page = shown(today(now=timezone.now()), today(now=timezone.now()))
    assert [(rate.percent, rate.net, rate.vat, rate.gross) for rate in page.rates] == [
        ("20", Decimal("8.31"), Decimal("1.68"), Decimal("9.99"))
    ]
    assert (page.net, page.vat, page.gross) == (Decimal("8.31"), Decimal("1.68"), Decimal("9.99"))


def test_what_is_unpaid_is_kept_to_the_penny():
    """0.10 + 0.20 - 0.30 is not nothing in binary floats, which SQLite sums in."""
    paid, unpaid, by = issued("0.30"), issued("0.30"), garage.front_desk()
    for amount in ("0.10", "0.20"):
        payments.take(paid, amount=Decimal(amount), how="cash", by=by, now=timezone.now())
    payments.take(unpaid, amount=Decimal("0.29"), how="cash", by=by, now=timezone.now())
    page = shown(today(now=timezone.now()), today(now=timezone.now()))
    assert [(owed.invoice.number, owed.left) for owed in page.unpaid] == [(unpaid.number, Decimal("0.01"))]
    assert page.unpaid_sum == Decimal("0.01")


def test_payments_are_summed_by_how_they_were_paid():
    invoice, by = issued("100.00"), garage.front_desk()
    payments.take(invoice, amount=Decimal("60.00"), how="card", by=by, now=timezone.now())
    payments.take(invoice, amount=Decimal("40.00"), how="cash", by=by, now=timezone.now())
    payments.take(invoice, amount=Decimal("-5.00"), how="cash", by=by, now=timezone.now())
    page = shown(today(now=timezone.now()), today(now=timezone.now()))
    assert page.came_in == Decimal("95.00")
    assert page.came_in_by == [("card machine", Decimal("60.00")), ("cash", Decimal("35.00"))]


def test_a_period_holds_its_first_and_last_local_day_whole():
    """In British summer time 23:30 UTC on 30 June is 1 July in Ambleford."""
    visit, by = jobs.visit_here(), garage.front_desk()
    for moment in (datetime(2026, 6, 30, 22, 30, tzinfo=UTC), datetime(2026, 6, 30, 23, 30, tzinfo=UTC)):
        Payment.objects.create(visit=visit, amount=Decimal("1.00"), how="cash", at=moment, by=by)
    june = shown(date(2026, 6, 1), date(2026, 6, 30))
    july = shown(date(2026, 7, 1), date(2026, 7, 31))
    assert (len(june.payments), len(july.payments)) == (1, 1)


def test_another_period_shows_other_invoices_but_everything_unpaid():
    invoice = issued("10.00")
    before = today(now=timezone.now()) - timedelta(days=40)
    page = shown(before, before)
    assert (page.invoices, page.gross) == ([], Decimal("0.00"))
    assert [owed.invoice.number for owed in page.unpaid] == [invoice.number]


def test_deposits_count_as_held_until_their_visit_is_invoiced():
    visit, by = jobs.visit_here(), garage.front_desk()
    payments.deposit(visit, amount=Decimal("30.00"), how="cash", by=by, now=timezone.now())
    assert shown(today(now=timezone.now()), today(now=timezone.now())).deposits_held == Decimal("30.00")
    card = jobs.card(visit=visit)
    jobs.part(card, price_each=Decimal("50.00"))
    card.closed_at, card.closed_by, card.nothing_wrong = timezone.now(), by, True
    card.save()
    invoices.issue(visit, by=by, now=timezone.now())
    assert shown(today(now=timezone.now()), today(now=timezone.now())).deposits_held == Decimal("0.00")


def test_the_book_takes_no_more_queries_with_more_invoices(django_assert_max_num_queries):
    by = garage.front_desk()
    for _ in range(6):
        payments.take(issued("10.00"), amount=Decimal("3.00"), how="cash", by=by, now=timezone.now())
    with django_assert_max_num_queries(12):
        shown(today(now=timezone.now()), today(now=timezone.now()))
