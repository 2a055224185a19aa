"""A machine left with us may go on the rollers when they come free; how many minutes its bench work may take."""

from django.db import migrations, models

WHY = [
    ("called-off", "called off"),
    ("by-us", "put off by us"),
    ("moved", "moved"),
    ("fix-first", "to be put right first"),
    ("no-show", "did not come"),
    ("early", "finished early"),
]
ANSWERS = [
    ("yes", "taken"),
    ("no", "not wanted"),
    ("lapsed", "no answer in time"),
    ("gone", "somebody else was sooner"),
    ("given", "given without being asked"),
]


class Migration(migrations.Migration):
    dependencies = [("garage", "0026_secret_addresses")]

    operations = [
        migrations.AddField(
            model_name="visit",
            name="may_go_on_from",
            field=models.DateTimeField(
                blank=True,
                help_text="Left with us: since then it may go on the rollers without its owner being asked.",
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="visit",
            name="bench_minutes_from",
            field=models.PositiveSmallIntegerField(
                blank=True, help_text="One machine in ten is put right in fewer.", null=True
            ),
        ),
        migrations.AddField(
            model_name="visit",
            name="bench_minutes_to",
            field=models.PositiveSmallIntegerField(blank=True, help_text="One in ten takes more.", null=True),
        ),
        migrations.AddField(
            model_name="freedtime",
            name="kept_from",
            field=models.DateTimeField(
                blank=True,
                help_text="Kept again, for a machine that was not through its gate when it came free.",
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="offer",
            name="in_the_building",
            field=models.BooleanField(db_default=False, default=False),
        ),
        migrations.AlterField(model_name="freedtime", name="why", field=models.CharField(choices=WHY, max_length=10)),
        migrations.AlterField(
            model_name="offer", name="answer", field=models.CharField(blank=True, choices=ANSWERS, max_length=6)
        ),
    ]
