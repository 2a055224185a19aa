from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0048_asked_again"),
    ]

    operations = [
        migrations.AddField(
            model_name="owner",
            name="is_business",
            field=models.BooleanField(
                db_default=False,
                default=False,
                help_text="Not a private person: other words when an invoice is late.",
            ),
        ),
    ]
