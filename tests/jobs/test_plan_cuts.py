import json
from io import StringIO

import pytest
from django.core.management import call_command

from tests.cutting_checker import errors
from tests.jobs.calc.cutting.problems import blank, problem, roll, shop_job


def run(tmp_path, data, *options) -> tuple[int, str, str]:
    file = tmp_path / "job.json"
    file.write_text(data if isinstance(data, str) else json.dumps(data))
    out, err = StringIO(), StringIO()
    try:
        call_command("plan_cuts", str(file), "--work-limit=15", "--workers=1", *options, stdout=out, stderr=err)
    except SystemExit as left:
        return left.code, out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def test_a_job_is_planned_from_a_file_without_a_database(tmp_path):
    data = shop_job(2)
    code, out, _ = run(tmp_path, data, "--json")
    plan = json.loads(out)
    assert (code, plan["status"], errors(data, plan)) == (0, "complete", [])
    assert list(plan) == [
        "name", "status", "strips", "offcuts", "dead_ends", "cloth_mm2", "bound_mm2", "gap", "proved", "seconds",
        "unplaced", "staged_bound_mm2",
    ]  # fmt: skip


def test_faults_whose_ends_overlap_are_joined_and_said(tmp_path):
    faults = [{"from_mm": 520, "to_mm": 840}, {"from_mm": 800, "to_mm": 1030}]
    code, _, err = run(tmp_path, problem([roll(faults=faults)], [blank("panel", 900, 400)]))
    word = "$.stock[0].faults[1]: overlaps faults[0] by 40 mm; planned as one fault from 520 to 1030 mm\n"
    assert (code, err) == (0, f"{tmp_path / 'job.json'}: {word}")


def test_the_stages_asked_for_override_the_file(tmp_path):
    data = shop_job(2)
    code, out, _ = run(tmp_path, data, "--json", "--stages=2")
    assert (code, errors(data | {"stages": 2}, json.loads(out))) == (0, [])


def test_a_shortage_leaves_with_three_and_says_why(tmp_path):
    code, out, _ = run(tmp_path, problem([roll(length_mm=500)], [blank("panel", 900, 400, count=2)]))
    assert code == 3
    assert "no cloth for 1 of panel: 0.8 m needed at least 0.90 m wide, 0.50 m on the racks" in out


@pytest.mark.parametrize(
    ("data", "told"),
    [
        ("{", "not JSON"),
        ('{"stock": [], "blanks": [{"id": "a", "across_mm": NaN, "along_mm": 1}]}', "$.blanks[0].across_mm"),
        ("[" * 100_000, "not JSON"),
        ("[]", "$: must be an object"),
    ],
)
def test_bad_input_leaves_with_two_and_names_the_place(tmp_path, data, told):
    code, out, err = run(tmp_path, data)
    assert (code, out) == (2, "")
    assert told in err


@pytest.mark.parametrize("seconds", ["0", "86400"])
def test_a_time_budget_out_of_reason_leaves_with_two(tmp_path, seconds):
    code, _, err = run(tmp_path, shop_job(2), f"--seconds={seconds}")
    assert (code, "seconds" in err) == (2, True)


def test_a_file_that_is_not_there_leaves_with_two():
    with pytest.raises(SystemExit) as left:
        call_command("plan_cuts", "nowhere.json", stderr=StringIO())
    assert left.value.code == 2


def test_two_stages_are_told_beside_the_least_that_they_could_use(tmp_path):
    data = problem([roll()], [blank("panel", 600, 900), blank("small", 400, 450, count=2)], stages=2)
    _, out, _ = run(tmp_path, data)
    assert "no plan whatever can use less than 0.90 m²\n" in out
    assert "no plan within the stages can use less than 1.35 m² (this is one)\n" in out
