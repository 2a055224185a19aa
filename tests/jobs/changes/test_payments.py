from decimal import Decimal

import pytest
from django.utils import timezone

from garage.core import states
from garage.core.errors import BadInput, Refused
from garage.core.money import MOST
from garage.models.trail import TrailRow
from jobs.changes import estimate_answers, invoices, payments
from jobs.models.book import Payment
from jobs.reads.book import left_on
from tests.factories import garage, jobs
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db


def issued(amount="100.00", deposit=None):
    card = jobs.card()
    jobs.part(card, price_each=Decimal(amount))
    if deposit:
        payments.deposit(card.visit, amount=Decimal(deposit), how="card", by=garage.front_desk(), now=timezone.now())
    card.closed_at, card.closed_by, card.nothing_wrong = card.opened_at, card.opened_by, True
    card.save()
    return invoices.issue(card.visit, by=garage.boss(), now=timezone.now())


def test_a_whole_deposit_books_the_visit_for_good():
    visit = jobs.visit_here(state=states.DEPOSIT_AWAITED, arrived_at=None, deposit=Decimal("30.00"))
    by = garage.front_desk()
    payments.deposit(visit, amount=Decimal("10.00"), how="cash", by=by, now=timezone.now())
    visit.refresh_from_db()
    assert (visit.state, visit.deposit_paid) == (states.DEPOSIT_AWAITED, Decimal("10.00"))
    payments.deposit(visit, amount=Decimal("20.00"), how="transfer", by=by, now=timezone.now())
    visit.refresh_from_db()
    assert (visit.state, visit.deposit_paid) == (states.BOOKED, Decimal("30.00"))
    assert [payment.is_deposit for payment in visit.payments.all()] == [True, True]


@pytest.mark.parametrize("amount", ["0", "-5"])
def test_a_deposit_of_nothing_or_less_is_refused(amount):
    with pytest.raises(BadInput, match="more than 0"):
        payments.deposit(
            jobs.visit_here(), amount=Decimal(amount), how="cash", by=garage.front_desk(), now=timezone.now()
        )


def test_deposits_come_to_no_more_than_the_visit_may_cost():
    by, visit = garage.front_desk(), jobs.visit_here()
    jobs.part(jobs.card(visit=visit), price_each=Decimal("80.00"))
    payments.deposit(visit, amount=Decimal("150.00"), how="cash", by=by, now=timezone.now())
    with pytest.raises(BadInput, match=r"up to £50\.00"):
        payments.deposit(visit, amount=Decimal("50.01"), how="cash", by=by, now=timezone.now())
    payments.deposit(visit, amount=Decimal("50.00"), how="cash", by=by, now=timezone.now())
    with pytest.raises(BadInput, match=r"nothing more: it covers the price and what is agreed or on the card"):
        payments.deposit(visit, amount=Decimal("0.01"), how="cash", by=by, now=timezone.now())
    visit.refresh_from_db()
    assert visit.deposit_paid == Decimal("200.00")


def test_what_the_owner_said_yes_to_may_be_paid_ahead_and_no_more():
    by, visit = garage.front_desk(), jobs.visit_here()
    estimate = jobs.estimate(visit, lines=[jobs.estimate_line(quantity=Decimal(1), price_each=Decimal("300.00"))])
    with pytest.raises(BadInput, match=r"up to £120\.00"):
        payments.deposit(visit, amount=Decimal("120.01"), how="cash", by=by, now=timezone.now())
    estimate_answers.answer_by_owner(estimate, answer="yes", now=timezone.now())
    with pytest.raises(BadInput, match=r"up to £420\.00"):
        payments.deposit(visit, amount=Decimal("420.01"), how="cash", by=by, now=timezone.now())
    payments.deposit(visit, amount=Decimal("420.00"), how="cash", by=by, now=timezone.now())


def test_two_deposits_of_all_that_a_column_holds_are_one():
    by, visit = garage.front_desk(), jobs.visit_here(price=MOST, deposit=MOST)
    payments.deposit(visit, amount=MOST, how="cash", by=by, now=timezone.now())
    with pytest.raises(BadInput, match="nothing more"):
        payments.deposit(visit, amount=MOST, how="cash", by=by, now=timezone.now())
    visit.refresh_from_db()
    assert visit.deposit_paid == MOST


