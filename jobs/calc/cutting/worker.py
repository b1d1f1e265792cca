"""The child process of a partner: reads its task, searches, and meets the other searcher over its pipes."""

import pickle
import sys

from jobs.calc.cutting.clock import Clock
from jobs.calc.cutting.drive import drive
from jobs.calc.cutting.link import Link
from jobs.calc.cutting.search import Search


def main() -> None:
    incoming, outgoing = sys.stdin.buffer, sys.stdout.buffer
    task, start, seed, seconds, work_limit = pickle.load(incoming)
    link = Link(incoming, outgoing)
    clock = Clock(seconds, work_limit, should_stop=lambda: link.ended)
    search = Search(task, start, seed, clock.over)
    search.begin()
    drive(search, clock, better=lambda: False, link=link, covers=False)
    link.send(search)


if __name__ == "__main__":
    main()
