"""A command that meets tables of another version says so, and does nothing by halves."""

import pytest

from tests.shopstock.backups.other_place import OtherPlace


@pytest.mark.parametrize(
    "command",
    [
        ("check_ledger",),
        ("backup", "store.backup"),
        ("serve", "--port", "1"),
        ("move_to_postgresql", "postgres://nobody@127.0.0.1:1/none"),
    ],
    ids=lambda command: command[0],
)
def test_command_on_tables_of_another_version_says_what_to_do(command, tmp_path):
    done = OtherPlace(tmp_path).manage(*command)
    told = done.stderr.strip().splitlines()
    assert (done.returncode, len(told)) == (1, 1)
    assert told[0].startswith("CommandError: The database is not up to date with this version of the program.")
    assert told[0].endswith("manage.py migrate")
