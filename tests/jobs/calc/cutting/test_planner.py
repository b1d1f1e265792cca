import pytest

from jobs.calc.cutting import Problem, ProblemError, plan_cuts, worth
from jobs.calc.cutting.first_fit import first_fit
from jobs.calc.cutting.homes import settled_task
from jobs.calc.cutting.search import Search
from jobs.calc.cutting.worth import settled
from tests.cutting_checker import errors
from tests.jobs.calc.cutting.problems import blank, cut_up, planned, problem, published_c1_p2, roll, shop_job


@pytest.mark.parametrize("seed", range(6))
def test_a_rectangle_cut_up_at_random_is_put_together_within_a_tenth(seed):
    data, length_mm = cut_up(seed)
    plan = planned(data, work_limit=60)
    assert plan.cloth_mm2 <= 1.1 * 1000 * length_mm
    assert plan.bound_mm2 == 1000 * length_mm


def test_a_small_cut_up_rectangle_is_proved_best():
    data, length_mm = cut_up(seed=3, levels=2)
    plan = planned(data, work_limit=200)
    assert (plan.cloth_mm2, plan.proved, plan.gap) == (1000 * length_mm, True, 0.0)


def test_a_published_strip_comes_within_one_unit_of_its_optimum():
    plan = planned(published_c1_p2(), work_limit=100)
    assert plan.cloth_mm2 <= 210 * 200
    assert plan.bound_mm2 == 200 * 200


@pytest.mark.parametrize("stages", [2, 3, 4])
def test_a_plan_keeps_to_the_stages_asked_for(stages):
    assert planned(shop_job(1, kinds=9) | {"stages": stages}, work_limit=15).status == "complete"


def test_a_fourth_stage_lays_short_blanks_side_by_side_in_a_column():
    data = problem(
        [roll(width_mm=900)],
        [blank("long", 300, 2000, count=1), blank("tall", 600, 1400), blank("half", 300, 600, count=2)],
    )
    assert planned(data, work_limit=60).cloth_mm2 > 900 * 2000
    assert planned(data | {"stages": 4}, work_limit=60).cloth_mm2 == 900 * 2000


@pytest.mark.parametrize("seed", range(3))
def test_a_shop_job_uses_less_cloth_than_longest_first(seed):
    shown = []
    plan = planned(shop_job(seed, kinds=11), work_limit=30, on_better=shown.append)
    assert plan.cloth_mm2 < 0.95 * shown[0].cloth_mm2
    assert plan.gap < 0.12


def test_every_plan_shown_on_the_way_is_correct_and_better_than_the_one_before():
    data, shown = shop_job(5, kinds=11), []
    planned(data, work_limit=25, on_better=shown.append)
    assert [errors(data, plan.to_json()) for plan in shown] == [[]] * len(shown)
    cloth = [plan.cloth_mm2 for plan in shown]
    assert cloth == sorted(cloth, reverse=True)
    assert cloth[0] > cloth[-1]


def test_the_same_problem_seed_and_work_limit_give_the_same_plan():
    first, second = (planned(shop_job(7, kinds=9), work_limit=15, seed=3).to_json() for _ in range(2))
    assert first | {"seconds": 0} == second | {"seconds": 0}


def test_two_processes_give_the_same_plan_every_time_for_a_work_limit():
    first, second = (planned(shop_job(8, kinds=7), work_limit=10, workers=2).to_json() for _ in range(2))
    assert first | {"seconds": 0} == second | {"seconds": 0}


def test_a_search_that_is_stopped_returns_a_correct_plan():
    asked = []
    plan = planned(shop_job(9), work_limit=100_000, should_stop=lambda: len(asked) > 3 or asked.append(1))
    assert plan.status == "complete"


def test_the_time_ends_a_search_whose_rounds_would_last_longer():
    plan = planned(shop_job(9, kinds=30), seconds=0.5, work_limit=10_000_000)
    assert plan.complete


def test_the_rounds_end_a_search_that_has_time_left():
    first, second = (planned(shop_job(9, kinds=6), seconds=3_000, work_limit=10).to_json() for _ in range(2))
    assert first | {"seconds": 0} == second | {"seconds": 0}


