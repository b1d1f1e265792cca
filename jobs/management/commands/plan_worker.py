import os
import signal
import socket
import threading

from django.core.management.base import BaseCommand
from django.utils import timezone

from jobs.plan_work import work
from shopstock.beside import wait_for_parent


class Command(BaseCommand):
    help = "Search for better cutting plans, beside the web server. `serve` and `demo` start one by themselves."

    def add_arguments(self, parser):
        parser.add_argument("--processes", type=int, choices=(1, 2), default=1, help="cores for one search")
        parser.add_argument("--with-parent", action="store_true", help="end when standard input closes")

    def handle(self, *, processes: int, with_parent: bool, **options):
        ending = threading.Event()
        for name in (signal.SIGTERM, signal.SIGINT):
            signal.signal(name, lambda *_: ending.set())
        if with_parent:
            threading.Thread(target=_wait_for_parent, args=(ending,), daemon=True).start()
        work(f"{socket.gethostname()[:40]}-{os.getpid()}", now=timezone.now, ending=ending, processes=processes)


def _wait_for_parent(ending: threading.Event) -> None:
    wait_for_parent()
    ending.set()
