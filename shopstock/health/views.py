import errno
import shutil
import sys
import tempfile
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.db import DatabaseError, Error, connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils import timezone
from django.views import defaults
from django.views.decorators.cache import never_cache

from shopstock.last_backup import last_backup
from shopstock.models import Shop
from shopstock.store_trouble import trouble_of
from shopstock.work_queue import queue_now

LEAST_FREE_BYTES = 300 * 1024 * 1024


@never_cache
@login_not_required
def healthz(request: HttpRequest) -> JsonResponse:
    """For a machine that watches: 200 while people can work, 503 when not; an old backup is said but stops nobody."""
    found = {"database": _database(), "disk": _disk(), "queue": _queue(), "last_backup": _backup()}
    can_work = found["database"] == "ok" and found["disk"] != "full"
    return JsonResponse({"status": "ok" if can_work else "down", **found}, status=200 if can_work else 503)


def _database() -> str:
    try:
        Shop.objects.only("pk").first()
        return "ok" if _can_write() else "read-only"
    except Error:
        return "down"


def _can_write() -> bool:
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            return cursor.execute("SHOW transaction_read_only").fetchone()[0] == "off"
    try:
        with Path(connection.settings_dict["NAME"]).open("ab"):
            pass
        tempfile.TemporaryFile(dir=_database_folder()).close()  # SQLite keeps its log beside the file
    except OSError as error:
        return error.errno == errno.ENOSPC  # the disk is told of by itself
    return True


def _database_folder() -> Path:
    return Path(connection.settings_dict["NAME"]).absolute().parent


def _disk() -> str:
    folders = [settings.DATA_DIR, *([_database_folder()] if connection.vendor == "sqlite" else [])]
    try:
        free = min(shutil.disk_usage(folder).free for folder in folders)
    except OSError:
        return "unknown"
    return "full" if free < LEAST_FREE_BYTES else "ok"


def _queue() -> dict | str:
    try:
        queue = queue_now(timezone.now())
    except DatabaseError:
        return "unknown"
    return {"waiting": queue.waiting, "worker": "ok" if queue.worker_is_there else "not seen"}


def _backup() -> dict:
    last = last_backup()
    if last is None or last.made_at is None:
        return {"state": "failing" if last else "none"}
    state = "old" if last.is_old(timezone.now()) else "failing" if last.problem else "ok"
    return {"state": state, "at": last.made_at.isoformat(timespec="seconds"), "copied": last.copied}


def something_broke(request: HttpRequest) -> HttpResponse:
    """For an error that nothing caught: trouble with the disk or the database is told in words, wherever it came up."""
    error = sys.exc_info()[1]
    words = trouble_of(error) if isinstance(error, (Error, OSError)) else None
    if words is None:
        return defaults.server_error(request)
    if request.get_preferred_type(["text/html", "application/json"]) == "application/json":
        return JsonResponse({"refused": "StoreTrouble", "message": f"{words.title}. {words.to_do}"}, status=503)
    return render(None, "shopstock/store_trouble.html", {"words": words}, status=503)
