import django.db.models.deletion
from django.db import migrations, models

from garage.triggers import refuse_changes


class Migration(migrations.Migration):
    dependencies = [("garage", "0001_initial")]

    operations = [
        migrations.AlterField(
            model_name="trailrow",
            name="visit",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="trail",
                to="garage.visit",
            ),
        ),
        *refuse_changes("garage_trailrow", message="The trail is only added to, never changed."),
    ]
