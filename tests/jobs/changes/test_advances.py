"""A deposit paid to a registered shop: its VAT is due then, and the invoice takes off what was accounted for."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from garage.changes.visit import visits
from garage.core import states
from garage.models.shop import Shop
from garage.reads.shop import the_shop
from jobs.changes import credit_notes, invoices, kept_deposits, payments
from jobs.core.book.journal import HELD, OWED, VAT, journal
from jobs.core.book.vat import accrual, cash, summed
from jobs.models.book import Payment
from jobs.reads.book import deposits_held, unpaid
from jobs.reads.book_facts import book_facts
from tests.accounts import balances
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db
NOW = timezone.now()
BEFORE = NOW - timedelta(days=40)


@pytest.fixture
def by():
    return garage.front_desk()


@pytest.fixture
def visit(by):
    card = jobs.closed_card()
    garage.shop(vat_number="GB980780684")
    jobs.part(card, price_each=Decimal("120.00"))
    return card.visit


def pay(visit, amount, by, now=BEFORE):
    return payments.deposit(visit, amount=Decimal(amount), how="cash", by=by, now=now)


def vat_of(scheme, first, last):
    facts, day = book_facts(the_shop().local_time), the_shop().local_time.day
    return [(rate.percent, rate.vat) for rate in summed(scheme(facts.papers, facts.payments), day(first), day(last))]


def test_its_vat_is_due_the_day_it_is_paid_and_the_rest_with_the_invoice(visit, by):
    pay(visit, "30.00", by)
    assert [vat_of(scheme, BEFORE, BEFORE) for scheme in (accrual, cash)] == [[("20", Decimal("5.00"))]] * 2
    invoice = invoices.issue(visit, by=by, now=NOW)
    assert (invoice.deposit, invoice.deposit_vat, invoice.vat) == (Decimal("30.00"), Decimal("5.00"), Decimal("20.00"))
    assert vat_of(accrual, NOW, NOW) == [("20", Decimal("15.00"))]
    assert vat_of(cash, NOW, NOW) == []
    payments.take(invoice, amount=Decimal("90.00"), how="card", by=by, now=NOW)
    assert vat_of(cash, NOW, NOW) == [("20", Decimal("15.00"))]


def test_several_payments_come_to_the_vat_of_their_sum_and_all_given_back_to_none(visit, by):
    for amount in ("0.99", "0.99", "0.99"):
        pay(visit, amount, by)
    assert sum(Payment.objects.values_list("vat", flat=True)) == Decimal("0.50")  # a sixth of 2.97, half up
    payments.give_deposit_back(visit, amount=Decimal("2.97"), how="cash", by=by, now=NOW)
    assert sum(Payment.objects.values_list("vat", flat=True)) == 0


def test_a_shop_that_is_not_registered_has_no_vat_on_a_deposit(visit, by):
    Shop.objects.update(vat_number="")
    assert pay(visit, "30.00", by).vat is None
    assert invoices.issue(visit, by=by, now=NOW).deposit_vat == 0


def test_a_deposit_of_before_has_its_vat_with_its_invoice(visit, by):
    values = {"visit": visit, "amount": Decimal("30.00"), "how": "cash", "at": BEFORE, "by": by}
    Payment.objects.create(**values, is_deposit=True)
    invoices.issue(visit, by=by, now=NOW)
    assert (vat_of(accrual, BEFORE, BEFORE), vat_of(accrual, NOW, NOW)) == ([], [("20", Decimal("20.00"))])


def test_one_that_is_kept_has_its_vat_once_and_one_given_back_after_all_none(by):
    garage.shop(vat_number="GB980780684")
    visit = garage.visit(state=states.DEPOSIT_AWAITED, deposit=Decimal("30"), starts_at=NOW - timedelta(hours=3))
    pay(visit, "30.00", by)
    visits.did_not_come(visit, by=by, now=NOW)
    kept_deposits.keep(visit, why="Nobody came.", by=by, now=NOW)
    assert vat_of(accrual, BEFORE, NOW) == vat_of(cash, BEFORE, NOW) == [("20", Decimal("5.00"))]
    kept = visit.kept_deposits.get()
    credit_notes.give_back(kept, amount=Decimal("30.00"), how="cash", why="Ill.", by=by, now=NOW)
    assert vat_of(accrual, BEFORE, NOW) == vat_of(cash, BEFORE, NOW) == []


def test_the_accounts_of_the_journal_are_the_sums_of_the_book(visit, by):
    pay(visit, "30.00", by)
    invoice = invoices.issue(visit, by=by, now=NOW)
    payments.take(invoice, amount=Decimal("50.00"), how="card", by=by, now=NOW)
    credit_notes.credit(invoice, amounts={1: Decimal("45.00")}, how="later", why="A gift.", by=by, now=NOW)
    other = garage.visit(state=states.BOOKED, deposit=Decimal("12"), starts_at=NOW + timedelta(days=9))
    pay(other, "12.00", by, now=NOW)
    facts = book_facts(the_shop().local_time)
    sums = balances(journal(facts.papers, facts.payments))
    assert sum(sums.values()) == 0
    assert sums[OWED] == sum(row.left for row in unpaid()) == Decimal("-5.00")
    assert -sums[HELD] + other.payments.get().vat == deposits_held()
    assert -sums[VAT] == Decimal("20.00") - Decimal("7.50") + Decimal("2.00")
