"""Amounts that no page could show: refused by the database, and old ones mended by the migration."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal

import pytest
from django.apps import apps
from django.db import DataError, IntegrityError, connection, models, transaction
from django.utils import timezone

from garage.migrations._bounds import bounded, bounded_or_empty
from garage.models.bounds import POUNDS
from garage.models.owners import Machine
from garage.models.packers import PackerStock
from garage.models.shop import Shop, VisitKind
from garage.models.trail import TrailRow
from garage.models.visits import Visit
from jobs.models.book import Payment
from jobs.models.cards import CardLine
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db
TOO_MUCH = Decimal("999999.99") + 1


@contextmanager
def unguarded(model: type[models.Model]) -> Iterator[None]:
    """As in the release before: without the constraint."""
    (name,) = (each.name for each in model._meta.constraints if each.name.endswith("_amounts"))
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA ignore_check_constraints = ON")
        else:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # or what this test has written still waits to be checked
            cursor.execute(f"ALTER TABLE {model._meta.db_table} DROP CONSTRAINT {name}")
        try:
            yield
        finally:
            if connection.vendor == "sqlite":
                cursor.execute("PRAGMA ignore_check_constraints = OFF")


@pytest.mark.parametrize(
    ("model", "name", "value"),
    [
        (Visit, "deposit_paid", Decimal(-1)),
        (Visit, "price", TOO_MUCH),
        (VisitKind, "deposit", TOO_MUCH),
        (Shop, "call_pence", 1_000_001),
        (Shop, "vat_percent", Decimal("100.01")),
        (PackerStock, "price_each", TOO_MUCH),
        (CardLine, "quantity", Decimal("9999.01")),
        (Machine, "stroke_mm", Decimal(9)),
    ],
)
def test_the_database_itself_refuses_an_amount_out_of_bounds(model, name, value):
    jobs.part(jobs.card())
    PackerStock.objects.create(thickness_mm=1, count=1, price_each=1)
    assert model.objects.exists()
    with pytest.raises((IntegrityError, DataError)), transaction.atomic():  # PostgreSQL knows the columns' width too
        model.objects.update(**{name: value})


def test_a_payment_out_of_bounds_is_refused_too():
    visit, by = jobs.visit_here(), garage.front_desk()
    with pytest.raises((IntegrityError, DataError)), transaction.atomic():
        Payment.objects.create(visit=visit, amount=-TOO_MUCH, how="cash", at=timezone.now(), by=by)


def mend(operations):
    """The part of a migration that comes before its constraint."""
    operations[0].code(apps, connection.schema_editor())


def test_an_old_amount_outside_is_put_to_the_nearer_bound_and_the_trail_keeps_what_it_was():
    low, high, fine = garage.visit(), garage.visit(), garage.visit(price=Decimal("120.00"))
    with unguarded(Visit):
        Visit.objects.filter(pk=low.pk).update(price=Decimal(-5))
        if connection.vendor == "sqlite":  # the other knows the width of its columns
            with connection.cursor() as cursor:
                cursor.execute("UPDATE garage_visit SET price = 1999999.98 WHERE id = %s", [high.pk])
        mend(bounded("garage.visit", price=POUNDS))
    prices = dict(Visit.objects.values_list("pk", "price"))
    assert (prices[low.pk], prices[fine.pk]) == (0, Decimal("120.00"))
    said = list(TrailRow.objects.values_list("did", flat=True))
    assert any(line.startswith(f"put price of visit {low.pk} from -5") for line in said)
    if connection.vendor == "sqlite":
        assert prices[high.pk] == Decimal("999999.99")
        assert f"put price of visit {high.pk} from 1999999.98 to 999999.99: it was out of bounds" in said


def test_a_measure_that_cannot_be_is_not_known_any_more():
    machine = garage.machine(rod_mm=Decimal(110))
    with unguarded(Machine):
        Machine.objects.update(stroke_mm=Decimal(5))
        mend(bounded_or_empty("garage.machine", stroke_mm=(10, 200), rod_mm=(20, 400)))
    machine.refresh_from_db()
    assert (machine.stroke_mm, machine.rod_mm) == (None, Decimal(110))
