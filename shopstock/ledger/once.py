import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps

from django.db import IntegrityError, connection, transaction

_one_at_a_time = threading.Lock()


def one_transaction(write: Callable) -> Callable:
    """Run a ledger function whole or not at all; run it again when the same key landed between its look and its write.

    The second run finds the line that the first sender made and answers with it, or fails for its own reason.
    """

    @wraps(write)
    def run(**wish):
        with _turn():
            try:
                with transaction.atomic():
                    return write(**wish)
            except IntegrityError:
                with transaction.atomic():
                    return write(**wish)

    return run


@contextmanager
def _turn() -> Iterator[None]:
    """SQLite has one writer: threads of this process queue here, which is fair, rather than sleep and ask again."""
    if connection.vendor == "sqlite" and not connection.in_atomic_block:
        with _one_at_a_time:
            yield
    else:
        yield
