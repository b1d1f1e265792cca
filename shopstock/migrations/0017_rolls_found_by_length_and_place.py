from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("shopstock", "0016_ordering_parameters"),
    ]

    operations = [
        migrations.AddIndex(
            model_name="roll",
            index=models.Index(fields=["reinforcement", "-length_mm"], name="roll_by_length"),
        ),
        migrations.AddIndex(
            model_name="roll",
            index=models.Index(fields=["place", "closed_on"], name="roll_by_place"),
        ),
        migrations.AddIndex(
            model_name="roll",
            index=models.Index(fields=["recount_since"], name="roll_to_recount"),
        ),
    ]
