"""No sum lies outside what an invoice can say: guarded by the database too.

What is frozen is put within the bounds as well, since an invoice that no page can show is of no use to anybody. SQLite
rebuilds the tables and drops their triggers, so all of them are made again.
"""

from decimal import Decimal
from importlib import import_module

from django.db import migrations

from garage.migrations._bounds import bounded
from garage.models.lazy_migration import RunPythonLazily
from garage.models.triggers import allow_changes, refuse_changes

POUNDS = (Decimal(0), Decimal("999999.99"))
OR_BACK = (Decimal("-999999.99"), Decimal("999999.99"))

_frozen = import_module("jobs.migrations.0002_frozen")
NO_MORE_LINES = RunPythonLazily(_frozen._runs(_frozen.ADD), _frozen._runs(_frozen.DROP))
MORE_LINES = RunPythonLazily(_frozen._runs(_frozen.DROP), _frozen._runs(_frozen.ADD))
INVOICE = {"when": "OLD.frozen_at IS NOT NULL", "message": _frozen.INVOICE}


class Migration(migrations.Migration):
    dependencies = [("jobs", "0009_credit_notes"), ("garage", "0029_amounts")]

    operations = [
        *allow_changes("jobs_invoice", **INVOICE),
        *allow_changes("jobs_invoiceline", message=_frozen.LINE),
        MORE_LINES,
        *allow_changes("jobs_payment", message=_frozen.PAYMENT),
        *bounded("jobs.cardline", quantity=(0, Decimal(9999)), price_each=POUNDS),
        *bounded("jobs.invoice", **dict.fromkeys(("net", "vat", "gross"), OR_BACK), deposit=POUNDS),
        *bounded(
            "jobs.invoiceline",
            **dict.fromkeys(("price_each", "net", "vat", "gross"), OR_BACK),
            quantity=(0, Decimal(999_999)),
            vat_percent=(0, 100),
        ),
        *bounded("jobs.payment", amount=OR_BACK),
        *refuse_changes("jobs_invoice", **INVOICE),
        *refuse_changes("jobs_invoiceline", message=_frozen.LINE),
        NO_MORE_LINES,
        *refuse_changes("jobs_payment", message=_frozen.PAYMENT),
    ]
