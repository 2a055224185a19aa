"""A list that was sent and looked at, until it is taken in or a day is over."""

from django.conf import settings
from django.db import models


class ListFile(models.Model):
    KINDS, OWNERS = "kinds", "owners"

    what = models.CharField(max_length=6, choices=[(KINDS, "machine kinds"), (OWNERS, "owners and their machines")])
    name = models.CharField(max_length=120)
    content = models.BinaryField()
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
