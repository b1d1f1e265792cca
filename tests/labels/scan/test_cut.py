"""Cutting at the table, through the pages: what is posted, what stands in the ledger afterwards."""

import re

import pytest
from django.urls import reverse

from shopstock import ledger
from shopstock.models import Movement, Roll, SetAside, Shop
from tests.factories import NOON, make_roll, new_key

from .conftest import address_of, left_on, report, words


def test_confirmed_cut_takes_the_length_and_closes_the_promise(at_table, roll, promise, planned, laminator):
    page = at_table.post(address_of("scan-cut", roll), planned)
    line = roll.movements.get(kind="cut")
    assert page.url == f"{address_of('scan-roll', roll)}?done={line.pk}"
    assert (line.delta_mm, line.set_aside, line.by, left_on(roll)) == (-4_200, promise, laminator, 15_800)
    assert SetAside.objects.get().state == SetAside.State.CUT


def test_cut_page_says_what_was_cut_and_what_is_left(at_table, roll, planned):
    page = at_table.post(address_of("scan-cut", roll), planned, follow=True)
    assert "Done. Cut 4.20 m for Hull 7. Left on the roll: 15.80 m." in words(page)
    assert "Nothing is planned from it" in words(page)


def test_double_tap_is_one_cut_and_both_answers_are_the_same(at_table, roll, planned):
    first, second = (at_table.post(address_of("scan-cut", roll), planned) for _ in range(2))
    assert first.url == second.url
    assert (roll.movements.filter(kind="cut").count(), left_on(roll)) == (1, 15_800)


def test_real_length_differs_from_the_planned_one(at_table, roll, planned):
    at_table.post(address_of("scan-cut", roll), planned | {"length": "4.25"})
    assert left_on(roll) == 15_750


def test_prefilled_length_in_feet_is_taken_to_the_millimetre(at_table, roll, planned):
    Shop.objects.update_or_create(pk=1, defaults={"units": "us"})
    shown = at_table.get(address_of("scan-roll", roll)).context["cut_form"]["length"].value()
    at_table.post(address_of("scan-cut", roll), planned | {"length": shown})
    assert (shown, left_on(roll)) == ("13 ft 9.4 in", 15_800)


def test_bare_number_is_metres_in_a_metric_shop(at_table, roll, planned):
    at_table.post(address_of("scan-cut", roll), planned | {"length": "4.3"})
    assert left_on(roll) == 15_700


def test_more_than_is_left_is_refused_and_what_was_typed_is_kept(at_table, roll, planned):
    page = at_table.post(address_of("scan-cut", roll), planned | {"length": "42 m"})
    assert f"Not done. Roll {roll.code} has 20.00 m left; 42.00 m is more than that" in words(page)
    assert 'value="42 m"' in page.content.decode()
    assert left_on(roll) == 20_000


@pytest.mark.parametrize("typed", ["9 m", "420 mm", "0.42 m"])
def test_length_far_from_the_planned_one_is_asked_about_before_it_is_taken(at_table, roll, planned, typed):
    page = at_table.post(address_of("scan-cut", roll), planned | {"length": typed})
    assert "far from the planned 4.20 m" in words(page)
    assert 'type="checkbox" name="sure"' in page.content.decode()
    assert left_on(roll) == 20_000
    at_table.post(address_of("scan-cut", roll), planned | {"length": typed, "sure": "on"})
    assert roll.movements.filter(kind="cut").count() == 1


@pytest.mark.parametrize("typed", ["2.2 m", "8.3 m"])
def test_length_that_a_hand_may_cut_amiss_is_taken_as_it_is(at_table, roll, planned, typed):
    at_table.post(address_of("scan-cut", roll), planned | {"length": typed})
    assert roll.movements.filter(kind="cut").count() == 1


