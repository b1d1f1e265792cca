"""Cuts told after the phone found its network again: they have happened, so they are written."""

import datetime

import pytest

from shopstock import ledger
from shopstock.ledger_check import differences
from shopstock.models import Roll, SetAside
from tests.factories import NOON, make_roll, new_key

BEFORE = NOON - datetime.timedelta(hours=2)


@pytest.fixture
def roll(clerk) -> Roll:
    return make_roll(by=clerk, length_mm=10_000)


@pytest.fixture
def told(roll, laminator):
    def tell(length_mm, **extra):
        wish = {"key": new_key(), "happened_at": BEFORE} | extra
        return ledger.record_queued_cut(roll=roll, length_mm=length_mm, by=laminator, at=NOON, **wish)

    return tell


def lines(roll) -> list[tuple[str, int, int]]:
    roll.refresh_from_db()
    assert list(differences()) == []
    return [(line.kind, line.delta_mm, line.balance_after_mm) for line in roll.movements.order_by("pk")][1:]


def test_told_cut_keeps_the_time_at_which_it_happened(told, roll):
    line = told(2_000)
    assert (line.happened_at, line.recorded_at, line.over_mm) == (BEFORE, NOON, 0)
    assert (lines(roll), roll.recount_reason) == ([("cut", -2_000, 8_000)], "")


def test_cut_told_twice_is_one_cut(told, roll):
    first, second = told(2_000, key="tap"), told(2_000, key="tap")
    assert (first.pk, first.replayed, second.replayed) == (second.pk, False, True)
    assert lines(roll) == [("cut", -2_000, 8_000)]


def test_key_of_another_length_is_refused(told, roll):
    told(2_000, key="tap")
    with pytest.raises(ledger.KeyReused):
        told(2_500, key="tap")
    assert lines(roll) == [("cut", -2_000, 8_000)]


def test_live_cut_whose_answer_was_lost_is_not_made_again(told, roll, laminator):
    ledger.record_cut(roll=roll, length_mm=2_000, by=laminator, at=NOON, key="tap")
    assert told(2_000, key="tap").replayed
    assert lines(roll) == [("cut", -2_000, 8_000)]


def test_cut_of_more_than_is_booked_is_written_and_the_excess_found(told, roll):
    line = told(10_750)
    assert lines(roll) == [("recount", 750, 10_750), ("cut", -10_750, 0)]
    assert (line.over_mm, roll.movements.get(kind="recount").reason) == (750, "found by over-cut")
    assert roll.recount_reason == "a cut made without network took 0.75 m more than was booked"
    assert roll.recount_since == NOON


def test_cut_from_a_roll_that_is_used_up_is_written_all_the_same(told, roll):
    told(10_000)
    told(500)
    assert lines(roll)[1:] == [("recount", 500, 500), ("cut", -500, 0)]
    assert not roll.is_open


def test_cut_from_a_quarantined_roll_is_written_and_the_roll_is_to_be_measured(told, roll, clerk):
    ledger.quarantine(roll=roll, reason="wet", by=clerk, at=NOON, key="wet")
    told(1_000)
    assert lines(roll)[-1] == ("cut", -1_000, 9_000)
    assert roll.recount_reason == "it was cut without network while it was quarantined"


def test_recount_takes_the_roll_off_the_list(told, roll, clerk):
    told(10_750)
    ledger.record_recount(roll=roll, length_mm=300, by=clerk, at=NOON, key="r", reason="count")
    roll.refresh_from_db()
    assert (roll.length_mm, roll.recount_reason, roll.recount_since) == (300, "", None)


def promise(roll, length_mm, by, purpose="Hull 7") -> SetAside:
    return ledger.set_aside(promises=[ledger.Promise(roll, length_mm, purpose)], by=by, at=NOON)[0]


def state(promised) -> str:
    promised.refresh_from_db()
    return promised.state


def test_told_cut_fulfils_its_promise(told, roll, owner):
    promised = promise(roll, 4_000, owner)
    line = told(4_020, set_aside=promised)
    assert (line.set_aside, line.reason, state(promised)) == (promised, "Hull 7", "cut")
    assert (lines(roll), roll.set_aside_mm) == ([("cut", -4_020, 5_980)], 0)


def test_promise_given_back_in_the_meantime_does_not_stop_the_cut(told, roll, owner):
    promised = promise(roll, 4_000, owner)
    ledger.give_back(set_asides=[promised], at=NOON)
    line = told(4_020, set_aside=promised)
    assert (line.set_aside, line.reason, state(promised)) == (None, "Hull 7", "given_back")


def test_promises_of_others_that_no_longer_fit_are_given_back(told, roll, owner):
    first, last = promise(roll, 4_000, owner), promise(roll, 5_000, owner, "Deck")
    line = told(5_500)
    assert (state(first), state(last), line.given_back) == ("open", "given_back", [last])
    assert (lines(roll), roll.set_aside_mm) == ([("cut", -5_500, 4_500)], 4_000)


@pytest.mark.parametrize(
    ("clock", "kept"),
    [
        (NOON + datetime.timedelta(days=400), NOON),
        (NOON - datetime.timedelta(days=4_000), NOON - datetime.timedelta(days=60)),
    ],
)
def test_wrong_clock_of_a_phone_does_not_stop_the_cut(told, clock, kept):
    assert told(1_000, happened_at=clock).happened_at == kept


def test_length_of_nothing_is_refused(told):
    with pytest.raises(ledger.LedgerError, match="more than nothing"):
        told(0)
