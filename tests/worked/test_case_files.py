"""A slip in a file of worked examples must stop the run, never be skipped."""

import json
from decimal import Decimal

import pytest

from tests.worked.calculations import CALCULATIONS
from tests.worked.case_files import CaseFileError, agrees, read_folder

GOOD = {
    "id": "a",
    "kind": "right",
    "source": "definition",
    "certainty": "definition",
    "calculation": "convert",
    "inputs": {"value": 1, "from_unit": "in", "to_unit": "mm"},
    "expected": 25.4,
}


def read(tmp_path, *cases):
    (tmp_path / "cases.json").write_text(json.dumps(cases))
    return read_folder(tmp_path, CALCULATIONS)


def test_good_case_is_read_with_exact_numbers(tmp_path):
    assert read(tmp_path, GOOD)[0].expected == Decimal("25.4")


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"calculation": "guess"}, "no calculation is called “guess”"),
        ({"kind": "probably"}, "kind is one of"),
        ({"certainty": "sure"}, "certainty one of"),
        ({"source": " "}, "source is not empty"),
        ({"tolerence": 0.1}, "may have"),
        ({"tolerance": 0.1}, "tolerance is"),
        ({"tolerance": {"relative": 0}}, "above zero"),
        ({"kind": "refused"}, "expects an object of error"),
        ({"inputs": [1]}, "inputs is an object"),
    ],
)
def test_bad_case_is_refused_with_the_reason(tmp_path, change, reason):
    with pytest.raises(CaseFileError, match=reason):
        read(tmp_path, GOOD | change)


def test_case_without_a_source_is_refused(tmp_path):
    with pytest.raises(CaseFileError, match="a case has exactly"):
        read(tmp_path, {key: value for key, value in GOOD.items() if key != "source"})


def test_same_id_twice_is_refused(tmp_path):
    with pytest.raises(CaseFileError, match="ids stand twice: a"):
        read(tmp_path, GOOD, GOOD)


def test_folder_without_cases_is_refused(tmp_path):
    with pytest.raises(CaseFileError, match="holds no .json file"):
        read_folder(tmp_path, CALCULATIONS)


@pytest.mark.parametrize("text", ["{", "[]", "{}"])
def test_file_that_is_no_list_of_cases_is_refused(tmp_path, text):
    (tmp_path / "cases.json").write_text(text)
    with pytest.raises(CaseFileError):
        read_folder(tmp_path, CALCULATIONS)


@pytest.mark.parametrize(
    ("actual", "expected", "tolerance", "verdict"),
    [
        (Decimal("25.4"), Decimal("25.4"), "exact", True),
        (25.400001, Decimal("25.4"), "exact", False),
        (25.400001, Decimal("25.4"), {"relative": Decimal("1e-6")}, True),
        (26, Decimal("25.4"), {"absolute": Decimal("0.5")}, False),
        ([1, 2], [1, 2, 3], "exact", False),
        ({"a": 1}, {"b": 1}, "exact", False),
        (True, 1, "exact", False),
        ("1", 1, "exact", False),
    ],
)
def test_agreement_needs_the_same_shape_and_the_tolerance(actual, expected, tolerance, verdict):
    assert agrees(actual, expected, tolerance) is verdict
