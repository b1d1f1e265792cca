import sqlite3
from contextlib import closing
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.db import connection


class Command(BaseCommand):
    help = "Copy the SQLite database while people work; the copy is whole and checked. PostgreSQL: use pg_dump."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)

    def handle(self, *, file: Path, **options):
        if connection.vendor != "sqlite":
            raise CommandError("This database is PostgreSQL: back it up with pg_dump, as the README shows.")
        if file.exists():
            raise CommandError(f"{file} is there already and is not overwritten. Name another file.")
        if not file.parent.is_dir():
            raise CommandError(f"There is no folder {file.parent}. Make it first.")
        connection.ensure_connection()
        with closing(sqlite3.connect(file)) as copy:
            connection.connection.backup(copy)
            verdict = copy.execute("PRAGMA integrity_check").fetchone()[0]
        if verdict != "ok":
            raise CommandError(f"The copy is damaged ({verdict}). Keep the older backup and look at the disk.")
        self.stdout.write(f"Copied to {file}.")
