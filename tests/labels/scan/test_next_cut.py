import pytest

from labels.scan.next_cut import CutAway, next_cut, pieces_left
from shopstock import ledger
from shopstock.models import Shop
from tests.factories import NOON, new_key

from .conftest import report


def away(roll) -> CutAway | None:
    roll.refresh_from_db()
    return next_cut(roll).cut_away


def test_roll_without_promises_has_nothing_next(roll):
    coming = next_cut(roll)
    assert (coming.promise, coming.later, coming.cut_away, coming.fits, coming.is_idle) == (None, (), None, True, True)


def test_first_promise_is_next_and_the_others_follow_in_order(roll, promise, owner):
    wishes = [ledger.Promise(roll, length, "Deck") for length in (3_000, 1_000)]
    later = ledger.set_aside(promises=wishes, by=owner, at=NOON)
    coming = next_cut(roll)
    assert (coming.promise, coming.later, coming.is_idle) == (promise, tuple(later), False)


def test_fault_at_the_free_end_must_be_cut_away(roll, promise, clerk):
    report(roll, 0, 700, clerk)
    assert away(roll) == CutAway(700, "crease", 0)


def test_clean_end_too_short_for_the_next_cut_goes_with_the_fault_behind_it(roll, promise, clerk):
    report(roll, 800, 1_200, clerk, cause="wet")
    assert away(roll) == CutAway(1_200, "wet", 800)


def test_two_faults_before_the_next_cut_are_cut_away_together(roll, promise, clerk):
    report(roll, 800, 1_200, clerk, cause="wet")
    report(roll, 2_000, 2_100, clerk, cause="oil")
    assert away(roll) == CutAway(2_100, "wet, oil", 1_600)


def test_fault_behind_the_next_cut_needs_nothing_yet(roll, promise, clerk):
    report(roll, 4_200, 5_000, clerk)
    assert away(roll) is None


def test_fault_between_two_cuts_is_told_with_the_second(roll, promise, owner, clerk):
    report(roll, 5_000, 5_300, clerk, cause="wet")
    ledger.set_aside(promises=[ledger.Promise(roll, length, "Deck") for length in (3_000, 1_000)], by=owner, at=NOON)
    roll.refresh_from_db()
    assert next_cut(roll).leads == (CutAway(1_100, "wet", 800), None)


def test_roll_faulty_from_end_to_end_has_no_cloth_to_cut(roll, clerk):
    report(roll, 0, 20_000, clerk)
    roll.refresh_from_db()
    assert (next_cut(roll).fits, next_cut(roll).cut_away.length_mm) == (False, 20_000)


def lost(roll, length_mm, by):
    return ledger.record_loss(roll=roll, length_mm=length_mm, by=by, at=NOON, key=new_key(), reason="crease")


@pytest.mark.parametrize(("clean_mm", "kept"), [(300, [(1_250, 300)]), (299, [])])
def test_clean_cloth_that_was_cut_away_is_worth_keeping_from_the_length_the_shop_keeps(roll, clerk, clean_mm, kept):
    report(roll, clean_mm, 1_200, clerk)
    pieces = pieces_left(lost(roll, 1_200, clerk), Shop.current())
    assert [(piece.width_mm, piece.length_mm) for piece in pieces] == kept


def test_clean_cloth_of_an_earlier_loss_is_still_known_after_later_cuts(roll, clerk):
    report(roll, 900, 1_200, clerk)
    line = lost(roll, 1_200, clerk)
    ledger.record_cut(roll=roll, length_mm=5_000, by=clerk, at=NOON, key=new_key())
    assert [(p.width_mm, p.length_mm) for p in pieces_left(line, Shop.current())] == [(1_250, 900)]
