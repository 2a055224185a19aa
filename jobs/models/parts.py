"""Parts: the shop's own list with what is in stock, and what is ordered for a card."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from garage.models.bounds import POUNDS, within
from garage.models.visits import Visit
from jobs.core.billing.invoice import MOST_OF_A_PART

PERSON = settings.AUTH_USER_MODEL


class StockPart(models.Model):
    """One line of the shop's list of parts."""

    words = models.CharField(max_length=120, help_text="What it is called on the card and the invoice.")
    place = models.CharField(max_length=60, blank=True, help_text="Where it lies.")
    supplier = models.CharField(max_length=80, blank=True)
    price_each = models.DecimalField(max_digits=8, decimal_places=2, help_text="Pounds, VAT included.")
    count = models.DecimalField(max_digits=7, decimal_places=2, help_text="In stock.")
    is_listed = models.BooleanField(default=True, db_default=True)

    class Meta:
        ordering = ["words", "id"]
        constraints = [
            models.UniqueConstraint(fields=["words"], condition=Q(is_listed=True), name="one_listed_part_a_name"),
            within(count=(0, MOST_OF_A_PART), price_each=POUNDS),
        ]


class PartOrder(models.Model):
    """A part that is ordered for a visit, until it comes or is ordered off."""

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="part_orders")
    part = models.ForeignKey(StockPart, models.PROTECT, null=True, blank=True, related_name="orders")
    words = models.CharField(max_length=120)
    supplier = models.CharField(max_length=80, blank=True)
    quantity = models.DecimalField(max_digits=7, decimal_places=2)
    price_each = models.DecimalField(max_digits=8, decimal_places=2, help_text="Pounds, VAT included.")
    at = models.DateTimeField()
    by = models.ForeignKey(PERSON, models.PROTECT, related_name="+")
    came_at = models.DateTimeField(null=True, blank=True)
    off_at = models.DateTimeField(null=True, blank=True, help_text="Ordered off: it does not come any more.")

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(came_at=None) | Q(off_at=None), name="an_order_comes_or_is_off"),
            within(quantity=(0, MOST_OF_A_PART), price_each=POUNDS),
        ]