def test_no_deposit_is_taken_on_an_invoiced_visit():
    invoice = issued()
    with pytest.raises(Refused, match="on its invoice"):
        payments.deposit(invoice.visit, amount=Decimal("5.00"), how="cash", by=garage.front_desk(), now=timezone.now())
    assert not Payment.objects.exists()


def test_payments_bring_what_is_left_down_to_nothing_and_no_further():
    invoice, by = issued("100.10"), garage.front_desk()
    payments.take(invoice, amount=Decimal("40.05"), how="cash", by=by, now=timezone.now())
    assert left_on(invoice) == Decimal("60.05")
    with pytest.raises(BadInput, match=r"up to £60\.05"):
        payments.take(invoice, amount=Decimal("60.06"), how="cash", by=by, now=timezone.now())
    payments.take(invoice, amount=Decimal("60.05"), how="card", by=by, now=timezone.now())
    assert left_on(invoice) == 0
    assert "took £60.05" in TrailRow.objects.filter(visit=invoice.visit).first().did


def test_a_payment_by_mistake_is_refunded_by_another_row():
    invoice, by = issued(), garage.front_desk()
    payments.take(invoice, amount=Decimal("100.00"), how="cash", by=by, now=timezone.now())
    payments.take(invoice, amount=Decimal("-100.00"), how="cash", by=by, now=timezone.now())
    assert left_on(invoice) == Decimal("100.00")
    with pytest.raises(BadInput):
        payments.take(invoice, amount=Decimal("-0.01"), how="cash", by=by, now=timezone.now())
    assert [payment.amount for payment in invoice.payments.all()] == [Decimal("100.00"), Decimal("-100.00")]


def test_a_deposit_larger_than_the_invoice_is_given_back_and_no_more():
    invoice, by = issued("15.00", deposit="40.00"), garage.front_desk()
    assert left_on(invoice) == Decimal("-25.00")
    with pytest.raises(BadInput):
        payments.take(invoice, amount=Decimal("-25.01"), how="cash", by=by, now=timezone.now())
    payments.take(invoice, amount=Decimal("-25.00"), how="cash", by=by, now=timezone.now())
    assert left_on(invoice) == 0


def test_a_payment_of_nothing_or_by_an_unknown_way_is_refused():
    invoice = issued()
    with pytest.raises(BadInput, match="amount"):
        payments.take(invoice, amount=Decimal(0), how="cash", by=garage.front_desk(), now=timezone.now())
    with pytest.raises(BadInput, match="cash, card or transfer"):
        payments.take(invoice, amount=Decimal("5.00"), how="shells", by=garage.front_desk(), now=timezone.now())


def test_the_deposit_of_a_called_off_visit_is_given_back_once():
    visit, by = jobs.visit_here(), garage.front_desk()
    payments.deposit(visit, amount=Decimal("30.00"), how="card", by=by, now=timezone.now())
    visit.state = states.CALLED_OFF
    visit.save(update_fields=["state"])
    payments.give_deposit_back(visit, amount=Decimal("30.00"), how="transfer", by=by, now=timezone.now())
    visit.refresh_from_db()
    assert (visit.state, visit.deposit_paid) == (states.CALLED_OFF, Decimal("0.00"))
    assert [payment.amount for payment in visit.payments.all()] == [Decimal("30.00"), Decimal("-30.00")]
    with pytest.raises(BadInput, match=r"up to £0\.00"):
        payments.give_deposit_back(visit, amount=Decimal("0.01"), how="cash", by=by, now=timezone.now())
    assert visit.payments.count() == 2


def test_no_deposit_is_given_back_on_an_invoiced_visit():
    invoice = issued(deposit="40.00")
    with pytest.raises(Refused, match="on its invoice"):
        payments.give_deposit_back(
            invoice.visit, amount=Decimal("5.00"), how="cash", by=garage.front_desk(), now=timezone.now()
        )


