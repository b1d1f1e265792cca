"""The independent checker must see what is wrong, or its silence means nothing."""

from copy import deepcopy

import pytest

from tests.cutting_checker import errors, stages_needed
from tests.jobs.calc.cutting.problems import blank, planned, problem, roll

DATA = problem(
    [roll(length_mm=4000, trim_mm=10, faults=[{"from_mm": 2000, "to_mm": 2100}])],
    [blank("a", 480, 400, count=2), blank("b", 300, 200, count=3)],
)


@pytest.fixture
def plan() -> dict:
    return deepcopy(planned(DATA).to_json())


def placed(plan: dict) -> dict:
    return plan["strips"][0]["blanks"][0]


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (lambda plan: placed(plan).update(x_mm=700), "over the edge"),
        (lambda plan: placed(plan).update(y_mm=5000), "over the end of its strip"),
        (lambda plan: placed(plan).update(across_mm=100), "wrong size"),
        (lambda plan: placed(plan).update(turned=True), "against its grain"),
        (lambda plan: placed(plan).update(id="z"), "unknown blank"),
        (lambda plan: placed(plan).update(plan["strips"][0]["blanks"][1]), "overlap"),
        (lambda plan: plan["strips"][0].update(from_mm=1900), "runs over the fault"),
        (lambda plan: plan["strips"][0].update(from_mm=3999), "off the roll"),
        (lambda plan: plan["strips"].append(plan["strips"][0]), "not in cutting order"),
        (lambda plan: plan["strips"].pop(), "placed"),
        (lambda plan: plan.update(cloth_mm2=1), "cloth is"),
        (lambda plan: plan.update(bound_mm2=10**12), "above the cloth"),
        (lambda plan: plan.update(status="short"), "status"),
        (lambda plan: plan.update(proved=not plan["proved"]), "proved"),
    ],
)
def test_a_spoilt_plan_is_seen(plan, spoil, told):
    spoil(plan)
    assert any(told in line for line in errors(DATA, plan))


def test_side_by_side_needs_two_stages_and_a_pile_beside_them_three():
    assert stages_needed([(0, 0, 5, 9), (5, 0, 9, 9)]) == 2
    assert stages_needed([(0, 0, 5, 9), (5, 0, 9, 4), (5, 4, 9, 9)]) == 3
    assert stages_needed([(0, 0, 5, 9), (5, 0, 9, 4), (5, 4, 7, 9), (7, 4, 9, 9)]) == 4


def test_a_pinwheel_cannot_be_cut_straight_through():
    assert stages_needed([(0, 0, 2, 1), (2, 0, 3, 2), (1, 2, 3, 3), (0, 1, 1, 3)]) is None
