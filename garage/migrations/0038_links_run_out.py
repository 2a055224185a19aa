"""Links of a visit that never ends run out, and new ones count from when they were issued."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("garage", "0034_unconfirmed")]

    operations = [
        migrations.AddField(
            model_name="visit",
            name="links_anew_at",
            field=models.DateTimeField(
                blank=True,
                help_text="When links of another generation were last issued: they count from then.",
                null=True,
            ),
        ),
    ]
