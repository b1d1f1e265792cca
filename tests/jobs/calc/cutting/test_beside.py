from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.calc.cutting.beside import shared_out
from tests.jobs.calc.cutting.problems import blank, planned, problem, roll

STREAK = {"from_mm": 0, "to_mm": 2000, "across_from_mm": 500, "across_to_mm": 600}


def beside_a_streak(blanks: list[dict], **changes) -> dict:
    return problem([roll(length_mm=2000, faults=[STREAK])], blanks, **changes)


def test_a_strip_behind_a_streak_is_saved_by_the_narrow_side():
    stock = [roll(length_mm=2000, faults=[STREAK]), roll(id="R2", width_mm=450)]
    blanks = [blank("wide", 480, 1900), blank("narrow", 300, 1500)]
    assert planned(problem(stock, blanks)).cloth_mm2 == 1900 * 1000


def test_both_sides_of_a_streak_are_cut_at_once():
    plan = planned(beside_a_streak([blank("wide", 480, 1500), blank("narrow", 400, 1500)]))
    assert [(strip.from_mm, strip.length_mm) for strip in plan.strips] == [(0, 1500)]
    assert {(placed.id, placed.x_mm) for placed in plan.strips[0].blanks} == {("wide", 0), ("narrow", 600)}


def test_patches_are_piled_on_the_narrow_side_of_a_streak():
    blanks = [blank("wide", 480, 1500), blank("patch", 350, 500, count=3)]
    assert planned(beside_a_streak(blanks)).cloth_mm2 == 1500 * 1000


def test_two_stages_lay_patches_beside_a_streak_one_by_one():
    blanks = [blank("wide", 480, 1500), blank("patch", 350, 500, count=3)]
    assert planned(beside_a_streak(blanks, stages=2)).cloth_mm2 == 2000 * 1000


def test_what_stays_beside_a_streak_is_kept_as_an_offcut():
    plan = planned(beside_a_streak([blank("wide", 480, 1500)]))
    assert (0, 1500, 600, 400) in {(o.from_mm, o.length_mm, o.x_mm, o.width_mm) for o in plan.offcuts}


SPOT = {"from_mm": 800, "to_mm": 900, "across_from_mm": 0, "across_to_mm": 250}


def test_a_blank_longer_than_the_fault_lies_beside_it_where_cloth_is_short():
    plan = planned(problem([roll(length_mm=1800, faults=[SPOT])], [blank("panel", 700, 1500)]))
    assert [(strip.length_mm, strip.blanks[0].x_mm) for strip in plan.strips] == [(1500, 250)]


def test_a_blank_beside_a_short_fault_may_reach_to_the_free_end_or_past_it():
    for at_mm in (0, 1700):
        fault = SPOT | {"from_mm": at_mm, "to_mm": at_mm + 100}
        plan = planned(problem([roll(length_mm=1800, faults=[fault])], [blank("panel", 700, 1750)]))
        assert plan.complete


def test_a_blank_beside_one_fault_stays_clear_of_the_next():
    faults = [SPOT, {"from_mm": 1200, "to_mm": 1210}]
    plan = planned(
        problem([roll(length_mm=1800, faults=faults)], [blank("panel", 700, 1000), blank("long", 700, 1500)])
    )
    assert [placed.id for strip in plan.strips for placed in strip.blanks] == ["panel"]
    assert [line.id for line in plan.unplaced] == ["long"]


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.lists(st.integers(1, 9), max_size=6), st.lists(st.integers(1, 15), min_size=1, max_size=3))
def test_widths_are_shared_out_without_overfilling_a_room(widths, rooms):
    place = shared_out(widths, rooms)
    if place is not None:
        for number, room in enumerate(rooms):
            assert sum(width for width, at in zip(widths, place, strict=True) if at == number) <= room
    else:
        assert sum(widths) > sum(rooms) - (len(rooms) * (max(widths) - 1))


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    start=st.integers(0, 8),
    left=st.integers(1, 6),
    blanks=st.lists(st.tuples(st.integers(1, 6), st.integers(1, 9)), min_size=2, max_size=7),
    stages=st.integers(2, 4),
)
def test_plans_beside_a_fault_anywhere_on_the_roll_are_right(start, left, blanks, stages):
    fault = {"from_mm": 100 * start, "to_mm": 100 * start + 1200}
    fault |= {"across_from_mm": 100 * left, "across_to_mm": 100 * left + 150}
    data = problem(
        [roll(length_mm=4000, trim_mm=20, faults=[fault])],
        [blank(f"B{n}", 90 * across, 100 * along, turns=[0, 90]) for n, (across, along) in enumerate(blanks)],
        stages=stages,
    )
    planned(data, work_limit=4)
