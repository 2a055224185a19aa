import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("diagnostics", "0012_clips_live_in_the_hearing"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="gate",
            name="second",
            field=models.ForeignKey(
                blank=True,
                help_text="Within call; another than who ran the gate. Empty on gates from when the name was typed.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AlterField(
            model_name="gate",
            name="second_person",
            field=models.CharField(blank=True, help_text="Within call: the name as it was then.", max_length=80),
        ),
    ]