def test_general_millimetres_are_planned_without_overlap():
    data = problem(
        [roll(width_mm=1251, trim_mm=13)],
        [blank("third", 408, 1003, count=6), blank("odd", 333, 777, count=5, turns="any")],
    )
    assert planned(data, work_limit=60).cloth_mm2 <= 1225 * (2 * 1003 + 777 * 2)


def test_a_blank_may_turn_only_when_its_grain_allows():
    blanks = [blank("panel", 300, 900)]
    assert planned(problem([roll()], blanks)).cloth_mm2 == 1000 * 900
    turned = planned(problem([roll()], [blanks[0] | {"turns": [0, 90]}]))
    assert turned.cloth_mm2 == 1000 * 300
    assert turned.strips[0].blanks[0].turned


def test_a_strip_behind_a_fault_is_reached_by_cutting_past_it():
    data = problem(
        [roll(length_mm=4000, faults=[{"from_mm": 800, "to_mm": 1000}])],
        [blank("panel", 900, 1500), blank("b", 900, 1400)],
    )
    plan = planned(data)
    assert [strip.from_mm for strip in plan.strips] == [1000, 2500]
    assert [(piece.from_mm, piece.length_mm) for piece in plan.offcuts] == [(0, 800)]


def test_a_fault_of_part_of_the_width_leaves_the_clear_side_for_use():
    fault = {"from_mm": 0, "to_mm": 2000, "across_from_mm": 0, "across_to_mm": 300}
    plan = planned(problem([roll(length_mm=2000, faults=[fault])], [blank("panel", 700, 2000)]))
    assert [(placed.x_mm, placed.across_mm) for placed in plan.strips[0].blanks] == [(300, 700)]


def test_faults_whose_ends_reach_into_one_another_are_one_long_fault():
    faults = [{"from_mm": 100, "to_mm": 300}, {"from_mm": 260, "to_mm": 500}]
    plan = planned(problem([roll(faults=faults)], [blank("panel", 900, 400)]))
    assert plan.strips[0].from_mm == 500


def test_the_cutting_allowance_keeps_blanks_apart():
    data = problem([roll()], [blank("half", 500, 400, count=2)])
    assert planned(data).cloth_mm2 == 1000 * 400
    assert planned(data | {"allowance_mm": 5}).cloth_mm2 == 1000 * 2 * 405


def test_a_forbidden_roll_is_left_alone():
    data = problem([roll(id="A"), roll(id="B")], [blank("panel", 900, 400)], forbidden=["A"])
    assert [strip.stock for strip in planned(data).strips] == ["B"]


def test_a_pinned_blank_comes_from_its_roll():
    data = problem(
        [roll(id="narrow", width_mm=500), roll(id="wide", width_mm=2000)],
        [blank("panel", 400, 400), blank("other", 400, 400)],
        pins=[{"blank": "panel", "stock": "wide"}],
    )
    plan = planned(data)
    assert ("wide", "panel") in {(strip.stock, placed.id) for strip in plan.strips for placed in strip.blanks}


def test_a_locked_strip_stays_and_the_rest_is_planned_around_it():
    placed = {"id": "panel", "x_mm": 50, "y_mm": 0, "across_mm": 600, "along_mm": 400}
    locked = {"stock": "R1", "from_mm": 1000, "length_mm": 450, "blanks": [placed]}
    data = problem([roll(length_mm=2500)], [blank("panel", 600, 400, count=4)], locked_strips=[locked])
    plan = planned(data)
    assert plan.complete
    assert [(strip.from_mm, strip.length_mm) for strip in plan.strips if strip.from_mm == 1000] == [(1000, 450)]
    assert plan.bound_mm2 == 1000 * (450 + 3 * 400)


def test_a_same_lot_group_comes_from_the_one_lot_that_holds_it():
    stock = [
        roll(id="A", lot="L1", length_mm=900),
        roll(id="B", lot="L2", length_mm=800),
        roll(id="C", lot="L2", length_mm=800),
    ]
    data = problem(stock, [blank("skin", 900, 700, count=2, same_lot="hull"), blank("patch", 900, 850)])
    plan = planned(data)
    assert plan.complete
    assert {strip.stock for strip in plan.strips if strip.blanks[0].id == "skin"} == {"B", "C"}


