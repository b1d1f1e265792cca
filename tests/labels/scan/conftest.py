import pytest
from django.urls import reverse
from django.utils.html import strip_tags

from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from tests.factories import NOON, make_reinforcement, make_roll, new_key
from tests.shopstock.clock import noon  # noqa: F401 - a fixture for every test here


@pytest.fixture
def roll(clerk):
    return make_roll(by=clerk, length_mm=20_000, reinforcement=make_reinforcement("woven roving, wide", width_mm=1_250))


@pytest.fixture
def promise(roll, owner):
    """The next cut: 4.20 m for a hull, with one piece of it worth keeping."""
    wish = ledger.Promise(roll, 4_200, "Hull 7", offcuts=((400, 1_200),))
    return ledger.set_aside(promises=[wish], by=owner, at=NOON)[0]


@pytest.fixture
def at_table(client, laminator):
    """A phone on which the laminator is signed in."""
    client.force_login(laminator)
    return client


@pytest.fixture
def planned(promise):
    """The form of the next cut, sent as it was shown."""
    return {"key": "tap-1", "promise": promise.pk, "planned_mm": promise.length_mm, "length": "4.20 m"}


def report(roll, start_mm, end_mm, by, cause="crease"):
    ledger.report_fault(roll=roll, fault=FoundFault(start_mm, end_mm, cause), by=by, at=NOON, key=new_key())


def address_of(name, roll, *more):
    return reverse(name, args=[roll.code, *more])


def left_on(roll) -> int:
    roll.refresh_from_db()
    return roll.length_mm


def words(page) -> str:
    """The text of a page, tags and line breaks taken out."""
    return " ".join(strip_tags(page.content.decode()).split())
