from decimal import Decimal

import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from shopstock.append_only import LEDGERS, drop_statements, install_statements


def let_the_table_change(apps, schema_editor):
    """SQLite rebuilds a table to add a column, and loses its triggers with it: take them off, put them on again."""
    for statement in drop_statements(schema_editor.connection.vendor, LEDGERS):
        schema_editor.execute(statement, params=None)


def make_append_only(apps, schema_editor):
    for statement in install_statements(schema_editor.connection.vendor):
        schema_editor.execute(statement, params=None)


def drop_all(apps, schema_editor):
    for statement in drop_statements(schema_editor.connection.vendor):
        schema_editor.execute(statement, params=None)


def put_back(apps, schema_editor):
    for statement in install_statements(schema_editor.connection.vendor, LEDGERS):
        schema_editor.execute(statement, params=None)


class Migration(migrations.Migration):
    dependencies = [
        ("shopstock", "0003_append_only"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(let_the_table_change, put_back),
        migrations.CreateModel(
            name="CutHabit",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "form",
                    models.CharField(
                        choices=[
                            ("cloth", "cloth"),
                            ("mat", "chopped strand mat"),
                            ("woven_roving", "woven roving"),
                            ("combination", "combination mat"),
                            ("stitched", "stitched multiaxial"),
                            ("unidirectional", "unidirectional"),
                            ("tape", "tape"),
                            ("veil", "veil"),
                            ("core", "core"),
                        ],
                        max_length=24,
                        unique=True,
                    ),
                ),
                ("allowance_mm", models.PositiveIntegerField(verbose_name="allowance of a cut (mm)")),
                ("observations", models.PositiveIntegerField(verbose_name="recounts behind it")),
                ("cuts", models.PositiveIntegerField(verbose_name="cuts behind it")),
                ("at", models.DateTimeField()),
            ],
            options={
                "ordering": ["form"],
            },
        ),
        migrations.CreateModel(
            name="Measurement",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "method",
                    models.CharField(
                        choices=[
                            ("tape", "tape on the table"),
                            ("weight", "weight"),
                            ("diameter", "diameter"),
                            ("several", "several ways together"),
                            ("tube_empty", "tube empty"),
                            ("missing", "not found"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "readings",
                    models.JSONField(
                        default=dict, help_text="What was read, by method, and the length that each gives, mm."
                    ),
                ),
                ("length_mm", models.PositiveIntegerField(verbose_name="length taken over (mm)")),
                ("uncertainty_mm", models.FloatField(verbose_name="standard uncertainty (mm)")),
                ("doubt_sources", models.JSONField(default=dict)),
                ("booked_mm", models.PositiveIntegerField(verbose_name="booked before (mm)")),
                ("booked_uncertainty_mm", models.FloatField(verbose_name="standard uncertainty before (mm)")),
                ("booked_doubt_sources", models.JSONField(default=dict)),
                (
                    "cuts_before",
                    models.PositiveIntegerField(default=0, verbose_name="cuts since the roll was last measured"),
                ),
                ("drift_mm", models.FloatField(default=0.0, verbose_name="booked less measured (mm)")),
                (
                    "drift_uncertainty_mm",
                    models.FloatField(default=0.0, verbose_name="standard uncertainty of that, cuts left out (mm)"),
                ),
                ("at", models.DateTimeField()),
            ],
            options={
                "ordering": ["-at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="RecountEntry",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "how",
                    models.CharField(choices=[("looks_right", "looks right"), ("measured", "measured")], max_length=12),
                ),
                ("booked_mm", models.PositiveIntegerField(verbose_name="booked when it was counted (mm)")),
                ("length_mm", models.PositiveIntegerField(verbose_name="counted (mm)")),
                (
                    "measured",
                    models.JSONField(default=dict, help_text="Method, readings and doubt of a measured roll."),
                ),
                ("at", models.DateTimeField()),
            ],
            options={
                "ordering": ["-at"],
            },
        ),
        migrations.CreateModel(
            name="RecountRound",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "state",
                    models.CharField(
                        choices=[("open", "open"), ("closed", "closed"), ("dropped", "dropped")],
                        default="open",
                        max_length=8,
                    ),
                ),
                (
                    "tolerance_percent",
                    models.DecimalField(decimal_places=1, max_digits=4, verbose_name="off by more than (%)"),
                ),
                ("tolerance_mm", models.PositiveIntegerField(verbose_name="and by more than (mm)")),
                ("started_at", models.DateTimeField()),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ["-started_at"],
            },
        ),
        migrations.AddField(
            model_name="fault",
            name="across_from_mm",
            field=models.PositiveIntegerField(blank=True, null=True, verbose_name="from the left edge (mm)"),
        ),
        migrations.AddField(
            model_name="fault",
            name="across_to_mm",
            field=models.PositiveIntegerField(blank=True, null=True, verbose_name="to, from the left edge (mm)"),
        ),
        migrations.AddField(
            model_name="fault",
            name="photo",
            field=models.CharField(blank=True, editable=False, max_length=80),
        ),
        migrations.AddField(
            model_name="movement",
            name="cause",
            field=models.CharField(
                blank=True,
                choices=[
                    ("fault", "fault cut out"),
                    ("outer_layers", "outer layers stripped"),
                    ("end", "crooked or frayed end"),
                    ("sample", "sample or trial"),
                    ("short", "too short for any job"),
                    ("old", "kept too long"),
                    ("mistake", "wrongly cut"),
                    ("other", "other"),
                ],
                default="",
                max_length=12,
                verbose_name="why it was lost",
            ),
        ),
        migrations.AddField(
            model_name="movement",
            name="pair",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="paired",
                to="shopstock.movement",
            ),
        ),
        migrations.AddField(
            model_name="reinforcement",
            name="offcut_area_cm2",
            field=models.PositiveIntegerField(blank=True, null=True, verbose_name="smallest offcut kept (cm²)"),
        ),
        migrations.AddField(
            model_name="reinforcement",
            name="offcut_keep_days",
            field=models.PositiveIntegerField(blank=True, null=True, verbose_name="keep offcuts for (days)"),
        ),
        migrations.AddField(
            model_name="reinforcement",
            name="offcut_length_mm",
            field=models.PositiveIntegerField(
                blank=True, null=True, verbose_name="shortest offcut kept at full width (mm)"
            ),
        ),
        migrations.AddField(
            model_name="reinforcement",
            name="offcut_side_mm",
            field=models.PositiveIntegerField(
                blank=True, null=True, verbose_name="narrowest side of an offcut kept (mm)"
            ),
        ),
        migrations.AddField(
            model_name="reinforcement",
            name="wound_thickness_mm",
            field=models.DecimalField(
                blank=True,
                decimal_places=3,
                max_digits=5,
                null=True,
                validators=[django.core.validators.MinValueValidator(Decimal("0.01"))],
                verbose_name="thickness of one layer as it lies wound (mm)",
            ),
        ),
        migrations.AddField(
            model_name="roll",
            name="core_mm",
            field=models.PositiveIntegerField(blank=True, null=True, verbose_name="outside diameter of the tube (mm)"),
        ),
        migrations.AddField(
            model_name="roll",
            name="cuts_since_measured",
            field=models.PositiveIntegerField(default=0, editable=False),
        ),
        migrations.AddField(
            model_name="roll",
            name="doubt_sources",
            field=models.JSONField(default=dict, editable=False, help_text="Part of the uncertainty by source, mm."),
        ),
        migrations.AddField(
            model_name="roll",
            name="grade",
            field=models.CharField(
                choices=[("structural", "for any part"), ("non_structural", "for non-structural parts only")],
                default="structural",
                max_length=14,
            ),
        ),
        migrations.AddField(
            model_name="roll",
            name="outer_mm",
            field=models.PositiveIntegerField(blank=True, null=True, verbose_name="outside diameter when it came (mm)"),
        ),
        migrations.AddField(
            model_name="roll",
            name="uncertainty_mm",
            field=models.FloatField(
                blank=True, editable=False, null=True, verbose_name="standard uncertainty of the length (mm)"
            ),
        ),
        migrations.AddField(
            model_name="shop",
            name="offcut_area_cm2",
            field=models.PositiveIntegerField(default=2500, verbose_name="smallest offcut kept (cm²)"),
        ),
        migrations.AddField(
            model_name="shop",
            name="offcut_keep_days",
            field=models.PositiveIntegerField(default=270, verbose_name="keep offcuts for (days)"),
        ),
        migrations.AddField(
            model_name="shop",
            name="recount_tolerance_mm",
            field=models.PositiveIntegerField(default=1000, verbose_name="recount: and by more than (mm)"),
        ),
        migrations.AddField(
            model_name="shop",
            name="recount_tolerance_percent",
            field=models.DecimalField(
                decimal_places=1, default=Decimal("2.0"), max_digits=4, verbose_name="recount: off by more than (%)"
            ),
        ),
        migrations.AddField(
            model_name="supplier",
            name="length_tolerance_percent",
            field=models.DecimalField(
                decimal_places=1,
                default=Decimal("1.0"),
                max_digits=4,
                validators=[
                    django.core.validators.MinValueValidator(Decimal("0.1")),
                    django.core.validators.MaxValueValidator(Decimal("20")),
                ],
                verbose_name="lengths on its labels are right to ± (%)",
            ),
        ),
        migrations.AlterField(
            model_name="movement",
            name="kind",
            field=models.CharField(
                choices=[
                    ("receipt", "received"),
                    ("cut", "cut"),
                    ("loss", "cut away"),
                    ("offcut", "kept as offcut"),
                    ("recount", "recounted"),
                    ("correction", "corrected"),
                    ("move", "moved"),
                    ("fault", "fault found"),
                    ("fault_cleared", "fault cleared"),
                    ("quarantine", "quarantined"),
                    ("release", "released"),
                    ("split", "split"),
                    ("join", "joined"),
                    ("return", "returned to the supplier"),
                    ("fold", "fold decided"),
                ],
                max_length=14,
            ),
        ),
        migrations.AddConstraint(
            model_name="fault",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("across_from_mm__isnull", True), ("across_to_mm__isnull", True)),
                    ("across_to_mm__gt", models.F("across_from_mm")),
                    _connector="OR",
                ),
                name="fault_has_width_or_crosses_the_roll",
            ),
        ),
        migrations.AddField(
            model_name="cuthabit",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="measurement",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="measurement",
            name="movement",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="measurement",
                to="shopstock.movement",
            ),
        ),
        migrations.AddField(
            model_name="measurement",
            name="roll",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="measurements", to="shopstock.roll"
            ),
        ),
        migrations.AddField(
            model_name="recountentry",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="recountentry",
            name="place",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="shopstock.place",
            ),
        ),
        migrations.AddField(
            model_name="recountentry",
            name="roll",
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="shopstock.roll"),
        ),
        migrations.AddField(
            model_name="recountround",
            name="closed_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="recountround",
            name="started_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="recountentry",
            name="round",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="entries", to="shopstock.recountround"
            ),
        ),
        migrations.AddIndex(
            model_name="measurement",
            index=models.Index(fields=["roll", "at"], name="shopstock_m_roll_id_e6bf8d_idx"),
        ),
        migrations.AddConstraint(
            model_name="recountround",
            constraint=models.UniqueConstraint(
                condition=models.Q(("state", "open")), fields=("state",), name="one_open_round"
            ),
        ),
        migrations.AddConstraint(
            model_name="recountentry",
            constraint=models.UniqueConstraint(fields=("round", "roll"), name="roll_counted_once_a_round"),
        ),
        migrations.RunPython(make_append_only, drop_all),
    ]
