"""A roll or container is moved by scanning it and then its new place."""

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse

from shopstock.models import Container, Movement, Roll
from tests.factories import make_chemical, make_container, make_place, make_reinforcement, make_roll


@pytest.fixture
def rack():
    return make_place("Rack B2")


@pytest.fixture
def roll(clerk) -> Roll:
    return make_roll(by=clerk, place=make_place("Rack A1"))


@pytest.fixture
def send(client, laminator, roll):
    client.force_login(laminator)

    def send(place: str, key: str = "tap"):
        return client.post(reverse("carry"), {"key": key, "item": roll.code, "place": place, "lying": "core"})

    return send


def said(answer) -> str:
    return " ".join(str(message) for message in get_messages(answer.wsgi_request))


def where(roll) -> str:
    return Roll.objects.get(pk=roll.pk).place.name


def test_scanned_roll_asks_where_it_goes(client, laminator, roll):
    client.force_login(laminator)
    page = client.get(reverse("carry"), {"item": f"HTTPS://STORE.LAN/R/{roll.code}"}).content.decode()
    assert "Where do you put it?" in page
    assert "Rack A1" in page


def test_scanned_place_moves_the_roll_and_asks_for_the_next(send, roll, rack):
    answer = send(f"HTTPS://STORE.LAN/P/{rack.code}")
    assert (answer.url, where(roll)) == (reverse("carry"), "Rack B2")
    assert said(answer) == f"{roll.code} is at Rack B2 now. Scan the next one."


@pytest.mark.parametrize("typed", ["rack b2", " Rack B2 "])
def test_place_by_its_name_will_do(send, roll, rack, typed):
    send(typed)
    assert where(roll) == "Rack B2"


def test_second_scan_of_the_same_place_is_one_move(send, roll, rack):
    send(rack.code)
    send(rack.code)
    assert Movement.objects.filter(kind="move").count() == 1


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "Scan the label of the place"),
        ("Rack Z9", "There is no place called “Rack Z9”"),
        ("B000008", "No place here has the code B000008"),
    ],
)
def test_what_is_no_place_is_named_and_nothing_moved(send, roll, rack, typed, words):
    assert words in send(typed).content.decode()
    assert where(roll) == "Rack A1"


def test_roll_scanned_where_a_place_is_wanted_is_named(send, roll, clerk):
    other = make_roll(by=clerk)
    assert "That is the label of a roll" in send(other.code).content.decode()


def test_place_scanned_first_is_named(client, laminator, rack):
    client.force_login(laminator)
    page = client.get(reverse("carry"), {"item": f"HTTPS://STORE.LAN/P/{rack.code}"}).content.decode()
    assert "That is the label of a place" in page


@pytest.mark.parametrize(("role", "status"), [("clerk", 200), ("laminator", 200), ("owner", 200), ("outsider", 403)])
def test_everybody_with_a_role_moves(client, request, roll, rack, role, status):
    client.force_login(request.getfixturevalue(role))
    assert client.get(reverse("carry")).status_code == status
    client.post(reverse("carry"), {"key": "k", "item": roll.code, "place": rack.code, "lying": "core"})
    assert (where(roll) == "Rack B2") == (status == 200)


def put(client, item, place, **entry):
    form = {"key": "tap", "item": item.code, "place": place.code, "lying": "core"} | entry
    return client.post(reverse("carry"), form)


def test_container_is_moved_by_scanning_too(client, laminator, clerk, rack):
    drum = make_container(by=clerk, place=make_place("Resin room"))
    client.force_login(laminator)
    page = client.get(reverse("carry"), {"item": drum.code}).content.decode()
    assert ("Resin room" in page, "How it lies there" in page) == (True, False)
    assert said(put(client, drum, rack)) == f"{drum.code} is at Rack B2 now. Scan the next one."
    assert Container.objects.get().place == rack


def test_peroxide_scanned_beside_promoter_is_refused_with_the_neighbour_named(client, laminator, clerk):
    cabinet = make_place("Cabinet")
    promoter = make_container(by=clerk, chemical=make_chemical("Cobalt", kind="promoter"), place=cabinet)
    can = make_container(by=clerk, chemical=make_chemical(kind="peroxide"))
    client.force_login(laminator)
    page = put(client, can, cabinet, knows="only for an hour").content.decode()
    assert f"mixed directly they explode (Cobalt {promoter.code} stands there)." in page
    assert "Choose another place." in page
    assert Container.objects.get(pk=can.pk).place is None


def test_roll_scanned_to_the_floor_is_asked_about_and_the_reason_is_kept(client, laminator, roll):
    floor = make_place("Floor", kind="floor")
    client.force_login(laminator)
    page = put(client, roll, floor).content.decode()
    assert ("keep it off the floor" in page, 'type="text" name="knows"' in page) == (True, True)
    assert where(roll) == "Rack A1"
    put(client, roll, floor, knows="on blocks")
    assert where(roll) == "Floor"
    assert roll.movements.first().reason == (
        "to Floor; although Fabric on the floor: it takes up damp and dirt: keep it off the floor: on blocks"
    )


def test_aramid_scanned_into_daylight_is_refused(client, laminator, clerk):
    roll = make_roll(by=clerk, reinforcement=make_reinforcement(fibre="aramid"))
    client.force_login(laminator)
    page = put(client, roll, make_place("Window", in_daylight=True), knows="one day").content.decode()
    assert "ultraviolet light weakens aramid. Choose another place." in page
    assert Roll.objects.get().place is None
