from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0052_shown_round_and_demo"),
    ]

    operations = [
        migrations.AddField(
            model_name="message",
            name="language",
            field=models.CharField(db_default="en", default="en", help_text="Of whoever reads it.", max_length=2),
        ),
    ]
