"""The second factor of a log-in, and its spare codes."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0038_links_run_out"),
    ]

    operations = [
        migrations.CreateModel(
            name="SecondFactor",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("seed", models.CharField(max_length=64)),
                (
                    "key_mark",
                    models.CharField(help_text="Which of the garage's keys: a keyed hash of nothing.", max_length=16),
                ),
                ("since", models.DateTimeField()),
                (
                    "last_step",
                    models.BigIntegerField(
                        help_text="Of the last code taken, in half minutes since 1970: it counts once."
                    ),
                ),
                (
                    "person",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="second_factor",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="SpareCode",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.PositiveSmallIntegerField()),
                ("hashed", models.CharField(help_text="As a password is.", max_length=128)),
                ("used_at", models.DateTimeField(blank=True, null=True)),
                (
                    "factor",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="spares", to="garage.secondfactor"
                    ),
                ),
            ],
            options={
                "constraints": [models.UniqueConstraint(fields=("factor", "number"), name="one_spare_code_a_number")],
            },
        ),
    ]
