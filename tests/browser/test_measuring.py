"""From the weight on the scale to the length in the ledger, on a phone at the rack."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from shopstock import ledger
from shopstock.models import Measurement, Movement
from tests.browser.chromium import PHONE
from tests.factories import NOON, make_reinforcement, make_roll, new_key


@pytest.fixture
def roll(clerk):
    mat = make_reinforcement("mat 450", form="mat", areal_weight_gsm=450, width_mm=1250)
    roll = make_roll(by=clerk, reinforcement=mat, length_mm=55_000, gross_g=32_600, tube_g=1_600)
    for _ in range(8):
        ledger.record_cut(roll=roll, length_mm=2_450, by=clerk, at=NOON, key=new_key())
    return roll


def test_weighing_ends_in_a_recount_and_two_taps_in_one(visit, clerk, roll):
    visitor = visit(clerk, PHONE)
    page = visitor.page
    visitor.open("roll", roll.code)
    page.get_by_role("link", name="Measure it").click()
    page.get_by_label("Weight with its tube").fill("21.4")
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_text("35.1 m, give or take 0.4 m").first).to_be_visible()
    assert not Measurement.objects.exists()
    page.get_by_role("button", name="Set it to 35.129 m").dblclick()
    page.wait_for_url(f"**{reverse('roll', args=[roll.code])}")
    expect(page.get_by_text("35.129 m on the roll: 271 mm less than booked.")).to_be_visible()
    expect(page.get_by_text("Give or take 0.4 m")).to_be_visible()
    assert Movement.objects.filter(kind="recount").count() == 1


def test_weight_in_the_wrong_unit_is_questioned_and_kept(visit, clerk, roll):
    visitor = visit(clerk, PHONE)
    page = visitor.page
    visitor.open("roll-recount", roll.code)
    page.get_by_label("Weight with its tube").fill("21400")
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_text("Did you mean 21400 g")).to_be_visible()
    expect(page.get_by_label("Weight with its tube")).to_have_value("21400")


def test_readings_that_contradict_the_ledger_ask_for_the_table(visit, clerk, roll):
    visitor = visit(clerk, PHONE)
    page = visitor.page
    visitor.open("roll-recount", roll.code)
    page.get_by_label("Weight with its tube").fill("18")
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_text("Lay the roll on the table and tape it.")).to_be_visible()
    page.get_by_label("Length by tape").fill("29.3")
    page.get_by_role("button", name="Work it out again").click()
    page.get_by_role("button", name="Set it to 29.30 m").click()
    page.wait_for_url(f"**{reverse('roll', args=[roll.code])}")
    assert Measurement.objects.get().method == "tape"
