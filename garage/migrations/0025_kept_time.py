"""Time that is kept free by weekday: minutes at the bench and on the rollers that nobody books online."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0023_minutes_before"),
    ]

    operations = [
        migrations.CreateModel(
            name="KeptTime",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("weekday", models.PositiveSmallIntegerField(help_text="0 is Monday.")),
                ("at", models.CharField(choices=[("roller", "rollers"), ("bench", "bench")], max_length=6)),
                ("minutes", models.PositiveIntegerField()),
            ],
            options={
                "ordering": ["weekday", "at"],
                "constraints": [
                    models.UniqueConstraint(fields=("weekday", "at"), name="one_kept_time_a_weekday_and_place")
                ],
            },
        ),
    ]
