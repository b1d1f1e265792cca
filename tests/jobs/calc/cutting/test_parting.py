from collections import Counter
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.calc.cutting import Problem
from jobs.calc.cutting.levels import Task, make_task
from jobs.calc.cutting.parting import parted
from tests.jobs.calc.cutting.problems import blank, planned, problem, roll


def level_of(columns: list[list[int]]):
    """A level of columns 100 mm wide with rows of these lengths in tenths of a metre."""
    lengths = sorted({row for column in columns for row in column})
    data = problem([roll()], [blank(f"B{row}", 100, 100 * row, count=9) for row in lengths])
    task = make_task(Problem.from_json(data))
    return task, task.level(tuple(tuple((lengths.index(row),) for row in column) for column in columns))


def lengths_mm(columns: list[list[int]]) -> list[int]:
    task, level = level_of(columns)
    return sorted(part.length_mm for part in parted(task, level))


def can_be_cut(task: Task, level) -> bool:
    """Whether any share of the rows between two sides makes two strips as long as the level, by trying them all."""
    columns = [[task.shapes[shape].along_mm for (shape,) in column] for column in level.columns]
    rows = [(number, along) for number, column in enumerate(columns) for along in column]
    for sides in product((0, 1), repeat=len(rows)):
        if len(set(sides)) == 2:
            used = Counter()
            for (column, along), side in zip(rows, sides, strict=True):
                used[column, side] += along
            if sum(max(used[c, side] for c in range(len(columns))) for side in (0, 1)) <= level.length_mm:
                return True
    return False


def test_two_columns_with_the_same_rows_in_another_order_are_two_strips():
    assert lengths_mm([[3, 7], [7, 3]]) == [300, 700]


def test_rows_that_only_add_up_to_another_are_cut_together():
    assert lengths_mm([[2, 3, 4], [5, 4]]) == [400, 500]


def test_a_column_shorter_than_the_strip_goes_where_it_fits():
    assert lengths_mm([[4, 6], [5]]) == [400, 600]


def test_rows_that_interlock_stay_one_strip():
    assert lengths_mm([[4, 6], [5, 5]]) == [1000]


@settings(max_examples=80, deadline=None, derandomize=True)
@given(st.lists(st.lists(st.integers(1, 6), min_size=1, max_size=3), min_size=2, max_size=3))
def test_no_part_can_be_cut_again_and_no_blank_is_lost(columns):
    task, level = level_of(columns)
    parts = parted(task, level)
    assert sum(part.length_mm for part in parts) <= level.length_mm
    assert sum((Counter(dict(part.counts)) for part in parts), Counter()) == Counter(dict(level.counts))
    assert not any(len(part.columns) > 1 and can_be_cut(task, part) for part in parts)


def test_a_plan_holds_no_strip_that_one_cut_across_the_roll_would_part():
    blanks = [blank("a", 500, 300, count=4), blank("b", 500, 700, count=4)]
    plan = planned(problem([roll()], blanks), work_limit=10)
    assert sorted(strip.length_mm for strip in plan.strips) == [300, 300, 700, 700]
