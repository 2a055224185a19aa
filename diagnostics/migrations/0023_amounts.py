"""A gauge shows no more than the largest there is: guarded by the database too."""

from django.db import migrations

from garage.migrations._bounds import bounded_or_empty


class Migration(migrations.Migration):
    dependencies = [("diagnostics", "0020_returning_visits"), ("garage", "0029_amounts")]

    operations = bounded_or_empty("diagnostics.gate", compression=(0, 580))