def test_the_dearer_of_two_rolls_is_left_where_all_have_a_cost():
    data = problem(
        [roll(id="dear", cost_per_m2=30.0), roll(id="cheap", cost_per_m2=10.0)], [blank("panel", 900, 400, count=3)]
    )
    assert {strip.stock for strip in planned(data).strips} == {"cheap"}


def test_a_job_that_fits_a_remnant_leaves_the_roll_unopened():
    data = problem(
        [roll(id="new"), roll(id="rest", kind="remnant", length_mm=1200)], [blank("panel", 900, 400, count=3)]
    )
    assert {strip.stock for strip in planned(data).strips} == {"rest"}


def test_an_opening_charge_is_worth_a_little_cloth():
    stock = [roll(id="narrow", width_mm=900), roll(id="started", kind="remnant", width_mm=950, length_mm=900)]
    data = problem(stock, [blank("panel", 900, 800)])
    assert [strip.stock for strip in planned(data).strips] == ["narrow"]
    charged = planned(data | {"opening_charge_mm2": 100_000})
    assert [strip.stock for strip in charged.strips] == ["started"]


def test_a_roll_is_opened_only_for_more_cloth_than_its_charge():
    stock = [roll(id="new", width_mm=600), roll(id="started", kind="remnant", width_mm=1000)]
    data = problem(stock, [blank("panel", 600, 800, count=3)])
    for charge_mm2, chosen in ((900_000, {"new"}), (1_000_000, {"started"})):  # the new roll saves 3 x 800 x 400 mm2
        plan = planned(data | {"opening_charge_mm2": charge_mm2})
        assert {strip.stock for strip in plan.strips} == chosen


def test_a_shortage_names_the_width_the_length_needed_and_the_length_there_is():
    data = problem(
        [roll(id="A", width_mm=1200, length_mm=1650), roll(id="B", width_mm=900)], [blank("wide", 1000, 1110, count=10)]
    )
    plan = planned(data)
    assert (plan.status, plan.gap, plan.proved) == ("short", None, False)
    assert [(line.id, line.count, line.reason) for line in plan.unplaced] == [
        ("wide", 9, "11.1 m needed at least 1.00 m wide, 1.65 m on the racks")
    ]


def test_a_blank_longer_than_every_clear_stretch_is_named_with_both_lengths():
    data = problem([roll(length_mm=3000, faults=[{"from_mm": 1400, "to_mm": 1600}])], [blank("stringer", 100, 2500)])
    assert planned(data).unplaced[0].reason == (
        "2.50 m long without a fault, and the longest stretch wide enough is 1.40 m"
    )


def test_no_stock_at_all_is_a_shortage_not_a_crash():
    assert planned(problem([], [blank("panel", 100, 100)])).status == "short"


@pytest.mark.parametrize("limits", [{"seconds": 0}, {"seconds": 86_400}, {"seconds": float("nan")}, {"workers": 3}])
def test_limits_that_make_no_sense_are_refused(limits):
    with pytest.raises(ProblemError) as caught:
        plan_cuts(Problem.from_json(shop_job(1)), **limits)
    assert caught.value.path == next(iter(limits))


def test_a_search_that_is_told_that_the_time_is_over_gives_up_in_the_middle():
    task = settled_task(Problem.from_json(shop_job(2)))
    start, _ = first_fit(task)
    shares = []
    search = Search(task, start, 0, over=lambda share: bool(shares.append(share)) or len(shares) > 2)
    assert (search.begin(), search.best, shares) == (False, start, [0.3] * 3)
    assert search.step() is False


def test_the_last_tidying_of_a_plan_ends_when_every_move_cannot_be_tried(monkeypatch):
    data = problem([roll(id=name, length_mm=5000) for name in "ABC"], [blank(f"B{n}", 900, 300 + n) for n in range(9)])
    task = settled_task(Problem.from_json(data | {"opening_charge_mm2": 10**6}))
    spread = [(task.level((((shape,),),)), shape % 3) for shape in range(9)]
    assert len({stretch for _, stretch in settled(task, spread)}) == 1
    monkeypatch.setattr(worth, "MOST_TRIES", 0)
    assert settled(task, spread) == spread
