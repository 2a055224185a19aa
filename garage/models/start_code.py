"""The one-time code of an empty garage: its hash, until the boss has used it or the next start replaces it."""

from django.db import models
from django.db.models import Q


class StartCode(models.Model):
    code_hash = models.CharField(max_length=64, help_text="Keyed hash: the code itself is kept nowhere.")
    made_at = models.DateTimeField()

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="one_start_code")]
