"""What the database itself refuses, whoever asks."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from jobs.changes import invoices
from jobs.models.book import Invoice, InvoiceLine, Payment
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


def issued():
    card = jobs.closed_card()
    jobs.part(card)
    return invoices.issue(card.visit, by=garage.boss(), now=timezone.now())


def refused():
    return pytest.raises(IntegrityError, match=r"frozen|never changed")


def test_an_issued_invoice_is_not_changed():
    invoice = issued()
    with refused(), transaction.atomic():
        Invoice.objects.filter(pk=invoice.pk).update(gross=Decimal("1.00"))
    with refused(), transaction.atomic():
        Invoice.objects.filter(pk=invoice.pk).update(frozen_at=None)
    with refused(), transaction.atomic():
        Invoice.objects.filter(pk=invoice.pk).update(currency="EUR")
    assert Invoice.objects.get(pk=invoice.pk).gross == Decimal("4.50")


def test_an_issued_invoice_is_not_deleted():
    invoice = issued()
    with refused(), transaction.atomic():
        Invoice.objects.filter(pk=invoice.pk)._raw_delete("default")
    assert Invoice.objects.filter(pk=invoice.pk).exists()


def test_its_lines_are_not_changed_deleted_or_added_to():
    invoice = issued()
    line = invoice.lines.get()
    with refused(), transaction.atomic():
        InvoiceLine.objects.filter(pk=line.pk).update(words="something else")
    with refused(), transaction.atomic():
        InvoiceLine.objects.filter(pk=line.pk)._raw_delete("default")
    line.pk, line.index = None, 2
    with refused(), transaction.atomic():
        line.save(force_insert=True)
    assert [row.words for row in invoice.lines.all()] == ["Main jet 98"]


def test_an_invoice_not_frozen_yet_takes_lines_and_changes():
    """The same setup before it is frozen, so the refusals above come from freezing it."""
    invoice = issued()
    line = invoice.lines.get()
    invoice.pk, invoice.number, invoice.frozen_at = None, invoice.number + 1, None
    invoice.save(force_insert=True)
    line.pk, line.invoice = None, invoice
    line.save(force_insert=True)
    Invoice.objects.filter(pk=invoice.pk).update(frozen_at=timezone.now() + timedelta(seconds=1))
    assert invoice.lines.count() == 1


def test_a_payment_is_not_changed_or_deleted():
    payment = Payment.objects.create(
        visit=jobs.visit_here(), amount=Decimal("20.00"), how="cash", at=timezone.now(), by=garage.front_desk()
    )
    with refused(), transaction.atomic():
        Payment.objects.filter(pk=payment.pk).update(amount=Decimal("2.00"))
    with refused(), transaction.atomic():
        Payment.objects.filter(pk=payment.pk)._raw_delete("default")
    assert Payment.objects.get(pk=payment.pk).amount == Decimal("20.00")
