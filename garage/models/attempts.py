"""Attempts with a limit: wrong passwords, requests for a fresh link. Swept after a day."""

from django.db import models


class Attempt(models.Model):
    what = models.CharField(max_length=20)
    key = models.CharField(max_length=64, help_text="Keyed hash of who or where: no address is kept.")
    at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["what", "key", "at"])]
