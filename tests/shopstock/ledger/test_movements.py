import datetime

import pytest

from shopstock import ledger
from shopstock.ledger.faults import FoundFault
from shopstock.ledger_check import differences
from shopstock.models import Movement, Roll
from tests.factories import NOON, make_place, make_roll, new_key


@pytest.fixture
def roll(clerk) -> Roll:
    return make_roll(by=clerk, length_mm=10_000)


def cut(roll, length_mm, by, **extra):
    return ledger.record_cut(roll=roll, length_mm=length_mm, by=by, at=NOON, **({"key": new_key()} | extra))


def promise(roll, length_mm, by, purpose="Hull 7"):
    return ledger.set_aside(promises=[ledger.Promise(roll, length_mm, purpose)], by=by, at=NOON)[0]


def figures(roll) -> tuple[int, int, int]:
    roll.refresh_from_db()
    return roll.length_mm, roll.set_aside_mm, roll.faulty_mm


def test_receipt_puts_the_length_on_the_roll_and_in_the_ledger(roll, clerk):
    line = roll.movements.get()
    assert (line.kind, line.delta_mm, line.balance_after_mm, line.by) == ("receipt", 10_000, 10_000, clerk)
    assert figures(roll) == (10_000, 0, 0)


def test_receipt_sent_twice_is_one_roll(clerk, roll):
    key = roll.movements.get().key
    again = make_roll(by=clerk, reinforcement=roll.reinforcement, length_mm=10_000, key=key)
    assert (again, Roll.objects.count()) == (roll, 1)


def test_receipt_that_fails_inspection_starts_in_quarantine(clerk):
    folded = make_roll(by=clerk, quarantine_reason="folded in two places")
    assert (folded.condition, folded.condition_reason, folded.is_usable) == (
        "quarantined",
        "folded in two places",
        False,
    )


def test_cut_takes_the_length_off(roll, laminator):
    line = cut(roll, 2_500, laminator)
    assert (line.delta_mm, line.balance_after_mm, figures(roll)) == (-2_500, 7_500, (7_500, 0, 0))


def test_cut_sent_twice_is_one_cut(roll, laminator):
    first = cut(roll, 2_500, laminator, key="tap")
    assert cut(roll, 2_500, laminator, key="tap") == first
    assert figures(roll) == (7_500, 0, 0)


def test_cut_with_an_old_key_and_another_length_is_refused(roll, laminator):
    cut(roll, 2_500, laminator, key="tap")
    with pytest.raises(ledger.KeyReused, match="already sent once"):
        cut(roll, 2_600, laminator, key="tap")
    assert figures(roll) == (7_500, 0, 0)


def test_cut_of_more_than_is_left_is_refused(roll, laminator):
    with pytest.raises(ledger.NotEnough, match="has 10.00 m left; 10.01 m is more"):
        cut(roll, 10_010, laminator)


def test_cut_of_everything_closes_the_roll(roll, laminator):
    cut(roll, 10_000, laminator)
    roll.refresh_from_db()
    assert not roll.is_open
    with pytest.raises(ledger.NotUsable, match="used up"):
        cut(roll, 1, laminator)


def test_cut_of_quarantined_roll_is_refused(roll, laminator):
    ledger.quarantine(roll=roll, reason="oil", by=laminator, at=NOON, key=new_key())
    with pytest.raises(ledger.NotUsable, match=r"quarantined \(oil\)"):
        cut(roll, 100, laminator)


def test_cut_across_a_fault_is_refused(roll, laminator):
    ledger.report_fault(roll=roll, fault=FoundFault(2_000, 2_200, "crease"), by=laminator, at=NOON, key=new_key())
    with pytest.raises(ledger.NotEnough, match=r"fault \(crease\) 2.00 m from the free end"):
        cut(roll, 2_001, laminator)
    cut(roll, 2_000, laminator)
    assert figures(roll) == (8_000, 0, 200)


