from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0016_what_counts_as_late"),
    ]

    operations = [
        migrations.AddField(
            model_name="owner",
            name="no_service_at",
            field=models.DateTimeField(blank=True, help_text="Since when no service reminder is wanted.", null=True),
        ),
    ]
