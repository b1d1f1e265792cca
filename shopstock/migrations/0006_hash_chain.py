from itertools import groupby

from django.db import migrations, models

from shopstock.append_only import drop_statements, install_statements
from shopstock.ledger.chain import chain_on

LEDGERS = (("Movement", "roll"), ("ContainerMovement", "container"))


def let_the_tables_change(apps, schema_editor):
    """SQLite rebuilds a table to add a column, and loses its triggers with it; the fill is the one lawful update."""
    for statement in drop_statements(schema_editor.connection.vendor):
        schema_editor.execute(statement, params=None)


def make_append_only(apps, schema_editor):
    for statement in install_statements(schema_editor.connection.vendor):
        schema_editor.execute(statement, params=None)


def link_the_lines_there_are(apps, schema_editor):
    for name, owner_name in LEDGERS:
        model = apps.get_model("shopstock", name)
        lines = model.objects.order_by(owner_name, "pk").select_related(owner_name).iterator(chunk_size=2000)
        for _, of_one in groupby(lines, key=lambda line: getattr(line, f"{owner_name}_id")):
            _link(schema_editor.connection, list(of_one), owner_name)


def _link(connection, lines, owner_name):
    owner = getattr(lines[0], owner_name)
    for line in lines:
        chain_on(owner, line)
    table = lines[0]._meta.db_table
    with connection.cursor() as cursor:
        cursor.executemany(f"UPDATE {table} SET link = %s WHERE id = %s", [(line.link, line.pk) for line in lines])
    owner.save(update_fields=["line_count", "last_link"])


class Migration(migrations.Migration):
    dependencies = [("shopstock", "0005_angles_and_drape")]

    operations = [
        migrations.RunPython(let_the_tables_change, make_append_only),
        *(
            operation
            for model in ("roll", "container")
            for operation in (
                migrations.AddField(
                    model,
                    "line_count",
                    models.PositiveIntegerField("lines in the ledger", default=0, editable=False),
                ),
                migrations.AddField(
                    model,
                    "last_link",
                    models.CharField("link of its last line", max_length=64, default="", editable=False),
                ),
            )
        ),
        *(
            migrations.AddField(
                model,
                "link",
                models.CharField("link of the hash chain", max_length=64, default="", editable=False),
            )
            for model in ("movement", "containermovement")
        ),
        migrations.RunPython(link_the_lines_there_are, migrations.RunPython.noop),
        migrations.RunPython(make_append_only, let_the_tables_change),
    ]
