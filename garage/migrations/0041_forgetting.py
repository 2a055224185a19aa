import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("garage", "0039_second_factor")]

    operations = [
        migrations.AddField(
            model_name="visit",
            name="forgotten_at",
            field=models.DateTimeField(
                blank=True,
                help_text="Since when all that its owner sent in is gone (changes/visit/forgetting.py).",
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="owner",
            name="erased_at",
            field=models.DateTimeField(blank=True, help_text="Since when nothing names who it was.", null=True),
        ),
        migrations.AddField(
            model_name="shop",
            name="keeps_clip_originals",
            field=models.BooleanField(
                db_default=False, default=False, help_text="Else a clip's sound alone is kept once it was heard."
            ),
        ),
        migrations.CreateModel(
            name="Forgetting",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("what", models.CharField(help_text="owner 7, invoices whose time is over", max_length=60)),
                ("at", models.DateTimeField()),
                ("done_at", models.DateTimeField(blank=True, null=True)),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={"ordering": ["-at", "-id"]},
        ),
    ]
