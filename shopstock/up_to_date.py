"""Whether the database has the tables of this version of the program."""

from django.core.management.base import CommandError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor


def require_up_to_date() -> None:
    """Refuse a command that would meet tables of another version, or none at all, half way."""
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise CommandError(
            "The database is not up to date with this version of the program. Back it up with the version it was used "
            "with, then run: manage.py migrate"
        )
