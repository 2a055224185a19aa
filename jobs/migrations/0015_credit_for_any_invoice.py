"""Credit notes for any invoice, papers sold over the counter, lines put on by hand, and the VAT of a deposit.

SQLite rebuilds the tables and drops their triggers, so all of them are made again. A deposit that was paid before has
no VAT of its own: its VAT stands with its invoice, as it was declared.
"""

from decimal import Decimal
from importlib import import_module

import django.db.models.deletion
from django.apps.registry import Apps
from django.conf import settings
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.models import OuterRef, Subquery

from garage.models.bounds import AmountsWithin
from garage.models.triggers import allow_changes, refuse_but_to_forget, refuse_changes

_frozen = import_module("jobs.migrations.0002_frozen")
_amounts = import_module("jobs.migrations.0010_amounts")
_forget = import_module("jobs.migrations.0012_frozen_but_to_forget")
_categories = import_module("jobs.migrations.0014_vat_categories")
INVOICE, LINE, PAYMENT, CREDIT = _frozen.INVOICE, _frozen.LINE, _frozen.PAYMENT, _forget.CREDIT
CREDIT_STAYS = ["id", "invoice_id", "corrects_id", "kept_id", "at", "by_id"]
FREE = [
    *allow_changes("jobs_invoice", message=INVOICE, when=_forget.IS_FROZEN),
    *allow_changes("jobs_invoiceline", message=LINE),
    _amounts.MORE_LINES,
    *allow_changes("jobs_payment", message=PAYMENT),
    *allow_changes("jobs_creditnote", message=CREDIT),
]
FROZEN_AGAIN = [
    *refuse_but_to_forget(
        "jobs_invoice",
        stays=[*_categories.INVOICE_STAYS, "deposit_vat"],
        message=INVOICE,
        when=_forget.IS_FROZEN,
    ),
    *refuse_changes("jobs_invoice", message=INVOICE, when=_forget.IS_FROZEN, changes=["DELETE"]),
    *refuse_but_to_forget("jobs_invoiceline", stays=[*_categories.LINE_STAYS, "corrects_id"], message=LINE),
    *refuse_changes("jobs_invoiceline", message=LINE, changes=["DELETE"]),
    _amounts.NO_MORE_LINES,
    *refuse_changes("jobs_payment", message=PAYMENT),
    *refuse_but_to_forget("jobs_creditnote", stays=CREDIT_STAYS, message=CREDIT),
    *refuse_changes("jobs_creditnote", message=CREDIT, changes=["DELETE"]),
]


