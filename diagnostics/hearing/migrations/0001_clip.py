"""The clips come from the room around this flat: their table stays as it is, with all rows."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("diagnostics", "0008_come_backs_are_kept"),
        ("garage", "0003_packers"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.CreateModel(
                    name="Clip",
                    fields=[
                        (
                            "id",
                            models.BigAutoField(
                                auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                            ),
                        ),
                        ("at", models.DateTimeField()),
                        (
                            "file",
                            models.FileField(
                                help_text="Under a random name.",
                                max_length=120,
                                upload_to="clips/%Y/%m",
                            ),
                        ),
                        (
                            "name",
                            models.CharField(help_text="As sent, without what cannot be printed.", max_length=120),
                        ),
                        ("size_bytes", models.PositiveBigIntegerField()),
                        (
                            "digest",
                            models.CharField(
                                help_text="SHA-256 of the file: the same one sent twice is one clip.", max_length=64
                            ),
                        ),
                        (
                            "state",
                            models.CharField(
                                choices=[
                                    ("waits", "waits"),
                                    ("working", "being heard"),
                                    ("heard", "heard"),
                                    ("not-heard", "cannot be heard"),
                                ],
                                default="waits",
                                max_length=10,
                            ),
                        ),
                        ("begun_at", models.DateTimeField(blank=True, null=True)),
                        ("tries", models.PositiveSmallIntegerField(default=0)),
                        ("heard_at", models.DateTimeField(blank=True, null=True)),
                        ("result", models.JSONField(blank=True, null=True)),
                        ("trouble", models.CharField(blank=True, help_text="Why it cannot be heard.", max_length=400)),
                        (
                            "own_verdict",
                            models.CharField(
                                blank=True,
                                choices=[
                                    ("revs-out", "revs out"),
                                    ("breaks-down", "breaks down"),
                                    ("unclear", "unclear"),
                                ],
                                help_text="A person's: it wins.",
                                max_length=12,
                            ),
                        ),
                        ("own_at", models.DateTimeField(blank=True, null=True)),
                        (
                            "by",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "own_by",
                            models.ForeignKey(
                                blank=True,
                                null=True,
                                on_delete=django.db.models.deletion.PROTECT,
                                related_name="+",
                                to=settings.AUTH_USER_MODEL,
                            ),
                        ),
                        (
                            "visit",
                            models.ForeignKey(
                                on_delete=django.db.models.deletion.CASCADE, related_name="clips", to="garage.visit"
                            ),
                        ),
                    ],
                    options={
                        "db_table": "diagnostics_clip",
                        "ordering": ["-at", "-id"],
                        "indexes": [
                            models.Index(
                                condition=models.Q(("state__in", ["waits", "working"])),
                                fields=["at"],
                                name="clips_to_hear",
                            )
                        ],
                        "constraints": [
                            models.UniqueConstraint(fields=("visit", "digest"), name="the_same_clip_once"),
                            models.CheckConstraint(
                                condition=models.Q(
                                    models.Q(("state", "heard"), _negated=True),
                                    ("result__isnull", False),
                                    _connector="OR",
                                ),
                                name="heard_is_something",
                            ),
                            models.CheckConstraint(
                                condition=models.Q(
                                    models.Q(("own_by", None), ("own_verdict", "")),
                                    models.Q(models.Q(("own_verdict", ""), _negated=True), ("own_by__isnull", False)),
                                    _connector="OR",
                                ),
                                name="a_verdict_has_its_giver",
                            ),
                        ],
                    },
                ),
            ]
        )
    ]
