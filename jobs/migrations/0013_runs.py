"""Roller runs with their files, the garage's rollers, and what its loggers' columns are."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from garage.models.triggers import refuse_but_to_forget, refuse_changes

BY = {"on_delete": django.db.models.deletion.PROTECT, "related_name": "+", "to": settings.AUTH_USER_MODEL}
ID = models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")
STANDARDS = [("sae", "SAE J1349"), ("iso", "ISO 1585"), ("din", "DIN 70020"), ("none", "no correction")]


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0041_forgetting"),
        ("jobs", "0012_frozen_but_to_forget"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="KnownLogger",
            fields=[
                ("id", ID),
                ("names_hash", models.CharField(max_length=64, unique=True)),
                ("columns", models.JSONField(help_text="By the number of the column, counted from 0: as 'power:kW'.")),
            ],
        ),
        migrations.CreateModel(
            name="RollersSetUp",
            fields=[
                ("id", ID),
                (
                    "inertia_kg_m2",
                    models.FloatField(blank=True, null=True, help_text="Of all that turns, seen at the roller."),
                ),
                ("diameter_mm", models.FloatField(blank=True, null=True)),
                ("standard", models.CharField(max_length=4, choices=STANDARDS, default="none")),
                (
                    "power_unit",
                    models.CharField(max_length=2, choices=[("hp", "hp"), ("kW", "kW"), ("PS", "PS")], default="hp"),
                ),
                (
                    "torque_unit",
                    models.CharField(max_length=6, choices=[("Nm", "Nm"), ("lbf·ft", "lbf·ft")], default="Nm"),
                ),
            ],
            options={"constraints": [models.CheckConstraint(condition=models.Q(("id", 1)), name="one_rollers_set_up")]},
        ),
        migrations.CreateModel(
            name="RunFile",
            fields=[
                ("id", ID),
                ("name", models.CharField(max_length=120)),
                ("packed", models.BinaryField(help_text="The bytes as they came, packed with gzip.")),
                ("at", models.DateTimeField()),
                ("by", models.ForeignKey(**BY)),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="run_files", to="garage.visit"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Run",
            fields=[
                ("id", ID),
                ("day", models.DateField(help_text="The garage's own.")),
                ("letter", models.CharField(max_length=1, help_text="The first of a machine's day is A.")),
                ("said", models.JSONField(help_text="Of the file: columns, window, losses, rollers, gearing.")),
                ("how", models.CharField(max_length=8, help_text="How the power came about.")),
                (
                    "lost_w",
                    models.FloatField(blank=True, null=True, help_text="What the run-down lost at the highest revs."),
                ),
                ("curve", models.JSONField(help_text="rpm, power_w, air_fuel: lists.")),
                (
                    "air",
                    models.JSONField(blank=True, null=True, help_text="pressure_hpa, temperature_c, humidity_percent."),
                ),
                ("standard", models.CharField(max_length=4, choices=STANDARDS)),
                (
                    "fitted",
                    models.JSONField(
                        blank=True, default=dict, help_text="What was fitted: main jet and so on, in words."
                    ),
                ),
                ("at", models.DateTimeField()),
                ("struck_at", models.DateTimeField(blank=True, null=True)),
                ("by", models.ForeignKey(**BY)),
                (
                    "file",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="run", to="jobs.runfile"
                    ),
                ),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="runs", to="garage.visit"
                    ),
                ),
            ],
            options={
                "ordering": ["day", "id"],
                "constraints": [models.UniqueConstraint(fields=("visit", "day", "letter"), name="one_run_a_letter")],
            },
        ),
        *refuse_but_to_forget(
            "jobs_runfile", stays=["id", "visit_id", "at", "by_id"], message="The file of a run is never changed."
        ),
        *refuse_but_to_forget(
            "jobs_run",
            stays=["id", "visit_id", "file_id", "day", "letter", "how", "lost_w", "curve", "air", "standard", "at"],
            when="OLD.struck_at IS NOT NULL OR NEW.struck_at IS NULL",
            message="A run is never changed: strike it out and import it again.",
        ),
        *refuse_changes("jobs_run", message="A run is never deleted: strike it out.", changes=("DELETE",)),
    ]
