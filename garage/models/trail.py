"""Who changed what and when. Rows are added and never changed (triggers refuse it)."""

from django.conf import settings
from django.db import models

from garage.models.visits import Visit


class TrailRow(models.Model):
    never_taken_out = ("by_words", "about")  # who works here, and numbers: no owner's name

    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    by_words = models.CharField(max_length=80, help_text="A person's name, 'the owner' or 'Tickover itself'.")
    visit = models.ForeignKey(Visit, models.PROTECT, null=True, blank=True, related_name="trail")
    about = models.CharField(max_length=60, help_text="visit 41, owner 7, invoice 12, the shop …")
    did = models.CharField(max_length=200, help_text="called off, moved from … to …")
    detail = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["-at", "-id"]
        indexes = [models.Index(fields=["about"])]
