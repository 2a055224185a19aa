"""Estimates, frozen once they are issued; hours on a line that a person puts on an invoice."""

from decimal import Decimal

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from garage.models.bounds import AmountsWithin
from garage.models.triggers import refuse_but_to_forget, refuse_changes

FROZEN = "An issued estimate is never changed or deleted: write another."
SAYS = ("text", "lines", "seller", "buyer", "machine_words", "besides", "vat_by_rate", "currency", "salt", "sha256")
STAYS = (
    *("id", "number", "machine_id", "drafted_at", "drafted_by_id", "issued_at", "issued_on", "issued_by_id"),
    *("valid_until", "net", "vat", "gross"),
)
ONCE = ("visit_id", "answered_at", "heard_by_id", "consent_id", "replaced_by_id", "withdrawn_at", "taken_over_at")
CHANGED = " OR ".join(
    [f"NEW.{name} <> OLD.{name}" for name in (*STAYS, *SAYS)]
    + ["NEW.issued_at IS NULL", "OLD.answer <> '' AND NEW.answer <> OLD.answer"]
    + ["OLD.answer <> '' AND COALESCE(NEW.heard_by_id, 0) <> COALESCE(OLD.heard_by_id, 0)"]
    + [f"OLD.{name} IS NOT NULL AND (NEW.{name} IS NULL OR NEW.{name} <> OLD.{name})" for name in ONCE]
)


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0046_whole_export"),
        ("jobs", "0022_a_pull_that_held"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="handline",
            name="unit",
            field=models.CharField(
                blank=True, db_default="", default="", help_text="h: hours of an estimate.", max_length=12
            ),
        ),
        migrations.CreateModel(
            name="Estimate",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "number",
                    models.PositiveIntegerField(
                        blank=True, help_text="Of a series of its own: E.", null=True, unique=True
                    ),
                ),
                ("text", models.TextField(blank=True, help_text="What is to be done, and why.")),
                (
                    "lines",
                    models.JSONField(
                        default=list, help_text="As typed; once issued also what each comes to, as on an invoice."
                    ),
                ),
                ("valid_until", models.DateField()),
                ("drafted_at", models.DateTimeField()),
                ("issued_at", models.DateTimeField(blank=True, null=True)),
                ("issued_on", models.DateField(blank=True, null=True)),
                ("seller", models.JSONField(default=dict)),
                ("buyer", models.JSONField(default=dict)),
                ("machine_words", models.CharField(blank=True, max_length=120)),
                (
                    "besides",
                    models.CharField(blank=True, help_text="What is booked already, and is not in it.", max_length=120),
                ),
                ("net", models.DecimalField(decimal_places=2, default=0, max_digits=8)),
                ("vat", models.DecimalField(decimal_places=2, default=0, max_digits=8)),
                ("gross", models.DecimalField(decimal_places=2, default=0, max_digits=8)),
                (
                    "vat_by_rate",
                    models.JSONField(default=list, help_text="[[percent, net, vat, category], …] as strings."),
                ),
                ("currency", models.CharField(default="GBP", max_length=3)),
                ("salt", models.CharField(blank=True, max_length=32)),
                ("sha256", models.CharField(blank=True, help_text="Of what it says, printed on it.", max_length=64)),
                (
                    "answer",
                    models.CharField(blank=True, choices=[("yes", "yes"), ("no", "no")], default="", max_length=3),
                ),
                (
                    "answered_at",
                    models.DateTimeField(blank=True, help_text="On the telephone: when it was said.", null=True),
                ),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                (
                    "taken_over_at",
                    models.DateTimeField(blank=True, help_text="Its lines are on card and invoice.", null=True),
                ),
                (
                    "consent",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="estimate",
                        to="jobs.consent",
                    ),
                ),
                (
                    "drafted_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "heard_by",
                    models.ForeignKey(
                        blank=True,
                        help_text="On the telephone: who heard it.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "issued_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "machine",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="estimates", to="garage.machine"
                    ),
                ),
                (
                    "replaced_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="replaces",
                        to="jobs.estimate",
                    ),
                ),
                (
                    "visit",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="estimates",
                        to="garage.visit",
                    ),
                ),
            ],
            options={
                "ordering": ["-drafted_at", "-id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("answer", ""), ("answered_at", None), ("heard_by", None)),
                            models.Q(models.Q(("answer", ""), _negated=True), ("answered_at__isnull", False)),
                            _connector="OR",
                        ),
                        name="an_estimates_answer_has_a_time",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("issued_at", None), ("number", None)),
                            models.Q(("issued_at__isnull", False), ("number__isnull", False)),
                            _connector="OR",
                        ),
                        name="an_issued_estimate_has_a_number",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("issued_at", None)),
                        fields=("visit",),
                        name="one_draft_of_an_estimate_a_visit",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(
                            ("answer", ""), ("issued_at__isnull", False), ("replaced_by", None), ("withdrawn_at", None)
                        ),
                        fields=("visit",),
                        name="one_open_estimate_a_visit",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("answer", "yes"), ("replaced_by", None)),
                        fields=("visit",),
                        name="one_agreed_estimate_a_visit",
                    ),
                    AmountsWithin(
                        condition=models.Q(
                            ("net__gte", Decimal("0")),
                            ("net__lte", Decimal("999999.99")),
                            ("vat__gte", Decimal("0")),
                            ("vat__lte", Decimal("999999.99")),
                            ("gross__gte", Decimal("0")),
                            ("gross__lte", Decimal("999999.99")),
                        ),
                        name="jobs_estimate_amounts",
                    ),
                ],
            },
        ),
        *refuse_but_to_forget(
            "jobs_estimate", stays=STAYS, when=f"OLD.issued_at IS NOT NULL AND ({CHANGED})", message=FROZEN
        ),
        *refuse_changes("jobs_estimate", message=FROZEN, when="OLD.issued_at IS NOT NULL", changes=("DELETE",)),
    ]
