"""The job card: labour by the clock, parts, jets, readings, notes, and how it was closed."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from diagnostics.models.readings import Reading
from garage.models.bounds import POUNDS, within
from garage.models.visits import Visit
from jobs.core.billing.invoice import MOST_OF_A_PART
from jobs.models.parts import StockPart


class Card(models.Model):
    visit = models.OneToOneField(Visit, models.CASCADE, related_name="card")
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    nothing_wrong = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(closed_at=None, closed_by=None) | Q(closed_at__isnull=False, closed_by__isnull=False),
                name="a_card_is_closed_by_someone",
            )
        ]


class Labour(models.Model):
    card = models.ForeignKey(Card, models.CASCADE, related_name="labour")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    began_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["began_at"]
        constraints = [
            models.UniqueConstraint(fields=["by"], condition=Q(ended_at=None), name="one_clock_a_person"),
            models.CheckConstraint(
                condition=Q(ended_at=None) | Q(ended_at__gte=F("began_at")), name="labour_ends_after_it_begins"
            ),
        ]


class CardLine(models.Model):
    """One entry on the card: work done, a note, jets in and out, a reading, a part, or a test ride."""

    WORK, NOTE, JET, READING, PART, RIDE = "work", "note", "jet", "reading", "part", "ride"

    card = models.ForeignKey(Card, models.CASCADE, related_name="lines")
    what = models.CharField(
        max_length=8,
        choices=[
            (WORK, "work done"),
            (NOTE, "note"),
            (JET, "jet"),
            (READING, "reading"),
            (PART, "part"),
            (RIDE, "test ride"),
        ],
    )
    words = models.CharField(max_length=200)
    before = models.CharField(max_length=30, blank=True, help_text="Jet taken out, reading before, who rode.")
    after = models.CharField(max_length=30, blank=True, help_text="Jet put in, reading after, who insured the ride.")
    unit = models.CharField(max_length=12, blank=True)
    rpm = models.PositiveIntegerField(null=True, blank=True, help_text="At which a reading was taken.")
    taken = models.OneToOneField(
        Reading, models.PROTECT, null=True, blank=True, related_name="line", help_text="The reading as a finding."
    )
    stock = models.ForeignKey(
        StockPart, models.PROTECT, null=True, blank=True, related_name="lines", help_text="Of the shop's list."
    )
    quantity = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    price_each = models.DecimalField(
        max_digits=8, decimal_places=2, null=True, blank=True, help_text="Pounds, VAT included."
    )
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    struck_at = models.DateTimeField(null=True, blank=True, help_text="Struck out: stays readable, counts no more.")

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(what="part") | Q(quantity__gt=0, price_each__gte=0), name="a_part_has_quantity_and_price"
            ),
            within(quantity=(0, MOST_OF_A_PART), price_each=POUNDS),
        ]
