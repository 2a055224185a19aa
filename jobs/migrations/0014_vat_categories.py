"""Which kind of supply each line is, why no VAT is charged where none is, and in which money a paper is written.

What stands is filled in from what the papers say. SQLite rebuilds the tables and drops their triggers, so all of them
are made again.
"""

from importlib import import_module

from django.apps.registry import Apps
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.models import Q

from garage.models.triggers import allow_changes, refuse_but_to_forget, refuse_changes

_frozen = import_module("jobs.migrations.0002_frozen")
_amounts = import_module("jobs.migrations.0010_amounts")
_forget = import_module("jobs.migrations.0012_frozen_but_to_forget")
INVOICE, LINE = _frozen.INVOICE, _frozen.LINE
INVOICE_STAYS = [*_forget.SUMS, "net", "vat", "gross", "vat_by_rate", "deposit", "currency"]
LINE_STAYS = ["id", "invoice_id", "index", "quantity", "unit", "price_each"]
LINE_STAYS += ["vat_percent", "vat_category", "net", "vat", "gross"]


def fill(apps: Apps, _schema_editor: BaseDatabaseSchemaEditor) -> None:
    """A shop that is not registered for VAT has no VAT number on its papers."""
    papers = apps.get_model("jobs", "Invoice")._default_manager
    lines = apps.get_model("jobs", "InvoiceLine")._default_manager
    unregistered = [row for row, seller in papers.values_list("pk", "seller") if not _vat_number(seller)]
    for begin in range(0, len(unregistered), 500):
        some = unregistered[begin : begin + 500]
        papers.filter(pk__in=some).update(exemption_words="Not registered for VAT")
        lines.filter(invoice__in=some).update(vat_category="O")
    lines.filter(Q(vat_percent=0) & ~Q(vat_category="O")).update(vat_category="Z")


def _vat_number(seller: object) -> str:
    return str(seller.get("vat_number") or "") if isinstance(seller, dict) else ""


class Migration(migrations.Migration):
    dependencies = [("jobs", "0013_runs")]

    operations = [
        *allow_changes("jobs_invoice", message=INVOICE, when=_forget.IS_FROZEN),
        *allow_changes("jobs_invoiceline", message=LINE),
        _amounts.MORE_LINES,
        migrations.AddField(
            "invoice",
            "exemption_words",
            models.CharField(
                blank=True,
                db_default="",
                default="",
                help_text="Why no VAT is charged, where none is.",
                max_length=200,
            ),
        ),
        migrations.AddField("invoice", "currency", models.CharField(db_default="GBP", default="GBP", max_length=3)),
        migrations.AlterField(
            "invoice",
            "vat_by_rate",
            models.JSONField(
                help_text="[[percent, net, vat, category], …] as strings; papers of before categories name none."
            ),
        ),
        migrations.AddField(
            "invoiceline",
            "vat_category",
            models.CharField(
                choices=[
                    ("S", "standard or reduced rate"),
                    ("Z", "zero-rated"),
                    ("E", "exempt"),
                    ("O", "not registered for VAT"),
                ],
                db_default="S",
                default="S",
                help_text="UNTDID 5305.",
                max_length=1,
            ),
        ),
        migrations.RunPython(fill, migrations.RunPython.noop),
        *refuse_but_to_forget("jobs_invoice", stays=INVOICE_STAYS, message=INVOICE, when=_forget.IS_FROZEN),
        *refuse_changes("jobs_invoice", message=INVOICE, when=_forget.IS_FROZEN, changes=["DELETE"]),
        *refuse_but_to_forget("jobs_invoiceline", stays=LINE_STAYS, message=LINE),
        *refuse_changes("jobs_invoiceline", message=LINE, changes=["DELETE"]),
        _amounts.NO_MORE_LINES,
    ]
