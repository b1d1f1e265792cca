"""Prepreg by scanning: out, back, the sum kept per roll and inherited by what is cut from it."""

import datetime

import pytest
from django.urls import reverse

from shopstock import ledger
from shopstock.ledger_check import differences
from shopstock.models import OutSpell, Roll
from shopstock.prepreg import end_of, out_time_of
from shopstock.storage_notes import storage_notes
from tests.factories import NOON, TODAY, make_place, make_reinforcement, make_roll, new_key

HOUR = datetime.timedelta(hours=1)


def after(hours: float) -> datetime.datetime:
    return NOON + hours * HOUR


@pytest.fixture
def cloth(db):
    return make_reinforcement("Prepreg 200", fibre="carbon", out_life_h=500, thaw_h=24)


@pytest.fixture
def roll(clerk, cloth):
    return make_roll(by=clerk, reinforcement=cloth, place=make_place("Freezer", kind="freezer"))


def out(roll, by, hours):
    ledger.take_out_of_freezer(roll=roll, by=by, at=after(hours), key=new_key())


def back(roll, by, hours):
    ledger.put_back_in_freezer(roll=roll, by=by, at=after(hours), key=new_key())


def used(roll, hours) -> float:
    return out_time_of(Roll.objects.select_related("reinforcement", "parent").get(pk=roll.pk), after(hours)).used_h


def test_spells_add_up_and_freezing_pauses_without_setting_back(roll, clerk):
    for start, length in ((0, 120), (1000, 60), (2000, 35)):
        out(roll, clerk, start)
        back(roll, clerk, start + length)
    found = out_time_of(roll, after(5000))
    assert (found.used_h, found.left_h, round(found.share, 2)) == (215, 285, 0.43)


def test_offcut_takes_over_what_its_roll_had_used_up_to_then_and_no_more(roll, clerk):
    out(roll, clerk, 0)
    ledger.record_cut(roll=roll, length_mm=1_000, by=clerk, at=after(10), key=new_key())
    offcut = ledger.record_offcut(parent=roll, width_mm=500, length_mm=1_000, by=clerk, at=after(10), key=new_key())
    back(offcut, clerk, 15)
    back(roll, clerk, 40)
    assert (used(offcut, 100), used(roll, 100)) == (15, 40)


def test_offcut_cut_while_its_roll_lay_out_is_out_itself_until_it_is_put_back(roll, clerk):
    out(roll, clerk, 0)
    offcut = ledger.record_offcut(parent=roll, width_mm=500, length_mm=1_000, by=clerk, at=after(10), key=new_key())
    back(roll, clerk, 12)
    assert used(offcut, 30) == 30
    with pytest.raises(ledger.FreezerError, match="out of the freezer already"):
        out(offcut, clerk, 31)


def test_label_of_the_roll_counts_for_its_offcut(roll, clerk):
    roll = ledger.set_use_by(roll=roll, use_by=TODAY)
    offcut = ledger.record_offcut(parent=roll, width_mm=500, length_mm=1_000, by=clerk, at=NOON, key=new_key())
    assert end_of(offcut, NOON).on == TODAY


def test_roll_ends_on_the_earliest_of_its_label_and_its_time_out(roll, clerk):
    ledger.set_use_by(roll=roll, use_by=TODAY + datetime.timedelta(days=300))
    roll.refresh_from_db()
    assert end_of(roll, NOON).reason == "date on the label"
    out(roll, clerk, 0)
    found = end_of(roll, NOON)
    assert (found.on, found.cause) == ((NOON + 500 * HOUR).date(), "out time")


@pytest.mark.parametrize("hours", [500, 501])
def test_cut_of_prepreg_out_of_time_is_refused(roll, clerk, hours):
    out(roll, clerk, 0)
    ledger.record_cut(roll=roll, length_mm=1_000, by=clerk, at=after(499), key=new_key())
    with pytest.raises(ledger.NotUsable, match="used up its time out"):
        ledger.record_cut(roll=roll, length_mm=1_000, by=clerk, at=after(hours), key=new_key())


def test_cut_of_prepreg_past_its_label_is_refused(roll, clerk):
    ledger.set_use_by(roll=roll, use_by=TODAY)
    ledger.record_cut(roll=roll, length_mm=1_000, by=clerk, at=NOON, key=new_key())
    with pytest.raises(ledger.NotUsable, match="went past its date on 2026-03-02"):
        ledger.record_cut(roll=roll, length_mm=1_000, by=clerk, at=after(24), key=new_key())


