from decimal import Decimal

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("shopstock", "0011_place_codes")]

    operations = [
        migrations.AddField(
            model_name="shop",
            name="keeping_percent",
            field=models.DecimalField(
                "keeping stock costs, of its price a year (%)",
                max_digits=4,
                decimal_places=1,
                default=Decimal("20.0"),
                help_text="Money tied up, space and spoilage. 20 % is a rule of thumb; yours is better.",
            ),
        ),
    ]
