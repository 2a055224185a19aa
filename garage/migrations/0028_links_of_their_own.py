"""New links begin with a generation of chance. No column changes: SQLite need not write the table anew."""

from django.db import migrations, models

import garage.models.visits


class Migration(migrations.Migration):
    dependencies = [("garage", "0027_may_go_on")]

    operations = [
        migrations.SeparateDatabaseAndState(
            state_operations=[
                migrations.AlterField(
                    model_name="visit",
                    name="link_generation",
                    field=models.PositiveIntegerField(default=garage.models.visits.first_link_generation),
                ),
            ],
        ),
    ]
