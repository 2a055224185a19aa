"""A kept deposit given back after all: a numbered, frozen credit note, and the money in the book."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from garage.changes.visit import visits
from garage.core import states
from garage.core.errors import BadInput
from garage.models.messages import Message
from garage.models.shop import Shop
from jobs import tasks
from jobs.changes import credit_notes, invoices, kept_deposits, payments
from jobs.models.book import CreditNote, Invoice, Payment, Series
from jobs.reads.access import invoice_of, kept_deposit_of
from jobs.reads.book import deposits_held, given_back, left_on, unpaid
from tests.factories import garage, jobs
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
WHOLE, PART = Decimal("30.00"), Decimal("10.00")
WHY = "He was in hospital."


@pytest.fixture
def now():
    return timezone.now()


@pytest.fixture
def by():
    return garage.front_desk()


@pytest.fixture
def kept(now, by):
    garage.shop(vat_number="GB999999973")
    visit = garage.visit(state=states.DEPOSIT_AWAITED, deposit=WHOLE, starts_at=now - timedelta(hours=3))
    payments.deposit(visit, amount=WHOLE, how="transfer", by=by, now=now)
    visits.did_not_come(visit, by=by, now=now)
    kept_deposits.keep(visit, why="Nobody came.", by=by, now=now)
    return kept_deposit_of(visit)


def give_back(kept, by, now, amount=PART, how="transfer", why=WHY):
    return credit_notes.give_back(kept, amount=amount, how=how, why=why, by=by, now=now)


def test_it_has_the_next_number_of_the_invoices_and_names_what_it_corrects(kept, by, now):
    note = give_back(kept, by, now)
    assert (note.number, note.title, kept.invoice.title) == (
        kept.invoice.number + 1,
        f"Credit note {kept.invoice.number + 1}",
        f"Invoice {kept.invoice.number}",
    )
    assert (note.net, note.vat, note.gross) == (Decimal("-8.33"), Decimal("-1.67"), -PART)  # 10.00 × 100/120
    assert note.vat_by_rate == [["20", "-8.33", "-1.67", "S"]]
    assert note.lines.get().words == f"Given back of the deposit kept on invoice {kept.invoice.number}"
    assert (note.seller, note.buyer, note.frozen_at) == (kept.invoice.seller, kept.invoice.buyer, now)
    row = CreditNote.objects.get()
    assert (row.invoice, row.kept, row.why, row.at, row.by) == (note, kept, WHY, now, by)


def test_the_money_goes_back_in_the_book_and_nothing_stays_owed(kept, by, now):
    note = give_back(kept, by, now, how="cash")
    payment = Payment.objects.last()
    assert (payment.visit, payment.invoice, payment.amount, payment.how) == (kept.visit, note, -PART, "cash")
    assert (payment.is_deposit, payment.at, payment.by) == (False, now, by)
    assert (left_on(note), left_on(kept.invoice), unpaid(), deposits_held()) == (0, 0, [], 0)
    did = f"gave back £10.00 of the deposit kept on invoice {kept.invoice.number}, credit note {note.number}: {WHY}"
    check_noted(did, by=by, at=now, visit=kept.visit, invoice=note.number)


def test_parts_of_it_come_to_the_papers_own_net_and_vat_and_no_more(kept, by, now):
    notes = [give_back(kept, by, now, Decimal(amount)) for amount in ("10.01", "9.98", "10.01")]
    assert sum(note.net for note in notes) == -kept.invoice.net
    assert sum(note.vat for note in notes) == -kept.invoice.vat
    assert given_back(kept) == WHOLE
    with refuses(f"All of the deposit kept on invoice {kept.invoice.number} is given back already."):
        give_back(kept, by, now, Decimal("0.01"))


@pytest.mark.parametrize(("amount", "found"), [("20.01", "£20.01"), ("0", "£0.00"), ("-10", "-£10.00")])
def test_more_than_is_still_kept_nothing_or_a_minus_is_refused_with_what_is_allowed(kept, by, now, amount, found):
    give_back(kept, by, now)
    said = f"amount is '{found}'; allowed is more than 0, without a minus, up to £20.00, what is still kept."
    with refuses(said, BadInput):
        give_back(kept, by, now, Decimal(amount))
    assert given_back(kept) == PART


@pytest.mark.parametrize("given", [{"why": " "}, {"why": "x" * 201}, {"how": "shells"}])
def test_what_is_refused_takes_no_number(kept, by, now, given):
    with pytest.raises(BadInput):
        give_back(kept, by, now, **given)
    assert Series.objects.get().last == kept.invoice.number
    assert not CreditNote.objects.exists()


def test_a_paper_without_vat_has_none_given_back_also_once_the_shop_is_registered(by, now):
    garage.shop(vat_number="")
    visit = garage.visit(state=states.DEPOSIT_AWAITED, deposit=WHOLE, starts_at=now - timedelta(hours=3))
    payments.deposit(visit, amount=WHOLE, how="cash", by=by, now=now)
    visits.did_not_come(visit, by=by, now=now)
    kept_deposits.keep(visit, why="Nobody came.", by=by, now=now)
    Shop.objects.update(vat_number="GB999999973")
    note = give_back(kept_deposit_of(visit), by, now)
    assert (note.net, note.vat, note.vat_by_rate, note.seller["vat_number"]) == (-PART, 0, [], "")


def test_the_owner_gets_it_with_the_reason(kept, by, now):
    tasks.make_papers()
    note = give_back(kept, by, now)
    tasks.make_papers()
    message = Message.objects.get(what="deposit_given_back")
    assert message.subject == f"Deposit for visit {kept.visit.number}: credit note {note.number}"
    assert f"We give you back £10.00 of the deposit that we kept for visit {kept.visit.number}" in message.text
    assert WHY in message.text
    assert f"It corrects invoice {kept.invoice.number}." in message.text
    assert [row.name for row in message.enclosures.all()] == [f"credit-note-{note.number}.pdf"]
    assert not Message.objects.filter(what="invoice_issued").exists()


def test_a_minus_on_its_invoice_or_as_its_deposit_says_the_way_and_on_the_note_itself_that_it_went_back(kept, by, now):
    number = kept.invoice.number
    way = (
        f"The deposit on invoice {number} was kept: it is given back with a credit note. "
        f"Open invoice {number} and follow “Give it back”."
    )
    with refuses(way):
        payments.take(kept.invoice, amount=-PART, how="cash", by=by, now=now)
    with refuses(way):
        payments.give_deposit_back(kept.visit, amount=PART, how="cash", by=by, now=now)
    note = give_back(kept, by, now)
    for amount in (PART, -PART):
        with refuses(f"The money went back with credit note {note.number}: there is nothing to take or refund."):
            payments.take(note, amount=amount, how="cash", by=by, now=now)


def test_a_visit_that_comes_after_all_is_invoiced_as_any(kept, by, now):
    note = give_back(kept, by, now)
    kept.visit.state = states.HERE
    kept.visit.save(update_fields=["state"])
    assert invoice_of(kept.visit) is None
    jobs.part(jobs.closed_card(visit=kept.visit), price_each=Decimal("60.00"))
    invoice = invoices.issue(kept.visit, by=by, now=now)
    assert (invoice.number, invoice_of(kept.visit)) == (note.number + 1, invoice)


def test_the_database_itself_refuses_to_change_or_forget_it(kept, by, now):
    note = give_back(kept, by, now)
    for change in (
        lambda: CreditNote.objects.update(why="Other"),
        lambda: CreditNote.objects.all()._raw_delete("default"),
        lambda: Invoice.objects.filter(pk=note.pk).update(gross=Decimal("-1.00")),
    ):
        with pytest.raises(IntegrityError, match=r"never changed|frozen"), transaction.atomic():
            change()
