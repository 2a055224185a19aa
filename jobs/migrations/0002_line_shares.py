"""Each line keeps its share of net and VAT, so that a frozen invoice is printed without computing anything again."""

from decimal import Decimal

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0001_initial")]

    operations = [
        migrations.AddField(
            "invoiceline",
            "net",
            models.DecimalField(
                decimal_places=2, default=Decimal(0), help_text="Shares of the invoice's net and VAT.", max_digits=9
            ),
            preserve_default=False,
        ),
        migrations.AddField(
            "invoiceline",
            "vat",
            models.DecimalField(decimal_places=2, default=Decimal(0), max_digits=9),
            preserve_default=False,
        ),
    ]
