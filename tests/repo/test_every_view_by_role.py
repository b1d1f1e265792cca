"""Every address, looked at and posted to, by each role, by somebody without one, and by nobody."""

import pytest
from django.core.signals import request_finished
from django.db import close_old_connections
from django.test import Client
from django.urls import resolve, reverse

from shopstock.models import ContainerMovement, Movement
from shopstock.roles import ACTIONS, EVERYONE
from tests.repo.demo_shop import demo_people, every_address, without_a_trace

ROLES = ("clerk", "laminator", "owner", "no role")
SENT_BY = {  # pages that more may look at than may send their form
    "resin-of-job": ACTIONS["plan jobs"],
}


@pytest.fixture
def people(db, tmp_path, monkeypatch):
    return demo_people(tmp_path / "labels.pdf", monkeypatch)


@pytest.fixture
def guarded(people):
    """(name, address, roles that may look, roles that may send) of every address that names an action."""
    found = [
        (name, address, resolve(address.partition("?")[0]).func)
        for name, address in ((page.name, page.address) for page in every_address())
    ]
    return [
        (name, address, ACTIONS[view.shop_action], SENT_BY.get(name, ACTIONS[view.shop_action]))
        for name, address, view in found
        if hasattr(view, "shop_action")
    ]


def signed_in(person) -> Client:
    device = Client()
    device.force_login(person)
    return device


def status_of(answer) -> int:
    """Close what the answer holds, as a server does, but not the database, of which this test is one transaction."""
    request_finished.disconnect(close_old_connections)
    answer.close()
    request_finished.connect(close_old_connections)
    return answer.status_code


def written() -> tuple[int, int]:
    return Movement.objects.count(), ContainerMovement.objects.count()


def test_every_page_opens_for_exactly_the_roles_that_may(people, guarded):
    wrong = []
    for role in ROLES:
        device = signed_in(people[role])
        for number, (name, address, allowed, _) in enumerate(guarded):
            # What is open to all roles is opened by one of them in turn; that it opens for each is what fuzzing shows.
            if allowed == EVERYONE and role not in (ROLES[number % 3], "no role"):
                continue
            with without_a_trace():
                status = status_of(device.get(address))
            if (status == 403) == (role in allowed) and status != 405 or status >= 500:
                wrong.append(f"{role} at {name}: {status}")
    assert wrong == []


def test_every_post_is_refused_to_exactly_the_roles_that_may_not(people, guarded):
    wrong, before = [], written()
    for role in ROLES:
        device = signed_in(people[role])
        for number, (name, address, _, allowed) in enumerate(guarded):
            if allowed == EVERYONE and role not in (ROLES[number % 3], "no role"):
                continue
            with without_a_trace():
                status = status_of(device.post(address, {}))
                touched = written() != before
            refused = status == 403
            if refused == (role in allowed) or status >= 500 or (refused and touched):
                wrong.append(f"{role} at {name}: {status}{', and it was written' if touched else ''}")
    assert wrong == []


def test_nobody_sees_or_sends_anything_without_signing_in(people, guarded):
    device, wrong = Client(), []
    for name, address, _, _ in guarded:
        for send in (device.get, device.post):
            with without_a_trace():
                answer = send(address)
            if answer.status_code != 302 or not answer.url.startswith(reverse("sign-in")):
                wrong.append(f"{name}: {answer.status_code}")
    assert wrong == []
