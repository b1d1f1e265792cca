"""Two people count the store together, each with a phone; one rests, the other closes."""

import pytest
from playwright.sync_api import expect

from shopstock.models import RecountEntry, Roll
from tests.browser.chromium import PHONE
from tests.factories import make_person, make_place, make_reinforcement, make_roll


@pytest.fixture
def rolls(clerk):
    kind = make_reinforcement("roving 600")
    racks = [make_place("Rack A1"), make_place("Rack A1"), make_place("Rack B2")]
    return [make_roll(by=clerk, reinforcement=kind, length_mm=30_000, place=rack) for rack in racks]


def scan(visitor, roll, place=None):
    page = visitor.page
    if place:
        page.get_by_label("Where you are").select_option(place)
    page.get_by_label("Scan or type the code of a roll").fill(f"HTTPS://STORE.LAN/R/{roll.code}")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name=roll.code)).to_be_visible()


def test_store_is_counted_by_two_people_and_closed_once(visit, clerk, owner, rolls):
    carla, cora = visit(clerk, PHONE), visit(make_person("cora", "clerk"), PHONE)
    carla.open("recount")
    carla.page.get_by_role("button", name="Begin a round").click()
    expect(carla.page.get_by_text("3 of 3 left to find.")).to_be_visible()

    cora.open("recount")
    cora.page.get_by_role("link", name="Count on").click()
    scan(cora, rolls[1], "Rack B2")
    cora.page.get_by_role("button", name="Looks right").click()
    expect(cora.page.get_by_text("2 of 3 left to find.")).to_be_visible()

    scan(carla, rolls[0])
    carla.page.get_by_text("Lay it on the table and tape it").click()
    carla.page.get_by_label("Length by tape").fill("27.5")
    carla.page.get_by_role("button", name="Work it out").click()
    carla.page.get_by_role("button", name="Count it as 27.50 m").click()
    expect(carla.page.get_by_text("1 of 3 left to find.")).to_be_visible()

    cora.open("recount")
    cora.page.get_by_role("link", name="Count on").click()
    cora.page.get_by_role("link", name="Look at what was found, close").click()
    expect(cora.page.get_by_text("2 found, 1 off")).to_be_visible()
    expect(cora.page.get_by_text("found at Rack B2, booked at Rack A1")).to_be_visible()
    cora.page.get_by_label(rolls[2].code).check()
    cora.page.get_by_role("button", name="Close the round and set the ledger").click()
    expect(cora.page.get_by_text("1 measured, 1 moved, 1 booked as gone")).to_be_visible()

    carla.page.reload()
    expect(carla.page.get_by_text("Closed by cora")).to_be_visible()
    assert list(Roll.objects.order_by("pk").values_list("length_mm", flat=True)) == [27_500, 30_000, 0]
    assert Roll.objects.get(pk=rolls[1].pk).place.name == "Rack B2"
    assert sorted(RecountEntry.objects.values_list("by__username", flat=True)) == ["carla", "cora"]
