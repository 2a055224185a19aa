"""The gate at the bench takes twenty minutes where the shop has kept the ten of the release before.

A shop that set its own minutes keeps them, ten among them. Gates that are planned already keep theirs: the days they
lie in were sold with them.
"""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

BEFORE_MIN, NOW_MIN = 10, 20  # minutes, defaults of gate_minutes


def takes_twenty(apps: Apps, _schema_editor: BaseDatabaseSchemaEditor) -> None:
    details = apps.get_model("garage", "TrailRow").objects.filter(about="the shop").values_list("detail", flat=True)
    if not any("gate_minutes" in detail.get("changed", {}) for detail in details):
        apps.get_model("garage", "Shop").objects.filter(gate_minutes=BEFORE_MIN).update(gate_minutes=NOW_MIN)


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0009_bench_limit"),
    ]

    operations = [migrations.RunPython(takes_twenty, migrations.RunPython.noop)]
