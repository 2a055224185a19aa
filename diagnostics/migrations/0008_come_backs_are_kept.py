"""A come-back is withdrawn at most once and never deleted; those marked on their closings become rows of their own."""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from garage.models.triggers import refuse_changes

COME_BACK = "A come-back is never changed or deleted: only once it may be withdrawn."

ONLY_A_WITHDRAWAL = (
    "OLD.withdrawn_at IS NOT NULL OR NEW.withdrawn_at IS NULL OR NEW.id <> OLD.id OR NEW.at <> OLD.at "
    "OR NEW.closing_id <> OLD.closing_id OR COALESCE(NEW.by_id, 0) <> COALESCE(OLD.by_id, 0)"
)


def copied(apps: Apps, _schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Who marked it stands in the trail alone."""
    closings = apps.get_model("diagnostics", "Closing").objects.exclude(came_back_at=None)
    come_backs = apps.get_model("diagnostics", "ComeBack").objects
    come_backs.bulk_create([come_backs.model(closing=closing, at=closing.came_back_at) for closing in closings])


class Migration(migrations.Migration):
    dependencies = [("diagnostics", "0007_come_backs")]

    operations = [
        *refuse_changes("diagnostics_comeback", when=ONLY_A_WITHDRAWAL, message=COME_BACK, changes=["UPDATE"]),
        *refuse_changes("diagnostics_comeback", message=COME_BACK, changes=["DELETE"]),
        # After the triggers: PostgreSQL makes none for a table whose new rows are still being checked.
        migrations.RunPython(copied, migrations.RunPython.noop),
    ]
