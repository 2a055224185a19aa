"""The second person at a gate is one of the shop's people; and what must not run today is kept off the rollers at once.

Visits are told what stops them with each judgement. Those judged by the release before are told here.
"""

import django.db.models.deletion
from django.apps.registry import Apps
from django.conf import settings
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

DO_NOT_RUN = "do-not-run"
OVER = ("collected", "called-off", "did-not-come")
SAID_BEFORE = "It is judged do not run: see its findings."


def told_what_stops_them(apps: Apps, _schema_editor: BaseDatabaseSchemaEditor) -> None:
    visits = apps.get_model("garage", "Visit").objects
    judgements = apps.get_model("diagnostics", "KeptJudgement").objects
    for visit in visits.filter(must_not_run=[]).exclude(state__in=OVER):
        newest = judgements.filter(visit_id=visit.pk).order_by("-at", "-id").first()
        if newest is not None and newest.route == DO_NOT_RUN:
            visit.must_not_run, visit.gate_passed_at = [SAID_BEFORE], None
            visit.save(update_fields=["must_not_run", "gate_passed_at"])


class Migration(migrations.Migration):
    dependencies = [
        ("diagnostics", "0013_remarks_that_act"),
        ("garage", "0006_must_not_run"),
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
        migrations.RunPython(told_what_stops_them, migrations.RunPython.noop),
    ]
