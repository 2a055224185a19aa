"""Hours of the rollers by weekday. Empty: as long as the garage is open."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("garage", "0020_list_files")]

    operations = [
        migrations.AddField(
            model_name="openinghours",
            name="rollers_from",
            field=models.TimeField(blank=True, help_text="Empty: from when the garage opens.", null=True),
        ),
        migrations.AddField(
            model_name="openinghours",
            name="rollers_until",
            field=models.TimeField(blank=True, help_text="Empty: until it closes.", null=True),
        ),
        migrations.AddField(
            model_name="openinghours",
            name="has_rollers",
            field=models.BooleanField(db_default=True, default=True, help_text="Whether they run on that weekday."),
        ),
    ]
