"""A store of its own for a load: a scratch folder, a new database in it or on PostgreSQL, and the real server."""

import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
POSTGRESQL = "postgres://postgres@127.0.0.1:5432/postgres"
PASSWORD = "plain-weave-42"


@contextmanager
def scratch_store(kind: str, postgresql: str = POSTGRESQL):
    """Set the environment for a new store, set Django up on it and bring its tables up to date; remove it after."""
    folder = Path(tempfile.mkdtemp(prefix="store-"))
    os.environ["SHOPSTOCK_DATA"] = str(folder / "data")
    os.environ["DJANGO_SETTINGS_MODULE"] = "shopstock.settings"
    try:
        if kind == "sqlite":
            os.environ["DATABASE_URL"] = f"sqlite:///{folder / 'shop.sqlite3'}"
            yield _set_up(folder)
        else:
            with _new_database(postgresql) as url:
                os.environ["DATABASE_URL"] = url
                yield _set_up(folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _set_up(folder: Path) -> Path:
    import django  # only now does the environment name the store

    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0, interactive=False)
    return folder


@contextmanager
def _new_database(url: str):
    import psycopg  # an extra: a load on SQLite alone does not need it

    name = f"load_{os.getpid()}_{int(time.time())}"
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    try:
        yield url.rsplit("/", 1)[0] + f"/{name}"
    finally:
        from django.db import connections

        connections.close_all()
        with psycopg.connect(url, autocommit=True) as connection:
            connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Server:
    """`manage.py serve`, in a process group of its own so that a kill takes all of it."""

    def __init__(self, folder: Path, *arguments: str, port: int | None = None):
        self.port = port or free_port()
        self.arguments = arguments
        self.log = folder / "server.log"
        self.process: subprocess.Popen | None = None

    def start(self) -> "Server":
        command = [sys.executable, str(ROOT / "manage.py"), "serve", "--port", str(self.port), *self.arguments]
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(command, cwd=ROOT, stdout=log, stderr=log, start_new_session=True)
        self._wait()
        return self

    def _wait(self, seconds: float = 60) -> None:
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            if self.process.poll() is not None:
                raise SystemExit(f"The server stopped at once:\n{self.log.read_text()[-3000:]}")
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{self.port}/sign-in/", timeout=5).read()
            except OSError:
                time.sleep(0.1)
            else:
                return
        raise SystemExit(f"The server did not answer in {seconds} s:\n{self.log.read_text()[-3000:]}")

    def kill(self) -> None:
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    def stop(self, seconds: float = 30) -> int:
        """Ask it to end, as a service manager does; returns its exit code."""
        self.process.send_signal(signal.SIGTERM)
        try:
            return self.process.wait(seconds)
        except subprocess.TimeoutExpired:
            self.kill()
            raise


def ledger_is_clean() -> str:
    """What `check_ledger --all` says of the store, empty when all is well."""
    command = [sys.executable, str(ROOT / "manage.py"), "check_ledger", "--all"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    return "" if done.returncode == 0 else (done.stderr or done.stdout)[-2000:]


def run_for_stores(script: str, stores: list[str], arguments: list[str]) -> int:
    """Run `script` once for each store in a process of its own, print what they found as one JSON list."""
    found, worst = [], 0
    for store in stores:
        command = [sys.executable, script, "--store", store, *arguments]
        done = subprocess.run(command, cwd=ROOT, env=_environment(), stdout=subprocess.PIPE, text=True)
        worst = max(worst, done.returncode)
        found.append(json.loads(done.stdout) if done.stdout.strip() else {"store": store, "error": "nothing printed"})
    print(json.dumps(found, indent=1))
    return worst


def _environment() -> dict[str, str]:
    return os.environ | {"PYTHONPATH": str(ROOT)}
