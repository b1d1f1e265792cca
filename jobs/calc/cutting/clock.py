"""How much of the work is done: by seconds, or by rounds of search where the same plan must come out every time."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field

NODES_BY_ROUNDS = 5
NODES_BY_SECONDS = 1_000_000


@dataclass
class Clock:
    """seconds of time from started, or work_limit rounds of search when that is given."""

    seconds: float
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
        if self.work_limit is not None:
            return rounds / max(1, self.work_limit)
        return self.elapsed / self.seconds

    def solver_limits(self, share: float) -> dict:
        """Limits for one call of the solver that may take this share of the whole work."""
        if self.work_limit is not None:
            return {"seconds": 600.0, "nodes": NODES_BY_ROUNDS}
        left = max(0.01, self.seconds - self.elapsed)
        return {"seconds": min(self.seconds * share, left), "nodes": NODES_BY_SECONDS}