def name_what_they_correct(apps: Apps, _schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Until now a credit note was for a kept deposit alone: it corrects that one's paper."""
    kept = apps.get_model("jobs", "KeptDeposit")._default_manager.filter(pk=OuterRef("kept"))
    notes = apps.get_model("jobs", "CreditNote")._default_manager.filter(corrects=None)
    notes.update(corrects=Subquery(kept.values("invoice")[:1]))
    lines = apps.get_model("jobs", "InvoiceLine")._default_manager
    theirs = lines.filter(invoice__corrected_by__invoice=OuterRef("invoice"))  # a kept deposit has one line
    lines.filter(corrects=None).exclude(invoice__credit_note=None).update(corrects=Subquery(theirs.values("pk")[:1]))


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0042_frozen_but_to_forget"),
        ("jobs", "0014_vat_categories"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        *FREE,
        migrations.CreateModel(
            name="HandLine",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("extra", "something else sold or done"),
                            ("discount", "discount"),
                            ("goodwill", "goodwill"),
                            ("warranty", "under warranty"),
                        ],
                        max_length=10,
                    ),
                ),
                ("words", models.CharField(max_length=160)),
                ("quantity", models.DecimalField(decimal_places=2, max_digits=9)),
                (
                    "price_each",
                    models.DecimalField(
                        decimal_places=2, help_text="VAT included; below 0 is money off.", max_digits=9
                    ),
                ),
                (
                    "vat_percent",
                    models.DecimalField(
                        blank=True, decimal_places=2, help_text="Empty: the shop's rate.", max_digits=5, null=True
                    ),
                ),
                (
                    "exempt_why",
                    models.CharField(
                        blank=True, help_text="Of what is exempt from VAT: by which rule.", max_length=100
                    ),
                ),
                ("at", models.DateTimeField()),
                (
                    "struck_at",
                    models.DateTimeField(blank=True, help_text="Taken off again: counts no more.", null=True),
                ),
            ],
            options={
                "ordering": ["at", "id"],
            },
        ),
        migrations.RemoveConstraint(
            model_name="invoice",
            name="jobs_invoice_amounts",
        ),
        migrations.RemoveConstraint(
            model_name="payment",
            name="jobs_payment_amounts",
        ),
        migrations.AddField(
            model_name="creditnote",
            name="corrects",
            field=models.ForeignKey(
                help_text="Empty only before it was known.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="corrected_by",
                to="jobs.invoice",
            ),
        ),
        migrations.AddField(
            model_name="invoice",
            name="deposit_vat",
            field=models.DecimalField(
                db_default=0,
                decimal_places=2,
                default=0,
                help_text="VAT that was due when the deposit was paid.",
                max_digits=9,
            ),
        ),
        migrations.AddField(
            model_name="invoiceline",
            name="corrects",
            field=models.ForeignKey(
                blank=True,
                help_text="Of a credit note.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="corrected_by",
                to="jobs.invoiceline",
            ),
        ),
        migrations.AddField(
            model_name="payment",
            name="vat",
            field=models.DecimalField(
                blank=True,
                decimal_places=2,
                help_text="Of a deposit: its VAT, due when it is paid.",
                max_digits=9,
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="payment",
            name="vat_percent",
            field=models.DecimalField(blank=True, decimal_places=2, max_digits=5, null=True),
        ),
        migrations.AlterField(
            model_name="creditnote",
            name="kept",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="credit_notes",
                to="jobs.keptdeposit",
            ),
        ),
        migrations.AlterField(
            model_name="invoice",
            name="visit",
            field=models.ForeignKey(
                blank=True,
                help_text="Empty: sold over the counter.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="invoices",
                to="garage.visit",
            ),
        ),
        migrations.AlterField(
            model_name="payment",
            name="visit",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="payments",
                to="garage.visit",
            ),
        ),
        migrations.AlterField(
            model_name="sentform",
            name="visit",
            field=models.ForeignKey(
                blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name="+", to="garage.visit"
            ),
        ),
        migrations.AddConstraint(
            model_name="invoice",
            constraint=AmountsWithin(
                condition=models.Q(
                    ("net__gte", Decimal("-999999.99")),
                    ("net__lte", Decimal("999999.99")),
                    ("vat__gte", Decimal("-999999.99")),
                    ("vat__lte", Decimal("999999.99")),
                    ("gross__gte", Decimal("-999999.99")),
                    ("gross__lte", Decimal("999999.99")),
                    ("deposit__gte", Decimal("0")),
                    ("deposit__lte", Decimal("999999.99")),
                    ("deposit_vat__gte", Decimal("0")),
                    ("deposit_vat__lte", Decimal("999999.99")),
                ),
                name="jobs_invoice_amounts",
            ),
        ),
        migrations.AddConstraint(
            model_name="payment",
            constraint=AmountsWithin(
                condition=models.Q(
                    ("amount__gte", Decimal("-999999.99")),
                    ("amount__lte", Decimal("999999.99")),
                    ("vat__gte", Decimal("-999999.99")),
                    ("vat__lte", Decimal("999999.99")),
                    ("vat_percent__gte", 0),
                    ("vat_percent__lte", 100),
                ),
                name="jobs_payment_amounts",
            ),
        ),
        migrations.AddField(
            model_name="handline",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="handline",
            name="visit",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="hand_lines", to="garage.visit"
            ),
        ),
        migrations.AddConstraint(
            model_name="handline",
            constraint=AmountsWithin(
                condition=models.Q(
                    ("quantity__gte", 0),
                    ("quantity__lte", Decimal("999999")),
                    ("price_each__gte", Decimal("-999999.99")),
                    ("price_each__lte", Decimal("999999.99")),
                    ("vat_percent__gte", 0),
                    ("vat_percent__lte", 100),
                ),
                name="jobs_handline_amounts",
            ),
        ),
        migrations.RunPython(name_what_they_correct, migrations.RunPython.noop),
        *FROZEN_AGAIN,
    ]
