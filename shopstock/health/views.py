import shutil

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.db import DatabaseError, connection
from django.http import HttpRequest, JsonResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache

from shopstock.last_backup import last_backup
from shopstock.models import Shop
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
        if connection.vendor == "sqlite":
            return "ok" if _can_write() else "read-only"
    except DatabaseError:
        return "down"
    return "ok"


def _can_write() -> bool:
    with connection.cursor() as cursor:
        return not cursor.execute("PRAGMA query_only").fetchone()[0]


def _disk() -> str:
    try:
        free = shutil.disk_usage(settings.DATA_DIR).free
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
    if last is None:
        return {"state": "none"}
    state = "old" if last.is_old(timezone.now()) else "failing" if last.problem else "ok"
    return {"state": state, "at": last.made_at.isoformat(timespec="seconds"), "copied": last.copied}
