"""A message knows that its sending was cut off, so that the sent page can say that it may have arrived twice."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("garage", "0029_amounts")]

    operations = [
        migrations.AddField(
            model_name="message",
            name="in_hand",
            field=models.BooleanField(
                db_default=False,
                default=False,
                help_text="Claimed, and not marked yet: if its sender dies it stays so.",
            ),
        ),
        migrations.AddField(
            model_name="message",
            name="perhaps_twice",
            field=models.BooleanField(
                db_default=False,
                default=False,
                help_text="A sending of it was cut off, so that one may have arrived as well.",
            ),
        ),
    ]
