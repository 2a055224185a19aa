"""Findings that the workshop has found and put right. The owner's own answer stays beside them."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from garage.models.visits import Visit


class PutRight(models.Model):
    visit = models.ForeignKey(Visit, models.CASCADE, related_name="put_right")
    question = models.CharField(max_length=40)
    answer = models.JSONField(help_text="The answer that it puts right, as its finding has it.")
    words = models.CharField(max_length=200, help_text="What was found and what was done.")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["visit", "question"], condition=Q(withdrawn_at=None), name="put_right_once_a_question"
            )
        ]
