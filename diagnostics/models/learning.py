"""What closed cards taught: closings, come-backs, and the counts that judgements were made with."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from garage.models.visits import Visit


class Closing(models.Model):
    """A visit's card was closed. Its current causes are what was wrong; if there are none, nothing was."""

    visit = models.OneToOneField(Visit, models.CASCADE, related_name="closing")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]


class Reopening(models.Model):
    """The boss goes on with a closed card: until it is closed again, nothing is learned from it."""

    closing = models.ForeignKey(Closing, models.CASCADE, related_name="reopenings")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    closed_again_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["closing"], condition=Q(closed_again_at=None), name="reopened_once")
        ]


class ComeBack(models.Model):
    """The machine returned with the same trouble. Until this is withdrawn, the closed card does not count towards
    learning.
    """

    closing = models.ForeignKey(Closing, models.CASCADE, related_name="come_backs")
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="None: in the trail.",
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True, help_text="It was not so: the card counts again.")
    withdrawn_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["at", "id"]
        constraints = [
            models.UniqueConstraint(fields=["closing"], condition=Q(withdrawn_at=None), name="one_come_back_stands"),
            models.CheckConstraint(
                condition=Q(withdrawn_at=None, withdrawn_by=None)
                | Q(withdrawn_at__isnull=False, withdrawn_by__isnull=False),
                name="a_come_back_is_withdrawn_by_someone",
            ),
        ]


class Learned(models.Model):
    """The counts from a moment on. A row is never changed; a new one is added."""

    at = models.DateTimeField()
    edition = models.CharField(max_length=40, help_text="Of the bank that was the prior.")
    times = models.JSONField(help_text="Fault id, or nothing-wrong, to cards.")
    chances = models.JSONField(help_text="Fault id to learned base rate.")
    learned = models.PositiveIntegerField(help_text="Cards counted.")
    not_learned = models.PositiveIntegerField(help_text="Cards kept without being learned from.")

    class Meta:
        ordering = ["-id"]
