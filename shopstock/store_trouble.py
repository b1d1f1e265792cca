"""Trouble that is the machine's, not the person's: which words an error of the disk or database deserves."""

import errno
from dataclasses import dataclass


@dataclass(frozen=True)
class Trouble:
    title: str
    to_do: str


FULL = Trouble(
    "The disk of the store’s computer is full",
    "Nothing of this entry was saved, and nothing entered before is lost. Write the figures down, and ask the owner to "
    "make room: old backups and downloads first. Then enter them again.",
)
READ_ONLY = Trouble(
    "The store’s database cannot be written",
    "Nothing of this entry was saved, and nothing entered before is lost. Write the figures down. The owner should see "
    "to it that the file and its folder belong to the program’s user, and that the disk is not mounted read-only.",
)
BUSY = Trouble(
    "The store’s database was busy for too long",
    "Nothing of this entry was saved. Wait a moment, go back, and send it again: a second tap never counts twice.",
)
AWAY = Trouble(
    "The store’s database does not answer",
    "What you sent was either saved whole or not at all. Ask the owner to look whether the database is running, then "
    "send it again: the same form sent twice counts once.",
)
FAILING = Trouble(
    "The disk of the store’s computer fails",
    "What you sent was either saved whole or not at all. Write the figures down, and tell the owner at once: stop the "
    "program, have the disk looked at, run manage.py check_ledger, and restore the last backup if it finds anything. "
    "The same form sent again counts once.",
)
SIGNS = (
    (FULL, ("database or disk is full", "no space left on device", "could not extend file")),
    (READ_ONLY, ("readonly database", "read-only", "permission denied", "unable to open database file")),
    (BUSY, ("database is locked", "deadlock detected", "lock timeout", "could not serialize")),
    (AWAY, ("connection refused", "server closed the connection", "the database system is", "could not connect",
            "connection is closed", "terminating connection", "connection failed")),
    (FAILING, ("disk i/o error", "input/output error", "disk image is malformed", "file is not a database",
               "invalid page in block")),
)  # fmt: skip
NUMBERS = {errno.ENOSPC: FULL, errno.EDQUOT: FULL, errno.EROFS: READ_ONLY, errno.EACCES: READ_ONLY, errno.EIO: FAILING}


def trouble_of(error: BaseException) -> Trouble | None:
    """The words for it, or None when the error is of another kind (a fault of the program)."""
    if getattr(error, "errno", None) in NUMBERS:
        return NUMBERS[error.errno]
    told = str(error).lower()
    return next((trouble for trouble, signs in SIGNS if any(sign in told for sign in signs)), None)
