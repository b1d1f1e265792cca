import sqlite3
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from tests.factories import make_person, make_roll

sqlite_only = pytest.mark.skipif("connection.vendor != 'sqlite'", reason="PostgreSQL is backed up with pg_dump")


@sqlite_only
@pytest.mark.django_db(transaction=True)
def test_backup_holds_what_the_store_holds(tmp_path):
    roll = make_roll(by=make_person("carla", "clerk"))
    call_command("backup", tmp_path / "copy.sqlite3", stdout=StringIO())
    with sqlite3.connect(tmp_path / "copy.sqlite3") as copy:
        assert copy.execute("SELECT code, length_mm FROM shopstock_roll").fetchall() == [(roll.code, 50_000)]


@sqlite_only
def test_backup_never_overwrites(tmp_path, db):
    (tmp_path / "copy.sqlite3").write_text("older")
    with pytest.raises(CommandError, match="not overwritten"):
        call_command("backup", tmp_path / "copy.sqlite3")
    assert (tmp_path / "copy.sqlite3").read_text() == "older"


@pytest.mark.django_db
def test_backup_of_postgresql_points_to_its_own_tool(tmp_path):
    if connection.vendor == "sqlite":
        with pytest.raises(CommandError, match="no folder"):
            call_command("backup", tmp_path / "nowhere" / "copy.sqlite3")
    else:
        with pytest.raises(CommandError, match="pg_dump"):
            call_command("backup", tmp_path / "copy.sqlite3")