def test_each_payment_is_kept_whole():
    visit, by, now = jobs.visit_here(), garage.front_desk(), timezone.now()

    def check(payment, amount, how, is_deposit, invoice=None):
        payment.refresh_from_db()
        assert (payment.visit, payment.invoice, payment.amount) == (visit, invoice, Decimal(amount))
        assert (payment.how, payment.is_deposit, payment.by, payment.at) == (how, is_deposit, by, now)

    taken = payments.deposit(visit, amount=Decimal("30.00"), how="card", by=by, now=now)
    check(taken, "30.00", "card", is_deposit=True)
    check_noted("deposit of £30.00 paid", by=by, at=now, visit=visit)
    back = payments.give_deposit_back(visit, amount=Decimal("30.00"), how="transfer", by=by, now=now)
    check(back, "-30.00", "transfer", is_deposit=True)
    check_noted("deposit of £30.00 given back", by=by, at=now, visit=visit)
    card = jobs.closed_card(visit=visit)
    jobs.part(card, price_each=Decimal("10.00"))
    invoice = invoices.issue(visit, by=garage.boss(), now=now)
    paid = payments.take(invoice, amount=Decimal("4.00"), how="cash", by=by, now=now)
    check(paid, "4.00", "cash", is_deposit=False, invoice=invoice)
    said = f"took £4.00 on invoice {invoice.number}, cash"
    check_noted(said, by=by, at=now, visit=visit, invoice=invoice.number)
    back = payments.take(invoice, amount=Decimal("-4.00"), how="card", by=by, now=now)
    check(back, "-4.00", "card", is_deposit=False, invoice=invoice)
    said = f"gave back £4.00 on invoice {invoice.number}, card machine"
    check_noted(said, by=by, at=now, visit=visit, invoice=invoice.number)


def test_what_may_be_taken_or_given_back_now_is_said_whole():
    invoice, by, now = issued("10.00"), garage.front_desk(), timezone.now()

    def refused(amount, found, allowed):
        with refuses(f"amount is '{found}'; allowed is {allowed}.", BadInput):
            payments.take(invoice, amount=Decimal(amount), how="cash", by=by, now=now)

    refused("10.01", "£10.01", "up to £10.00, what is left to pay")
    none_stands = " (a minus gives back a payment, and none stands on this invoice)"
    refused("-0.01", "-£0.01", "up to £10.00, what is left to pay" + none_stands)
    payments.take(invoice, amount=Decimal("4.00"), how="cash", by=by, now=now)
    refused("6.01", "£6.01", "up to £6.00, what is left to pay or down to -£4.00 to give back")
    refused("-4.01", "-£4.01", "up to £6.00, what is left to pay or down to -£4.00 to give back")
    payments.take(invoice, amount=Decimal("6.00"), how="cash", by=by, now=now)
    refused("0.01", "£0.01", "down to -£10.00 to give back")


def test_an_invoice_that_the_deposit_has_paid_takes_nothing():
    invoice, by = issued("40.00", deposit="40.00"), garage.front_desk()
    with refuses("amount is '£0.01'; allowed is nothing: it is paid.", BadInput):
        payments.take(invoice, amount=Decimal("0.01"), how="cash", by=by, now=timezone.now())
    minus = " (a minus gives back a payment, and none stands on this invoice)"
    with refuses(f"amount is '-£0.01'; allowed is nothing: it is paid{minus}.", BadInput):
        payments.take(invoice, amount=Decimal("-0.01"), how="cash", by=by, now=timezone.now())


def test_the_refusals_of_a_deposit_are_said_whole():
    by, now = garage.front_desk(), timezone.now()
    visit = jobs.visit_here()
    allowed = "more than 0, up to £120.00: with that it covers the price and what is agreed or on the card"
    with refuses(f"deposit is '£0.00'; allowed is {allowed}.", BadInput):
        payments.deposit(visit, amount=Decimal(0), how="cash", by=by, now=now)
    with refuses("how it was paid is 'shells'; allowed is cash, card or transfer.", BadInput):
        payments.deposit(visit, amount=Decimal(5), how="shells", by=by, now=now)
    visit = issued().visit
    for change in (payments.deposit, payments.give_deposit_back):
        with refuses("This visit is invoiced already: take the money, or give it back, on its invoice."):
            change(visit, amount=Decimal(5), how="cash", by=by, now=now)
    assert payments.deposit(jobs.visit_here(), amount=Decimal("0.01"), how="cash", by=by, now=now).pk
