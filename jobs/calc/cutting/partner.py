"""The second searcher: the same search with another seed in a process of its own, to use a second core."""

import os
import pickle
import subprocess
import sys
from pathlib import Path

from jobs.calc.cutting.clock import Clock
from jobs.calc.cutting.first_fit import Placement
from jobs.calc.cutting.levels import Task

LEAST_SECONDS = 1.0
START_SECONDS = 0.25
PACKAGE_ROOT = Path(__file__).resolve().parents[3]


class Partner:
    """A child process; it ends with this object, with its work, or when this process dies and its pipe closes."""

    def __init__(self, task: Task, start: list[Placement], seed: int, clock: Clock):
        from jobs.calc.cutting.link import Link  # brings the solver in, which the first plan must not wait for

        path = os.pathsep.join(filter(None, [str(PACKAGE_ROOT), os.environ.get("PYTHONPATH")]))
        self.process = subprocess.Popen(
            [sys.executable, "-m", "jobs.calc.cutting.worker"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": path},
        )
        seconds = None if clock.seconds is None else max(0.1, clock.seconds_left - START_SECONDS)
        self.link = Link(self.process.stdout, self.process.stdin)
        pickle.dump((task, start, seed, seconds, clock.work_limit), self.process.stdin, pickle.HIGHEST_PROTOCOL)
        self.process.stdin.flush()

    def close(self) -> None:
        self.process.kill()
        self.process.wait()
        self.process.stdin.close()
        self.process.stdout.close()


def start_partner(task: Task, start: list[Placement], seed: int, clock: Clock) -> Partner | None:
    """A partner, or None when there is too little time for one or the system refuses another process."""
    if clock.seconds_left < LEAST_SECONDS:
        return None
    try:
        return Partner(task, start, seed, clock)
    except OSError:
        return None
