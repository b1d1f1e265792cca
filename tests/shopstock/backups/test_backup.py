"""The backup file, the daily run of a timer, and what is remembered of it."""

import datetime
import json
import sys
import zipfile
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import OperationalError

from shopstock import last_backup
from tests.shopstock.clock import noon  # noqa: F401 - a fixture

pytestmark = pytest.mark.django_db(transaction=True)


def daily() -> str:
    out = StringIO()
    call_command("backup", daily=True, stdout=out)
    return out.getvalue()


def test_backup_holds_rows_uploads_settings_and_a_manifest(shop, tmp_path, monkeypatch):
    monkeypatch.setenv("SHOPSTOCK_TIME_ZONE", "Europe/Oslo")
    monkeypatch.setenv("SHOPSTOCK_SECRET_KEY", "not-to-be-kept")
    call_command("backup", tmp_path / "store.backup", stdout=StringIO())
    with zipfile.ZipFile(tmp_path / "store.backup") as archive:
        row = json.loads(archive.read("rows/shopstock_roll").splitlines()[0])
        assert (row["code"], row["length_mm"], row["set_aside_mm"]) == (shop.code, 38_766, 4_000)
        assert archive.read("uploads/faults/a.jpg") == b"\xff\xd8 a picture"
        assert json.loads(archive.read("settings.json"))["SHOPSTOCK_TIME_ZONE"] == "Europe/Oslo"
        assert b"not-to-be-kept" not in b"".join(archive.read(name) for name in archive.namelist())
        assert {"rows/django_session", "rows/auth_permission"}.isdisjoint(archive.namelist())


def test_backup_never_overwrites(shop, tmp_path):
    (tmp_path / "store.backup").write_text("older")
    with pytest.raises(CommandError, match="not overwritten"):
        call_command("backup", tmp_path / "store.backup")
    assert (tmp_path / "store.backup").read_text() == "older"


def test_backup_into_a_folder_that_is_not_there_says_so(shop, tmp_path):
    with pytest.raises(CommandError, match="Make it first"):
        call_command("backup", tmp_path / "nowhere" / "store.backup")


def test_backup_with_neither_file_nor_daily_is_refused(shop):
    with pytest.raises(CommandError, match="Name a file, or say --daily"):
        call_command("backup")


def test_full_disk_leaves_no_half_file_and_says_to_make_room(shop, tmp_path, monkeypatch):
    import errno

    def full(*_):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("shopstock.backups.archive._uploads", full)
    with pytest.raises(CommandError, match="No space left on device. Make room"):
        call_command("backup", tmp_path / "store.backup")
    assert list(tmp_path.glob("store.backup*")) == []


def test_daily_backup_is_made_once_a_day_and_remembered(shop, data_dir, noon):  # noqa: F811
    assert "Wrote" in daily()
    assert "is there already" in daily()
    assert [file.name for file in (data_dir / "backups").iterdir()] == ["store-2026-03-02.backup"]
    assert last_backup.last_backup().made_at.date() == datetime.date(2026, 3, 2)


def test_daily_backup_drops_what_is_too_old(shop, data_dir, settings, noon):  # noqa: F811
    settings.BACKUP_KEEP_DAYS, settings.BACKUP_KEEP_MONTHS = 7, 0
    (data_dir / "backups").mkdir()
    for day in ("2026-02-01", "2026-02-28"):
        (data_dir / "backups" / f"store-{day}.backup").write_text("older")
    (data_dir / "backups" / "notes.txt").write_text("mine")
    assert "Dropped the backup of 2026-02-01." in daily()
    names = sorted(file.name for file in (data_dir / "backups").iterdir())
    assert names == ["notes.txt", "store-2026-02-28.backup", "store-2026-03-02.backup"]


