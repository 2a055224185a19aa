from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("garage", "0049_business_owners"),
    ]

    operations = [
        migrations.AddField(
            model_name="shop",
            name="tax_name",
            field=models.CharField(
                db_default="VAT", default="VAT", help_text="What the tax on sales is called.", max_length=12
            ),
        ),
    ]
