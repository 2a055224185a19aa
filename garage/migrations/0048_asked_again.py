from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0047_gearing"),
    ]

    operations = [
        migrations.AddField(
            model_name="shop",
            name="ask_again_hours",
            field=models.PositiveSmallIntegerField(
                db_default=24,
                default=24,
                help_text="On open days, until an owner is reminded of what was asked; 0: never.",
            ),
        ),
        migrations.AddField(
            model_name="visit",
            name="asked_since",
            field=models.DateTimeField(
                blank=True,
                help_text="Asked then about more work, reminded, not answered: its owner must be rung.",
                null=True,
            ),
        ),
    ]
