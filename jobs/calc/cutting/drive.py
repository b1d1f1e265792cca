"""Runs one search through its work: rounds of rebuilding, and at set shares of it news from the partner and a cover."""

from collections.abc import Callable

from jobs.calc.cutting.clock import Clock
from jobs.calc.cutting.link import Link
from jobs.calc.cutting.search import HEAT, Search

MEETINGS = (0.25, 0.5, 0.75, 0.9)
COVER_SHARE = 0.06
ROUNDS_A_START, DIVES = 10, 2
FEW_LEVELS = 4
WAIT_SECONDS = 120
STALE_ROUNDS, STALE_ROUNDS_A_BLANK = 200, 60


def drive(search: Search, clock: Clock, better: Callable[[], bool], link: Link | None, covers: bool = True) -> None:
    """Search until the clock is done; better() is told of each better plan and says whether it cannot be bettered."""
    enough = STALE_ROUNDS + STALE_ROUNDS_A_BLANK * int(search.demand.sum())
    for share in (*MEETINGS, 1.0):
        while (done := clock.done(search.rounds)) < share and search.stale < enough:
            if search.step(HEAT * max(0.0, 1 - done) * min(1.0, FEW_LEVELS / max(1, len(search.now)))) and better():
                return
            if search.rounds % ROUNDS_A_START == 0 and search.restart(DIVES) and better():
                return
        if done >= 2:
            return
        if search.tuck() and better():
            return
        if link and _meet(search, clock, link) and better():
            return
        if share < 1 and covers and search.recombine(**clock.solver_limits(COVER_SHARE)) and better():
            return


def _meet(search: Search, clock: Clock, link: Link) -> bool:
    """Trade levels and best plans with the partner; returns whether its plan is better than ours."""
    link.send(search)
    wait = min(WAIT_SECONDS, clock.seconds_left) if clock.work_limit is not None else 0
    learned = [link.learn(search, news) for news in link.news(wait_seconds=wait)]
    return any(learned)
