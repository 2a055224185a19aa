import django.db.models.deletion
from django.apps.registry import Apps
from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor


def copy(apps: Apps, _schema_editor: BaseDatabaseSchemaEditor) -> None:
    """Nobody is logged out and no booking half typed is lost. The old table is dropped by a later version."""
    Person = apps.get_model("garage", "Person")
    BrowserSession = apps.get_model("garage", "BrowserSession")
    people, store = set(Person.objects.values_list("pk", flat=True)), SessionStore()
    for row in apps.get_model("sessions", "Session").objects.iterator():
        person_id = int(store.decode(row.session_data).get(SESSION_KEY) or 0)
        BrowserSession.objects.create(
            session_key=row.session_key,
            session_data=row.session_data,
            expire_date=row.expire_date,
            person_id=person_id if person_id in people else None,
        )


class Migration(migrations.Migration):
    dependencies = [("garage", "0014_deposits"), ("sessions", "0001_initial")]

    operations = [
        migrations.CreateModel(
            name="BrowserSession",
            fields=[
                (
                    "session_key",
                    models.CharField(max_length=40, primary_key=True, serialize=False, verbose_name="session key"),
                ),
                ("session_data", models.TextField(verbose_name="session data")),
                ("expire_date", models.DateTimeField(db_index=True, verbose_name="expire date")),
                (
                    "person",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="browser_sessions",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={"verbose_name": "session", "verbose_name_plural": "sessions", "abstract": False},
        ),
        migrations.RunPython(copy, migrations.RunPython.noop),
    ]
