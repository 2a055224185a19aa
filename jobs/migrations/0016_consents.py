"""What owners are asked beside what was agreed, and who lets an invoice go above it."""

from decimal import Decimal

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.models import Q

from garage.models.bounds import AmountsWithin
from garage.models.triggers import refuse_but_to_forget, refuse_changes

BY = {"on_delete": django.db.models.deletion.PROTECT, "related_name": "+", "to": settings.AUTH_USER_MODEL}
ID = models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")
MOST = Decimal("999999.99")
ASKED = "What an owner was asked is never changed or deleted: ask anew."
ABOVE = "Who let an invoice go above what was agreed is never changed or deleted."


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0044_photo_shown"),
        ("jobs", "0015_credit_for_any_invoice"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Consent",
            fields=[
                ("id", ID),
                ("words", models.TextField(help_text="What was asked, as it was shown.")),
                (
                    "price",
                    models.DecimalField(decimal_places=2, help_text="Pounds, VAT included.", max_digits=8),
                ),
                (
                    "photos",
                    models.JSONField(
                        blank=True, default=list, help_text="Shown with it: id, sha256 of the file, words."
                    ),
                ),
                ("asked_at", models.DateTimeField()),
                (
                    "answer",
                    models.CharField(
                        blank=True,
                        choices=[("yes", "yes"), ("no", "no"), ("lapsed", "lapsed")],
                        default="",
                        max_length=6,
                    ),
                ),
                (
                    "answered_at",
                    models.DateTimeField(blank=True, help_text="On the telephone: when it was said.", null=True),
                ),
                ("asked_by", models.ForeignKey(**BY)),
                (
                    "heard_by",
                    models.ForeignKey(blank=True, help_text="On the telephone: who heard it.", null=True, **BY),
                ),
                (
                    "replaces",
                    models.OneToOneField(
                        blank=True,
                        help_text="Asked at another price.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="replaced_by",
                        to="jobs.consent",
                    ),
                ),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="consents", to="garage.visit"
                    ),
                ),
            ],
            options={
                "ordering": ["asked_at", "id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=Q(answer="", answered_at=None, heard_by=None)
                        | ~Q(answer="") & Q(answered_at__isnull=False),
                        name="an_answer_has_a_time",
                    ),
                    AmountsWithin(condition=Q(price__gte=Decimal(0), price__lte=MOST), name="jobs_consent_amounts"),
                ],
            },
        ),
        migrations.CreateModel(
            name="AboveAgreed",
            fields=[
                ("id", ID),
                (
                    "up_to",
                    models.DecimalField(
                        decimal_places=2, help_text="Pounds besides the booked session, VAT included.", max_digits=8
                    ),
                ),
                ("why", models.CharField(max_length=200)),
                ("at", models.DateTimeField()),
                ("by", models.ForeignKey(**BY)),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="above_agreed", to="garage.visit"
                    ),
                ),
            ],
            options={
                "ordering": ["at", "id"],
                "constraints": [
                    AmountsWithin(condition=Q(up_to__gte=Decimal(0), up_to__lte=MOST), name="jobs_aboveagreed_amounts")
                ],
            },
        ),
        *refuse_but_to_forget(
            "jobs_consent",
            stays=["id", "visit_id", "price", "asked_at", "answer", "answered_at"],
            when="OLD.answer <> '' OR NEW.id <> OLD.id OR NEW.visit_id <> OLD.visit_id OR NEW.words <> OLD.words "
            "OR NEW.price <> OLD.price OR NEW.photos <> OLD.photos OR NEW.asked_at <> OLD.asked_at "
            "OR NEW.asked_by_id <> OLD.asked_by_id OR COALESCE(NEW.replaces_id, 0) <> COALESCE(OLD.replaces_id, 0)",
            message=ASKED,
        ),
        *refuse_changes("jobs_consent", message=ASKED, changes=("DELETE",)),
        *refuse_but_to_forget("jobs_aboveagreed", stays=["id", "visit_id", "up_to", "at", "by_id"], message=ABOVE),
        *refuse_changes("jobs_aboveagreed", message=ABOVE, changes=("DELETE",)),
    ]
