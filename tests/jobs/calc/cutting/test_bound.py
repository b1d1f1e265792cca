from itertools import product

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.calc.cutting import Problem
from jobs.calc.cutting.bound import cloth_bound_mm2
from tests.jobs.calc.cutting.problems import blank, cut_up, planned, problem, roll

sizes = st.tuples(st.integers(1, 4), st.integers(1, 4))


def bound(data: dict) -> int:
    return cloth_bound_mm2(Problem.from_json(data), seconds=60)


def least_length(width: int, blanks: list[tuple[int, int]], turned: bool) -> int:
    """The shortest strip that takes the blanks in any arrangement, by trying every place on the grid."""
    length = -(-sum(across * along for across, along in blanks) // width)
    while not any(_fits(width, length, ways) for ways in _ways(blanks, turned)):
        length += 1
    return length


def _ways(blanks, turned):
    return product(*(({(a, b), (b, a)} if turned else {(a, b)}) for a, b in blanks))


def _fits(width: int, length: int, blanks, taken: int = 0) -> bool:
    if not blanks:
        return True
    (across, along), rest = blanks[0], blanks[1:]
    row = (1 << across) - 1
    shape = sum(row << (width * y) for y in range(along))
    for y in range(length - along + 1):
        for x in range(width - across + 1):
            here = shape << (width * y + x)
            if not here & taken and _fits(width, length, rest, taken | here):
                return True
    return False


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(width=st.integers(4, 6), blanks=st.lists(sizes, min_size=1, max_size=5), turned=st.booleans())
def test_bound_is_never_above_the_best_of_all_arrangements(width, blanks, turned):
    turns = [0, 90] if turned else [0]
    data = problem(
        [roll(width_mm=100 * width, length_mm=None)],
        [blank(f"B{n}", 100 * across, 100 * along, turns=turns) for n, (across, along) in enumerate(blanks)],
    )
    best_mm2 = 100 * width * 100 * least_length(width, blanks, turned)
    assert bound(data) <= best_mm2
    assert planned(data, work_limit=10).cloth_mm2 >= best_mm2


@settings(max_examples=40, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10_000))
def test_bound_of_a_rectangle_cut_up_without_waste_is_that_rectangle(seed):
    data, length_mm = cut_up(seed)
    assert bound(data) == 1000 * length_mm


def test_bound_sees_that_wide_blanks_cannot_lie_side_by_side():
    assert bound(problem([roll()], [blank("wide", 600, 400, count=3)])) == 3 * 400 * 1000


def test_bound_takes_the_narrow_roll_only_as_far_as_it_reaches():
    stock = [roll(id="narrow", width_mm=600, length_mm=400), roll(id="wide", width_mm=1000)]
    assert bound(problem(stock, [blank("panel", 600, 400, count=2)])) == 600 * 400 + 1000 * 400


def test_bound_knows_that_a_long_blank_does_not_fit_between_faults():
    stock = [
        roll(id="narrow", width_mm=500, length_mm=1000, faults=[{"from_mm": 450, "to_mm": 550}]),
        roll(id="wide", width_mm=900),
    ]
    assert bound(problem(stock, [blank("strip", 500, 600)])) == 900 * 600


def test_bound_with_a_fault_of_part_of_the_width_is_no_more_than_without_it():
    fault = {"from_mm": 0, "to_mm": 2000, "across_from_mm": 0, "across_to_mm": 300}
    blanks = [blank("panel", 700, 1000, count=2)]
    assert bound(problem([roll(faults=[fault])], blanks)) == bound(problem([roll()], blanks))


def test_bound_counts_a_locked_strip_as_it_was_marked_out():
    locked = {"stock": "R1", "from_mm": 0, "length_mm": 700, "blanks": []}
    assert bound(problem([roll()], [blank("panel", 1000, 300)], locked_strips=[locked])) == 1000 * (700 + 300)


@pytest.mark.parametrize("rounds", [1, 2, 5])
def test_bound_that_is_stopped_early_is_still_a_bound(rounds):
    data, length_mm = cut_up(seed=11)
    stopped = cloth_bound_mm2(Problem.from_json(data), rounds=rounds, seconds=60)
    assert 0 < stopped <= 1000 * length_mm
