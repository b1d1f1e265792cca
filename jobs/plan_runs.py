"""The queue of searches: asked for by the pages, claimed and worked by a process of its own."""

import datetime
from collections.abc import Iterable

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import F, Q

from shopstock.work_queue import Queue

from .models import CuttingPlan, PlanRun, PlanWorker

SECONDS = 20
LONGEST_SECONDS = 600
SILENT_AFTER = datetime.timedelta(seconds=15)
MOST_ATTEMPTS = 3
KEPT_FOR = datetime.timedelta(days=30)


class RunGone(Exception):
    """The search was cancelled, or another worker has it now."""


def worker_is_there(at: datetime.datetime) -> bool:
    return PlanWorker.objects.filter(seen_at__gt=at - SILENT_AFTER).exists()


def queue_now(at: datetime.datetime) -> Queue:
    """What waits for a worker; without anything waiting no worker is missed."""
    waiting = PlanRun.objects.filter(state=PlanRun.State.WAITING).count()
    return Queue(waiting, waiting == 0 or worker_is_there(at))


def show_worker(name: str, *, at: datetime.datetime) -> None:
    PlanWorker.objects.update_or_create(name=name, defaults={"seen_at": at})
    PlanWorker.objects.filter(seen_at__lt=at - KEPT_FOR).delete()


def forget_worker(name: str) -> None:
    PlanWorker.objects.filter(name=name).delete()


def queue_run(
    plan: CuttingPlan,
    *,
    problems: list[dict],
    by: AbstractBaseUser,
    at: datetime.datetime,
    seconds: int = SECONDS,
    seed: int = 0,
    work_limit: int | None = None,
) -> PlanRun:
    """Ask for a search of so many seconds, or rounds where a work limit is given, whichever is over first."""
    cloth_mm2 = sum(row.get("search", {}).get("cloth_mm2", 0) for row in plan.materials)
    return PlanRun.objects.create(
        plan=plan,
        problems=problems,
        seconds=seconds,
        seed=seed,
        work_limit=work_limit,
        first_cloth_mm2=cloth_mm2,
        cloth_mm2=cloth_mm2,
        bound_mm2=sum(row.get("search", {}).get("bound_mm2", 0) for row in plan.materials),
        asked_by=by,
        asked_at=at,
    )


def active_run(plan: CuttingPlan) -> PlanRun | None:
    return plan.runs.filter(state__in=PlanRun.ACTIVE).first()


def last_run(plan: CuttingPlan) -> PlanRun | None:
    return plan.runs.order_by("-asked_at", "-pk").first()


def stop_run(plan: CuttingPlan, *, at: datetime.datetime) -> bool:
    """Good enough: a search at work ends with what it has, one that waits is over. Returns whether there was one."""
    over = plan.runs.filter(state=PlanRun.State.WAITING).update(
        state=PlanRun.State.DONE, finished_at=at, reason="stopped before it began"
    )
    return bool(over + plan.runs.filter(state__in=PlanRun.AT_WORK).update(stop_asked=True))


def cancel_runs(plans: Iterable[CuttingPlan], *, at: datetime.datetime | None, reason: str) -> int:
    """End the searches of plans that do not count any more; a worker notices with its next heartbeat."""
    runs = PlanRun.objects.filter(plan__in=plans, state__in=PlanRun.ACTIVE)
    return runs.update(state=PlanRun.State.CANCELLED, finished_at=at, reason=reason)


@transaction.atomic
def take_over_silent_runs(*, at: datetime.datetime) -> int:
    """Searches whose worker has fallen silent wait again; one that stopped its worker every time has failed."""
    silent = PlanRun.objects.filter(state__in=PlanRun.AT_WORK).filter(
        Q(heartbeat_at__isnull=True) | Q(heartbeat_at__lt=at - SILENT_AFTER)
    )
    silent.filter(attempts__gte=MOST_ATTEMPTS).update(
        state=PlanRun.State.FAILED,
        finished_at=at,
        reason=f"the search stopped in the middle {MOST_ATTEMPTS} times; the plan found before it stays",
    )
    return silent.update(state=PlanRun.State.WAITING, worker="")


def claim_next(worker: str, *, at: datetime.datetime) -> PlanRun | None:
    """The search that has waited longest, for this worker alone; None when nothing waits."""
    for pk in PlanRun.objects.filter(state=PlanRun.State.WAITING).values_list("pk", flat=True)[:5]:
        if claim(pk, worker, at=at):
            return PlanRun.objects.select_related("plan__job").get(pk=pk)
    return None


def claim(pk: int, worker: str, *, at: datetime.datetime) -> bool:
    """One update decides which of two workers gets a search that both have seen waiting."""
    waiting = PlanRun.objects.filter(pk=pk, state=PlanRun.State.WAITING)
    return bool(
        waiting.update(
            state=PlanRun.State.RUNNING, worker=worker, heartbeat_at=at, attempts=F("attempts") + 1, spent_ms=0
        )
    )


def _mine(run: PlanRun):
    return PlanRun.objects.filter(pk=run.pk, worker=run.worker, state__in=PlanRun.AT_WORK)


def beat(run: PlanRun, *, at: datetime.datetime, spent_ms: int) -> bool:
    """Say that the search is alive; returns whether it is to stop. Raises RunGone when it is ours no longer."""
    if not _mine(run).update(heartbeat_at=at, spent_ms=spent_ms):
        raise RunGone
    return PlanRun.objects.filter(pk=run.pk, stop_asked=True).exists()


def note_better(run: PlanRun, *, at: datetime.datetime, better: bool, **values) -> None:
    """Keep what was found; raises RunGone when the search is not ours any more."""
    if better:
        values |= {"state": PlanRun.State.IMPROVED, "times_better": F("times_better") + 1}
    if not _mine(run).update(heartbeat_at=at, **values):
        raise RunGone


def finish(run: PlanRun, *, at: datetime.datetime, reason: str = "") -> None:
    _mine(run).update(state=PlanRun.State.DONE, finished_at=at, reason=reason[:300])


def fail(run: PlanRun, *, at: datetime.datetime, reason: str) -> None:
    _mine(run).update(state=PlanRun.State.FAILED, finished_at=at, reason=reason[:300])


def hand_back(run: PlanRun) -> None:
    """A worker that is told to end lets another one begin the search again."""
    _mine(run).update(state=PlanRun.State.WAITING, worker="", attempts=F("attempts") - 1)
