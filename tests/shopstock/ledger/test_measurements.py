import datetime

import pytest
from django.db import DatabaseError, transaction

from shopstock import ledger
from shopstock.calc.uncertainty import Estimate
from shopstock.models import Measurement, Movement, Roll
from tests.factories import NOON, make_roll, make_supplier, new_key

HOUR = datetime.timedelta(hours=1)


def who(person) -> dict:
    return {"by": person, "at": NOON, "key": new_key()}


def recount(roll, person, length_mm, **more):
    return ledger.record_recount(roll=roll, length_mm=length_mm, reason="monthly count", **who(person), **more)


def cut(roll, person, length_mm):
    return ledger.record_cut(roll=roll, length_mm=length_mm, **who(person))


def test_roll_is_as_sure_as_its_label_until_it_is_measured(clerk):
    roll = make_roll(by=clerk, length_mm=55_000)
    assert roll.uncertainty_mm == pytest.approx(317.54, abs=0.01)
    assert roll.safe_length_mm == 54_477


def test_suppliers_own_tolerance_is_used(clerk):
    roll = make_roll(by=clerk, length_mm=55_000, supplier=make_supplier(length_tolerance_percent=3))
    assert roll.uncertainty_mm == pytest.approx(952.6, abs=0.1)


def test_each_cut_adds_to_the_doubt(clerk):
    roll = make_roll(by=clerk, length_mm=55_000)
    for _ in range(8):
        cut(roll, clerk, 2_450)
    roll.refresh_from_db()
    assert (roll.length_mm, roll.cuts_since_measured) == (35_400, 8)
    assert roll.uncertainty_mm == pytest.approx(322.54, abs=0.01)


def test_recount_keeps_method_readings_doubt_and_drift(clerk):
    roll = make_roll(by=clerk, length_mm=55_000)
    cut(roll, clerk, 5_000)
    line = recount(roll, clerk, 49_700)
    kept = Measurement.objects.get(movement=line)
    roll.refresh_from_db()
    assert (kept.method, kept.readings, kept.length_mm) == ("tape", {"tape": {"length_mm": 49_700}}, 49_700)
    assert (kept.booked_mm, kept.cuts_before, kept.drift_mm) == (50_000, 1, 300)
    assert (roll.uncertainty_mm, roll.doubt_sources, roll.cuts_since_measured) == (kept.uncertainty_mm, {}, 0)


def test_recount_of_a_roll_cut_meanwhile_says_by_whom_and_writes_nothing(clerk, laminator):
    roll = make_roll(by=clerk)
    cut(roll, laminator, 1_200)
    with pytest.raises(ledger.StaleStock, match="cut 1.20 m by luis.*48.80 m is booked now instead of 50.00 m"):
        recount(roll, clerk, 49_000, seen_mm=50_000)
    assert not Measurement.objects.exists()


def test_recount_taken_back_leaves_the_roll_as_unsure_as_before(clerk):
    roll = make_roll(by=clerk, length_mm=55_000)
    cut(roll, clerk, 5_000)
    before = Estimate(50_000, 20, {"label": roll.uncertainty_mm})
    line = recount(roll, clerk, 40_000)
    cut(roll, clerk, 1_000)
    ledger.correct(movement=line, reason="misread the tape", **who(clerk))
    roll.refresh_from_db()
    assert roll.uncertainty_mm == pytest.approx(before.less(1_000, 20).uncertainty_mm)
    assert (roll.length_mm, roll.cuts_since_measured) == (49_000, 2)


def test_measurement_cannot_be_changed_or_deleted(clerk):
    recount(make_roll(by=clerk), clerk, 49_000)
    for change in (lambda: Measurement.objects.update(length_mm=1), lambda: Measurement.objects.all().delete()):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            change()


def test_offcut_is_taped_and_tied_to_its_cut(clerk):
    roll = make_roll(by=clerk)
    line = cut(roll, clerk, 2_000)
    offcut = ledger.record_offcut(parent=roll, width_mm=400, length_mm=2_000, **who(clerk))
    assert offcut.movements.get().pair == line
    assert offcut.uncertainty_mm == pytest.approx(6.2, abs=0.1)


def test_empty_tube_is_a_recount_to_nothing(clerk):
    roll = make_roll(by=clerk, length_mm=400)
    line = recount(roll, clerk, 0, measured=ledger.Measured.tube_empty())
    roll.refresh_from_db()
    assert (line.delta_mm, line.measurement.method, roll.is_open) == (-400, "tube_empty", False)


def test_corrections_of_a_round_keep_what_was_cut_after_the_count(clerk):
    roll, other = make_roll(by=clerk), make_roll(by=clerk)
    measured = ledger.Measured.by_tape(48_000)
    later = NOON + datetime.timedelta(hours=1)
    ledger.record_cut(roll=roll, length_mm=3_000, by=clerk, at=later, key=new_key())
    wishes = [ledger.Correction(one, measured, NOON, "round", f"round:{one.pk}") for one in (roll, other)]
    first = ledger.record_corrections(corrections=wishes, by=clerk, at=later)
    again = ledger.record_corrections(corrections=wishes, by=clerk, at=later)
    assert [line.balance_after_mm for line in first] == [45_000, 48_000]
    assert list(Roll.objects.order_by("pk").values_list("cuts_since_measured", flat=True)) == [1, 0]
    assert again == first
    assert Movement.objects.filter(kind="recount").count() == 2


@pytest.fixture
def counted(clerk):
    """A roll of 50 m that a round counted as 48 m at noon; what closing the round an hour later makes of it."""
    roll = make_roll(by=clerk, at=NOON - HOUR)

    def close() -> int:
        measured = ledger.Measured.by_tape(48_000)
        correction = ledger.Correction(roll, measured, NOON, "round", f"round:{roll.pk}")
        ledger.record_corrections(corrections=[correction], by=clerk, at=NOON + HOUR)
        return Roll.objects.get(pk=roll.pk).length_mm

    return roll, close


def test_measurement_made_after_the_count_of_a_round_stands(counted, clerk):
    roll, close = counted
    later = {"by": clerk, "at": NOON + HOUR / 2, "key": new_key()}
    ledger.record_recount(roll=roll, length_mm=47_900, reason="looked short", **later)
    assert close() == 47_900


def test_measurement_taken_back_after_the_count_does_not_stand(counted, clerk):
    roll, close = counted
    later = {"by": clerk, "at": NOON + HOUR / 2}
    line = ledger.record_recount(roll=roll, length_mm=40_000, reason="looked short", key=new_key(), **later)
    ledger.correct(movement=line, reason="misread", key=new_key(), **later)
    assert close() == 48_000


def test_cut_made_before_the_count_and_entered_after_it_is_not_taken_off_twice(counted, laminator):
    roll, close = counted
    cut = {"length_mm": 2_000, "happened_at": NOON - HOUR / 2, "at": NOON + HOUR / 2}
    ledger.record_queued_cut(roll=roll, by=laminator, key=new_key(), **cut)
    assert close() == 48_000


def test_cut_taken_back_after_the_count_gives_no_cloth_back(counted, clerk, laminator):
    roll, close = counted
    line = ledger.record_cut(roll=roll, length_mm=2_000, by=laminator, at=NOON - HOUR / 2, key=new_key())
    ledger.correct(movement=line, reason="never cut", by=clerk, at=NOON + HOUR / 2, key=new_key())
    assert close() == 48_000
