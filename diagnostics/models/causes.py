"""What was wrong in the end: confirmed causes, and what was checked and OK."""

from django.conf import settings
from django.db import models

from diagnostics.models.bench import BenchOutcome
from garage.models.visits import Visit


class Cause(models.Model):
    visit = models.ForeignKey(Visit, models.CASCADE, related_name="causes")
    fault = models.CharField(max_length=40, blank=True, help_text="A fault of the bank; empty: own words.")
    words = models.CharField(max_length=160, blank=True)
    found_good = models.BooleanField(default=False, help_text="Looked at and in order: no cause.")
    outcome = models.ForeignKey(
        BenchOutcome,
        models.CASCADE,
        null=True,
        blank=True,
        related_name="causes",
        help_text="The step of the bench that says so; none: put down by hand.",
    )
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.CheckConstraint(condition=~models.Q(fault="", words=""), name="a_cause_is_named"),
        ]
