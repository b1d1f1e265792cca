"""How much work waits for the worker beside the pages, asked of whoever queues it; jobs register here."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Queue:
    waiting: int
    worker_is_there: bool


_asked: list[Callable[[datetime.datetime], Queue]] = []


def register(ask: Callable[[datetime.datetime], Queue]) -> None:
    if ask not in _asked:
        _asked.append(ask)


def queue_now(at: datetime.datetime) -> Queue:
    found = [ask(at) for ask in _asked]
    return Queue(sum(queue.waiting for queue in found), all(queue.worker_is_there for queue in found))
