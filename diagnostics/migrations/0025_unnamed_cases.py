from django.db import migrations, models

from garage.models.triggers import refuse_changes


class Migration(migrations.Migration):
    dependencies = [("diagnostics", "0023_amounts")]

    operations = [
        migrations.CreateModel(
            name="UnnamedCase",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("booked", models.CharField(max_length=10)),
                ("roller_minutes", models.PositiveSmallIntegerField()),
                ("ran", models.BooleanField()),
                (
                    "taken",
                    models.CharField(blank=True, help_text="The route acted on before it came in.", max_length=12),
                ),
                ("causes", models.JSONField(help_text="Fault ids.")),
                ("has_own_words", models.BooleanField()),
                ("came_back", models.BooleanField()),
                ("case", models.JSONField(help_text="As given to assess, without its number.")),
                (
                    "result",
                    models.JSONField(blank=True, help_text="Empty: it was not judged before it came in.", null=True),
                ),
            ],
            options={"ordering": ["id"]},
        ),
        *refuse_changes("diagnostics_unnamedcase", message="What a closed card taught is never changed or deleted."),
    ]
