import datetime

import pytest

from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.models import Fault, Movement, Roll
from tests.factories import NOON, make_roll, new_key


def who(person) -> dict:
    return {"by": person, "at": NOON, "key": new_key()}


def fresh(roll) -> Roll:
    return Roll.objects.get(pk=roll.pk)


def faults(roll) -> list:
    return list(Fault.objects.filter(roll=roll, cleared_at=None).values_list("from_mm", "to_mm", "across_from_mm"))


def mark(roll, person, start_mm, end_mm, **more):
    fault = FoundFault(start_mm, end_mm, "oil", **more)
    ledger.report_fault(roll=roll, fault=fault, **who(person))


def test_split_is_a_pair_of_lines_and_turns_faults_over(clerk):
    roll = make_roll(by=clerk, length_mm=10_000)
    mark(roll, clerk, 1_000, 1_200, across_mm=(0, 300))
    second = ledger.split_roll(roll=roll, length_mm=4_000, **who(clerk))
    gone, came = Movement.objects.filter(kind="split").order_by("pk")
    assert (gone.roll, gone.delta_mm, came.roll, came.delta_mm, came.pair) == (roll, -4_000, second, 4_000, gone)
    assert (faults(roll), faults(second)) == ([], [(1_000, 1_200, 950)])
    assert (second.lot, second.parent, fresh(roll).length_mm) == (roll.lot, roll, 6_000)


def test_fault_across_the_split_stays_on_both(clerk):
    roll = make_roll(by=clerk, length_mm=10_000)
    mark(roll, clerk, 3_900, 4_100)
    second = ledger.split_roll(roll=roll, length_mm=4_000, **who(clerk))
    assert (faults(roll), faults(second)) == ([(5_900, 6_000, None)], [(3_900, 4_000, None)])


def test_split_sent_twice_is_one(clerk):
    roll, wish = make_roll(by=clerk, length_mm=10_000), who(clerk)
    first = ledger.split_roll(roll=roll, length_mm=4_000, **wish)
    assert ledger.split_roll(roll=roll, length_mm=4_000, **wish) == first
    assert Roll.objects.count() == 2


def test_split_may_not_take_what_is_set_aside(clerk):
    roll = make_roll(by=clerk, length_mm=10_000)
    ledger.set_aside(promises=[ledger.Promise(roll, 7_000, "hull 3")], by=clerk, at=NOON)
    with pytest.raises(ledger.NotEnough, match="set aside for hull 3"):
        ledger.split_roll(roll=roll, length_mm=4_000, **who(clerk))


def test_join_adds_a_splice_and_closes_the_other_roll(clerk):
    roll = make_roll(by=clerk, length_mm=6_000)
    other = make_roll(by=clerk, length_mm=4_000, reinforcement=roll.reinforcement)
    mark(other, clerk, 1_000, 1_200)
    ledger.join_rolls(roll=roll, other=other, **who(clerk))
    assert (fresh(roll).length_mm, fresh(other).length_mm, fresh(other).is_open) == (10_000, 0, False)
    assert sorted(faults(roll)) == [(5_950, 6_050, None), (7_000, 7_200, None)]


def test_lots_are_not_joined(clerk):
    roll = make_roll(by=clerk)
    other = make_roll(by=clerk, reinforcement=roll.reinforcement, lot="L9")
    with pytest.raises(ledger.LedgerError, match="keep lots and grades apart"):
        ledger.join_rolls(roll=roll, other=other, **who(clerk))


def test_return_gives_promises_back_and_closes_the_roll(clerk):
    roll = make_roll(by=clerk)
    ledger.set_aside(promises=[ledger.Promise(roll, 7_000, "hull 3")], by=clerk, at=NOON)
    line = ledger.return_roll(roll=roll, reason="wet", **who(clerk))
    assert (line.delta_mm, [p.purpose for p in line.given_back], fresh(roll).is_open) == (-50_000, ["hull 3"], False)


def test_downgraded_cloth_is_marked_and_the_decision_kept(owner):
    roll = make_roll(by=owner, lying="folded")
    decision = {"decision": ledger.FoldDecision.DOWNGRADED, "lying": "flat", "note": "for the mould shelf"}
    line = ledger.decide_fold(roll=roll, **decision, **who(owner))
    assert (fresh(roll).grade, fresh(roll).lying) == ("non_structural", "flat")
    assert line.reason == "for non-structural parts only: for the mould shelf"


def test_claimed_cloth_is_quarantined(owner):
    roll = make_roll(by=owner, lying="folded")
    ledger.decide_fold(roll=roll, decision=ledger.FoldDecision.CLAIMED, lying="folded", note="", **who(owner))
    assert fresh(roll).condition == "quarantined"


