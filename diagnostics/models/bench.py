"""Outcomes of bench steps: one row for each step, kept if it is taken back."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from garage.models.visits import Visit


class BenchOutcome(models.Model):
    visit = models.ForeignKey(Visit, models.CASCADE, related_name="bench_outcomes")
    step = models.CharField(max_length=40, help_text="A step of the bank.")
    did = models.CharField(max_length=200, help_text="Its words as they were.")
    fault = models.CharField(max_length=40, blank=True, help_text="What it showed and put right; empty: found good.")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["visit", "step"], condition=Q(withdrawn_at=None), name="one_standing_outcome_a_step"
            )
        ]
