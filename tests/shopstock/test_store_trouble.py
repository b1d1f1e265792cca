"""A full disk or a database that cannot be written: a page in words, nothing lost, nothing half written."""

import json
import sqlite3
from contextlib import contextmanager

import pytest
from django.db import DatabaseError, OperationalError, connection
from django.urls import reverse

from shopstock.ledger_check import differences
from shopstock.store_trouble import AWAY, BUSY, FAILING, FULL, READ_ONLY, trouble_of
from tests.factories import make_roll

sqlite_only = pytest.mark.skipif("connection.vendor != 'sqlite'", reason="fills a disk by a limit that SQLite has")


@pytest.mark.parametrize(
    ("error", "trouble"),
    [
        (OperationalError("database or disk is full"), FULL),
        (OSError(28, "No space left on device"), FULL),
        (OperationalError('could not extend file "base/1/2": No space left on device'), FULL),
        (OperationalError("attempt to write a readonly database"), READ_ONLY),
        (OperationalError("cannot execute INSERT in a read-only transaction"), READ_ONLY),
        (OSError(30, "Read-only file system"), READ_ONLY),
        (OperationalError("unable to open database file"), READ_ONLY),
        (OperationalError("database is locked"), BUSY),
        (OperationalError("deadlock detected"), BUSY),
        (OperationalError('connection to server at "127.0.0.1" failed: Connection refused'), AWAY),
        (OperationalError("disk I/O error"), FAILING),
        (DatabaseError("database disk image is malformed"), FAILING),
        (OSError(5, "Input/output error"), FAILING),
        (OperationalError("no such column: x"), None),
        (OSError(2, "No such file"), None),
    ],
    ids=str,
)
def test_words_for_an_error(error, trouble):
    assert trouble_of(error) is trouble


@pytest.fixture
def client(client):
    """A browser gets a page whatever breaks; Django's own test client would raise the error in the test."""
    client.raise_request_exception = False
    return client


@pytest.fixture
def roll(transactional_db, clerk):
    return make_roll(by=clerk)


def cut(client, roll, **headers):
    form = {"key": "tap", "length": "1 m", "purpose": "sample"}
    return client.post(reverse("scan-cut-free", args=[roll.code]), form, headers=headers)


@pytest.fixture
def no_more_pages():
    """SQLite may not grow the file by one page more: what a full disk is to it."""
    with connection.cursor() as cursor:
        used = cursor.execute("PRAGMA page_count").fetchone()[0]
        before = cursor.execute("PRAGMA max_page_count").fetchone()[0]
        cursor.execute(f"PRAGMA max_page_count = {used}")
    yield
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA max_page_count = {before}")


@contextmanager
def read_only():
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA query_only = ON")
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA query_only = OFF")


def fill_up(client, roll) -> tuple[int, str]:
    """Cut by cut until the file is full; the status and text of the first answer that is no cut."""
    for number in range(2_000):
        form = {"key": f"tap-{number}", "length": "1 mm", "purpose": "x" * 110}
        answer = client.post(reverse("scan-cut-free", args=[roll.code]), form)
        if answer.status_code != 302:
            return answer.status_code, answer.content.decode()
    raise AssertionError("the file never filled up")


@sqlite_only
def test_full_disk_gets_a_page_that_says_so_and_keeps_every_cut(client, clerk, roll, no_more_pages):
    client.force_login(clerk)
    status, page = fill_up(client, roll)
    made = roll.movements.filter(kind="cut").count()
    roll.refresh_from_db()
    told = ("disk of the store’s computer is full" in page, "Nothing of this entry was saved" in page)
    assert (status, *told) == (503, True, True)
    assert (roll.length_mm, list(differences())) == (50_000 - made, [])


@sqlite_only
def test_read_only_database_gets_a_page_that_says_so(client, clerk, roll):
    client.force_login(clerk)
    with read_only():
        answer = cut(client, roll)
    assert (answer.status_code, "database cannot be written" in answer.content.decode()) == (503, True)
    assert roll.movements.count() == 1


@sqlite_only
def test_trouble_outside_of_a_view_gets_the_same_page(client, owner, laminator, roll):
    client.force_login(owner)
    client.post(reverse("tablets"), {"name": "cutting table"})
    client.force_login(laminator)
    client.post(reverse("my-pin"), {"pin": "48151", "again": "48151"})
    client.post(reverse("pin-sign-in"), {"username": laminator.username, "pin": "48151"})
    with read_only():  # on a tablet each request writes how long the sign-in lasts, after its view has answered
        answer = client.get(reverse("today"))
    assert (answer.status_code, "database cannot be written" in answer.content.decode()) == (503, True)


@sqlite_only
def test_device_is_told_in_short_and_may_send_again(client, clerk, roll):
    client.force_login(clerk)
    with read_only():
        answer = cut(client, roll, accept="application/json")
    assert (answer.status_code, json.loads(answer.content)["refused"]) == (503, "StoreTrouble")
    assert cut(client, roll, accept="application/json").status_code == 201


def test_the_words_of_this_sqlite_are_the_ones_looked_for(tmp_path):
    store = sqlite3.connect(f"file:{tmp_path / 'x.sqlite3'}?mode=rwc", uri=True)
    store.execute("CREATE TABLE t (x)")
    store.execute("PRAGMA query_only = ON")
    with pytest.raises(sqlite3.OperationalError) as error:
        store.execute("INSERT INTO t VALUES (1)")
    store.close()
    assert trouble_of(error.value) is READ_ONLY
