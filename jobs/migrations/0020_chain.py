"""The chain of the book, and what was last found when it was looked through."""

import django.db.models.deletion
from django.db import migrations, models

ID = models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")


class Migration(migrations.Migration):
    dependencies = [("jobs", "0017_parts")]

    operations = [
        migrations.CreateModel(
            name="ChainLink",
            fields=[
                ("id", ID),
                ("series", models.CharField(max_length=12)),
                ("salt", models.CharField(blank=True, max_length=32)),
                ("words_hash", models.CharField(max_length=64)),
                ("previous", models.CharField(help_text="The value before it.", max_length=64)),
                ("value", models.CharField(max_length=64)),
                (
                    "invoice",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="link", to="jobs.invoice"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("series", "previous"), name="one_link_after_another"),
                ],
            },
        ),
        migrations.CreateModel(
            name="BookCheck",
            fields=[
                ("id", ID),
                ("at", models.DateTimeField()),
                ("documents", models.PositiveIntegerField()),
                ("last_value", models.CharField(blank=True, max_length=64)),
                ("faults", models.JSONField(default=list, help_text="A sentence each, the first few.")),
                ("fault_count", models.PositiveIntegerField(default=0)),
            ],
            options={"constraints": [models.CheckConstraint(condition=models.Q(("id", 1)), name="one_book_check")]},
        ),
    ]
