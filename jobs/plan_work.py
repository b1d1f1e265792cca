"""The life of a worker process: shows that it is there, takes the next search, keeps its heart beating meanwhile."""

import datetime
import logging
import threading
import time
from collections.abc import Callable
from contextlib import contextmanager

from django.db import DatabaseError, connection

from .models import PlanRun
from .plan_runs import (
    RunGone,
    beat,
    claim_next,
    fail,
    finish,
    forget_worker,
    hand_back,
    show_worker,
    take_over_silent_runs,
)
from .plan_search import PlanSearch, RacksChanged
from .planning import CannotPlan

BEAT_SECONDS = 1.0
IDLE_SECONDS = 0.5
SHOW_SECONDS = 4.0

log = logging.getLogger(__name__)
Clock = Callable[[], datetime.datetime]


class Heart:
    """A thread that says of a search that it is alive, and learns whether it is to stop or is gone."""

    def __init__(self, run: PlanRun, now: Clock):
        self.run, self.now = run, now
        self.stop, self.gone, self.over = threading.Event(), threading.Event(), threading.Event()
        self.started = time.monotonic()
        self.thread = threading.Thread(target=self._beat, daemon=True)

    def _beat(self) -> None:
        try:
            while not self.over.wait(BEAT_SECONDS):
                self._beat_once()
        finally:
            connection.close()

    def _beat_once(self) -> None:
        try:
            if beat(self.run, at=self.now(), spent_ms=round(1000 * (time.monotonic() - self.started))):
                self.stop.set()
            show_worker(self.run.worker, at=self.now())
        except RunGone:
            self.gone.set()
            self.stop.set()
        except DatabaseError:  # busy for the moment: the next beat tries again, and silence has its limit
            log.warning("the heartbeat of a search could not be written", exc_info=True)

    @contextmanager
    def beating(self):
        self.thread.start()
        try:
            yield self
        finally:
            self.over.set()
            self.thread.join()


def work_once(worker: str, *, now: Clock, ending: threading.Event, processes: int = 1) -> bool:
    """Do the search that has waited longest; returns whether there was one."""
    take_over_silent_runs(at=now())
    run = claim_next(worker, at=now())
    if run is None:
        return False
    with Heart(run, now).beating() as heart:
        _search(run, heart, now=now, ending=ending, processes=processes)
    return True


def _search(run: PlanRun, heart: Heart, *, now: Clock, ending: threading.Event, processes: int) -> None:
    search = PlanSearch(run, now, lambda: heart.stop.is_set() or ending.is_set(), processes)
    try:
        search.search()
    except RunGone:
        return
    except (RacksChanged, CannotPlan) as error:
        fail(run, at=now(), reason=str(error))
    except Exception as error:  # a worker outlives any one search; what went wrong is kept with the search
        log.exception("search %s failed", run.pk)
        fail(run, at=now(), reason=f"{type(error).__name__}: {error}")
    else:
        if ending.is_set() and not heart.stop.is_set():
            hand_back(run)
        else:
            finish(run, at=now(), reason="good enough was said" if heart.stop.is_set() else "")


def work(worker: str, *, now: Clock, ending: threading.Event, processes: int = 1) -> None:
    """Search until told to end."""
    shown_at = -SHOW_SECONDS
    try:
        while not ending.is_set():
            try:
                if time.monotonic() - shown_at >= SHOW_SECONDS:
                    show_worker(worker, at=now())
                    shown_at = time.monotonic()
                if not work_once(worker, now=now, ending=ending, processes=processes):
                    ending.wait(IDLE_SECONDS)
            except DatabaseError:
                log.warning("the worker waits for the database", exc_info=True)
                ending.wait(SHOW_SECONDS)
    finally:
        forget_worker(worker)
