import logging
import os
import signal
import socket
import threading
from contextlib import ExitStack

from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from shopstock.beside import beside
from shopstock.checks import sqlite_caution
from shopstock.serving import listening, serve_on
from shopstock.up_to_date import require_up_to_date


class Command(BaseCommand):
    help = "Serve the program to the shop's network behind a production server, with the planner's worker beside it."

    def add_arguments(self, parser):
        parser.add_argument("--host", default="127.0.0.1", help="0.0.0.0 for every machine on the network")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--threads", type=int, default=8, help="of each web worker")
        parser.add_argument("--workers", type=int, default=1, help="web workers; more than one is for PostgreSQL")
        parser.add_argument("--quiet", action="store_true", help="log only what is slow or wrong")
        parser.add_argument("--shared-socket", type=int, help="how a web worker is started by the first process")

    def handle(self, *, host: str, port: int, threads: int, workers: int, quiet: bool, **options):
        if not quiet:
            logging.getLogger("shopstock.requests").setLevel(logging.INFO)
        if options["shared_socket"] is not None:
            serve_on(socket.socket(fileno=options["shared_socket"]), threads=threads, with_parent=True)
            return
        self._refuse_or_warn(workers)
        ear = listening(host, port)
        self.stdout.write(f"Serving on http://{host}:{port}/ — stop with Ctrl+C.")
        self.stdout.flush()
        with beside("plan_worker", "--with-parent"):
            if workers == 1:
                serve_on(ear, threads=threads)
            else:
                self._serve_with(workers, ear, threads, quiet)

    def _refuse_or_warn(self, workers: int) -> None:
        require_up_to_date()
        connection.close()
        if workers < 1 or (workers > 1 and os.name == "nt"):
            raise CommandError("One web worker or more; on Windows one, with more --threads.")
        if words := sqlite_caution():
            self.stderr.write(f"Caution: {words}")
            if workers > 1:
                raise CommandError("With this SQLite only one web worker is safe. Leave --workers away.")

    def _serve_with(self, workers: int, ear: socket.socket, threads: int, quiet: bool) -> None:
        """Keep so many web workers on one socket; a signal lets each finish what it has begun."""
        over = threading.Event()
        for name in (signal.SIGTERM, signal.SIGINT):
            signal.signal(name, lambda *_: over.set())
        command = ["serve", "--shared-socket", str(ear.fileno()), "--threads", str(threads)]
        with ExitStack() as running:
            for _ in range(workers):
                running.enter_context(beside(*command, *(["--quiet"] if quiet else []), pass_fds=(ear.fileno(),)))
            over.wait()