@pytest.mark.parametrize("typed", ["", "-1 m", "0", "4,2,1 m", "four", "4 kg", "1e99 m", "٤ fathoms"])
def test_length_that_makes_no_sense_is_refused_beside_the_field(at_table, roll, planned, typed):
    page = at_table.post(address_of("scan-cut", roll), planned | {"length": typed})
    assert page.context["cut_form"].errors["length"]
    assert left_on(roll) == 20_000


def test_refused_form_sent_again_with_a_right_length_is_cut(at_table, roll, planned):
    at_table.post(address_of("scan-cut", roll), planned | {"length": "42 m"})
    at_table.post(address_of("scan-cut", roll), planned)
    assert left_on(roll) == 15_800


def test_cut_already_made_on_another_phone_shows_what_is_next_now(at_table, roll, promise, planned, owner):
    ledger.record_cut(roll=roll, length_mm=4_200, by=owner, at=NOON, key=new_key(), set_aside=promise)
    page = at_table.post(address_of("scan-cut", roll), planned, follow=True)
    assert page.redirect_chain == [(address_of("scan-roll", roll), 302)]
    assert "Not done. That cut was already made, or the plan has changed." in words(page)
    assert left_on(roll) == 15_800


def test_wrong_length_for_a_cut_already_made_says_what_is_next_now(at_table, roll, planned):
    at_table.post(address_of("scan-cut", roll), planned)
    page = at_table.post(address_of("scan-cut", roll), planned | {"key": "tap-2", "length": "4 kg"}, follow=True)
    assert "Not done. That cut was already made, or the plan has changed." in words(page)
    assert left_on(roll) == 15_800


def test_plan_changed_meanwhile_cuts_nothing(at_table, roll, promise, planned, owner):
    ledger.give_back(set_asides=[promise], at=NOON)
    ledger.set_aside(promises=[ledger.Promise(roll, 2_000, "Tank")], by=owner, at=NOON)
    page = at_table.post(address_of("scan-cut", roll), planned, follow=True)
    assert "Next cut: Tank" in words(page)
    assert left_on(roll) == 20_000


def test_old_form_with_another_length_is_refused_on_a_fresh_page(at_table, roll, planned):
    at_table.post(address_of("scan-cut", roll), planned)
    page = at_table.post(address_of("scan-cut", roll), planned | {"length": "3 m"}, follow=True)
    assert "already sent once" in words(page)
    assert left_on(roll) == 15_800


def test_promise_of_another_roll_is_not_cut_from_this_one(at_table, promise, planned, clerk):
    other = make_roll(by=clerk, length_mm=9_000)
    at_table.post(address_of("scan-cut", other), planned)
    assert left_on(other) == 9_000


def test_roll_quarantined_while_the_page_was_open_is_not_cut(at_table, roll, planned, clerk):
    ledger.quarantine(roll=roll, reason="oil on it", by=clerk, at=NOON, key=new_key())
    page = at_table.post(address_of("scan-cut", roll), planned, follow=True)
    assert "is quarantined (oil on it)" in words(page)
    assert left_on(roll) == 20_000


def test_fault_before_the_next_cut_goes_with_one_tap(at_table, roll, promise, clerk):
    report(roll, 800, 1_200, clerk)
    shown = at_table.get(address_of("scan-roll", roll))
    assert "Cut away 1.20 m (crease)" in words(shown)
    assert '<div data-step="cut" hidden>' in shown.content.decode()
    tap = {"key": "away-1", "length_mm": shown.context["away_form"]["length_mm"].value()}
    page = at_table.post(address_of("scan-cut-away", roll), tap, follow=True)
    line = roll.movements.get(kind="loss")
    assert (line.delta_mm, line.reason, left_on(roll)) == (-1_200, "crease", 18_800)
    assert '<div data-step="cut">' in page.content.decode()


