"""A worker in a process of its own, killed in the middle of a search, and another that takes the search up again."""

import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator

import pytest
from django.conf import settings
from django.db import connection
from django.utils import timezone

from jobs.cutting.actions import confirm_plan
from jobs.models import CuttingPlan, PlanRun, PlanWorker
from jobs.plan_making import make_plan
from jobs.plan_runs import SILENT_AFTER, show_worker
from tests.factories import NOON, make_person, make_reinforcement, make_roll
from tests.jobs.cutting.plan_check import wrongs
from tests.jobs.factories import make_job, make_part, make_ply

pytestmark = pytest.mark.django_db(transaction=True)
PATIENCE_SECONDS = 90


@pytest.fixture
def owner(transactional_db):
    return make_person("olga", "owner")


@pytest.fixture
def plan(owner) -> CuttingPlan:
    """So many pieces that a search for them goes on for as long as it may."""
    kind = make_reinforcement()
    make_roll(by=owner, reinforcement=kind, length_mm=60_000)
    job = make_job(by=owner)
    part = make_part(job)
    for number in range(16):
        make_ply(part, kind, length_mm=700 + 97 * number, width_mm=310 + 53 * (number % 7), count=4)
    show_worker("expected", at=NOON)
    return make_plan(job=job, by=owner, at=NOON, search_seconds=600)


def database_address() -> str:
    values = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{values['NAME']}"
    who = values["USER"] + (f":{values['PASSWORD']}" if values["PASSWORD"] else "")
    return f"postgres://{who}@{values['HOST']}:{values['PORT'] or 5432}/{values['NAME']}"


@pytest.fixture
def start_worker(tmp_path) -> Iterator[Callable[[], subprocess.Popen]]:
    children: list[subprocess.Popen] = []

    def start() -> subprocess.Popen:
        environment = {**os.environ, "DATABASE_URL": database_address(), "SHOPSTOCK_DATA": str(tmp_path)}
        command = [sys.executable, settings.BASE_DIR / "manage.py", "plan_worker", "--with-parent"]
        children.append(subprocess.Popen(command, env=environment, stdin=subprocess.PIPE))
        return children[-1]

    yield start
    for child in children:
        child.kill()
        child.wait()
        child.stdin.close()


def wait_until(true: Callable[[], bool]) -> None:
    end = time.monotonic() + PATIENCE_SECONDS
    while not true():
        assert time.monotonic() < end, "nothing happened in time"
        time.sleep(0.1)


def state_of(run: PlanRun) -> str:
    return PlanRun.objects.get(pk=run.pk).state


def test_search_survives_the_death_of_its_worker_and_the_plan_stays_right_all_along(plan, owner, start_worker):
    run = plan.runs.get()
    first = start_worker()
    wait_until(lambda: PlanRun.objects.get(pk=run.pk).spent_ms > 0)
    first.kill()
    first.wait()
    assert state_of(run) in PlanRun.AT_WORK
    assert wrongs(CuttingPlan.objects.get(pk=plan.pk)) == []
    PlanRun.objects.filter(pk=run.pk).update(heartbeat_at=timezone.now() - SILENT_AFTER, seconds=1)
    second = start_worker()
    wait_until(lambda: state_of(run) == PlanRun.State.DONE)
    run.refresh_from_db()
    bettered = CuttingPlan.objects.get(pk=plan.pk)
    assert (run.attempts, run.cloth_mm2 <= run.first_cloth_mm2, wrongs(bettered)) == (2, True, [])
    assert confirm_plan(plan=bettered, by=owner, at=NOON).state == "confirmed"
    second.stdin.close()  # as when the server ends
    assert second.wait(PATIENCE_SECONDS) == 0
    assert not PlanWorker.objects.filter(name__endswith=f"-{second.pid}").exists()
