"""Closings forget came_back_at, which come-backs have taken the place of, and are never changed at all.

Only Django forgets it here. The column stays, empty in every new row, for the code that still serves while this runs:
that names it in each query. The release after this one drops it; no trigger names it any more.
"""

from django.db import migrations

from garage.models.triggers import allow_changes, refuse_changes

BEFORE = "A closed card is never closed anew: only once it may be marked that its machine came back."
ONLY_A_COME_BACK = (
    "OLD.came_back_at IS NOT NULL OR NEW.came_back_at IS NULL OR NEW.id <> OLD.id "
    "OR NEW.visit_id <> OLD.visit_id OR NEW.at <> OLD.at OR NEW.by_id <> OLD.by_id"
)
NOW = "A closed card is never closed anew."


class Migration(migrations.Migration):
    dependencies = [("diagnostics", "0010_ceiling")]

    operations = [
        *allow_changes("diagnostics_closing", when=ONLY_A_COME_BACK, message=BEFORE, changes=["UPDATE"]),
        *refuse_changes("diagnostics_closing", message=NOW, changes=["UPDATE"]),
        migrations.SeparateDatabaseAndState(state_operations=[migrations.RemoveField("closing", "came_back_at")]),
    ]