def test_two_taps_on_cut_away_are_one_loss(at_table, roll, promise, clerk):
    report(roll, 0, 1_200, clerk)
    for _ in range(2):
        page = at_table.post(address_of("scan-cut-away", roll), {"key": "away-1", "length_mm": 1_200}, follow=True)
    assert "Cut away 1.20 m (crease)" in words(page)
    assert left_on(roll) == 18_800


def test_cut_away_of_an_end_that_has_changed_is_refused(at_table, roll, promise, clerk):
    report(roll, 0, 1_200, clerk)
    for key in ("away-1", "away-2"):
        page = at_table.post(address_of("scan-cut-away", roll), {"key": key, "length_mm": 1_200}, follow=True)
    assert "The free end of the roll has changed." in words(page)
    assert left_on(roll) == 18_800


def test_cut_away_of_less_than_must_go_now_is_refused(at_table, roll, promise, clerk):
    report(roll, 0, 1_200, clerk)
    report(roll, 1_200, 1_500, clerk, cause="oil")
    at_table.post(address_of("scan-cut-away", roll), {"key": "away-1", "length_mm": 1_200})
    assert left_on(roll) == 20_000


def test_cut_away_without_its_fields_takes_nothing(at_table, roll, promise, clerk):
    report(roll, 0, 1_200, clerk)
    at_table.post(address_of("scan-cut-away", roll), {"length_mm": "all of it"})
    assert left_on(roll) == 20_000


def keep(at_table, roll, number=0):
    line = roll.movements.get(kind="cut")
    return at_table.post(address_of("scan-offcut", roll, line.pk, number), follow=True)


def test_offcut_of_the_plan_is_kept_with_one_tap_and_offers_its_label(at_table, roll, planned):
    page = at_table.post(address_of("scan-cut", roll), planned, follow=True)
    assert "Keep offcut 400 mm × 1.20 m" in words(page)
    page = keep(at_table, roll)
    offcut = Roll.objects.get(kind="offcut")
    assert (offcut.parent, offcut.width_mm, offcut.length_mm, offcut.lot) == (roll, 400, 1_200, roll.lot)
    assert reverse("roll-label-pdf", args=[offcut.code]) in page.content.decode()
    assert "Keep offcut" not in words(page)


def test_offcut_kept_by_two_taps_is_one_piece(at_table, roll, planned):
    at_table.post(address_of("scan-cut", roll), planned)
    keep(at_table, roll), keep(at_table, roll)
    assert Roll.objects.filter(kind="offcut").count() == 1


def test_offcut_that_the_cut_does_not_leave_is_refused(at_table, roll, planned):
    at_table.post(address_of("scan-cut", roll), planned)
    assert "That piece is not left of this cut any more." in words(keep(at_table, roll, number=1))
    assert not Roll.objects.filter(kind="offcut").exists()


def test_offcut_of_another_rolls_cut_is_not_found(at_table, roll, planned, clerk):
    at_table.post(address_of("scan-cut", roll), planned)
    other, line = make_roll(by=clerk), roll.movements.get(kind="cut")
    assert at_table.post(address_of("scan-offcut", other, line.pk, 0)).status_code == 404


def test_clean_cloth_cut_away_with_a_fault_can_be_kept(at_table, roll, promise, clerk):
    report(roll, 800, 1_200, clerk)
    page = at_table.post(address_of("scan-cut-away", roll), {"key": "away-1", "length_mm": 1_200}, follow=True)
    assert "Keep offcut 1250 mm × 800 mm" in words(page)


def test_cut_without_a_plan_keeps_what_it_was_for(at_table, roll):
    wish = {"key": "free-1", "length": "650 mm", "purpose": "Repair of a hatch"}
    page = at_table.post(address_of("scan-cut-free", roll), wish, follow=True)
    line = roll.movements.get(kind="cut")
    assert (line.delta_mm, line.reason, line.set_aside) == (-650, "Repair of a hatch", None)
    assert "Cut 650 mm for Repair of a hatch. Left on the roll: 19.35 m." in words(page)


