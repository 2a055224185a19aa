import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0048_asked_again"),
        ("jobs", "0023_estimates"),
    ]

    operations = [
        migrations.CreateModel(
            name="AskedAgain",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("at", models.DateTimeField()),
                (
                    "consent",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="asked_again", to="jobs.consent"
                    ),
                ),
            ],
        ),
    ]
