"""Every form that puts something somewhere asks about what stands there and about the place itself."""

import pytest
from django.urls import reverse

from shopstock.models import Container, Place, Roll
from tests.factories import TODAY, make_chemical, make_container, make_place, make_reinforcement, make_roll
from tests.shopstock.clock import noon

__all__ = ["noon"]


@pytest.fixture
def page(client, clerk):
    client.force_login(clerk)
    return client


@pytest.fixture
def floor(db) -> Place:
    return make_place("Floor", kind="floor")


def receive_roll(page, cloth, place, **entry):
    form = {
        "reinforcement": cloth.pk, "count": 1, "width": "1250 mm", "length": "50 m", "folded": "no", "place": place.pk,
        "lying": "core", "received_on": str(TODAY), "key": "one",
    }  # fmt: skip
    return page.post(reverse("receive"), form | entry).content.decode()


def test_roll_received_to_the_floor_is_asked_about_and_the_reason_is_kept(page, floor):
    cloth = make_reinforcement()
    answer = receive_roll(page, cloth, floor)
    assert ("keep it off the floor" in answer, 'type="text" name="knows"' in answer) == (True, True)
    assert Roll.objects.count() == 0
    receive_roll(page, cloth, floor, knows="on blocks", note="outer wrap torn")
    line = Roll.objects.get().movements.get(kind="receipt")
    assert line.reason.startswith("outer wrap torn; although Fabric on the floor")
    assert line.reason.endswith(": on blocks")


def test_roll_received_to_a_good_place_is_not_asked_about(page):
    receive_roll(page, make_reinforcement(), make_place())
    assert [line.reason for line in Roll.objects.get().movements.all()] == [""]


def test_aramid_is_not_received_into_daylight(page):
    window = make_place("Window", in_daylight=True)
    answer = receive_roll(page, make_reinforcement(fibre="aramid"), window, knows="one day")
    assert "ultraviolet light weakens aramid. Choose another place." in answer
    assert Roll.objects.count() == 0


def receive_container(page, chemical, place, **entry):
    form = {
        "chemical": chemical.pk, "net": "5 kg", "label_date": "2026-12-31", "received_on": str(TODAY),
        "place": place.pk, "count": 1, "key": "one",
    }  # fmt: skip
    return page.post(reverse("container-receive"), form | entry).content.decode()


def test_peroxide_received_on_wood_is_asked_about_and_the_reason_is_kept(page):
    pallet, peroxide = make_place("Pallet", on_wood=True), make_chemical(kind="peroxide")
    assert "a spill into wood can take fire" in receive_container(page, peroxide, pallet)
    assert Container.objects.count() == 0
    receive_container(page, peroxide, pallet, knows="steel tray under it")
    assert Container.objects.get().movements.get().reason.endswith("can take fire: steel tray under it")


def test_peroxide_in_steel_and_beside_acetone_is_refused_at_receipt(page, clerk):
    cabinet, peroxide = make_place("Cabinet"), make_chemical(kind="peroxide")
    assert "iron breaks it down" in receive_container(page, peroxide, cabinet, vessel="steel", knows="new")
    make_container(by=clerk, chemical=make_chemical(kind="solvent", acts_as="acetone"), place=cabinet)
    answer = receive_container(page, peroxide, cabinet, knows="new")
    assert "with acetone it can form an explosive" in answer
    assert Container.objects.filter(chemical=peroxide).count() == 0


def test_roll_moved_on_its_own_page_is_asked_about(page, floor, clerk):
    roll = make_roll(by=clerk, place=make_place())
    entry = {"place": floor.pk, "lying": "on_end", "key": "one"}
    answer = page.post(reverse("roll-move", args=[roll.code]), entry).content.decode()
    assert "keep it off the floor" in answer
    assert "edges fray and the tube slips" in answer
    page.post(reverse("roll-move", args=[roll.code]), entry | {"lying": "core", "knows": "on blocks"})
    assert Roll.objects.get().place == floor


@pytest.mark.parametrize(("there_l", "asked"), [(217, False), (218, True)])
def test_containers_that_fill_a_cabinet_past_its_limit_are_asked_about(page, clerk, there_l, asked):
    cabinet = make_place("Flammables", kind=Place.Kind.CABINET)
    acetone = make_chemical("Acetone", kind="solvent", density_liquid=1, flammable_category=2)
    make_container(by=clerk, chemical=acetone, mass_g=there_l * 1000, place=cabinet)
    answer = receive_container(page, acetone, cabinet, count=2)
    words = f"Too much flammable liquid in one place: {there_l + 10}.0 L of category 1 to 3; at most 227.1 L"
    assert (words in answer, Container.objects.count()) == (asked, 1 if asked else 3)
