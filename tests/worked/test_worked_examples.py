"""Every worked example of fixtures/worked, and of the folder given with --worked, against the calculations."""

from pathlib import Path

import pytest

from tests.worked.calculations import CALCULATIONS
from tests.worked.case_files import Case, agrees, read_folder

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "worked"
# So wide that only a different shape or a different word can disagree.
ANY_NUMBER = {"absolute": 10**15}


def pytest_generate_tests(metafunc):
    further = metafunc.config.getoption("--worked")
    folders = [FOLDER, Path(further)] if further else [FOLDER]
    cases = [case for folder in folders for case in read_folder(folder, CALCULATIONS)]
    metafunc.parametrize("case", cases, ids=str)


def test_worked_example_agrees_with_its_source(case: Case):
    calculate = CALCULATIONS[case.calculation]
    if case.kind == "refused":
        with pytest.raises(ValueError) as caught:  # noqa: PT011 - the class is compared by name below
            calculate(**case.inputs)
        assert type(caught.value).__name__ == case.expected["error"]
        assert case.expected["says"] in str(caught.value)
        return
    result = calculate(**case.inputs)
    assert agrees(result, case.expected, ANY_NUMBER), f"{result} has not the shape of {case.expected}"
    should_agree = case.kind == "right"
    assert agrees(result, case.expected, case.tolerance) is should_agree, f"{result} {case.kind} {case.expected}"
