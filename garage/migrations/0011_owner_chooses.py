from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0010_gate_takes_twenty"),
    ]

    operations = [
        migrations.AddField(
            model_name="shop",
            name="choose_hours",
            field=models.PositiveSmallIntegerField(
                db_default=24,
                default=24,
                help_text="Of an owner whose machine is to be put right first; 0: nobody is asked.",
            ),
        ),
        migrations.AddField(
            model_name="shop",
            name="floor_places",
            field=models.PositiveSmallIntegerField(
                db_default=2, default=2, help_text="Room for machines that stay overnight."
            ),
        ),
        migrations.AddField(
            model_name="visit",
            name="choice",
            field=models.CharField(
                blank=True,
                choices=[
                    ("asked", "its owner is asked"),
                    ("myself", "its owner puts it right"),
                    ("with-us", "left with us"),
                ],
                db_default="",
                default="",
                max_length=8,
            ),
        ),
        migrations.AddField(
            model_name="visit",
            name="choose_by",
            field=models.DateTimeField(
                blank=True,
                help_text="Without an answer by then its time is given back; empty: a person rings.",
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="visit",
            name="chosen_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
    ]