def test_fold_has_no_width_of_its_own(clerk):
    with pytest.raises(ledger.LedgerError, match="across the whole width"):
        ledger.report_fault(
            roll=make_roll(by=clerk), fault=FoundFault(0, 100, "fold", across_mm=(0, 300)), **who(clerk)
        )


def take_back(line, person, reason="another roll"):
    return ledger.take_back_winding(movement=line, reason=reason, **who(person))


@pytest.mark.parametrize("side", ["first", "second"])
def test_split_is_taken_back_on_both_rolls_and_its_faults_lie_where_they_lay(clerk, side):
    roll = make_roll(by=clerk, length_mm=10_000)
    mark(roll, clerk, 1_000, 1_200, across_mm=(0, 300))
    mark(roll, clerk, 3_900, 4_100)
    before, faulty_mm = faults(roll), fresh(roll).faulty_mm
    second = ledger.split_roll(roll=roll, length_mm=4_000, **who(clerk))
    line = (roll if side == "first" else second).movements.get(kind="split")
    made = take_back(line, clerk)
    assert (made.roll_id, made.corrects, made.delta_mm) == (line.roll_id, line, -line.delta_mm)
    assert (fresh(roll).length_mm, fresh(second).length_mm, fresh(second).is_open) == (10_000, 0, False)
    assert (sorted(faults(roll)), fresh(roll).faulty_mm) == (sorted(before), faulty_mm)


def test_fault_found_on_the_second_roll_comes_along_when_the_split_is_taken_back(clerk):
    roll = make_roll(by=clerk, length_mm=10_000)
    second = ledger.split_roll(roll=roll, length_mm=4_000, **who(clerk))
    mark(second, clerk, 0, 500)
    take_back(roll.movements.get(kind="split"), clerk)
    assert faults(roll) == [(6_000, 6_500, None)]


def test_join_is_taken_back_with_its_splice_and_both_rolls_have_their_own_faults(clerk):
    roll = make_roll(by=clerk, length_mm=6_000)
    other = make_roll(by=clerk, length_mm=4_000, reinforcement=roll.reinforcement)
    mark(roll, clerk, 0, 200)
    mark(other, clerk, 1_000, 1_200)
    line = ledger.join_rolls(roll=roll, other=other, **who(clerk))
    later = {"by": clerk, "at": NOON + datetime.timedelta(hours=1), "key": new_key()}
    ledger.report_fault(roll=roll, fault=FoundFault(0, 300, "wet"), **later)
    take_back(line, clerk)
    assert (fresh(roll).length_mm, fresh(other).length_mm, fresh(other).is_open) == (6_000, 4_000, True)
    assert faults(roll) == [(5_800, 6_000, None)]
    assert sorted(faults(other)) == [(0, 300, None), (2_800, 3_000, None)]


def test_winding_is_not_taken_back_once_a_roll_was_cut(clerk):
    roll = make_roll(by=clerk, length_mm=10_000)
    second = ledger.split_roll(roll=roll, length_mm=4_000, **who(clerk))
    line = roll.movements.get(kind="split")
    ledger.record_cut(roll=second, length_mm=100, **who(clerk))
    with pytest.raises(ledger.LedgerError, match=f"{second} was cut since.*Wind the cloth back with Join on {roll}"):
        take_back(line, clerk)
    with pytest.raises(ledger.LedgerError, match="on both at once"):
        ledger.correct(movement=line, reason="wrong", **who(clerk))


def test_winding_is_taken_back_once_and_with_a_reason(clerk):
    roll = make_roll(by=clerk, length_mm=10_000)
    ledger.split_roll(roll=roll, length_mm=4_000, **who(clerk))
    line = roll.movements.get(kind="split")
    with pytest.raises(ledger.LedgerError, match="Say what was wrong"):
        take_back(line, clerk, reason=" ")
    wish = {"movement": line, "reason": "another roll", **who(clerk)}
    assert ledger.take_back_winding(**wish) == ledger.take_back_winding(**wish)
    with pytest.raises(ledger.LedgerError, match="already taken back"):
        take_back(line, clerk)
    assert Movement.objects.filter(kind="correction").count() == 2


def test_join_is_not_taken_back_while_its_cloth_is_set_aside(clerk):
    roll = make_roll(by=clerk, length_mm=6_000)
    other = make_roll(by=clerk, length_mm=4_000, reinforcement=roll.reinforcement)
    line = ledger.join_rolls(roll=roll, other=other, **who(clerk))
    ledger.set_aside(promises=[ledger.Promise(roll, length, "hull 3") for length in (3_900, 5_900)], by=clerk, at=NOON)
    with pytest.raises(ledger.NotEnough, match="set aside for hull 3"):
        take_back(line, clerk)
