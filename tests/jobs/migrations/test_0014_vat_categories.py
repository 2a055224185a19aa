"""Papers of the release before say which kind of supply each of their lines was."""

from decimal import Decimal
from importlib import import_module

import pytest
from django.apps import apps
from django.db import connection
from django.utils import timezone

from garage.models.shop import Shop
from jobs.changes.invoices import issue
from jobs.models.book import Invoice, InvoiceLine
from jobs.reads.book import frozen_rates
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db
migration = import_module("jobs.migrations.0014_vat_categories")
GUARDS = 5  # operations that allow changes of an invoice (two), of its lines (two), and more lines


def issued(vat_number="", vat_percent="20"):
    """As the columns are the moment after they were added, which the triggers allow only in the migration."""
    card = jobs.closed_card()
    Shop.objects.update(vat_number=vat_number, vat_percent=Decimal(vat_percent))
    jobs.part(card)
    invoice = issue(card.visit, by=garage.boss(), now=timezone.now())
    InvoiceLine.objects.filter(invoice=invoice).update(vat_category="S")
    Invoice.objects.filter(pk=invoice.pk).update(exemption_words="", vat_by_rate=[r[:3] for r in invoice.vat_by_rate])
    return invoice


def said(invoice):
    invoice.refresh_from_db()
    return invoice.lines.get().vat_category, invoice.exemption_words, invoice.currency


def test_what_stands_is_filled_in_from_what_the_papers_say():
    for guard in migration.Migration.operations[:GUARDS]:
        guard.code(apps, connection.schema_editor())
    standard, zero, outside = issued("GB980780684"), issued("GB980780684", "0"), issued("", "0")
    migration.fill(apps, connection.schema_editor())
    assert said(standard) == ("S", "", "GBP")
    assert said(zero) == ("Z", "", "GBP")
    assert said(outside) == ("O", "Not registered for VAT", "GBP")
    assert [rate.category for rate in frozen_rates(zero)] == ["Z"]
