"""Who may open and who may write; a post by anyone else changes nothing."""

import pytest
from django.urls import reverse

from shopstock.models import Movement
from tests.factories import make_container

from .conftest import address_of, report

ROLES = ["clerk", "laminator", "owner"]


@pytest.fixture
def person(request):
    return request.getfixturevalue(request.param)


@pytest.fixture
def posts(roll, promise, planned):
    """Each write of the table as (name of its address, what is sent)."""
    return {
        "scan-cut": planned,
        "scan-cut-free": {"key": "k2", "length": "1 m", "purpose": "Repair"},
        "scan-fault": {"key": "k3", "start": "9 m", "end": "9.2 m", "cause": "wet"},
        "scan-cut-away": {"key": "k4", "length_mm": 600},
    }


def send(client, roll, name, posts):
    if name == "scan-cut-away":
        report(roll, 0, 600, roll.movements.get(kind="receipt").by)
    return client.post(address_of(name, roll), posts[name])


WRITES = ["scan-cut", "scan-cut-free", "scan-fault", "scan-cut-away"]


@pytest.mark.parametrize("person", ROLES, indirect=True)
@pytest.mark.parametrize("name", WRITES)
def test_write_at_the_table_is_open_to_every_role_and_signed_with_its_name(client, roll, posts, person, name):
    client.force_login(person)
    assert send(client, roll, name, posts).status_code == 302
    assert Movement.objects.get(key=posts[name]["key"]).by == person


@pytest.mark.parametrize("name", WRITES)
def test_write_without_a_role_is_refused(client, roll, posts, outsider, name):
    client.force_login(outsider)
    assert send(client, roll, name, posts).status_code == 403
    assert not Movement.objects.filter(key=posts[name]["key"]).exists()


@pytest.mark.parametrize("name", WRITES)
def test_write_without_signing_in_leads_to_the_sign_in_and_back_to_the_roll(client, roll, posts, laminator, name):
    answer = send(client, roll, name, posts)
    assert answer.url == f"{reverse('sign-in')}?next={address_of(name, roll)}"
    client.force_login(laminator)
    assert client.get(address_of(name, roll)).url == address_of("scan-roll", roll)
    assert not Movement.objects.filter(key=posts[name]["key"]).exists()


def test_offcut_without_a_role_is_refused(client, roll, planned, laminator, outsider):
    client.force_login(laminator)
    client.post(address_of("scan-cut", roll), planned)
    client.force_login(outsider)
    line = roll.movements.get(kind="cut")
    assert client.post(address_of("scan-offcut", roll, line.pk, 0)).status_code == 403
    assert not roll.offcuts.exists()


@pytest.mark.parametrize("person", ROLES, indirect=True)
def test_offcut_is_open_to_every_role(client, roll, planned, person):
    client.force_login(person)
    client.post(address_of("scan-cut", roll), planned)
    client.post(address_of("scan-offcut", roll, roll.movements.get(kind="cut").pk, 0))
    assert roll.offcuts.get().movements.get().by == person


@pytest.mark.parametrize(
    ("person", "status"), [*((role, 200) for role in ROLES), ("outsider", 403)], indirect=["person"]
)
def test_pages_open_for_every_role_and_nobody_else(client, roll, clerk, person, status):
    client.force_login(person)
    drum = make_container(by=clerk)
    addresses = [reverse("scan"), address_of("scan-roll", roll), reverse("scan-container", args=[drum.code])]
    assert [client.get(address).status_code for address in addresses] == [status] * 3


def test_clerk_is_led_to_the_recount_of_a_used_up_roll_and_the_laminator_is_not(client, roll, clerk, laminator):
    client.force_login(laminator)
    client.post(address_of("scan-cut-free", roll), {"key": "k", "length": "20 m", "purpose": "Hull"})
    shown = []
    for person in (clerk, laminator):
        client.force_login(person)
        shown.append(
            reverse("roll-recount", args=[roll.code]) in client.get(address_of("scan-roll", roll)).content.decode()
        )
    assert shown == [True, False]