def test_fault_keeps_its_place_on_the_cloth_when_the_roll_gets_shorter(roll, laminator):
    ledger.report_fault(roll=roll, fault=FoundFault(4_000, 4_500, "wet"), by=laminator, at=NOON, key=new_key())
    cut(roll, 3_000, laminator)
    fault = roll.faults.get()
    roll.refresh_from_db()
    assert (roll.length_mm - fault.to_mm, roll.length_mm - fault.from_mm) == (1_000, 1_500)


def test_fault_outside_the_roll_is_refused(roll, laminator):
    with pytest.raises(ledger.LedgerError, match="must lie on the roll"):
        ledger.report_fault(roll=roll, fault=FoundFault(9_900, 10_100, "oil"), by=laminator, at=NOON, key=new_key())


def test_promise_lowers_what_is_free(roll, owner):
    promise(roll, 4_000, owner)
    assert figures(roll) == (10_000, 4_000, 0)
    roll.refresh_from_db()
    assert roll.free_mm == 6_000


def test_promise_of_more_than_is_free_is_refused(roll, owner):
    promise(roll, 6_000, owner)
    with pytest.raises(ledger.NotEnough, match="set aside for Hull 7"):
        promise(roll, 4_001, owner, "Hull 8")


def test_promise_that_no_clean_stretch_holds_is_refused(roll, owner):
    ledger.report_fault(roll=roll, fault=FoundFault(5_000, 5_100, "splice"), by=owner, at=NOON, key=new_key())
    with pytest.raises(ledger.NotEnough, match="no clean stretch"):
        promise(roll, 5_001, owner)


def test_promises_of_one_plan_are_all_or_none(roll, owner):
    wishes = [ledger.Promise(roll, 6_000, "Hull"), ledger.Promise(roll, 6_000, "Deck")]
    with pytest.raises(ledger.NotEnough):
        ledger.set_aside(promises=wishes, by=owner, at=NOON)
    assert figures(roll) == (10_000, 0, 0)


def test_cut_into_what_is_promised_to_another_job_is_refused(roll, owner, laminator):
    promise(roll, 7_000, owner)
    with pytest.raises(ledger.NotEnough, match="set aside for Hull 7"):
        cut(roll, 3_001, laminator)


def test_cut_for_a_promise_closes_it_whatever_the_real_length(roll, owner, laminator):
    wanted = promise(roll, 4_000, owner)
    cut(roll, 4_030, laminator, set_aside=wanted)
    wanted.refresh_from_db()
    assert (wanted.state, figures(roll)) == ("cut", (5_970, 0, 0))


def test_cut_for_a_promise_already_cut_is_refused(roll, owner, laminator):
    wanted = promise(roll, 4_000, owner)
    cut(roll, 4_000, laminator, set_aside=wanted)
    with pytest.raises(ledger.StaleStock, match="already made"):
        cut(roll, 4_000, laminator, set_aside=wanted)


def test_given_back_promise_is_free_again(roll, owner):
    wanted = promise(roll, 4_000, owner)
    assert ledger.give_back(set_asides=[wanted], at=NOON) == 1
    assert ledger.give_back(set_asides=[wanted], at=NOON) == 0
    assert figures(roll) == (10_000, 0, 0)


def test_recount_that_breaks_a_promise_gives_it_back(roll, owner, clerk):
    kept, lost = promise(roll, 4_000, owner), promise(roll, 5_000, owner, "Deck")
    ledger.record_recount(roll=roll, length_mm=8_000, by=clerk, at=NOON, key=new_key(), reason="tape")
    kept.refresh_from_db()
    lost.refresh_from_db()
    assert (kept.state, lost.state, figures(roll)) == ("open", "given_back", (8_000, 4_000, 0))


def test_fault_across_a_promise_gives_it_back(roll, owner, laminator):
    wanted = promise(roll, 9_000, owner)
    _, lost = ledger.report_fault(
        roll=roll, fault=FoundFault(3_000, 3_100, "fold"), by=laminator, at=NOON, key=new_key()
    )
    assert (lost, figures(roll)) == ([wanted], (10_000, 0, 100))


def test_loss_needs_a_reason(roll, laminator):
    with pytest.raises(ledger.LedgerError, match="Say why"):
        ledger.record_loss(roll=roll, length_mm=100, by=laminator, at=NOON, key=new_key(), reason=" ")


