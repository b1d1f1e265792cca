from django.db import migrations

ROLES = ("clerk", "laminator", "owner")


def make_groups(apps, schema_editor):
    group = apps.get_model("auth", "Group")
    for name in ROLES:
        group.objects.get_or_create(name=name)


class Migration(migrations.Migration):
    dependencies = [("shopstock", "0001_tables"), ("auth", "0012_alter_user_first_name_max_length")]
    operations = [migrations.RunPython(make_groups, migrations.RunPython.noop)]
