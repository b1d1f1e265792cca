"""The worker beside the server: there while the server is, and gone with it, however it ends."""

import os
import socket
import subprocess
import sys
import time

import pytest
from django.conf import settings

from jobs.models import PlanWorker
from tests.jobs.test_plan_worker import database_address

PATIENCE_SECONDS = 60


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_until(true) -> None:
    end = time.monotonic() + PATIENCE_SECONDS
    while not true():
        assert time.monotonic() < end, "nothing happened in time"
        time.sleep(0.1)


@pytest.mark.django_db(transaction=True)
def test_worker_told_to_end_while_its_server_lives_ends_well_and_says_nothing(tmp_path):
    """As when Ctrl+C reaches both at once."""
    environment = {**os.environ, "DATABASE_URL": database_address(), "SHOPSTOCK_DATA": str(tmp_path)}
    command = [sys.executable, settings.BASE_DIR / "manage.py", "plan_worker", "--with-parent"]
    with subprocess.Popen(command, env=environment, stdin=subprocess.PIPE, stderr=subprocess.PIPE) as worker:
        wait_until(PlanWorker.objects.exists)
        worker.terminate()
        worker.wait(PATIENCE_SECONDS)
        assert (worker.returncode, worker.stderr.read()) == (0, b"")


@pytest.mark.django_db(transaction=True)
def test_worker_comes_with_the_server_and_goes_when_it_is_killed(tmp_path):
    environment = {**os.environ, "DATABASE_URL": database_address(), "SHOPSTOCK_DATA": str(tmp_path)}
    command = [sys.executable, settings.BASE_DIR / "manage.py", "serve", "--port", str(free_port())]
    server = subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        wait_until(PlanWorker.objects.exists)
    finally:
        server.kill()
        server.wait()
    wait_until(lambda: not PlanWorker.objects.exists())
