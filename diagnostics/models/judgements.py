"""What the triage concluded, with everything it concluded from: a row is never changed, a new one is written."""

from django.conf import settings
from django.db import models

from diagnostics.models.learning import Learned
from garage.models.visits import Visit


class Judgement(models.Model):
    visit = models.ForeignKey(Visit, models.CASCADE, related_name="judgements")
    at = models.DateTimeField()
    edition = models.CharField(max_length=40, help_text="Of the bank.")
    learned = models.ForeignKey(
        Learned,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="The shop's counts; none: the bank.",
    )
    case = models.JSONField(help_text="As given to assess: machine, booked, answers, heard, costs.")
    route = models.CharField(max_length=12)
    result = models.JSONField(help_text="As assess gave it.")

    class Meta:
        ordering = ["-at", "-id"]


class Acted(models.Model):
    """A judgement that was acted upon, or set aside by a named person."""

    judgement = models.OneToOneField(Judgement, models.CASCADE, related_name="acted")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    route = models.CharField(max_length=12, help_text="The route taken: the judged one, or another by a person's word.")
    why = models.CharField(max_length=200, blank=True)
