import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from garage.models.triggers import refuse_changes


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0017_no_service"),
    ]

    operations = [
        migrations.CreateModel(
            name="SafetyRemark",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("words", models.CharField(max_length=300)),
                (
                    "how",
                    models.CharField(
                        choices=[("counter", "at the counter"), ("telephone", "by telephone"), ("mail", "by email")],
                        max_length=10,
                    ),
                ),
                ("at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "message",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="garage.message",
                    ),
                ),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="safety_remarks", to="garage.visit"
                    ),
                ),
            ],
            options={
                "ordering": ["at", "id"],
            },
        ),
        *refuse_changes("garage_safetyremark", message="What an owner was told about safety is never changed."),
    ]
