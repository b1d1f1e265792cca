"""Lines of both ledgers and decisions in one order of time, filtered and exported."""

import datetime

import pytest
from django.urls import reverse

from shopstock import ledger
from tests.factories import NOON, make_container, make_roll, new_key
from tests.jobs.factories import confirmed, simple_job
from tests.shopstock.clock import noon  # noqa: F401 - a fixture for every test here

HOUR = datetime.timedelta(hours=1)


@pytest.fixture
def history(clerk, laminator, owner):
    roll = make_roll(by=clerk, at=NOON)
    ledger.record_cut(roll=roll, length_mm=500, by=laminator, at=NOON + HOUR, key=new_key(), reason="sample")
    ledger.quarantine(roll=roll, reason="wet", by=clerk, at=NOON + 2 * HOUR, key=new_key())
    ledger.release(roll=roll, reason="dried, looked at", by=owner, at=NOON + 3 * HOUR, key=new_key())
    container = make_container(by=clerk, at=NOON + 4 * HOUR)
    job = simple_job(by=owner, reinforcement=roll.reinforcement, name="Dinghy 12")
    confirmed(job, owner)
    return roll, container


def shown(client, person, **query) -> list[tuple[str, str]]:
    client.force_login(person)
    table = client.get(reverse("timeline"), query).context["table"]
    return [(str(row.get_cell("line_kind")), str(row.get_cell("line_by"))) for row in table.rows]


def test_timeline_has_both_ledgers_and_decisions_the_newest_first(client, owner, history):
    assert shown(client, owner) == [
        ("received", "carla"), ("released", "olga"), ("quarantined", "carla"), ("cut", "luis"),
        ("received", "carla"), ("plan confirmed", "olga"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("query", "kinds"),
    [
        ({"what": "resin"}, ["received"]),
        ({"what": "decision"}, ["released", "quarantined", "plan confirmed"]),
        ({"by": "luis"}, ["cut"]),
        ({"since": "2026-03-03"}, []),
        ({"since": "2026-03-02", "until": "2026-03-02", "by": "olga"}, ["released", "plan confirmed"]),
    ],
)
def test_timeline_is_filtered(client, owner, history, query, kinds):
    assert [kind for kind, _ in shown(client, owner, **query)] == kinds


def test_timeline_of_one_roll_by_its_code_however_typed(client, owner, history):
    roll, _ = history
    typed = f"{roll.code[:3].lower()} {roll.code[3:]}"
    assert [kind for kind, _ in shown(client, owner, of=typed)] == ["released", "quarantined", "cut", "received"]


def test_wrong_dates_are_said_and_nothing_is_hidden(client, owner, history):
    client.force_login(owner)
    page = client.get(reverse("timeline"), {"since": "2026-03-05", "until": "2026-03-01"})
    assert "The last day lies before the first." in page.content.decode()
    assert len(page.context["table"].rows) == 6


def test_timeline_is_exported_with_units(client, owner, history):
    client.force_login(owner)
    lines = client.get(reverse("timeline"), {"_export": "csv", "by": "luis"}).content.decode().splitlines()
    assert len(lines) == 2
    assert "-500 mm,49500 mm,sample" in lines[1]


@pytest.mark.parametrize("role", ["clerk", "laminator"])
def test_timeline_of_people_is_the_owners(client, request, role):
    client.force_login(request.getfixturevalue(role))
    assert client.get(reverse("timeline")).status_code == 403


def test_day_of_the_night_the_clocks_change_is_whole(client, owner, clerk, settings):
    settings.TIME_ZONE = "Europe/Berlin"
    first = datetime.datetime(2026, 3, 28, 23, 30, tzinfo=datetime.UTC)  # 00:30 of the 29th, a day of 23 hours
    last = datetime.datetime(2026, 3, 29, 21, 30, tzinfo=datetime.UTC)  # 23:30 of the 29th
    for at in (first - HOUR, first, last, last + HOUR):
        make_roll(by=clerk, at=at)
    assert len(shown(client, owner, since="2026-03-29", until="2026-03-29")) == 2


def test_first_look_is_at_the_last_month_and_a_filter_at_all_of_it(client, owner, clerk):
    make_roll(by=clerk, at=NOON - datetime.timedelta(days=40))
    make_roll(by=clerk, at=NOON - datetime.timedelta(days=20))
    assert len(shown(client, owner)) == 1
    assert len(shown(client, owner, what="cloth")) == 2
