"""Papers of the book may lose who they were written to once their time is over, and what was said of a deposit.

Numbers, days and sums stay frozen whatever happens.
"""

from importlib import import_module

from django.db import migrations

from garage.models.triggers import allow_changes, refuse_but_to_forget

_frozen = import_module("jobs.migrations.0002_frozen")
INVOICE, LINE = _frozen.INVOICE, _frozen.LINE
IS_FROZEN = "OLD.frozen_at IS NOT NULL"
KEPT, CREDIT = "A kept deposit is never changed or deleted.", "A credit note is never changed or deleted."
SUMS = ("id", "number", "visit_id", "issued_on", "supplied_on", "issued_at", "issued_by_id", "frozen_at", "seller")


class Migration(migrations.Migration):
    dependencies = [("jobs", "0011_money_forms"), ("garage", "0041_forgetting")]

    operations = [
        *allow_changes("jobs_invoice", message=INVOICE, when=IS_FROZEN, changes=["UPDATE"]),
        *refuse_but_to_forget(
            "jobs_invoice",
            stays=[*SUMS, "net", "vat", "gross", "vat_by_rate", "deposit"],
            message=INVOICE,
            when=IS_FROZEN,
        ),
        *allow_changes("jobs_invoiceline", message=LINE, changes=["UPDATE"]),
        *refuse_but_to_forget(
            "jobs_invoiceline",
            stays=["id", "invoice_id", "index", "quantity", "unit", "price_each", "vat_percent", "net", "vat", "gross"],
            message=LINE,
        ),
        *allow_changes("jobs_keptdeposit", message=KEPT, changes=["UPDATE"]),
        *refuse_but_to_forget("jobs_keptdeposit", stays=["id", "visit_id", "invoice_id", "at", "by_id"], message=KEPT),
        *allow_changes("jobs_creditnote", message=CREDIT, changes=["UPDATE"]),
        *refuse_but_to_forget("jobs_creditnote", stays=["id", "invoice_id", "kept_id", "at", "by_id"], message=CREDIT),
    ]
