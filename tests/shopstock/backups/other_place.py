"""Another place to restore into: a database and a folder of its own, worked on by a process of its own."""

import os
import subprocess
import sys
import uuid
from contextlib import contextmanager
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
# Moving a store into PostgreSQL takes long and needs a server: it is tried where one is named.
POSTGRESQL = os.environ.get("CI_DATABASE_URL", "postgres://postgres@127.0.0.1:5432/postgres")
needs_postgresql = pytest.mark.skipif(
    "CI_DATABASE_URL" not in os.environ, reason="set CI_DATABASE_URL to a PostgreSQL server that may be filled"
)


class OtherPlace:
    def __init__(self, folder: Path, database_url: str | None = None):
        self.folder = folder
        self.database_url = database_url or f"sqlite:///{folder / 'other.sqlite3'}"
        self.data = folder / "other-data"

    def manage(self, *arguments) -> subprocess.CompletedProcess:
        environment = os.environ | {"DATABASE_URL": self.database_url, "SHOPSTOCK_DATA": str(self.data)}
        command = [sys.executable, str(ROOT / "manage.py"), *map(str, arguments)]
        return subprocess.run(command, env=environment, capture_output=True, text=True)

    def must(self, *arguments) -> str:
        done = self.manage(*arguments)
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout


@contextmanager
def new_postgresql_database():
    import psycopg

    name = f"restored_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(POSTGRESQL, autocommit=True) as server:
        server.execute(f"CREATE DATABASE {name}")
        try:
            yield f"{POSTGRESQL.rpartition('/')[0]}/{name}"
        finally:
            server.execute(f"DROP DATABASE {name} WITH (FORCE)")
