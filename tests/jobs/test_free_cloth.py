import pytest

from jobs.calc.cutting import Fault
from jobs.free_cloth import free_cloth
from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.models import Shop
from tests.factories import NOON, TODAY, make_reinforcement, make_roll, make_sure, new_key


@pytest.fixture
def shop(db) -> Shop:
    shop = Shop.current()
    shop.edge_trim_mm = 15
    shop.save()
    return shop


def only(roll, shop, **extra):
    return free_cloth([roll.reinforcement_id], shop, **({"at": NOON, "cut_on": TODAY} | extra))[roll.reinforcement_id]


def test_free_cloth_starts_behind_what_is_set_aside(clerk, shop):
    roll = make_sure(make_roll(by=clerk, length_mm=10_000))
    ledger.set_aside(promises=[ledger.Promise(roll, 2_500, "Mast step")], by=clerk, at=NOON)
    cloth = only(roll, shop)[0]
    assert (cloth.start_mm, cloth.clean, cloth.as_stock().length_mm) == (2_500, ((2_500, 10_000),), 7_500)


def test_faults_count_from_where_the_free_part_begins(clerk, shop):
    roll = make_roll(by=clerk, length_mm=10_000, faults=[FoundFault(4_000, 4_300, "crease")])
    ledger.set_aside(promises=[ledger.Promise(roll, 1_000, "Mast step")], by=clerk, at=NOON)
    assert only(roll, shop)[0].as_stock().faults == (Fault(3_000, 3_300),)


def test_streak_narrows_the_roll_and_does_not_end_it(clerk, shop):
    streak = FoundFault(4_000, 10_000, "oil", across_mm=(0, 200))
    roll = make_sure(make_roll(by=clerk, length_mm=10_000, faults=[streak, FoundFault(7_000, 7_500, "crease")]))
    cloth = only(roll, shop)[0]
    assert (cloth.clean, cloth.passable) == (((0, 4_000),), ((0, 7_000), (7_500, 10_000)))
    assert cloth.as_stock().faults == (
        Fault(7_000, 7_500),
        Fault(4_000, 7_000, 0, 200),
        Fault(7_500, 10_000, 0, 200),
    )


def test_roll_with_a_streak_from_end_to_end_is_offered_all_the_same(clerk, shop):
    roll = make_sure(make_roll(by=clerk, length_mm=10_000, faults=[FoundFault(0, 10_000, "oil", across_mm=(0, 200))]))
    assert (only(roll, shop)[0].clean_mm, only(roll, shop)[0].as_stock().length_mm) == (0, 10_000)


def test_streaks_that_overlap_are_told_to_the_planner_as_one(clerk, shop):
    one, other = (FoundFault(at, at + 500, "oil", across_mm=(at, at + 300)) for at in (100, 300))
    roll = make_sure(make_roll(by=clerk, length_mm=10_000, faults=[one, other]))
    assert only(roll, shop)[0].as_stock().faults == (Fault(100, 800, 100, 600),)


def test_promise_behind_a_fault_takes_the_end_before_it_along(clerk, shop):
    roll = make_roll(by=clerk, length_mm=10_000, faults=[FoundFault(1_000, 1_200, "crease")])
    ledger.set_aside(promises=[ledger.Promise(roll, 2_000, "Mast step")], by=clerk, at=NOON)
    assert only(roll, shop)[0].start_mm == 3_200


def test_trim_is_taken_off_rolls_and_not_off_offcuts(clerk, shop):
    roll = make_roll(by=clerk, length_mm=10_000)
    ledger.record_offcut(parent=roll, width_mm=600, length_mm=900, by=clerk, at=NOON, key=new_key())
    widths = {item.as_stock().kind: item.usable_width_mm for item in only(roll, shop)}
    assert widths == {"offcut": 600, "roll": 1_220}


def test_quarantined_and_fully_promised_rolls_are_not_offered(clerk, shop):
    kind = make_reinforcement()
    make_roll(by=clerk, reinforcement=kind, quarantine_reason="wet")
    full = make_roll(by=clerk, reinforcement=kind, length_mm=3_000)
    ledger.set_aside(promises=[ledger.Promise(full, 3_000, "Mast step")], by=clerk, at=NOON)
    assert only(full, shop) == []


def test_own_promise_counts_as_free_when_it_will_be_given_back(clerk, shop):
    roll = make_sure(make_roll(by=clerk, length_mm=3_000))
    promise = ledger.set_aside(promises=[ledger.Promise(roll, 3_000, "Mast step")], by=clerk, at=NOON)[0]
    assert only(roll, shop, as_if_given_back={promise.pk})[0].clean_mm == 3_000


def test_plans_draw_on_the_safe_length_only(clerk, shop):
    cloth = only(make_roll(by=clerk, length_mm=10_000), shop)[0]
    assert (cloth.clean, cloth.as_stock().length_mm, cloth.doubtful_mm) == (((0, 9_905),), 9_905, 95)
    assert cloth.as_booked().clean == ((0, 10_000),)


def test_roll_shorter_than_its_doubt_is_not_offered(clerk, shop):
    roll = make_roll(by=clerk, length_mm=10_000)
    ledger.record_cut(roll=roll, length_mm=9_950, by=clerk, at=NOON, key=new_key())
    assert only(roll, shop) == []


@pytest.mark.parametrize("non_structural", [False, True])
def test_folded_cloth_waits_for_a_decision(clerk, shop, non_structural):
    roll = make_roll(by=clerk, lying="folded")
    assert only(roll, shop, non_structural=non_structural) == []
    decision = {"decision": ledger.FoldDecision.UNROLLED, "lying": "core", "note": "no crease"}
    ledger.decide_fold(roll=roll, by=clerk, at=NOON, key=new_key(), **decision)
    assert len(only(roll, shop, non_structural=non_structural)) == 1


def test_cloth_for_non_structural_parts_is_not_offered(clerk, shop):
    roll = make_roll(by=clerk, lying="folded")
    decision = {"decision": ledger.FoldDecision.DOWNGRADED, "lying": "flat", "note": ""}
    ledger.decide_fold(roll=roll, by=clerk, at=NOON, key=new_key(), **decision)
    assert only(roll, shop) == []
