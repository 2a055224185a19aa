"""Plans of a day that a person accepted. The newest of a day is the one that people work to."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0021_roller_hours"),
    ]

    operations = [
        migrations.CreateModel(
            name="AcceptedPlan",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("day", models.DateField()),
                ("number", models.PositiveSmallIntegerField(help_text="Of the day, from 1. The highest counts.")),
                ("accepted_at", models.DateTimeField()),
                (
                    "steps",
                    models.JSONField(help_text="The steps in their places, as core/planning/standing keeps them."),
                ),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "ordering": ["day", "number"],
                "constraints": [models.UniqueConstraint(fields=("day", "number"), name="one_plan_a_number")],
            },
        ),
    ]
