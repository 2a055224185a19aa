"""Roller runs: the file as the logger wrote it, what was said of it, and the curve that came of it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from garage.models.visits import Visit
from jobs.core.runs.rollers import Rollers, rollers_of
from jobs.core.runs.run_facts import LETTERS, STANDARD_CHOICES

POWER_UNITS = [(unit, unit) for unit in ("hp", "kW", "PS")]
TORQUE_UNITS = [(unit, unit) for unit in ("Nm", "lbf·ft")]


class RollersSetUp(models.Model):
    """The garage's rollers, and what its curves are brought to. At most one row."""

    inertia_kg_m2 = models.FloatField(null=True, blank=True, help_text="Of all that turns, seen at the roller.")
    diameter_mm = models.FloatField(null=True, blank=True)
    standard = models.CharField(max_length=4, choices=STANDARD_CHOICES, default="none")
    power_unit = models.CharField(max_length=2, choices=POWER_UNITS, default="hp")
    torque_unit = models.CharField(max_length=6, choices=TORQUE_UNITS, default="Nm")

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(id=1), name="one_rollers_set_up")]

    @property
    def rollers(self) -> Rollers | None:
        return rollers_of(self.inertia_kg_m2, self.diameter_mm)


class KnownLogger(models.Model):
    """What a garage has said that the columns of a file are, by a hash of their names and units."""

    names_hash = models.CharField(max_length=64, unique=True)
    columns = models.JSONField(help_text="By the number of the column, counted from 0: as 'power:kW'.")


class RunFile(models.Model):
    """A logger's file. It is never changed. Without a run it is forgotten after a day."""

    packed_by_gzip = ("packed",)  # whoever is handed all that is kept about them gets the file as it came
    emptied_by_erasing = {"name": "", "packed": b""}  # people name files, and loggers write heads, after customers

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="run_files")
    name = models.CharField(max_length=120)
    packed = models.BinaryField(help_text="The bytes as they came, packed with gzip.")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")


class Run(models.Model):
    """One pull on the rollers. It is never changed but struck out once."""

    never_taken_out = ("letter", "how", "curve", "air", "pulled_clean")  # figures: no owner's name

    visit = models.ForeignKey(Visit, models.PROTECT, related_name="runs")
    file = models.OneToOneField(RunFile, models.PROTECT, related_name="run")
    day = models.DateField(help_text="The garage's own.")
    letter = models.CharField(max_length=LETTERS, help_text="The first of a machine's day is A.")
    said = models.JSONField(help_text="Of the file: columns, window, losses, rollers, gearing.")
    how = models.CharField(max_length=8, help_text="How the power came about.")
    lost_w = models.FloatField(null=True, blank=True, help_text="What the run-down lost at the highest revs.")
    curve = models.JSONField(help_text="rpm, power_w, air_fuel: lists.")
    air = models.JSONField(null=True, blank=True, help_text="pressure_hpa, temperature_c, humidity_percent.")
    standard = models.CharField(max_length=4, choices=STANDARD_CHOICES)
    fitted = models.JSONField(default=dict, blank=True, help_text="What was fitted: main jet and so on, in words.")
    pulled_clean = models.BooleanField(
        null=True, blank=True, help_text="It did not break down or misfire under load. Empty: nobody said."
    )
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    struck_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["day", "id"]
        constraints = [models.UniqueConstraint(fields=["visit", "day", "letter"], name="one_run_a_letter")]
