import pytest
from django.core.management import call_command


@pytest.mark.django_db
def test_tables_and_migrations_agree(capsys):
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)
