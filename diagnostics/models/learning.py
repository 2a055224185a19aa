"""What closed cards taught: how each visit's card was closed, come-backs, and the counts a judgement was made with."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from garage.models.visits import Visit


class Closing(models.Model):
    """A visit's card was closed: its standing causes are what it was; none of them: nothing wrong."""

    visit = models.OneToOneField(Visit, models.CASCADE, related_name="closing")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "id"]


class ComeBack(models.Model):
    """The machine returned with the same trouble: while one stands, the closed card is not learned from."""

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
    """Counts as they stood from a moment on; a row is never changed, a new one is written."""

    at = models.DateTimeField()
    edition = models.CharField(max_length=40, help_text="Of the bank that was the prior.")
    times = models.JSONField(help_text="Fault id, or nothing-wrong, to cards.")
    chances = models.JSONField(help_text="Fault id to learned base rate.")
    learned = models.PositiveIntegerField(help_text="Cards counted.")
    not_learned = models.PositiveIntegerField(help_text="Cards kept without being learned from.")

    class Meta:
        ordering = ["-id"]
