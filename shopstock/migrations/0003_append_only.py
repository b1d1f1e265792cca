from django.db import migrations

from shopstock.append_only import LEDGERS, drop_statements, install_statements


def install(apps, schema_editor):
    for statement in install_statements(schema_editor.connection.vendor, LEDGERS):
        schema_editor.execute(statement, params=None)


def drop(apps, schema_editor):
    for statement in drop_statements(schema_editor.connection.vendor, LEDGERS):
        schema_editor.execute(statement, params=None)


class Migration(migrations.Migration):
    dependencies = [("shopstock", "0002_roles")]
    operations = [migrations.RunPython(install, drop)]