def test_cut_without_a_plan_leaves_what_is_set_aside(at_table, roll, promise):
    wish = {"key": "free-1", "length": "16 m", "purpose": "Repair"}
    page = at_table.post(address_of("scan-cut-free", roll), wish)
    assert "is set aside for Hull 7 (4.20 m); free is 15.80 m" in words(page)
    assert 'value="16 m"' in page.content.decode()
    assert left_on(roll) == 20_000


def test_cut_without_a_plan_needs_to_say_what_for(at_table, roll):
    page = at_table.post(address_of("scan-cut-free", roll), {"key": "free-1", "length": "1 m", "purpose": " "})
    assert list(page.context["free_form"].errors) == ["purpose"]


FAULT = {"key": "fault-1", "start": "2 m", "end": "2.4 m", "cause": "wet", "note": "roof leaks"}


def test_reported_fault_lies_where_the_laminator_saw_it(at_table, roll, laminator):
    at_table.post(address_of("scan-fault", roll), FAULT)
    fault = roll.faults.get()
    assert (fault.from_mm, fault.to_mm, fault.cause, fault.note, fault.found_by) == (
        17_600,
        18_000,
        "wet",
        "roof leaks",
        laminator,
    )


@pytest.mark.parametrize(("wrong", "focused"), [({"cause": ""}, "fault_cause"), ({"end": "25 m"}, "fault_start")])
def test_refused_fault_opens_where_it_is_to_be_put_right(at_table, roll, wrong, focused):
    html = at_table.post(address_of("scan-fault", roll), FAULT | wrong).content.decode()
    (field,) = [tag for tag in re.findall(r"<(?:input|select)[^>]*>", html) if "autofocus" in tag]
    assert f'id="{focused}"' in field


def test_reported_fault_sent_twice_is_one(at_table, roll):
    for _ in range(2):
        at_table.post(address_of("scan-fault", roll), FAULT)
    assert roll.faults.count() == 1


def test_reported_fault_says_which_cut_no_longer_fits(at_table, roll, owner):
    ledger.set_aside(promises=[ledger.Promise(roll, 18_500, "Mast")], by=owner, at=NOON)
    page = at_table.post(address_of("scan-fault", roll), FAULT, follow=True)
    assert "18.50 m for Mast no longer fits this roll. Tell the owner to plan it again." in words(page)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"end": "1 m"}, "end"),
        ({"end": "2 m"}, "end"),
        ({"start": "about here"}, "start"),
        ({"cause": ""}, "cause"),
        ({"cause": "moths"}, "cause"),
        ({"end": "25 m"}, "__all__"),
    ],
)
def test_fault_that_makes_no_sense_is_refused_beside_the_field(at_table, roll, wrong, field):
    page = at_table.post(address_of("scan-fault", roll), FAULT | wrong)
    assert list(page.context["fault_form"].errors) == [field]
    assert (roll.faults.count(), 'value="roof leaks"' in page.content.decode()) == (0, True)


def test_taken_back_cut_offers_no_offcuts(at_table, roll, planned, owner):
    at_table.post(address_of("scan-cut", roll), planned)
    line = roll.movements.get(kind="cut")
    ledger.correct(movement=line, by=owner, at=NOON, key=new_key(), reason="wrong roll")
    page = at_table.get(address_of("scan-roll", roll), {"done": line.pk})
    assert "Keep offcut" not in words(page)
    assert at_table.post(address_of("scan-offcut", roll, line.pk, 0)).status_code == 404


def test_ledger_holds_one_line_for_each_thing_done(at_table, roll, planned):
    at_table.post(address_of("scan-cut", roll), planned)
    keep(at_table, roll)
    at_table.post(address_of("scan-fault", roll), FAULT)
    kinds = Movement.objects.order_by("pk").values_list("kind", flat=True)
    assert list(kinds) == ["receipt", "cut", "offcut", "fault"]
