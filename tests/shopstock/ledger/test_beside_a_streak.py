"""Strips set aside beside a fault of part of the width: promised, cut, given back, and never over it."""

import pytest

from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.ledger_check import differences
from shopstock.models import Roll, SetAside
from tests.factories import NOON, make_roll, new_key

EDGE = FoundFault(2_000, 6_000, "oil", across_mm=(0, 200))
BESIDE, ACROSS = ((200, 900),), ((150, 900),)


@pytest.fixture
def roll(clerk) -> Roll:
    """10 m of 1.25 m cloth with oil on the left edge from 2 to 6 m behind the free end."""
    return make_roll(by=clerk, length_mm=10_000, faults=[EDGE])


def promise(roll, length_mm, by, taken_across=()):
    wish = ledger.Promise(roll, length_mm, "Hull 7", taken_across=taken_across)
    return ledger.set_aside(promises=[wish], by=by, at=NOON)[0]


def figures(roll) -> tuple[int, int, int]:
    roll.refresh_from_db()
    assert list(differences()) == []
    return roll.length_mm, roll.set_aside_mm, roll.faulty_mm


def cut(roll, promise, by):
    wish = {"by": by, "at": NOON, "key": new_key()}
    return ledger.record_cut(roll=roll, length_mm=promise.length_mm, set_aside=promise, **wish)


def test_strip_whose_pieces_stay_clear_may_lie_beside_a_streak(roll, clerk):
    promise(roll, 7_000, clerk, BESIDE)
    assert figures(roll) == (10_000, 7_000, 0)


@pytest.mark.parametrize("taken_across", [(), ACROSS, ((0, 100), (300, 400))])
def test_strip_that_reaches_into_the_streak_is_refused_where_only_that_is_left(roll, clerk, taken_across):
    with pytest.raises(ledger.NotEnough, match="no clean stretch long enough"):
        promise(roll, 7_000, clerk, taken_across)
    assert figures(roll) == (10_000, 0, 4_000)


def test_what_of_a_streak_no_strip_lies_beside_is_still_lost(roll, clerk):
    promise(roll, 5_000, clerk, BESIDE)
    assert figures(roll) == (10_000, 5_000, 1_000)


def test_strip_is_cut_beside_the_streak(roll, clerk, laminator):
    first, second = promise(roll, 3_000, clerk, BESIDE), promise(roll, 2_000, clerk, BESIDE)
    cut(roll, first, laminator)
    assert figures(roll) == (7_000, 2_000, 1_000)
    cut(roll, second, laminator)
    assert figures(roll) == (5_000, 0, 1_000)


def test_strip_of_the_whole_width_cut_by_hand_still_stops_at_the_streak(roll, laminator):
    with pytest.raises(ledger.NotEnough, match="There is a fault"):
        ledger.record_cut(roll=roll, length_mm=3_000, by=laminator, at=NOON, key=new_key())


def test_roll_whose_streak_is_all_promised_is_not_taken_for_clean(clerk, laminator):
    roll = make_roll(by=clerk, length_mm=10_000, faults=[FoundFault(0, 4_000, "oil", across_mm=(0, 200))])
    promise(roll, 4_000, clerk, BESIDE)
    assert figures(roll) == (10_000, 4_000, 0)
    with pytest.raises(ledger.NotEnough, match="There is a fault"):
        ledger.record_cut(roll=roll, length_mm=1_000, by=laminator, at=NOON, key=new_key())
    ledger.record_loss(roll=roll, length_mm=1_000, by=laminator, at=NOON, key=new_key(), reason="oil")
    assert figures(roll) == (9_000, 4_000, 0)


def test_strips_that_move_off_a_streak_leave_it_lost(clerk, laminator):
    roll = make_roll(by=clerk, length_mm=10_000, faults=[FoundFault(2_000, 3_000, "oil", across_mm=(0, 200))])
    promise(roll, 1_500, clerk), promise(roll, 2_000, clerk, BESIDE)
    assert figures(roll) == (10_000, 3_500, 0)
    ledger.record_loss(roll=roll, length_mm=600, by=laminator, at=NOON, key=new_key(), reason="dirty end")
    assert figures(roll) == (9_400, 3_500, 1_000)  # 1500 mm of the whole width find no place before it any more


def test_strip_given_back_leaves_the_streak_lost_again(roll, clerk):
    made = promise(roll, 7_000, clerk, BESIDE)
    ledger.give_back(set_asides=[made], at=NOON)
    assert figures(roll) == (10_000, 0, 4_000)


def test_streak_found_beside_the_pieces_of_a_strip_leaves_it_set_aside(clerk):
    roll = make_roll(by=clerk, length_mm=10_000)
    promise(roll, 9_000, clerk, BESIDE)
    wish = {"by": clerk, "at": NOON}
    _, lost = ledger.report_fault(roll=roll, fault=EDGE, key=new_key(), **wish)
    assert (lost, figures(roll)) == ([], (10_000, 9_000, 0))
    across = FoundFault(2_000, 6_000, "oil", across_mm=(800, 1_000))
    _, lost = ledger.report_fault(roll=roll, fault=across, key=new_key(), **wish)
    assert ([made.length_mm for made in lost], figures(roll)) == ([9_000], (10_000, 0, 4_000))


def test_recount_that_shortens_the_roll_gives_back_what_no_longer_lies_beside(roll, clerk):
    promise(roll, 5_000, clerk, BESIDE), promise(roll, 4_000, clerk, BESIDE)
    ledger.record_recount(roll=roll, length_mm=8_500, by=clerk, at=NOON, key=new_key(), reason="tape")
    assert SetAside.objects.get(state="given_back").length_mm == 4_000
    assert figures(roll)[:2] == (8_500, 5_000)
