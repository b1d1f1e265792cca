"""Measuring a roll on its page: what comes out, what is refused, what is written."""

import pytest
from django.contrib.messages import get_messages
from django.urls import reverse

from shopstock import ledger
from shopstock.models import Measurement, Movement, Roll
from tests.factories import NOON, make_reinforcement, make_roll, new_key


@pytest.fixture
def mat():
    return make_reinforcement("mat 450", form="mat", areal_weight_gsm=450, width_mm=1250)


@pytest.fixture
def roll(clerk, mat) -> Roll:
    """55 m, weighed and measured when it came; 19.6 m entered in 8 cuts."""
    size = {"gross_g": 32_600, "tube_g": 1_600, "core_mm": 89, "outer_mm": 320}
    roll = make_roll(by=clerk, reinforcement=mat, length_mm=55_000, **size)
    for _ in range(8):
        ledger.record_cut(roll=roll, length_mm=2_450, by=clerk, at=NOON, key=new_key())
    roll.refresh_from_db()
    return roll


@pytest.fixture
def send(client, clerk):
    client.force_login(clerk)

    def send(roll, **typed):
        form = {"key": "tap", "seen_mm": roll.length_mm, "measured_as": "across", "reason": "monthly count"}
        return client.post(reverse("roll-recount", args=[roll.code]), form | typed)

    return send


def refused(answer) -> dict:
    return {name: list(errors) for name, errors in answer.context["form"].errors.items()}


def said(answer) -> str:
    return " ".join(str(message) for message in get_messages(answer.wsgi_request))


def taken_over(answer) -> tuple:
    outcome = answer.context["outcome"]
    return outcome.length_mm, round(outcome.taken_over.uncertainty_mm)


def test_weight_by_ratio_counts_the_label_once(send, roll):
    answer = send(roll, gross="21.4")
    assert taken_over(answer) == (35_129, 215)
    assert "35.1 m, give or take 0.4 m" in answer.content.decode()
    assert not Movement.objects.filter(kind="recount").exists()


def test_recount_without_a_reason_is_a_count(send, roll):
    send(roll, gross="21.4", reason="", set="1")
    assert Movement.objects.get(kind="recount").reason == "weight: count"


def test_weight_without_one_at_receipt_goes_by_areal_weight(send, clerk, mat):
    roll = make_roll(by=clerk, reinforcement=mat, length_mm=36_000)
    found = send(roll, gross="21.4", tube="1.6").context["outcome"].found[0]
    assert (round(found.estimate.length_mm), round(found.estimate.uncertainty_mm)) == (35_200, 2036)
    assert found.basis == "by the areal weight, 450 g/m² ± 10 %"


def test_offcut_roll_is_weighed_by_the_areal_weight_of_its_parent(send, roll, clerk):
    second = ledger.split_roll(roll=roll, length_mm=10_000, by=clerk, at=NOON, key=new_key())
    found = send(second, gross="7.24", tube="1.6").context["outcome"].found[0]
    assert found.basis == f"by the areal weight of roll {roll.code}, 451 g/m²"
    assert found.estimate.length_mm == pytest.approx(10_006, abs=1)


def test_diameter_by_thickness_warns_that_it_can_be_far_off(send, clerk, mat):
    roll = make_roll(by=clerk, reinforcement=mat, length_mm=42_000)
    answer = send(roll, outer="262 mm", core="89 mm", thickness="1.18")
    found = answer.context["outcome"].found[0]
    assert (round(found.estimate.length_mm), round(found.estimate.uncertainty_mm)) == (40_417, 2368)
    assert "this can be 15 % off" in answer.content.decode()


def test_tape_round_the_roll_is_a_circumference(send, roll):
    found = send(roll, outer="823 mm", measured_as="round").context["outcome"].found[0]
    assert found.estimate.length_mm == pytest.approx(35_340, abs=1)


def test_setting_writes_one_line_with_method_readings_and_doubt(send, roll):
    answer = send(roll, gross="21.4", set="1")
    line, kept = Movement.objects.get(kind="recount"), Measurement.objects.get()
    roll.refresh_from_db()
    assert said(answer) == "35.129 m on the roll: 271 mm less than booked."
    assert (line.delta_mm, line.reason) == (-271, "weight: monthly count")
    assert (kept.movement, kept.method, kept.readings["read"]) == (line, "weight", {"gross_g": 21_400})
    assert kept.readings["weight"]["basis"] == "by its own weight when it came"
    assert (round(roll.uncertainty_mm), roll.length_mm, roll.cuts_since_measured) == (215, 35_129, 0)


def test_second_tap_is_the_same_recount(send, roll):
    first, second = send(roll, gross="21.4", set="1"), send(roll, gross="21.4", set="1")
    assert first.url == second.url
    assert Movement.objects.filter(kind="recount").count() == 1


def test_readings_that_contradict_the_ledger_are_not_averaged(send, roll):
    answer = send(roll, gross="19.5", set="1")
    assert "Lay the roll on the table and tape it." in answer.content.decode()
    assert 'name="set"' not in answer.content.decode()
    assert not Measurement.objects.exists()


def test_tape_decides_against_the_ledger(send, roll):
    send(roll, gross="19.5", tape="31.8", set="1")
    roll.refresh_from_db()
    assert (roll.length_mm, Measurement.objects.get().method) == (31_800, "tape")


def test_weight_and_diameter_together_are_several(send, roll):
    send(roll, gross="21.4", outer="262 mm", set="1")
    assert Measurement.objects.get().method == "several"


