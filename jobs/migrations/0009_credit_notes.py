import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from garage.models.triggers import refuse_changes


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0008_service"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="CreditNote",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("why", models.CharField(max_length=200)),
                ("at", models.DateTimeField()),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "invoice",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="credit_note", to="jobs.invoice"
                    ),
                ),
                (
                    "kept",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="credit_notes",
                        to="jobs.keptdeposit",
                    ),
                ),
            ],
            options={"ordering": ["at", "id"]},
        ),
        *refuse_changes("jobs_creditnote", message="A credit note is never changed or deleted."),
    ]
