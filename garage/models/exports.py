"""Everything the garage keeps, asked for as one file: how far it has got, and when it was there."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class WholeExport(models.Model):
    """The last one asked for: one row. Its file lies outside the media, so that no backup holds it again."""

    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    in_all = models.PositiveIntegerField(default=0, help_text="Records, counted when it was begun.")
    done = models.PositiveIntegerField(default=0, help_text="Records written so far.")
    made_at = models.DateTimeField(null=True, blank=True)
    size_bytes = models.BigIntegerField(default=0)
    trouble = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="one_whole_export")]

    @property
    def is_waiting(self) -> bool:
        return self.made_at is None and not self.trouble
