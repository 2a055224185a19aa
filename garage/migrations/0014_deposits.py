from datetime import timedelta

from django.apps.registry import Apps
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor


def told_long_ago(apps: Apps, _schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Messages of before, to owners without an address: nobody is asked to ring about them now."""
    Message = apps.get_model("garage", "Message")
    Message.objects.filter(to="", sent_at=None, told_at=None).update(told_at=models.F("written_at"))


def begin(apps: Apps, _schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Of deposits awaited already: the day before the visit. Of visits that are over with one: a person decides."""
    Visit = apps.get_model("garage", "Visit")
    for visit in Visit.objects.filter(state="deposit-awaited", starts_at__isnull=False, deposit_due_on=None):
        visit.deposit_due_on = visit.starts_at.date() - timedelta(days=1)
        visit.save(update_fields=["deposit_due_on"])
    over = Visit.objects.filter(state__in=["called-off", "did-not-come"], deposit_paid__gt=0)
    over.update(deposit_then="decide")


class Migration(migrations.Migration):
    dependencies = [("garage", "0013_messages")]

    operations = [
        migrations.RunPython(told_long_ago, migrations.RunPython.noop),
        migrations.AddField(
            model_name="shop",
            name="deposit_days",
            field=models.PositiveSmallIntegerField(
                db_default=5, default=5, help_text="After booking, to pay a deposit."
            ),
        ),
        migrations.AddField(
            model_name="shop",
            name="deposit_frees_after_days",
            field=models.PositiveSmallIntegerField(
                blank=True,
                help_text="After the day for it, an unpaid time is free again; empty: a person decides.",
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="visit",
            name="deposit_due_on",
            field=models.DateField(blank=True, help_text="The last local day for it, while it is awaited.", null=True),
        ),
        migrations.AddField(
            model_name="visit",
            name="deposit_then",
            field=models.CharField(
                blank=True,
                choices=[("back", "goes back to the owner"), ("decide", "to be kept or given back")],
                db_default="",
                default="",
                help_text="What becomes of the money of a visit that ended without work.",
                max_length=6,
            ),
        ),
        migrations.RunPython(begin, migrations.RunPython.noop),
    ]
