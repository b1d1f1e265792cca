"""First-fit by hand: the pieces that find a place, and how often it looks for one."""

from jobs.calc.cutting import first_fit
from jobs.calc.cutting.levels import make_task
from jobs.calc.cutting.problem import Blank, Problem, Stock


def task_of(count, *, length_mm=100_000, **more):
    roll = Stock("1", "roll", 1_000, 0, length_mm)
    return make_task(Problem("", (roll,), (Blank("b", 200, 400, count, **more),)))


def test_pieces_of_one_size_lie_side_by_side_before_a_new_length_is_begun():
    levels, unplaced = first_fit.first_fit(task_of(12))
    assert ([level.length_mm for level, _ in levels], unplaced) == ([400, 400, 400], {})


def test_pieces_beyond_the_cloth_are_counted_as_without_a_place():
    levels, unplaced = first_fit.first_fit(task_of(30, length_mm=1_000))
    assert (len(levels), unplaced) == (2, {0: 30 - 2 * 5})


def test_full_lengths_are_not_looked_through_again_for_every_piece(monkeypatch):
    looks = []
    take = first_fit._OpenLevel.take
    monkeypatch.setattr(first_fit._OpenLevel, "take", lambda *args: looks.append(1) or take(*args))
    first_fit.first_fit(task_of(1_000))
    assert len(looks) < 3 * 1_000
