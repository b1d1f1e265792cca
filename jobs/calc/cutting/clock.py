"""How much of the work is done: by seconds, or by rounds where the same plan must come out every time, or by both."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field

NODES_BY_ROUNDS = 5
NODES_BY_SECONDS = 1_000_000
NO_HURRY_SECONDS = 600.0


@dataclass
class Clock:
    """seconds of time from started and work_limit rounds of search, whichever comes first; None is no limit."""

    seconds: float | None
    work_limit: int | None = None
    should_stop: Callable[[], bool] | None = None
    started: float = field(default_factory=time.monotonic)

    @property
    def elapsed(self) -> float:
        return time.monotonic() - self.started

    def done(self, rounds: int) -> float:
        """The share of the work that is done; 1 or more when it is time to stop."""
        if self.should_stop and self.should_stop():
            return 2.0
        by_rounds = 0.0 if self.work_limit is None else rounds / max(1, self.work_limit)
        return by_rounds if self.seconds is None else max(by_rounds, self.elapsed / self.seconds)

    def over(self, share: float = 1.0) -> bool:
        """Whether this share of the time is up, or somebody said to stop; rounds are counted by done."""
        if self.should_stop and self.should_stop():
            return True
        return self.late(share)

    def late(self, share: float = 1.0) -> bool:
        return self.seconds is not None and self.elapsed >= share * self.seconds

    @property
    def seconds_left(self) -> float:
        """Seconds until the time is up; NO_HURRY_SECONDS where only rounds are counted."""
        return NO_HURRY_SECONDS if self.seconds is None else max(0.01, self.seconds - self.elapsed)

    def solver_limits(self, share: float) -> dict:
        """Limits for one call of the solver that may take this share of the whole work."""
        if self.work_limit is not None:
            return {"seconds": self.seconds_left, "nodes": NODES_BY_ROUNDS}
        return {"seconds": min(self.seconds * share, self.seconds_left), "nodes": NODES_BY_SECONDS}
