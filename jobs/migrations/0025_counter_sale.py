import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0048_asked_again"),
        ("jobs", "0024_asked_again"),
    ]

    operations = [
        migrations.CreateModel(
            name="CounterSale",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "invoice",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="counter_sale", to="jobs.invoice"
                    ),
                ),
                (
                    "owner",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="counter_sales", to="garage.owner"
                    ),
                ),
            ],
        ),
    ]
