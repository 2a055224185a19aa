"""An invoice of work is credited by line, in whole or in part, and never above what is left of it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from garage.core.errors import BadInput
from garage.models.messages import Message
from jobs import tasks
from jobs.changes import credit_notes, invoices, payments
from jobs.models.book import CreditNote, Invoice, Payment
from jobs.reads.access import invoice_of
from jobs.reads.book import creditable, left_on, unpaid
from tests.factories import garage, jobs
from tests.sentences import refuses

pytestmark = pytest.mark.django_db
WHY = "The jet was the wrong one."
JET, CLIP = Decimal("10.00"), Decimal("2.00")


@pytest.fixture
def now():
    return timezone.now()


@pytest.fixture
def by():
    return garage.front_desk()


@pytest.fixture
def invoice(now, by):
    card = jobs.closed_card()
    garage.shop(vat_number="GB980780684")
    jobs.part(card, price_each=JET)
    jobs.part(card, words="Needle clip", price_each=CLIP)
    return invoices.issue(card.visit, by=by, now=now)


def credit(invoice, by, now, how="later", **amounts):
    given = {int(name.removeprefix("line_")): Decimal(amount) for name, amount in amounts.items()}
    return credit_notes.credit(invoice, amounts=given, how=how, why=WHY, by=by, now=now)


def test_a_line_is_credited_in_part_and_what_is_still_to_pay_becomes_less(invoice, by, now):
    note = credit(invoice, by, now, line_1="4.00")
    assert (note.net, note.vat, note.gross) == (Decimal("-3.33"), Decimal("-0.67"), Decimal("-4.00"))
    assert [(line.words, line.gross, line.corrects.index) for line in note.lines.all()] == [
        ("Main jet 98", Decimal("-4.00"), 1)
    ]
    assert (left_on(invoice), left_on(note)) == (Decimal("8.00"), Decimal(0))
    assert [row.left for row in unpaid()] == [Decimal("8.00")]
    assert not Payment.objects.exists()


def test_all_of_it_in_two_notes_comes_to_its_own_net_and_vat(invoice, by, now):
    notes = [
        credit(invoice, by, now, line_1="3.33", line_2="0.01"),
        credit(invoice, by, now, line_1="6.67", line_2="1.99"),
    ]
    assert -sum(note.net for note in notes) == invoice.net
    assert -sum(note.vat for note in notes) == invoice.vat
    assert [line.left for line in creditable(invoice)] == [0, 0]
    assert unpaid() == []
    with refuses("Line 1 is '£0.01'; allowed is nothing more: all of it is credited.", BadInput):
        credit(invoice, by, now, line_1="0.01")


@pytest.mark.parametrize(("amount", "said"), [("2.01", "£2.01"), ("-0.01", "-£0.01"), ("0.005", "£0.01")])
def test_more_than_is_left_of_a_line_is_refused_and_nothing_is_written(invoice, by, now, amount, said):
    with refuses(f"Line 2 is '{said}'; allowed is at most £2.00.", BadInput):
        credit(invoice, by, now, line_1="1.00", line_2=amount)
    assert (Invoice.objects.count(), CreditNote.objects.count(), Payment.objects.count()) == (1, 0, 0)


def test_only_what_was_paid_goes_back_and_with_the_note(invoice, by, now):
    payments.take(invoice, amount=Decimal("11.00"), how="card", by=by, now=now)
    note = credit(invoice, by, now, how="cash", line_1="10.00")
    assert [(paid.amount, paid.how) for paid in note.payments.all()] == [(Decimal("-9.00"), "cash")]
    assert (left_on(invoice), unpaid()) == (0, [])


def test_what_goes_back_later_stands_as_owed_until_it_is_refunded(invoice, by, now):
    payments.take(invoice, amount=Decimal("12.00"), how="card", by=by, now=now)
    credit(invoice, by, now, how="later", line_2="2.00")
    assert [row.left for row in unpaid()] == [Decimal("-2.00")]
    payments.take(invoice, amount=Decimal("-2.00"), how="transfer", by=by, now=now)
    assert unpaid() == []


def test_a_credit_of_nothing_is_refused_in_one_sentence(invoice, by, now):
    with refuses("Nothing would be credited: put an amount beside at least one line."):
        credit(invoice, by, now)


def test_a_credit_note_itself_is_not_credited(invoice, by, now):
    note = credit(invoice, by, now, line_1="4.00")
    with refuses(f"Credit note {note.number} is a credit note itself: what it took off can be invoiced again."):
        credit(note, by, now, line_1="1.00")


def test_the_invoice_of_the_work_stays_the_invoice_and_its_owner_is_told(invoice, by, now):
    note = credit(invoice, by, now, line_1="4.00")
    tasks.make_papers()
    assert invoice_of(invoice.visit) == invoice
    mail = Message.objects.get(what="invoice_credited")
    assert mail.subject == f"Invoice {invoice.number}: credit note {note.number}"
