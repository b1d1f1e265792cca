from collections.abc import Callable
from functools import wraps

from django.db import IntegrityError, transaction


def one_transaction(write: Callable) -> Callable:
    """Run a ledger function whole or not at all; run it again when the same key landed between its look and its write.

    The second run finds the line that the first sender made and answers with it, or fails for its own reason.
    """

    @wraps(write)
    def run(**wish):
        try:
            with transaction.atomic():
                return write(**wish)
        except IntegrityError:
            with transaction.atomic():
                return write(**wish)

    return run
