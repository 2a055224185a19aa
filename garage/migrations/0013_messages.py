from datetime import time

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0012_standby"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Wording",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("what", models.CharField(max_length=40, unique=True)),
                ("is_on", models.BooleanField(default=True)),
                ("subject", models.CharField(blank=True, help_text="Empty: as delivered.", max_length=150)),
                ("text", models.TextField(blank=True, help_text="Empty: as delivered.")),
            ],
        ),
        migrations.CreateModel(
            name="Reminded",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("what", models.CharField(max_length=40)),
                ("about", models.DateField(help_text="The local day that it reminds of.")),
                ("at", models.DateTimeField()),
                (
                    "visit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="reminded", to="garage.visit"
                    ),
                ),
            ],
            options={
                "constraints": [models.UniqueConstraint(fields=("visit", "what", "about"), name="reminded_once")],
            },
        ),
        migrations.AddField(
            model_name="message",
            name="bounced_at",
            field=models.DateTimeField(
                blank=True, help_text="A report came back that it was not delivered; the trouble says why.", null=True
            ),
        ),
        migrations.AddField(
            model_name="message",
            name="told_at",
            field=models.DateTimeField(blank=True, help_text="Texted or rung instead.", null=True),
        ),
        migrations.AddField(
            model_name="message",
            name="told_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="visit",
            name="page_opened_at",
            field=models.DateTimeField(
                blank=True,
                help_text="By its owner, while it must not run: has the warning been read?",
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="shop",
            name="quiet_from",
            field=models.TimeField(db_default=time(20), default=time(20)),
        ),
        migrations.AddField(
            model_name="shop",
            name="quiet_until",
            field=models.TimeField(db_default=time(8), default=time(8)),
        ),
        migrations.AddField(
            model_name="shop",
            name="invoice_due_days",
            field=models.PositiveSmallIntegerField(db_default=14, default=14),
        ),
        migrations.AddField(
            model_name="shop",
            name="calling_code",
            field=models.CharField(blank=True, db_default="44", default="44", max_length=3),
        ),
    ]
