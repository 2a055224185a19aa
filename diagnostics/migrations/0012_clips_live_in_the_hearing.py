"""Only Django's notion of it: the table of the clips stays where it is."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("diagnostics", "0011_closings_know_no_come_back"), ("hearing", "0001_clip")]

    operations = [migrations.SeparateDatabaseAndState(state_operations=[migrations.DeleteModel(name="Clip")])]
