from django.db import migrations

from garage.models.triggers import refuse_changes


class Migration(migrations.Migration):
    dependencies = [("garage", "0001_initial")]

    operations = [
        *refuse_changes("garage_trailrow", message="The trail is only added to, never changed."),
    ]