def test_loss_of_the_faulty_end_frees_the_rest(roll, laminator):
    ledger.report_fault(roll=roll, fault=FoundFault(0, 300, "wet"), by=laminator, at=NOON, key=new_key())
    ledger.record_loss(roll=roll, length_mm=300, by=laminator, at=NOON, key=new_key(), reason="wet end")
    assert figures(roll) == (9_700, 0, 0)


def test_offcut_has_its_parents_lot_and_its_own_ledger(roll, laminator):
    piece = ledger.record_offcut(parent=roll, width_mm=400, length_mm=1_500, by=laminator, at=NOON, key=new_key())
    assert (piece.kind, piece.parent, piece.lot, piece.length_mm, piece.width_mm) == (
        "offcut",
        roll,
        "L2301",
        1_500,
        400,
    )
    assert piece.movements.get().kind == "offcut"


def test_offcut_wider_than_its_roll_is_refused(roll, laminator):
    with pytest.raises(ledger.LedgerError, match="cannot be wider"):
        ledger.record_offcut(parent=roll, width_mm=1_300, length_mm=500, by=laminator, at=NOON, key=new_key())


def test_correction_takes_a_line_back_and_names_it(roll, laminator, owner):
    wrong = cut(roll, 5_000, laminator)
    line = ledger.correct(movement=wrong, by=owner, at=NOON, key=new_key(), reason="typed 5 for 0.5")
    assert (line.corrects, line.delta_mm, figures(roll)) == (wrong, 5_000, (10_000, 0, 0))


def test_correction_of_a_line_twice_is_refused(roll, laminator, owner):
    wrong = cut(roll, 5_000, laminator)
    ledger.correct(movement=wrong, by=owner, at=NOON, key=new_key(), reason="typed wrong")
    with pytest.raises(ledger.LedgerError, match="already taken back"):
        ledger.correct(movement=wrong, by=owner, at=NOON, key=new_key(), reason="again")


def test_release_keeps_who_and_why(roll, laminator, owner):
    ledger.quarantine(roll=roll, reason="oil?", by=laminator, at=NOON, key=new_key())
    line = ledger.release(roll=roll, reason="only dust on the wrap", by=owner, at=NOON, key=new_key())
    roll.refresh_from_db()
    assert (line.by, line.reason, roll.is_usable) == (owner, "only dust on the wrap", True)


def test_move_is_a_line_of_no_length(roll, clerk):
    line = ledger.move_roll(roll=roll, place=make_place("Shelf 9"), by=clerk, at=NOON, key=new_key())
    assert (line.delta_mm, line.balance_after_mm, line.reason) == (0, 10_000, "to Shelf 9")
    assert Movement.objects.count() == 2


def test_clean_roll_is_cut_with_few_statements(roll, laminator, django_assert_num_queries):
    """Writers wait for one another, so little stands between the lock and the commit."""
    with django_assert_num_queries(7):  # begin, lock, read, key, roll, line, end
        cut(roll, 1_000, laminator)


def test_fault_below_a_cut_counts_until_it_is_cut_off_itself(roll, laminator):
    ledger.report_fault(roll=roll, fault=FoundFault(4_000, 6_000, "wet"), by=laminator, at=NOON, key=new_key())
    cut(roll, 3_000, laminator)
    assert figures(roll) == (7_000, 0, 2_000)
    ledger.record_loss(roll=roll, length_mm=2_000, by=laminator, at=NOON, key=new_key(), reason="wet")
    assert figures(roll) == (5_000, 0, 1_000)
    ledger.record_loss(roll=roll, length_mm=1_000, by=laminator, at=NOON, key=new_key(), reason="wet")
    assert figures(roll) == (4_000, 0, 0)


def test_clock_that_goes_backwards_changes_no_balance(roll, laminator):
    cut(roll, 1_000, laminator)
    earlier = NOON - datetime.timedelta(hours=3)
    line = ledger.record_cut(roll=roll, length_mm=2_000, by=laminator, at=earlier, key=new_key())
    assert (line.balance_after_mm, figures(roll)) == (7_000, (7_000, 0, 0))
    assert list(differences()) == []
