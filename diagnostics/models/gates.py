"""The gate: the readiness check, at the bench and then strapped down. Nothing is run on the rollers without a passed
one or a named override.
"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from diagnostics.core.readings import MOST_OF_A_GAUGE
from garage.models.bounds import within
from garage.models.people import Person
from garage.models.visits import Visit


class Gate(models.Model):
    visit = models.ForeignKey(Visit, models.CASCADE, related_name="gates")
    begun_at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    bench_passed_at = models.DateTimeField(
        null=True, blank=True, help_text="Empty too where a gate of one part was passed."
    )
    ended_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    passed = models.BooleanField(null=True, blank=True)
    fails = models.JSONField(default=list, blank=True, help_text="Plain sentences: what failed it.")
    notes = models.JSONField(default=list, blank=True, help_text="Plain sentences that did not fail it.")
    rev_out = models.CharField(max_length=10, blank=True)
    strobe_readings = models.JSONField(default=list, blank=True, help_text="[[rpm, degrees BTDC], …]")
    strobe_verdict = models.CharField(max_length=12, blank=True)
    strobe_not_seen = models.CharField(max_length=120, blank=True, help_text="Why the marks could not be read.")
    packers_mm = models.JSONField(
        default=list,
        db_default=[],
        blank=True,
        help_text='Taken from stock because of these readings, as ["0.8", "0.5"].',
    )
    highest_rpm = models.PositiveIntegerField(null=True, blank=True, help_text="Allowed today (running in).")
    compression = models.DecimalField(
        max_digits=5, decimal_places=1, null=True, blank=True, help_text="By gauge, or leak-down."
    )
    compression_unit = models.CharField(
        max_length=3, blank=True, db_default="", choices=[("bar", "bar"), ("psi", "psi"), ("%", "% leak-down")]
    )
    fuel_mix = models.CharField(max_length=40, blank=True)
    second_person = models.CharField(max_length=80, blank=True, help_text="Within call: the name as it was then.")
    second = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Within call; another than who ran the gate. Empty on gates from when the name was typed.",
    )
    overridden_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    overridden_at = models.DateTimeField(null=True, blank=True)
    override_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-begun_at", "-id"]
        constraints = [
            models.UniqueConstraint(fields=["visit"], condition=Q(ended_at=None), name="one_gate_at_a_time"),
            models.CheckConstraint(
                condition=Q(overridden_by=None) | ~Q(override_reason="") & Q(passed=False),
                name="an_override_has_a_reason",
            ),
            within(compression=(0, MOST_OF_A_GAUGE)),
        ]

    @property
    def finished_by(self) -> Person:
        """Who ended it. Gates of one part name the person who began them."""
        return self.ended_by or self.by

    @property
    def verdict_words(self) -> str:
        """As in "eases back"."""
        return self.strobe_verdict.replace("-", " ")


class GateItem(models.Model):
    """The standing answer to one line of the gate's list (core/gate_list.py), saved as it was given. What was answered
    before is in the trail. by, at: empty for gates that were filled in at one go, whose person is the gate's.
    """

    gate = models.ForeignKey(Gate, models.CASCADE, related_name="items")
    item = models.CharField(max_length=30)
    result = models.CharField(
        max_length=4, choices=[("ok", "in order"), ("bad", "not in order"), ("na", "does not apply")]
    )
    words = models.CharField(max_length=160, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["gate", "item"], name="one_result_an_item")]
