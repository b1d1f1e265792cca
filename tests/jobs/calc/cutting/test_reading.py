import pytest

from jobs.calc.cutting import Problem, ProblemError, joined_faults
from tests.jobs.calc.cutting.problems import blank, problem, roll

FAULTS_NESTED = [{"from_mm": 0, "to_mm": 500}, {"from_mm": 100, "to_mm": 200}]
STREAK = {"from_mm": 0, "to_mm": 1000, "across_from_mm": 0, "across_to_mm": 100}
LOCKED = {"stock": "R1", "from_mm": 0, "length_mm": 500, "blanks": []}


def refused(data) -> ProblemError:
    with pytest.raises(ProblemError) as caught:
        Problem.from_json(data)
    return caught.value


@pytest.mark.parametrize(
    ("stock", "path"),
    [
        ({"width_mm": 0}, "$.stock[0].width_mm"),
        ({"width_mm": -5}, "$.stock[0].width_mm"),
        ({"width_mm": float("nan")}, "$.stock[0].width_mm"),
        ({"width_mm": float("inf")}, "$.stock[0].width_mm"),
        ({"width_mm": "1000"}, "$.stock[0].width_mm"),
        ({"width_mm": True}, "$.stock[0].width_mm"),
        ({"width_mm": 10.5}, "$.stock[0].width_mm"),
        ({"trim_mm": 500}, "$.stock[0].trim_mm"),
        ({"trim_mm": -1}, "$.stock[0].trim_mm"),
        ({"length_mm": 0}, "$.stock[0].length_mm"),
        ({"kind": "sheet"}, "$.stock[0].kind"),
        ({"id": ""}, "$.stock[0].id"),
        ({"cost_per_m2": -1}, "$.stock[0].cost_per_m2"),
        ({"faults": [{"from_mm": 9000, "to_mm": 11_000}]}, "$.stock[0].faults[0].to_mm"),
        ({"faults": [{"from_mm": 500, "to_mm": 500}]}, "$.stock[0].faults[0].to_mm"),
        ({"faults": FAULTS_NESTED}, "$.stock[0].faults[1]"),
        ({"faults": [{"from_mm": 300, "to_mm": 600}, {"from_mm": 0, "to_mm": 400}]}, "$.stock[0].faults[1]"),
        ({"faults": [STREAK, STREAK | {"from_mm": 500, "across_from_mm": 50}]}, "$.stock[0].faults[1]"),
        ({"faults": "none"}, "$.stock[0].faults"),
    ],
)
def test_stock_that_cannot_be_is_refused_at_its_place(stock, path):
    assert refused(problem([roll(**stock)], [blank("B", 100, 100)])).path == path


@pytest.mark.parametrize(
    ("changes", "path"),
    [
        ({"across_mm": 0}, "$.blanks[0].across_mm"),
        ({"along_mm": -1}, "$.blanks[0].along_mm"),
        ({"count": 0}, "$.blanks[0].count"),
        ({"count": 1_000_000}, "$.blanks[0].count"),
        ({"turns": [45]}, "$.blanks[0].turns[0]"),
        ({"turns": []}, "$.blanks[0].turns"),
        ({"across_mm": 1001}, "$.blanks[0].across_mm"),
    ],
)
def test_blanks_that_cannot_be_are_refused_at_their_place(changes, path):
    assert refused(problem([roll()], [blank("B", 100, 100) | changes])).path == path


@pytest.mark.parametrize(
    ("changes", "path"),
    [
        ({"stages": 5}, "$.stages"),
        ({"allowance_mm": -1}, "$.allowance_mm"),
        ({"blanks": []}, "$.blanks"),
        ({"blanks": [blank("B", 9, 9), blank("B", 8, 8)]}, "$.blanks[1].id"),
        ({"blanks": [blank(f"B{n}", 9, 9, count=1999) for n in range(2)]}, "$.blanks"),
        ({"stock": [roll(), roll()]}, "$.stock[1].id"),
        ({"forbidden": ["R9"]}, "$.forbidden[0]"),
        ({"pins": [{"blank": "X", "stock": "R1"}]}, "$.pins[0].blank"),
        ({"pins": [{"blank": "B", "stock": "R9"}]}, "$.pins[0].stock"),
        ({"locked_strips": [LOCKED, LOCKED]}, "$.locked_strips[1]"),
        ({"locked_strips": [LOCKED | {"stock": "R9"}]}, "$.locked_strips[0].stock"),
        ({"locked_strips": [LOCKED | {"from_mm": 9900}]}, "$.locked_strips[0]"),
    ],
)
def test_problems_that_make_no_sense_are_refused_at_their_place(changes, path):
    assert refused(problem([roll()], [blank("B", 100, 100)]) | changes).path == path


@pytest.mark.parametrize("data", [None, [], "text", 3, {"stock": []}])
def test_what_is_not_a_problem_is_refused(data):
    assert refused(data).path.startswith("$")


def test_a_blank_wider_than_every_roll_is_told_to_be_split():
    error = refused(problem([roll()], [blank("deck", 1200, 800)]))
    assert "'deck' needs 1200 mm across and the widest cloth has 1000 mm" in error.message


def test_a_wide_blank_that_may_turn_is_taken():
    assert Problem.from_json(problem([roll()], [blank("deck", 1200, 800, turns="any")])).blanks[0].turns == (0, 90)


def test_faults_side_by_side_or_end_to_end_do_not_overlap():
    faults = [STREAK, STREAK | {"across_from_mm": 100, "across_to_mm": 200}, {"from_mm": 1000, "to_mm": 1100}]
    assert joined_faults(Problem.from_json(problem([roll(faults=faults)], [blank("B", 100, 100)]))) == []
