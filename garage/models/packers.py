"""Packers in stock: thin rings that go under a stator plate and raise the pickup."""

from django.db import models
from django.db.models import Q

from garage.core.text.packer_words import THICKEST_MM
from garage.models.bounds import POUNDS, within


class PackerStock(models.Model):
    """One thickness and how many of it are in the drawer."""

    thickness_mm = models.DecimalField(max_digits=4, decimal_places=2)
    count = models.PositiveSmallIntegerField()
    price_each = models.DecimalField(
        max_digits=8, decimal_places=2, null=True, blank=True, help_text="Pounds, VAT included; empty: not charged."
    )

    class Meta:
        ordering = ["thickness_mm"]
        constraints = [
            models.UniqueConstraint(fields=["thickness_mm"], name="one_row_a_thickness"),
            models.CheckConstraint(condition=Q(thickness_mm__gt=0), name="a_packer_is_thicker_than_nothing"),
            within(thickness_mm=(0, THICKEST_MM), price_each=POUNDS),
        ]
