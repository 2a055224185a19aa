from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0005_machine_oiling_and_tap"),
    ]

    operations = [
        migrations.AddField(
            model_name="visit",
            name="must_not_run",
            field=models.JSONField(
                blank=True,
                db_default=[],
                default=list,
                help_text="Findings that keep it off the rollers: plain sentences.",
            ),
        ),
    ]
