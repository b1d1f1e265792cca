"""Ending the server: what began is finished and answered, what comes after is told to wait."""

import threading
import time

import pytest

from shopstock.serving import Draining


class Slow:
    """An application whose answer waits until it is let go."""

    def __init__(self):
        self.begun, self.go_on = threading.Event(), threading.Event()

    def __call__(self, environ, start_response):
        self.begun.set()
        self.go_on.wait(10)
        start_response("200 OK", [])
        return [b"done"]


class Asked(threading.Thread):
    """One request in a thread of its own."""

    def __init__(self, draining: Draining):
        super().__init__()
        self.draining, self.status, self.body = draining, "", b""
        self.start()

    def run(self):
        answer = self.draining({}, lambda status, headers: setattr(self, "status", status))
        self.body = b"".join(answer)
        if hasattr(answer, "close"):
            answer.close()


def test_request_under_way_is_finished_and_a_new_one_told_to_wait():
    slow = Slow()
    draining = Draining(slow)
    under_way = Asked(draining)
    slow.begun.wait(10)
    ended = []
    ender = threading.Thread(target=lambda: ended.append(draining.end(10)))
    ender.start()
    while not draining.ending:
        time.sleep(0.01)
    late = Asked(draining)
    late.join(10)
    assert (late.status[:3], ended) == ("503", [])
    slow.go_on.set()
    under_way.join(10)
    ender.join(10)
    assert (under_way.status, under_way.body, ended) == ("200 OK", b"done", [True])


def test_ending_does_not_wait_for_ever():
    slow = Slow()
    draining = Draining(slow)
    under_way = Asked(draining)
    slow.begun.wait(10)
    assert draining.end(0.1) is False
    slow.go_on.set()
    under_way.join(10)


def test_application_that_fails_counts_as_over():
    def fails(environ, start_response):
        raise RuntimeError

    draining = Draining(fails)
    with pytest.raises(RuntimeError):
        draining({}, lambda *_: None)
    assert draining.end(0.1) is True
