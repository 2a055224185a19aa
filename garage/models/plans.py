"""Plans of a day that a person has accepted. The newest of a day is the one that people work to."""

from django.conf import settings
from django.db import models

from garage.core.planning.standing.standing_plan import StandingPlan, from_json


class AcceptedPlan(models.Model):
    """Rows are added and stay: a past day shows what was accepted."""

    day = models.DateField()
    number = models.PositiveSmallIntegerField(help_text="Of the day, from 1. The highest counts.")
    accepted_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    steps = models.JSONField(help_text="The steps in their places, as core/planning/standing keeps them.")

    class Meta:
        ordering = ["day", "number"]
        constraints = [models.UniqueConstraint(fields=["day", "number"], name="one_plan_a_number")]

    @property
    def plan(self) -> StandingPlan:
        return from_json(self.steps)
