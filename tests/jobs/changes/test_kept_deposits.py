"""A deposit that is kept is income with a paper of its own, and not held any more."""

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
from garage.models.visits import Visit
from jobs import tasks
from jobs.changes import invoices, kept_deposits, payments
from jobs.models.book import Invoice, KeptDeposit
from jobs.reads.access import invoice_of, kept_deposit_of
from jobs.reads.book import deposits_held, left_on, unpaid
from jobs.reads.to_invoice import deposit_of
from tests.factories import garage, jobs
from tests.sentences import check_noted, refuses

pytestmark = pytest.mark.django_db
WHOLE = Decimal("30.00")


@pytest.fixture
def now():
    return timezone.now()


@pytest.fixture
def by():
    return garage.front_desk()


@pytest.fixture
def visit(now, by):
    """Its deposit was paid, and it did not come."""
    garage.shop(vat_number="GB999999973", cancel_words="Later than a day before we keep it.")
    visit = garage.visit(state=states.DEPOSIT_AWAITED, deposit=WHOLE, starts_at=now - timedelta(hours=3))
    payments.deposit(visit, amount=WHOLE, how="transfer", by=by, now=now)
    return visits.did_not_come(visit, by=by, now=now)


def keep(visit, by, now, why="Nobody came and nobody rang."):
    return kept_deposits.keep(visit, why=why, by=by, now=now)


def test_it_is_income_with_its_vat_on_a_numbered_frozen_paper_and_paid(visit, by, now):
    invoice = keep(visit, by, now)
    assert (invoice.net, invoice.vat, invoice.gross, invoice.deposit) == (
        Decimal("25.00"),  # 30.00 × 100/120
        Decimal("5.00"),
        WHOLE,
        WHOLE,
    )
    line = invoice.lines.get()
    assert line.words == f"Deposit kept, visit {visit.number}: Set-up, did not come"
    assert invoice.frozen_at == now
    assert left_on(invoice) == 0
    assert unpaid() == []
    check_noted("deposit of £30.00 kept: Nobody came and nobody rang.", by=by, at=now, visit=visit)


def test_it_is_held_until_then_and_not_afterwards(visit, by, now):
    assert (deposits_held(), deposit_of(visit)) == (WHOLE, WHOLE)
    keep(visit, by, now)
    assert (deposits_held(), deposit_of(visit)) == (0, 0)
    row = Visit.objects.get(pk=visit.pk)
    assert (row.deposit_paid, row.deposit_then) == (0, "")


def test_a_shop_without_vat_keeps_all_of_it(visit, by, now):
    garage.shop(vat_number="")
    invoice = keep(visit, by, now)
    assert (invoice.net, invoice.vat, invoice.vat_by_rate) == (WHOLE, 0, [])


def test_the_owner_gets_the_paper_with_the_reason(visit, by, now):
    invoice = keep(visit, by, now)
    tasks.make_papers()
    message = Message.objects.get(what="deposit_kept")
    assert "We keep the deposit of £30.00: Nobody came and nobody rang." in message.text
    assert "Later than a day before we keep it." in message.text
    assert [row.name for row in message.enclosures.all()] == [f"invoice-{invoice.number}.pdf"]
    assert not Message.objects.filter(what="invoice_issued").exists()


def test_what_the_workshop_calls_off_cannot_be_kept(now, by):
    garage.shop()
    visit = garage.visit(state=states.DEPOSIT_AWAITED, deposit=WHOLE)
    payments.deposit(visit, amount=WHOLE, how="cash", by=by, now=now)
    visits.call_off(visit, why="The rollers are broken.", by=by, now=now)
    with refuses(f"The deposit of visit {visit.number} goes back to its owner: it can't be kept."):
        keep(visit, by, now)
    assert not Invoice.objects.exists()


def test_there_must_be_one_and_only_once(visit, by, now):
    keep(visit, by, now)
    for without in (visit, garage.visit()):
        with refuses(f"There is no deposit of visit {without.number} to keep: look at its page."):
            keep(without, by, now)


@pytest.mark.parametrize("why", ["", "  ", "x" * 201])
def test_a_reason_is_needed(visit, by, now, why):
    with pytest.raises(BadInput, match="a few words"):
        keep(visit, by, now, why)
    assert not Invoice.objects.exists()
    assert Visit.objects.get(pk=visit.pk).deposit_paid == WHOLE


def test_a_large_one_needs_the_owners_address_as_any_invoice(visit, by, now):
    Visit.objects.update(deposit_paid=0)
    visit.refresh_from_db()
    Visit.objects.update(state=states.DEPOSIT_AWAITED, deposit=Decimal("300"))
    payments.deposit(visit, amount=Decimal("270.01"), how="transfer", by=by, now=now)
    Visit.objects.update(state=states.DID_NOT_COME, deposit_then="decide")
    with pytest.raises(BadInput, match="a full invoice is needed"):
        keep(visit, by, now)


def test_a_visit_that_comes_after_all_has_its_own_deposit_and_its_own_invoice(visit, by, now):
    kept, later = keep(visit, by, now), now + timedelta(days=3)
    Visit.objects.filter(pk=visit.pk).update(state=states.HERE)
    payments.deposit(visit, amount=Decimal("20.00"), how="cash", by=by, now=later)
    assert deposit_of(visit) == Decimal("20.00")
    card = jobs.closed_card(visit=visit)
    jobs.part(card, price_each=Decimal("60.00"))
    invoice = invoices.issue(visit, by=by, now=later)
    assert (invoice.number, invoice.deposit, left_on(invoice)) == (kept.number + 1, Decimal("20.00"), Decimal("40.00"))
    assert invoice_of(visit) == invoice
    assert kept_deposit_of(visit).invoice == kept
    assert deposits_held() == 0


def test_the_database_itself_refuses_to_change_or_forget_it(visit, by, now):
    keep(visit, by, now)
    for change in (
        lambda: KeptDeposit.objects.update(why="Other"),
        lambda: KeptDeposit.objects.all()._raw_delete("default"),
    ):
        with pytest.raises(IntegrityError, match="never changed"), transaction.atomic():
            change()
