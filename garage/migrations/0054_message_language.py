from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0053_paper_size"),
    ]

    operations = [
        migrations.AddField(
            model_name="message",
            name="language",
            field=models.CharField(db_default="en", default="en", help_text="Of whoever reads it.", max_length=2),
        ),
    ]
