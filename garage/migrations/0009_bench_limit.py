from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0008_labour_is_rounded"),
    ]

    operations = [
        migrations.AddField(
            model_name="shop",
            name="bench_limit_pounds",
            field=models.PositiveIntegerField(
                db_default=120, default=120, help_text="Bench work up to this needs no further word from the owner."
            ),
        ),
        migrations.AddField(
            model_name="visit",
            name="bench_limit_pounds",
            field=models.PositiveIntegerField(
                blank=True,
                help_text="Bench work the owner agreed to without being asked again; empty: the shop's.",
                null=True,
            ),
        ),
    ]
