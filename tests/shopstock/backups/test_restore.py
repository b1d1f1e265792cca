"""A backup restored into an empty place gives every table back; what is damaged, newer or in the way is refused."""

import hashlib
import json
import sqlite3
import threading
import zipfile
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connections
from django.utils import timezone

from shopstock import ledger
from shopstock.backups.archive import BackupError, verify, write_backup
from tests.factories import make_roll, new_key
from tests.shopstock.backups.other_place import OtherPlace, needs_postgresql, new_postgresql_database

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def backup(shop, tmp_path):
    file = tmp_path / "store.backup"
    call_command("backup", file, stdout=StringIO())
    return file


def rows(file) -> dict[str, dict]:
    return {name: part for name, part in verify(file)["parts"].items() if name.startswith("rows/")}


def changed(file, name: str, content: bytes) -> None:
    """Write the backup again with one part changed, as a disk or a person might."""
    with zipfile.ZipFile(file) as old:
        parts = {entry: old.read(entry) for entry in old.namelist()}
    with zipfile.ZipFile(file, "w") as new:
        for entry, old_content in parts.items():
            new.writestr(entry, content if entry == name else old_content)


def test_restored_place_is_the_same_and_only_replaced_when_the_old_one_is_moved_aside(backup, other_place, tmp_path):
    told = other_place.must("restore", backup)
    other_place.must("backup", tmp_path / "again.backup")
    assert "every table compared, the ledger agrees" in told
    assert rows(tmp_path / "again.backup") == rows(backup)
    assert sum(part["pieces"] for part in rows(backup).values()) > 20
    assert (other_place.data / "uploads" / "faults" / "a.jpg").read_bytes() == b"\xff\xd8 a picture"

    again = other_place.manage("restore", backup)
    assert again.returncode != 0
    assert "already holds a shop" in again.stderr
    assert "Traceback" not in again.stderr

    other_place.must("restore", backup, "--move-aside")
    aside = list(tmp_path.glob("before-restore-*-other.sqlite3"))
    with sqlite3.connect(aside[0]) as old:
        assert (len(aside), old.execute("SELECT count(*) FROM shopstock_roll").fetchone()) == (1, (2,))
    other_place.must("check_ledger")


@needs_postgresql
def test_backup_of_any_store_restores_into_postgresql_and_goes_on_numbering(backup, tmp_path, shop):
    with new_postgresql_database() as url:
        place = OtherPlace(tmp_path, url)
        place.must("restore", backup)
        place.must("backup", tmp_path / "again.backup")
        code = "from tests.factories import *; make_roll(by=make_person('nils'), reinforcement=make_reinforcement('x'))"
        place.must("shell", "-c", code)
        place.must("check_ledger")
    assert rows(tmp_path / "again.backup") == rows(backup)


def test_database_with_tables_of_something_else_is_refused_in_a_line(backup, other_place, tmp_path):
    with sqlite3.connect(tmp_path / "other.sqlite3") as store:
        store.execute("CREATE TABLE shopstock_roll (mine)")
    store.close()
    done = other_place.manage("restore", backup)
    assert (done.returncode, len(done.stderr.strip().splitlines())) == (1, 1)
    assert "This place cannot be filled: " in done.stderr


def test_changed_row_is_found_before_anything_is_touched(backup, other_place):
    content = zipfile.ZipFile(backup).read("rows/shopstock_movement")
    changed(backup, "rows/shopstock_movement", content.replace(b"-1234", b"-1233"))
    refused = other_place.manage("restore", backup)
    assert "rows/shopstock_movement is not as it was written" in refused.stderr
    assert not (other_place.folder / "other.sqlite3").exists()


def test_backup_cut_short_is_refused(backup):
    backup.write_bytes(backup.read_bytes()[:-200])
    with pytest.raises(BackupError, match="damaged or no backup"):
        verify(backup)


def test_backup_of_a_newer_version_is_refused(backup, other_place):
    manifest = json.loads(zipfile.ZipFile(backup).read("manifest.json"))
    manifest["migrations"].append(["shopstock", "9999_from_the_future"])
    changed(backup, "manifest.json", json.dumps(manifest).encode())
    refused = other_place.manage("restore", backup)
    assert "newer version of the program (it knows shopstock.9999_from_the_future)" in refused.stderr


@pytest.mark.parametrize(
    "name", ["uploads/../evil", "uploads//etc/evil", "/evil", "uploads/..\\evil", "uploads/C:/evil"]
)
def test_part_that_leaves_its_folder_is_refused_before_anything_is_read(backup, name):
    with zipfile.ZipFile(backup) as archive:
        parts = {entry: archive.read(entry) for entry in archive.namelist()}
    manifest = json.loads(parts.pop("manifest.json"))
    parts[name] = b"x"
    manifest["parts"][name] = {"sha256": hashlib.sha256(b"x").hexdigest(), "pieces": 1}
    with zipfile.ZipFile(backup, "w") as new:
        for entry, content in (parts | {"manifest.json": json.dumps(manifest).encode()}).items():
            new.writestr(entry, content)
    with pytest.raises(BackupError, match="outside its folder"):
        verify(backup)


def test_backup_made_while_people_cut_is_of_one_moment(shop, other_place, tmp_path):
    clerk = shop.movements.earliest("pk").by
    rolls = [make_roll(by=clerk, length_mm=50_000) for _ in range(3)]
    stop = threading.Event()

    def cut_on():
        try:
            while not stop.is_set():
                for roll in rolls:
                    ledger.record_cut(roll=roll, length_mm=1, by=clerk, at=timezone.now(), key=new_key("storm"))
        finally:
            connections.close_all()

    people = [threading.Thread(target=cut_on) for _ in range(2)]
    for person in people:
        person.start()
    try:
        for number in range(3):
            write_backup(tmp_path / f"{number}.backup", at=timezone.now())
    finally:
        stop.set()
        for person in people:
            person.join()
    other_place.must("restore", tmp_path / "1.backup")  # proves every balance and link of that moment


def test_ledger_that_does_not_prove_is_not_called_restored(shop, other_place, tmp_path):
    type(shop).objects.filter(pk=shop.pk).update(length_mm=shop.length_mm + 5_000)
    write_backup(tmp_path / "wrong.backup", at=timezone.now())
    refused = other_place.manage("restore", tmp_path / "wrong.backup")
    assert "the ledger does not prove" in refused.stderr
