"""The shop's list of parts with what is in stock, and what is ordered for a card."""

from decimal import Decimal

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.models import Q

from garage.models.bounds import AmountsWithin

PROTECT = django.db.models.deletion.PROTECT
ID = models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")
MOST, MANY = Decimal("999999.99"), Decimal(9999)
PRICE = Q(price_each__gte=Decimal(0), price_each__lte=MOST)


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0044_photo_shown"),
        ("jobs", "0016_consents"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="StockPart",
            fields=[
                ("id", ID),
                ("words", models.CharField(help_text="What it is called on the card and the invoice.", max_length=120)),
                ("place", models.CharField(blank=True, help_text="Where it lies.", max_length=60)),
                ("supplier", models.CharField(blank=True, max_length=80)),
                (
                    "price_each",
                    models.DecimalField(decimal_places=2, help_text="Pounds, VAT included.", max_digits=8),
                ),
                ("count", models.DecimalField(decimal_places=2, help_text="In stock.", max_digits=7)),
                ("is_listed", models.BooleanField(db_default=True, default=True)),
            ],
            options={
                "ordering": ["words", "id"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=Q(is_listed=True), fields=("words",), name="one_listed_part_a_name"
                    ),
                    AmountsWithin(condition=Q(count__gte=0, count__lte=MANY) & PRICE, name="jobs_stockpart_amounts"),
                ],
            },
        ),
        migrations.CreateModel(
            name="PartOrder",
            fields=[
                ("id", ID),
                ("words", models.CharField(max_length=120)),
                ("supplier", models.CharField(blank=True, max_length=80)),
                ("quantity", models.DecimalField(decimal_places=2, max_digits=7)),
                (
                    "price_each",
                    models.DecimalField(decimal_places=2, help_text="Pounds, VAT included.", max_digits=8),
                ),
                ("at", models.DateTimeField()),
                ("came_at", models.DateTimeField(blank=True, null=True)),
                (
                    "off_at",
                    models.DateTimeField(blank=True, help_text="Ordered off: it does not come any more.", null=True),
                ),
                (
                    "by",
                    models.ForeignKey(on_delete=PROTECT, related_name="+", to=settings.AUTH_USER_MODEL),
                ),
                (
                    "part",
                    models.ForeignKey(
                        blank=True, null=True, on_delete=PROTECT, related_name="orders", to="jobs.stockpart"
                    ),
                ),
                (
                    "visit",
                    models.ForeignKey(on_delete=PROTECT, related_name="part_orders", to="garage.visit"),
                ),
            ],
            options={
                "ordering": ["at", "id"],
                "constraints": [
                    models.CheckConstraint(condition=Q(came_at=None) | Q(off_at=None), name="an_order_comes_or_is_off"),
                    AmountsWithin(
                        condition=Q(quantity__gte=0, quantity__lte=MANY) & PRICE, name="jobs_partorder_amounts"
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="cardline",
            name="stock",
            field=models.ForeignKey(
                blank=True,
                help_text="Of the shop's list.",
                null=True,
                on_delete=PROTECT,
                related_name="lines",
                to="jobs.stockpart",
            ),
        ),
    ]