def test_roll_cut_since_the_page_was_opened_is_not_overwritten(send, roll, laminator):
    seen = roll.length_mm
    ledger.record_cut(roll=roll, length_mm=1_200, by=laminator, at=NOON, key=new_key())
    answer = send(roll, gross="20.9", seen_mm=seen, set="1")
    [message] = refused(answer)["__all__"]
    assert "cut 1.20 m by luis" in message
    assert 'value="20.9"' in answer.content.decode()
    assert answer.context["form"]["seen_mm"].value() == seen - 1_200
    send(roll, gross="20.9", seen_mm=seen - 1_200, set="1")
    assert Measurement.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({}, "__all__", "Nothing was measured yet"),
        ({"gross": "1.5"}, "gross", "is less than the bare tube"),
        ({"gross": "21400 kg"}, "gross", "Did you mean 21400 g"),
        ({"gross": "21.4 g"}, "gross", "Did you mean 21.4 kg"),
        ({"gross": "47 kg"}, "gross", "more than the 32.60 kg it weighed when it came. Did you mean 47 lb"),
        ({"outer": "60 mm"}, "outer", "less than its tube, 89 mm"),
        ({"outer": "262 mm", "measured_as": "round"}, "outer", "shows about three times as much"),
        ({"outer": "400 mm"}, "outer", "is thicker than the 320 mm it had when it came"),
        ({"tape": "60"}, "longer", "60.00 m is more than the 55.00 m it came with"),
        ({"tape": "-1"}, "tape", "cannot be negative"),
        ({"gross": "heavy"}, "gross", "is not a number with a unit"),
    ],
)
def test_bad_reading_is_refused_beside_its_field_and_kept(send, roll, typed, field, words):
    answer = send(roll, **typed, set="1")
    assert any(words in message for message in refused(answer)[field])
    assert all(f'value="{value}"' in answer.content.decode() for value in typed.values() if value and value != "round")
    assert not Measurement.objects.exists()


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"gross": "21.4"}, "tube", "The weight of the bare tube is not known"),
        ({"outer": "262 mm"}, "core", "outside diameter of the tube is not known"),
        ({"outer": "262 mm", "core": "89 mm"}, "thickness", "thickness of one layer is needed"),
        ({"outer": "262 mm", "core": "89 mm", "thickness": "1.18 m"}, "thickness", "between 0.01 and 30 mm"),
    ],
)
def test_what_is_missing_is_named(send, clerk, mat, typed, field, words):
    answer = send(make_roll(by=clerk, reinforcement=mat, length_mm=55_000), **typed)
    assert any(words in message for message in refused(answer)[field])


def test_length_longer_than_the_label_is_taken_when_ticked(send, roll):
    send(roll, tape="60", longer="on", set="1")
    roll.refresh_from_db()
    assert roll.length_mm == 60_000


def test_promise_lost_by_a_recount_is_named(send, roll, owner):
    ledger.set_aside(promises=[ledger.Promise(roll, 30_000, "Hull 7")], by=owner, at=NOON)
    assert "what was set aside for Hull 7: plan that again." in said(send(roll, tape="20", set="1"))


def test_tube_is_remembered_for_the_next_weighing(client, send, clerk, mat):
    roll = make_roll(by=clerk, reinforcement=mat, length_mm=36_000)
    send(roll, gross="21.4", tube="1.6", set="1")
    page = client.get(reverse("roll-recount", args=[roll.code]))
    assert page.context["form"]["tube"].value() == "1.60 kg"


def test_empty_tube_closes_the_roll(client, clerk, roll):
    client.force_login(clerk)
    answer = client.post(reverse("roll-empty", args=[roll.code]), {"key": "k"})
    roll.refresh_from_db()
    assert (answer.url, roll.is_open) == (roll.get_absolute_url(), False)
    assert Measurement.objects.get().method == "tube_empty"


@pytest.mark.parametrize("name", ["roll-recount", "roll-empty"])
@pytest.mark.parametrize(("role", "status"), [("clerk", 200), ("owner", 200), ("laminator", 403), ("outsider", 403)])
def test_only_the_store_measures(client, request, roll, name, role, status):
    client.force_login(request.getfixturevalue(role))
    address = reverse(name, args=[roll.code])
    assert client.get(address).status_code == status
    if status == 403:
        assert client.post(address, {"key": "k", "tape": "3", "set": "1"}).status_code == 403
        assert not Measurement.objects.exists()


def test_uncut_roll_keeps_what_it_came_with_and_is_told_by_ratio_later(client, send, clerk, mat):
    roll = make_roll(by=clerk, reinforcement=mat, length_mm=55_000)
    answer = send(roll, gross="32.6", tube="1.6", outer="320 mm", core="89 mm", keep="1")
    roll.refresh_from_db()
    kept = Measurement.objects.get()
    assert "Kept as what it came with" in said(answer)
    assert (roll.gross_g, roll.tube_g, roll.outer_mm, roll.core_mm) == (32_600, 1_600, 320, 89)
    assert (kept.movement, kept.readings["as it came"], roll.length_mm) == (None, True, 55_000)
    ledger.record_cut(roll=roll, length_mm=19_600, by=clerk, at=NOON, key=new_key())
    roll.refresh_from_db()
    found = send(roll, gross="21.4", outer="262 mm").context["outcome"].found
    assert [one.basis for one in found] == ["by its own weight when it came", "by its own diameter when it came"]


def test_cut_roll_has_no_figures_that_it_came_with(send, roll):
    answer = send(roll, gross="21.4", keep="1")
    assert "these are not the figures it came with" in refused(answer)["__all__"][0]


def test_button_to_keep_figures_is_there_for_uncut_rolls_only(client, clerk, roll, mat):
    client.force_login(clerk)
    fresh = make_roll(by=clerk, reinforcement=mat)
    pages = [client.get(reverse("roll-recount", args=[one.code])).content.decode() for one in (fresh, roll)]
    assert ["Keep as what it came with" in page for page in pages] == [True, False]
