"""The one moment in which the database lets frozen rows lose what names somebody."""

from django.conf import settings
from django.db import models


class Forgetting(models.Model):
    """While done_at is empty, in its own transaction alone, triggers let words go from trail, safety remarks and the
    book (changes/forgetting.py). The row stays: it says that it was done, and of whom no more than a number.
    """

    what = models.CharField(max_length=60, help_text="owner 7, invoices whose time is over")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
