"""Reading worked examples: files of cases, checked strictly so that a slip in a file is seen and not skipped."""

import json
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

KINDS = ("right", "wrong", "refused")
CERTAINTIES = ("definition", "read", "read second-hand", "calculated", "memory, confirmed by calculation", "practice")
REQUIRED = {"id", "source", "certainty", "calculation", "inputs", "expected", "kind"}
OPTIONAL = {"tolerance", "note"}


class CaseFileError(ValueError):
    """A file of worked examples that does not keep to the form."""


@dataclass(frozen=True)
class Case:
    file: str
    id: str
    source: str
    certainty: str
    calculation: str
    inputs: dict[str, Any]
    expected: Any
    kind: str
    tolerance: Any = "exact"
    note: str = ""

    def __str__(self) -> str:
        return f"{Path(self.file).stem}:{self.id}"


def read_folder(folder: Path, calculations: dict) -> list[Case]:
    """Every case of every .json file in a folder; raises CaseFileError for a bad or empty folder, file or case."""
    files = sorted(folder.glob("*.json"))
    if not files:
        raise CaseFileError(f"{folder} holds no .json file of worked examples.")
    cases = [case for file in files for case in read_file(file, calculations)]
    seen = [case.id for case in cases]
    twice = sorted({name for name in seen if seen.count(name) > 1})
    if twice:
        raise CaseFileError(f"{folder}: these ids stand twice: {', '.join(twice)}.")
    return cases


def read_file(file: Path, calculations: dict) -> list[Case]:
    try:
        rows = json.loads(file.read_text(encoding="utf-8"), parse_float=Decimal)
    except ValueError as error:
        raise CaseFileError(f"{file}: not JSON: {error}") from error
    if not isinstance(rows, list) or not rows:
        raise CaseFileError(f"{file}: a file is a list of at least one case.")
    return [_case(file, row, calculations) for row in rows]


def _case(file: Path, row: Any, calculations: dict) -> Case:
    def refuse(what: str):
        name = row.get("id", "case without id") if isinstance(row, dict) else row
        return CaseFileError(f"{file}: {name}: {what}")

    if not isinstance(row, dict) or REQUIRED - row.keys() or row.keys() - REQUIRED - OPTIONAL:
        raise refuse(f"a case has exactly {sorted(REQUIRED)} and may have {sorted(OPTIONAL)}.")
    if row["calculation"] not in calculations:
        raise refuse(f"no calculation is called “{row['calculation']}”. Known: {', '.join(sorted(calculations))}.")
    if row["kind"] not in KINDS or row["certainty"] not in CERTAINTIES:
        raise refuse(f"kind is one of {KINDS}, certainty one of {CERTAINTIES}.")
    if not isinstance(row["inputs"], dict) or not str(row["source"]).strip():
        raise refuse("inputs is an object and source is not empty.")
    if row["kind"] == "refused" and not (
        isinstance(row["expected"], dict) and row["expected"].keys() == {"error", "says"}
    ):
        raise refuse("a refused case expects an object of error (class name) and says (words of its message).")
    _check_tolerance(row.get("tolerance", "exact"), refuse)
    return Case(file=str(file), **row)


def _check_tolerance(tolerance: Any, refuse) -> None:
    if tolerance == "exact":
        return
    if not isinstance(tolerance, dict) or len(tolerance) != 1 or not tolerance.keys() <= {"relative", "absolute"}:
        raise refuse('tolerance is "exact", {"relative": x} or {"absolute": x}.')
    size = next(iter(tolerance.values()))
    if not isinstance(size, int | Decimal) or size <= 0:
        raise refuse("a tolerance is a number above zero.")


def agrees(actual: Any, expected: Any, tolerance: Any) -> bool:
    """Whether a result agrees with what is expected: whole values, lists and objects of the same shape."""
    if isinstance(expected, dict):
        same = isinstance(actual, dict) and actual.keys() == expected.keys()
        return same and all(agrees(actual[key], expected[key], tolerance) for key in expected)
    if isinstance(expected, list):
        same = isinstance(actual, list | tuple) and len(actual) == len(expected)
        return same and all(agrees(a, e, tolerance) for a, e in zip(actual, expected, strict=True))
    if isinstance(expected, int | Decimal) and not isinstance(expected, bool):
        return not isinstance(actual, bool | str | None) and _near(_fraction(actual), Fraction(expected), tolerance)
    return actual == expected


def _fraction(number: Any) -> Fraction:
    return Fraction(repr(number)) if isinstance(number, float) else Fraction(number)


def _near(actual: Fraction, expected: Fraction, tolerance: Any) -> bool:
    if tolerance == "exact":
        return actual == expected
    if "absolute" in tolerance:
        return abs(actual - expected) <= Fraction(tolerance["absolute"])
    return abs(actual - expected) <= Fraction(tolerance["relative"]) * abs(expected)
