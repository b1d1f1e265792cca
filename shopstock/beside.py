"""A command that runs beside the web server, as a child process that is started again when it ends before its time."""

import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings

PAUSE_SECONDS = 5
ENDING_SECONDS = 10


@contextmanager
def beside(*command: str, pass_fds: tuple[int, ...] = ()) -> Iterator[None]:
    """Run `manage.py COMMAND` while the block runs; it ends with the block, or with this process when it is killed."""
    over = threading.Event()
    keeper = threading.Thread(target=_keep, args=(command, over, pass_fds), daemon=True)
    keeper.start()
    try:
        yield
    finally:
        over.set()
        keeper.join(ENDING_SECONDS)


def wait_for_parent() -> None:
    """In the child: until the pipe closes, as it does when the parent ends, however that ends.

    Read past Python's own buffer: a thread left waiting in that would keep its lock when the process ends, and Python
    then gives up with a fatal error.
    """
    while os.read(sys.stdin.fileno(), 1024):
        pass


def _keep(command: tuple[str, ...], over: threading.Event, pass_fds: tuple[int, ...]) -> None:
    while not over.is_set():
        arguments = [sys.executable, settings.BASE_DIR / "manage.py", *command]
        child = subprocess.Popen(arguments, stdin=subprocess.PIPE, pass_fds=pass_fds)
        while child.poll() is None and not over.wait(0.2):
            pass
        child.stdin.close()  # the child reads the end of it as the end of its work
        _wait_for(child)
        over.wait(PAUSE_SECONDS)


def _wait_for(child: subprocess.Popen) -> None:
    try:
        child.wait(ENDING_SECONDS / 2)
    except subprocess.TimeoutExpired:
        child.kill()
        child.wait()
