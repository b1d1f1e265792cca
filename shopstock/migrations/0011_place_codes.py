from django.db import migrations, models

import shopstock.calc.stock_code


def give_codes(apps, schema_editor):
    for place in apps.get_model("shopstock", "Place").objects.all():
        place.code = shopstock.calc.stock_code.make_code()
        place.save(update_fields=["code"])


class Migration(migrations.Migration):
    dependencies = [
        ("shopstock", "0010_orders"),
    ]

    operations = [
        migrations.AddField("place", "code", models.CharField(default="", editable=False, max_length=10)),
        migrations.RunPython(give_codes, migrations.RunPython.noop),
        migrations.AlterField(
            "place",
            "code",
            models.CharField(default=shopstock.calc.stock_code.make_code, editable=False, max_length=10, unique=True),
        ),
    ]
