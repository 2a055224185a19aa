"""Readings taken in the workshop. Those that a question of the bank asks for are findings as well."""

from django.conf import settings
from django.db import models

from garage.models.visits import Visit


class Reading(models.Model):
    visit = models.ForeignKey(Visit, models.CASCADE, related_name="readings")
    what = models.CharField(max_length=20, help_text="As in core/readings.py: strobe_idle, leak_down …")
    value = models.FloatField()
    unit = models.CharField(max_length=12)
    rpm = models.PositiveIntegerField(null=True, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at", "id"]

    @property
    def words(self) -> str:
        """As in "22 degrees BTDC at 1200 rpm"."""
        return f"{self.value:g} {self.unit}" + (f" at {self.rpm} rpm" if self.rpm else "")