def test_cloth_with_a_date_on_its_label_is_cut_up_to_that_day_and_says_so_when_scanned(client, clerk):
    sized = make_roll(by=clerk)
    ledger.set_use_by(roll=sized, use_by=TODAY)
    ledger.record_cut(roll=sized, length_mm=1_000, by=clerk, at=NOON, key=new_key())
    with pytest.raises(ledger.NotUsable, match="went past its date on 2026-03-02"):
        ledger.record_cut(roll=sized, length_mm=1_000, by=clerk, at=after(24), key=new_key())
    sized.refresh_from_db()
    assert storage_notes(sized, NOON).urgent == ()
    assert storage_notes(sized, after(24)).urgent == ("It ended on 2026-03-02: date on the label. Do not use it.",)
    client.force_login(clerk)
    page = client.get(sized.get_absolute_url()).content.decode()
    assert "2026-03-02, date on its label" in page
    assert reverse("roll-use-by", args=[sized.code]) in page


def test_out_twice_or_back_without_going_out_is_refused(roll, clerk):
    with pytest.raises(ledger.FreezerError, match="in the freezer already"):
        back(roll, clerk, 1)
    out(roll, clerk, 0)
    with pytest.raises(ledger.FreezerError, match="out of the freezer already"):
        out(roll, clerk, 1)


def test_same_tap_twice_is_one_spell_and_the_ledger_stays_true(roll, clerk):
    for _ in range(2):
        ledger.take_out_of_freezer(roll=roll, by=clerk, at=NOON, key="tap")
    assert OutSpell.objects.count() == 1
    assert list(differences()) == []


def test_dry_fabric_has_no_freezer(clerk):
    with pytest.raises(ledger.FreezerError, match="not noted as prepreg"):
        out(make_roll(by=clerk), clerk, 0)


@pytest.mark.parametrize("name", ["roll-thaw", "roll-refreeze", "roll-use-by"])
@pytest.mark.parametrize("role", ["clerk", "laminator", "owner", "outsider"])
def test_page_is_for_the_roles_that_may(client, request, roll, name, role):
    allowed = {"clerk", "owner"} if name == "roll-use-by" else {"clerk", "laminator", "owner"}
    client.force_login(request.getfixturevalue(role))
    codes = {call(reverse(name, args=[roll.code])).status_code for call in (client.get, client.post)}
    assert codes == ({200} if role in allowed else {403})


def test_scanned_roll_says_how_its_time_stands_and_goes_out_and_back(client, laminator, roll):
    client.force_login(laminator)
    page = client.get(reverse("scan-roll", args=[roll.code])).content.decode()
    assert "In the freezer.</strong> 0 h used, 500 h left." in page
    answer = client.post(reverse("roll-thaw", args=[roll.code]), {"key": "k1"}, follow=True).content.decode()
    assert "is out: its time runs, 500 h left. Thaw it sealed for 24 h." in answer
    assert "Out of the freezer." in answer
    client.post(reverse("roll-refreeze", args=[roll.code]), {"key": "k2", "temperature_c": "21"})
    spell = OutSpell.objects.get()
    assert (spell.back_at, spell.back_by, spell.temperature_c) == (NOON, laminator, 21)


@pytest.mark.parametrize(
    ("typed", "words"), [("2026-02", "It came in on"), ("soon", "is no date"), ("", "Fill this in")]
)
def test_date_that_cannot_be_is_refused(client, clerk, roll, typed, words):
    client.force_login(clerk)
    sent = {"use_by": typed, "key": "k1"}
    assert words in client.post(reverse("roll-use-by", args=[roll.code]), sent).content.decode()
    roll.refresh_from_db()
    assert roll.use_by is None


@pytest.fixture
def rack(db):
    return make_place("Rack")


def test_prepreg_moved_to_a_rack_runs_its_time_without_being_told_to(roll, clerk, rack):
    line = ledger.move_roll(roll=roll, place=rack, by=clerk, at=after(0), key=new_key())
    assert (line.reason, used(roll, 30)) == ("to Rack; out of the freezer", 30)
    ledger.move_roll(roll=roll, place=make_place("Rack 2"), by=clerk, at=after(10), key=new_key())
    line = ledger.move_roll(roll=roll, place=make_place("Freezer"), by=clerk, at=after(30), key=new_key())
    assert (line.reason, used(roll, 500)) == ("to Freezer; back in the freezer", 30)


def test_prepreg_received_outside_a_freezer_runs_its_time_from_then_on(clerk, cloth, rack):
    assert used(make_roll(by=clerk, reinforcement=cloth, place=rack), 12) == 12


def test_prepreg_in_the_freezer_or_without_a_place_and_dry_cloth_run_no_time(clerk, cloth, roll, rack):
    make_roll(by=clerk, reinforcement=cloth)
    dry = make_roll(by=clerk, place=make_place("Freezer"))
    ledger.move_roll(roll=dry, place=rack, by=clerk, at=NOON, key=new_key())
    assert OutSpell.objects.count() == 0
