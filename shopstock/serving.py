"""Running the program behind a production WSGI server, and ending it without breaking off what is under way."""

import _thread
import os
import signal
import socket
import threading
import time
from collections.abc import Callable, Iterable

import waitress
from django.conf import settings
from django.core.management.base import CommandError

from .beside import wait_for_parent

ENDING_SECONDS = 20
LARGEST_REQUEST = 40 * 1024 * 1024  # a phone's photo or a stock file, with room


def serve(host: str, port: int, *, threads: int = 8) -> None:
    """Serve until told to end; one process with threads, so the same on Linux, macOS and Windows."""
    serve_on(listening(host, port), threads=threads)


def listening(host: str, port: int) -> socket.socket:
    require_free(host, port)
    made = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET, socket.SOCK_STREAM)
    if os.name != "nt":
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    made.bind((host, port))
    made.listen(1024)
    return made


def serve_on(ear: socket.socket, *, threads: int, with_parent: bool = False) -> None:
    """Serve on a socket that listens already, which several processes may share."""
    from shopstock.wsgi import application  # loads the whole program, which a command that only refuses does not need

    draining = Draining(application)
    server = waitress.create_server(
        draining,
        sockets=[ear],
        threads=threads,
        ident=None,
        max_request_body_size=LARGEST_REQUEST,
        **_behind_proxy(),
    )
    ending = Ending(draining)
    ending.listen(with_parent=with_parent)
    server.run()  # returns when the main thread is asked to leave


def _behind_proxy() -> dict:
    """Believe what the proxy on this machine says of https, and nobody else."""
    if not settings.SESSION_COOKIE_SECURE:
        return {}
    return {
        "trusted_proxy": settings.TRUSTED_PROXY,
        "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto", "x-forwarded-host"},
        "clear_untrusted_proxy_headers": True,
    }


class Ending:
    """The first signal lets what is under way finish; the second, or the end of that, leaves."""

    def __init__(self, draining: "Draining"):
        self.draining, self.told = draining, threading.Event()

    def listen(self, *, with_parent: bool) -> None:
        for name in (signal.SIGTERM, signal.SIGINT):
            signal.signal(name, self._signalled)
        threading.Thread(target=self._end_when_told, daemon=True).start()
        if with_parent:
            threading.Thread(target=self._end_with_parent, daemon=True).start()

    def _signalled(self, *_) -> None:
        if self.told.is_set():
            raise SystemExit(0)
        self.told.set()

    def _end_when_told(self) -> None:
        self.told.wait()
        self.draining.end(ENDING_SECONDS)
        _thread.interrupt_main(signal.SIGTERM)

    def _end_with_parent(self) -> None:
        wait_for_parent()
        self.told.set()


class Draining:
    """The program, counting what is under way; once it is to end, what began is finished and the rest told to wait."""

    def __init__(self, application: Callable):
        self.application = application
        self.ending = False
        self._under_way = 0
        self._lock = threading.Lock()

    def __call__(self, environ: dict, start_response: Callable) -> Iterable[bytes]:
        with self._lock:
            if not self.ending:
                self._under_way += 1
                begun = True
            else:
                begun = False
        if not begun:
            headers = [("Content-Type", "text/plain"), ("Retry-After", "5")]
            start_response("503 Service Unavailable", headers)
            return [b"The program is being started again. Send it once more in a moment."]
        try:
            answer = self.application(environ, start_response)
        except BaseException:
            self._one_less()
            raise
        return _Counted(answer, self._one_less)

    def _one_less(self) -> None:
        with self._lock:
            self._under_way -= 1

    def end(self, seconds: float) -> bool:
        """Take nothing new and wait for what is under way; False when it took too long."""
        with self._lock:
            self.ending = True
        until = time.monotonic() + seconds
        while self._under_way and time.monotonic() < until:
            time.sleep(0.05)
        time.sleep(0.5)  # the last answers are still on their way out of the server's buffers
        return not self._under_way


class _Counted:
    def __init__(self, answer: Iterable[bytes], done: Callable[[], None]):
        self.answer, self.done = answer, done

    def __iter__(self):
        return iter(self.answer)

    def close(self) -> None:
        try:
            if hasattr(self.answer, "close"):
                self.answer.close()
        finally:
            done, self.done = self.done, _nothing
            done()


def _nothing() -> None:
    pass


def require_free(host: str, port: int) -> None:
    with socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            raise CommandError(
                f"Something already answers at {host}:{port}. Stop it, or choose another port with --port."
            ) from None
