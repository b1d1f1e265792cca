import datetime
import shutil

import pytest
from django.db import OperationalError, connection
from django.utils import timezone

from shopstock import last_backup
from shopstock.last_backup import LastBackup

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def data_dir(settings, tmp_path):
    settings.DATA_DIR = tmp_path
    return tmp_path


def ask(client) -> tuple[int, dict]:
    answer = client.get("/healthz")
    return answer.status_code, answer.json()


def backed_up(hours_ago: int, **fields):
    made_at = timezone.now() - datetime.timedelta(hours=hours_ago)
    last_backup.note(LastBackup(made_at=made_at, file="store.backup", **({"copied": True} | fields)))


def test_health_needs_no_sign_in_and_tells_nothing_about_people(client):
    status, found = ask(client)
    assert (status, found["status"], found["database"]) == (200, "ok", "ok")
    assert set(found) == {"status", "database", "disk", "queue", "last_backup"}


@pytest.mark.parametrize(
    ("hours_ago", "fields", "state"),
    [(5, {}, "ok"), (5, {"problem": "the other machine is off"}, "failing"), (60, {}, "old")],
)
def test_health_says_how_the_last_backup_stands_and_stays_up(client, hours_ago, fields, state):
    backed_up(hours_ago, **fields)
    status, found = ask(client)
    assert (status, found["last_backup"]["state"]) == (200, state)


def test_health_without_any_backup_says_none(client):
    assert ask(client)[1]["last_backup"] == {"state": "none"}


def test_full_disk_is_down(client, monkeypatch):
    monkeypatch.setattr(shutil, "disk_usage", lambda path: shutil._ntuple_diskusage(10, 10, 0))
    assert ask(client)[0] == 503


def test_database_that_does_not_answer_is_down(client, monkeypatch):
    def refuse(*_):
        raise OperationalError("connection refused")

    monkeypatch.setattr("shopstock.health.views.Shop.objects.only", refuse)
    status, found = ask(client)
    assert (status, found["database"]) == (503, "down")


def test_database_that_cannot_be_written_is_down(client, monkeypatch, tmp_path):
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET TRANSACTION READ ONLY")
        monkeypatch.setitem(connection.settings_dict, "NAME", str(tmp_path / "taken-away" / "shop.sqlite3"))
        status, found = ask(client)
    assert (status, found["status"], found["database"]) == (503, "down", "read-only")


def test_full_disk_of_the_database_is_down_wherever_the_data_lie(client, monkeypatch, settings):
    if connection.vendor != "sqlite":
        pytest.skip("this database looks after its own disk")
    free = {settings.DATA_DIR: 10**12}
    monkeypatch.setattr(shutil, "disk_usage", lambda path: shutil._ntuple_diskusage(10**12, 0, free.get(path, 0)))
    assert ask(client)[1]["disk"] == "full"


def test_search_that_waits_without_a_worker_is_told(client, owner):
    from jobs.models import PlanRun
    from tests.factories import NOON, make_reinforcement
    from tests.jobs.factories import planned, simple_job

    plan = planned(simple_job(by=owner, reinforcement=make_reinforcement()), owner)
    PlanRun.objects.filter(plan=plan).delete()
    PlanRun.objects.create(
        plan=plan, problems=[], seconds=5, first_cloth_mm2=1, cloth_mm2=1, bound_mm2=1, asked_by=owner, asked_at=NOON
    )
    assert ask(client)[1]["queue"] == {"waiting": 1, "worker": "not seen"}
