import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("diagnostics", "0025_unnamed_cases"),
    ]

    operations = [
        migrations.CreateModel(
            name="LearnedSums",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("edition", models.CharField(max_length=40, unique=True)),
                (
                    "sums",
                    models.JSONField(default=dict, help_text="As core/learning/sums.py names them; whole numbers."),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Taught",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("booked", models.CharField(max_length=10)),
                ("roller_minutes", models.PositiveSmallIntegerField()),
                ("ran", models.BooleanField()),
                ("taken", models.CharField(blank=True, max_length=12)),
                ("causes", models.JSONField(help_text="Fault ids.")),
                ("has_own_words", models.BooleanField()),
                ("came_back", models.BooleanField()),
                ("story", models.TextField(help_text="As core/learning/sums.py writes it.")),
                (
                    "why_not",
                    models.CharField(
                        blank=True, help_text="Why it is not learned from; empty if it is.", max_length=60
                    ),
                ),
                (
                    "closing",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="taught",
                        to="diagnostics.closing",
                    ),
                ),
                (
                    "judgement",
                    models.ForeignKey(
                        blank=True,
                        help_text="The last before it came in; none: not judged, or unnamed.",
                        null=True,
                        on_delete=django.db.models.deletion.RESTRICT,
                        related_name="+",
                        to="diagnostics.keptjudgement",
                    ),
                ),
                (
                    "unnamed",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="taught",
                        to="diagnostics.unnamedcase",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "indexes": [
                    models.Index(
                        condition=models.Q(("why_not", ""), _negated=True),
                        fields=["closing"],
                        name="taught_but_not_learned",
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("closing__isnull", False), ("unnamed", None)),
                            models.Q(("closing", None), ("unnamed__isnull", False)),
                            _connector="OR",
                        ),
                        name="taught_by_a_closing_or_an_unnamed_case",
                    )
                ],
            },
        ),
    ]
