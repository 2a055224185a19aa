"""Credit notes of the release before, which were for kept deposits alone, name what they correct."""

from datetime import timedelta
from decimal import Decimal
from importlib import import_module

import pytest
from django.apps import apps
from django.db import connection
from django.utils import timezone

from garage.changes.visit import visits
from garage.core import states
from jobs.changes import credit_notes, kept_deposits, payments
from jobs.models.book import CreditNote, InvoiceLine
from jobs.reads.book import creditable, left_on
from tests.factories import garage

pytestmark = pytest.mark.django_db
migration = import_module("jobs.migrations.0015_credit_for_any_invoice")


def test_a_credit_note_of_before_names_the_paper_and_its_line():
    garage.shop(vat_number="GB980780684")
    now, by, whole = timezone.now(), garage.front_desk(), Decimal("30.00")
    visit = garage.visit(state=states.DEPOSIT_AWAITED, deposit=whole, starts_at=now - timedelta(hours=3))
    payments.deposit(visit, amount=whole, how="cash", by=by, now=now)
    visits.did_not_come(visit, by=by, now=now)
    paper = kept_deposits.keep(visit, why="Nobody came.", by=by, now=now)
    kept = visit.kept_deposits.get()
    note = credit_notes.give_back(kept, amount=Decimal("10.00"), how="cash", why="Ill.", by=by, now=now)
    for operation in migration.FREE:
        operation.code(apps, connection.schema_editor())
    CreditNote.objects.update(corrects=None)
    InvoiceLine.objects.filter(invoice=note).update(corrects=None)
    migration.name_what_they_correct(apps, connection.schema_editor())
    assert CreditNote.objects.get().corrects == paper
    assert [line.left for line in creditable(paper)] == [Decimal("20.00")]
    assert (left_on(paper), left_on(note)) == (0, 0)
