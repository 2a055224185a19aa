"""What all closed cards add up to, and what of each is in it. Moved with each closing, correction, come-back and
erasing; `manage.py check_learned` counts anew and compares.
"""

from django.db import models
from django.db.models import Q

from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.learning import Closing
from diagnostics.models.unnamed import UnnamedCase


class LearnedSums(models.Model):
    """One row for the bank's edition. Its lock is the last that a change takes."""

    edition = models.CharField(max_length=40, unique=True)
    sums = models.JSONField(default=dict, help_text="As core/learning/sums.py names them; whole numbers.")


class Taught(models.Model):
    """What one closed card taught, as it is in the sums now: enough to take it out again. No row: it is not in them."""

    closing = models.OneToOneField(Closing, models.CASCADE, null=True, blank=True, related_name="taught")
    unnamed = models.OneToOneField(UnnamedCase, models.CASCADE, null=True, blank=True, related_name="taught")
    judgement = models.ForeignKey(
        KeptJudgement,
        models.RESTRICT,
        null=True,
        blank=True,
        related_name="+",
        help_text="The last before it came in; none: not judged, or unnamed.",
    )
    booked = models.CharField(max_length=10)
    roller_minutes = models.PositiveSmallIntegerField()
    ran = models.BooleanField()
    taken = models.CharField(max_length=12, blank=True)
    causes = models.JSONField(help_text="Fault ids.")
    has_own_words = models.BooleanField()
    came_back = models.BooleanField()
    story = models.TextField(help_text="As core/learning/sums.py writes it.")
    why_not = models.CharField(max_length=60, blank=True, help_text="Why it is not learned from; empty if it is.")

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["closing"], name="taught_but_not_learned", condition=~Q(why_not=""))]
        constraints = [
            models.CheckConstraint(
                condition=Q(closing__isnull=False, unnamed=None) | Q(closing=None, unnamed__isnull=False),
                name="taught_by_a_closing_or_an_unnamed_case",
            )
        ]
