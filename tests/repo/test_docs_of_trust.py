"""What the security table and the run book claim is there: tests, settings, commands; only static files are served."""

import re
from pathlib import Path

import pytest
from django.core.management import get_commands

from shopstock.backups.archive import SETTINGS_KEPT

ROOT = Path(__file__).resolve().parents[2]
SECURITY = (ROOT / "fixtures/docs/security.md").read_text(encoding="utf-8")
RUN_BOOK = (ROOT / "fixtures/docs/run_book.md").read_text(encoding="utf-8")
SOURCE = "".join((ROOT / "shopstock" / name).read_text(encoding="utf-8") for name in ("settings.py", "serving.py"))
ROWS = [
    tuple(cell.strip() for cell in row.strip("|").split("|")) for row in re.findall(r"^\| V\d.*\|$", SECURITY, re.M)
]


def test_table_has_each_of_the_seventy_items_once():
    assert (len(ROWS), len({row[0] for row in ROWS})) == (70, 70)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_item_says_how_it_is_met_and_its_test_exists(row):
    _, asked, met, test = row
    assert asked
    assert met
    assert not test or (ROOT / test.strip("`")).is_file()


@pytest.mark.parametrize("setting", sorted(set(re.findall(r"SHOPSTOCK_[A-Z_]+", RUN_BOOK + SECURITY))))
def test_setting_that_the_run_book_names_is_read(setting):
    assert setting in SOURCE


@pytest.mark.parametrize("setting", sorted(set(re.findall(r'"(SHOPSTOCK_[A-Z_]+)"', SOURCE))))
def test_setting_that_is_read_stands_in_the_run_book(setting):
    assert setting in RUN_BOOK or setting in {
        "SHOPSTOCK_DEBUG", "SHOPSTOCK_SECRET_KEY", "SHOPSTOCK_LOG", "SHOPSTOCK_HSTS_SECONDS",
    }  # fmt: skip


def test_backup_keeps_every_setting_of_the_run_book_but_passwords_and_where_it_lies():
    named = set(re.findall(r"SHOPSTOCK_[A-Z_]+", RUN_BOOK))
    assert named - set(SETTINGS_KEPT) == {"SHOPSTOCK_DATA", "SHOPSTOCK_EMAIL_PASSWORD"}
    assert set(SETTINGS_KEPT) <= named


@pytest.mark.parametrize("command", sorted(set(re.findall(r"manage\.py (\w+)", RUN_BOOK))))
def test_command_of_the_run_book_exists(command):
    assert command in get_commands()


@pytest.mark.parametrize(
    "path", [".git/config", "manage.py", "shop.sqlite3", "static/../manage.py", "shop-data/secret_key"]
)
def test_files_of_the_program_are_not_served(client, db, path):
    assert client.get(f"/{path}").status_code in (302, 404)
    assert client.get(f"/static/{path}").status_code in (302, 404)
