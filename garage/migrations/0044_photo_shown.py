"""When a photo was shown to the owner with a request: it stays then."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("garage", "0043_paid_to")]

    operations = [
        migrations.AddField(
            model_name="photo",
            name="shown_at",
            field=models.DateTimeField(
                blank=True, help_text="To the owner, who was asked something with it.", null=True
            ),
        ),
    ]
