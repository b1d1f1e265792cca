"""Running the program behind a production WSGI server."""

import socket

import waitress
from django.core.management.base import CommandError


def serve(host: str, port: int, *, threads: int = 8) -> None:
    """Serve until interrupted; one process with threads, so the same on Linux, macOS and Windows."""
    from shopstock.wsgi import application  # loads the whole program, which a command that only refuses does not need

    waitress.serve(application, host=host, port=port, threads=threads, ident=None)


def require_free(host: str, port: int) -> None:
    with socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError:
            raise CommandError(
                f"Something already answers at {host}:{port}. Stop it, or choose another port with --port."
            ) from None