def test_shops_own_command_carries_the_backup_off_the_machine(shop, data_dir, settings, tmp_path, noon):  # noqa: F811
    target = tmp_path / "elsewhere with a space"
    code = "import shutil,sys; shutil.copy(sys.argv[1], sys.argv[2])"
    settings.BACKUP_COPY = f"'{sys.executable}' -c '{code}' {{file}} '{target}'"
    assert "Copied off this machine." in daily()
    assert (target.stat().st_size > 0, last_backup.last_backup().copied) == (True, True)


def test_copy_that_fails_is_an_error_and_is_remembered(shop, data_dir, settings, noon):  # noqa: F811
    settings.BACKUP_COPY = f"'{sys.executable}' -c 'raise SystemExit(\"the other machine is off\")' {{file}}"
    with pytest.raises(CommandError, match="the copy off this machine failed: the other machine is off"):
        daily()
    last = last_backup.last_backup()
    assert (last.copied, "the other machine is off" in last.problem) == (False, True)
    assert (data_dir / "backups" / "store-2026-03-02.backup").exists()


def test_copy_that_fails_does_not_keep_old_backups_from_going(shop, data_dir, settings, noon):  # noqa: F811
    settings.BACKUP_KEEP_DAYS, settings.BACKUP_KEEP_MONTHS = 7, 0
    settings.BACKUP_COPY = f"'{sys.executable}' -c 'raise SystemExit(1)' {{file}}"
    (data_dir / "backups").mkdir()
    (data_dir / "backups" / "store-2026-02-01.backup").write_text("older")
    with pytest.raises(CommandError, match="it ended with 1"):
        daily()
    assert [file.name for file in (data_dir / "backups").iterdir()] == ["store-2026-03-02.backup"]


def test_command_of_the_shop_that_cannot_be_read_says_so(shop, data_dir, settings, noon):  # noqa: F811
    settings.BACKUP_COPY = "scp '{file} box.lan:backups/"
    with pytest.raises(CommandError, match="the copy off this machine failed: No closing quotation"):
        daily()


def test_first_backup_that_fails_is_remembered_with_its_reason(shop, data_dir, settings, tmp_path, noon):  # noqa: F811
    settings.BACKUP_DIR = tmp_path / "second disk" / "backups"
    settings.BACKUP_DIR.parent.write_text("no folder: the disk is not there")
    with pytest.raises(CommandError, match="The backup was not made: .*Not a directory"):
        daily()
    last = last_backup.last_backup()
    assert (last.made_at, "Not a directory" in last.problem) == (None, True)


def test_database_that_does_not_answer_is_remembered(shop, data_dir, monkeypatch, noon):  # noqa: F811
    def refuse(*_):
        raise OperationalError("connection refused")

    daily()
    monkeypatch.setattr("shopstock.backups.archive._write", refuse)
    (data_dir / "backups" / "store-2026-03-02.backup").unlink()
    with pytest.raises(CommandError, match="The backup was not made: connection refused"):
        daily()
    last = last_backup.last_backup()
    assert (last.made_at is None, last.problem) == (False, "The backup was not made: connection refused.")


def test_backup_of_a_day_to_come_hides_nothing(shop, data_dir, noon):  # noqa: F811
    """The clock was a year ahead when it was made: it must not count as new until that day comes."""
    daily()
    made = last_backup.last_backup().made_at
    assert last_backup.last_backup().is_old(made - datetime.timedelta(days=365))


def test_last_backup_is_old_after_two_missed_nights(shop, data_dir, noon):  # noqa: F811
    daily()
    made = last_backup.last_backup().made_at
    assert not last_backup.last_backup().is_old(made + datetime.timedelta(hours=49))
    assert last_backup.last_backup().is_old(made + datetime.timedelta(hours=51))


@pytest.mark.parametrize("content", ["", "{", '{"made_at": 5}', "[]", '{"made_at": "2026-03-02", "x": 1}'])
def test_note_that_cannot_be_read_counts_as_no_backup(data_dir, content):
    (data_dir / "last_backup.json").write_text(content)
    assert last_backup.last_backup() is None
