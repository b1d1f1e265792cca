"""Files that were looked at and wait for a yes; kept beside the data for a day, by the hash of their content."""

import hashlib
import re
import time
from pathlib import Path

from django.conf import settings

KEEP_SECONDS = 24 * 3600


class NotWaiting(Exception):
    """The file is not kept any more."""


def keep(data: bytes) -> str:
    """Keep a file and return the name under which it is found again; files older than a day are dropped."""
    folder = _folder()
    folder.mkdir(parents=True, exist_ok=True)
    _drop_old(folder)
    name = hashlib.sha256(data).hexdigest()
    (folder / name).write_bytes(data)
    return name


def fetch(name: str) -> bytes:
    if not re.fullmatch(r"[0-9a-f]{64}", name):
        raise NotWaiting
    try:
        return (_folder() / name).read_bytes()
    except FileNotFoundError:
        raise NotWaiting from None


def forget(name: str) -> None:
    if re.fullmatch(r"[0-9a-f]{64}", name):
        (_folder() / name).unlink(missing_ok=True)


def _folder() -> Path:
    return Path(settings.DATA_DIR) / "stock-files"


def _drop_old(folder: Path) -> None:
    oldest = time.time() - KEEP_SECONDS
    for path in folder.iterdir():
        if path.stat().st_mtime < oldest:
            path.unlink(missing_ok=True)
