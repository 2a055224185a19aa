"""A visit that is a come-back of an earlier one."""

from django.conf import settings
from django.db import models

from garage.models.visits import Visit


class ReturningVisit(models.Model):
    """The machine is back with the trouble of an earlier visit. Nothing is charged unless a person says why."""

    visit = models.OneToOneField(Visit, models.CASCADE, related_name="returning")
    earlier = models.ForeignKey(Visit, models.PROTECT, related_name="returned")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    was_it_again = models.BooleanField(null=True, blank=True, help_text="What closing its card said of that cause.")
    charged_why = models.CharField(max_length=200, blank=True, help_text="Empty: it is not charged.")

    class Meta:
        ordering = ["at", "id"]
