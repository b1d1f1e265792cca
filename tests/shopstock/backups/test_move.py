from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from shopstock.backups.archive import verify
from tests.shopstock.backups.other_place import OtherPlace, needs_postgresql, new_postgresql_database

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif("connection.vendor != 'sqlite'", reason="moves a store that is on SQLite"),
]


@needs_postgresql
def test_store_moves_to_postgresql_with_every_row_and_not_into_one_that_holds_a_shop(shop, tmp_path):
    with new_postgresql_database() as url:
        out = StringIO()
        call_command("move_to_postgresql", url, stdout=out)
        place = OtherPlace(tmp_path, url)
        place.must("check_ledger", "--all")
        place.must("backup", tmp_path / "there.backup")
        with pytest.raises(CommandError, match="not filled: This database already holds a shop .*createdb"):
            call_command("move_to_postgresql", url, stdout=StringIO())
    call_command("backup", tmp_path / "here.backup", stdout=StringIO())
    there, here = (verify(tmp_path / f"{name}.backup")["parts"] for name in ("there", "here"))
    rows = {name: part for name, part in here.items() if name.startswith("rows/")}
    assert {name: there[name] for name in rows} == rows
    assert "Moved. From now on start with this DATABASE_URL" in out.getvalue()


def test_move_to_what_is_no_postgresql_is_refused(shop):
    assert connection.vendor == "sqlite"
    with pytest.raises(CommandError, match="Name the new database as"):
        call_command("move_to_postgresql", "sqlite:///x.sqlite3")
