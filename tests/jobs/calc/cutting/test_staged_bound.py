from itertools import product

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.calc.cutting import Problem
from jobs.calc.cutting.staged_bound import staged_bound_mm2
from tests.jobs.calc.cutting.problems import blank, planned, problem, roll, shop_job

sizes = st.tuples(st.integers(1, 4), st.integers(1, 4))


def bound(data: dict, **limits) -> int | None:
    return staged_bound_mm2(Problem.from_json(data), **({"seconds": 60} | limits))


def shared_among_strips(blanks: list) -> list[list[list]]:
    """Every way to put the blanks into strips."""
    if not blanks:
        return [[]]
    first, found = blanks[0], []
    for strips in shared_among_strips(blanks[1:]):
        found.append([[first], *strips])
        found += [[*strips[:at], [first, *strips[at]], *strips[at + 1 :]] for at in range(len(strips))]
    return found


def least_length(width: int, blanks: list[tuple[int, int]], turned: bool) -> int:
    """The shortest length for two stages, by trying every turn of every blank in every strip."""
    ways = product(*(({(a, b), (b, a)} if turned else {(a, b)}) for a, b in blanks))
    return min(
        sum(max(along for _, along in strip) for strip in strips)
        for turns in ways
        for strips in shared_among_strips(list(turns))
        if all(sum(across for across, _ in strip) <= width for strip in strips)
    )


@settings(max_examples=80, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(width=st.integers(4, 7), blanks=st.lists(sizes, min_size=1, max_size=5), turned=st.booleans())
def test_two_stage_bound_is_never_above_the_best_of_all_two_stage_plans(width, blanks, turned):
    data = problem(
        [roll(width_mm=100 * width, length_mm=None)],
        [blank(f"B{n}", 100 * a, 100 * b, turns=[0, 90] if turned else [0]) for n, (a, b) in enumerate(blanks)],
        stages=2,
    )
    best_mm2 = 100 * width * 100 * least_length(width, blanks, turned)
    assert 0 < bound(data) <= best_mm2
    assert planned(data, work_limit=5).cloth_mm2 >= best_mm2


def test_two_stages_cannot_pile_blanks_beside_a_longer_one_and_the_bound_says_so():
    data = problem([roll()], [blank("panel", 600, 900), blank("small", 400, 450, count=2)], stages=2)
    plan = planned(data)
    assert (plan.staged_bound_mm2, plan.cloth_mm2) == (1_350_000, 1_350_000)
    assert plan.bound_mm2 == 900_000
    assert not plan.proved


@pytest.mark.parametrize("rounds", [1, 2, 4])
def test_a_two_stage_bound_that_is_stopped_early_is_still_a_bound(rounds):
    data = shop_job(2, kinds=8) | {"stages": 2}
    assert bound(data, rounds=rounds) <= bound(data) <= planned(data, work_limit=10).cloth_mm2


def test_two_stage_bound_takes_the_narrow_roll_only_as_far_as_it_reaches():
    stock = [roll(id="narrow", width_mm=600, length_mm=400), roll(id="wide", width_mm=1000)]
    data = problem(stock, [blank("panel", 600, 400, count=2)], stages=2)
    assert bound(data) == 600 * 400 + 1000 * 400


@pytest.mark.parametrize("stages", [3, 4])
def test_no_bound_is_claimed_for_stages_that_cannot_be_priced_exactly(stages):
    assert bound(problem([roll()], [blank("panel", 600, 900)], stages=stages)) is None


def test_no_cloth_that_fits_leaves_a_two_stage_bound_of_nothing():
    data = problem([roll(length_mm=500)], [blank("panel", 600, 900)], stages=2)
    assert bound(data) == 0
