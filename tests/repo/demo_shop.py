"""The demo shop in the test's database, and a way to try something in it without leaving a trace."""

import datetime
from contextlib import contextmanager

from django.conf import settings
from django.contrib.auth import get_user_model
from django.db import transaction
from django.urls import NoReverseMatch, get_resolver, reverse

from shopstock.demo.main_job import walk_main_job
from shopstock.demo.store import fill_shop
from tests.browser.every_page import ASKED, Page, _arguments, _patterns, asked_about
from tests.browser.test_every_page import have_something_to_measure
from tests.factories import make_person

NOW = datetime.datetime(2026, 3, 2, 9, 0, tzinfo=datetime.UTC)
NAMES = {"clerk": "carla", "laminator": "luis", "owner": "olga"}


def demo_people(labels_file, monkeypatch) -> dict:
    """Fill the shop; returns its people by role, with somebody who has none."""
    monkeypatch.setattr("shopstock.demo.main_job.LABELS_FILE", labels_file)
    monkeypatch.setattr(settings, "DATA_DIR", labels_file.parent)
    walk_main_job(fill_shop(NOW))
    have_something_to_measure()
    people = {role: get_user_model().objects.get(username=name) for role, name in NAMES.items()}
    return people | {"no role": make_person("otto")}


def every_address() -> list[Page]:
    """Each named address, with the demo's things behind it, or a number where the demo has nothing of the kind."""
    known, asked = _arguments(), asked_about()
    return [
        Page(pattern.name, _address(pattern, known) + ASKED.get(pattern.name, "").format(**asked))
        for pattern in _patterns(get_resolver())
    ]


def _address(pattern, known: dict[str, tuple]) -> str:
    try:
        return reverse(pattern.name, args=known.get(pattern.name, ()))
    except NoReverseMatch:
        return reverse(pattern.name, args=[1] * len(pattern.pattern.converters))


@contextmanager
def without_a_trace():
    with transaction.atomic():
        yield
        transaction.set_rollback(True)
