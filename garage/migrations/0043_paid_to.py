"""Where owners pay to, in which money, and under which country’s numbers."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0042_frozen_but_to_forget"),
    ]

    operations = [
        migrations.AddField(
            model_name="shop",
            name="bank_account",
            field=models.CharField(
                blank=True,
                db_default="",
                default="",
                help_text="An IBAN, or sort code and account, no spaces.",
                max_length=42,
            ),
        ),
        migrations.AddField(
            model_name="shop",
            name="bank_bic",
            field=models.CharField(blank=True, db_default="", default="", max_length=14),
        ),
        migrations.AddField(
            model_name="shop",
            name="bank_holder",
            field=models.CharField(
                blank=True, db_default="", default="", help_text="Empty: the garage's name.", max_length=70
            ),
        ),
        migrations.AddField(
            model_name="shop",
            name="company_number",
            field=models.CharField(
                blank=True,
                db_default="",
                default="",
                help_text="In the register of companies; empty for none.",
                max_length=35,
            ),
        ),
        migrations.AddField(
            model_name="shop",
            name="country",
            field=models.CharField(db_default="GB", default="GB", help_text="ISO 3166-1.", max_length=2),
        ),
        migrations.AddField(
            model_name="shop",
            name="currency",
            field=models.CharField(db_default="GBP", default="GBP", help_text="ISO 4217.", max_length=3),
        ),
    ]
