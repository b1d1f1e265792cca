"""A line between two searchers in two processes: each sends the levels it has found since, and its best plan."""

import pickle
import queue
import threading
from typing import BinaryIO

from jobs.calc.cutting.search import Search


class Link:
    """Messages out and in; a thread reads, so that two full pipes never wait for each other."""

    def __init__(self, incoming: BinaryIO, outgoing: BinaryIO):
        self.incoming, self.outgoing = incoming, outgoing
        self.told = 0
        self.inbox: queue.Queue = queue.Queue()
        self.open, self.ended = True, False
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        try:
            while True:
                self.inbox.put(pickle.load(self.incoming))
        except (EOFError, OSError, ValueError, pickle.UnpicklingError):
            self.ended = True
            self.inbox.put(None)

    def send(self, search: Search) -> None:
        """Tell the partner what is new here."""
        news = (search.pool.levels[self.told :], search.best)
        self.told = len(search.pool.levels)
        try:
            pickle.dump(news, self.outgoing, pickle.HIGHEST_PROTOCOL)
            self.outgoing.flush()
        except (OSError, ValueError):
            self.open = False

    def news(self, *, wait_seconds: float = 0) -> list:
        """What has come in; with time to wait exactly one message, as long as the partner lives."""
        if wait_seconds:
            return [item for item in [self._next(wait_seconds)] if item] if self.open else []
        found = []
        while (item := self._next(0)) is not None:
            found.append(item)
        return found

    def _next(self, seconds: float):
        try:
            item = self.inbox.get(timeout=seconds) if seconds else self.inbox.get_nowait()
        except queue.Empty:
            return None
        if item is None:
            self.open = False
        return item

    def learn(self, search: Search, news) -> bool:
        levels, best = news
        for level in levels:
            search.pool.add(level)
        self.told = len(search.pool.levels)
        return search.cost(best) < search.best_cost and search.take(best)
