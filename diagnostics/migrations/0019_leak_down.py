from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("diagnostics", "0018_readings"),
    ]

    operations = [
        migrations.AlterField(
            model_name="gate",
            name="compression",
            field=models.DecimalField(
                blank=True, decimal_places=1, help_text="By gauge, or leak-down.", max_digits=5, null=True
            ),
        ),
        migrations.AlterField(
            model_name="gate",
            name="compression_unit",
            field=models.CharField(
                blank=True,
                choices=[("bar", "bar"), ("psi", "psi"), ("%", "% leak-down")],
                db_default="",
                max_length=3,
            ),
        ),
        migrations.AlterField(
            model_name="reading",
            name="what",
            field=models.CharField(help_text="As in core/readings.py: strobe_idle, leak_down …", max_length=20),
        ),
    ]
