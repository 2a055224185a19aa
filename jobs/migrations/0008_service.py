import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0015_sessions"),
        ("jobs", "0007_test_rides"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="ServiceReminder",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("what", models.CharField(help_text="What is to be done, as said to the owner.", max_length=100)),
                ("after_km", models.PositiveIntegerField(blank=True, null=True)),
                ("due_on", models.DateField(help_text="Local day on which the owner is written to.")),
                ("at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "visit",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="service_reminder", to="garage.visit"
                    ),
                ),
            ],
        ),
    ]
