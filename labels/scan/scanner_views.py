"""A page that shows what a keyboard scanner really types."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from labels.calc.qr_payload import NotALabelError, Scanned, scan
from labels.calc.scanner_check import TEST_TEXT, check_scanner, named
from labels.drawing.qr_matrix import QUIET_MODULES, matrix_of, runs_of
from shopstock.calc.stock_code import WrongCodeError
from shopstock.roles import allow

MOST_SHOWN = 120


@allow("look")
def scan_test(request: HttpRequest) -> HttpResponse:
    arrived = request.GET.get("text", "")[:1000]
    matrix = matrix_of(TEST_TEXT)
    context = {"runs": runs_of(matrix), "side": len(matrix) + 2 * QUIET_MODULES, "arrived": arrived}
    if arrived:
        context |= _found(arrived)
    return render(request, "scan/scanner.html", context)


def _found(arrived: str) -> dict:
    check = check_scanner(arrived)
    scanned, wrong = _read(arrived)
    return {
        "characters": [named(character) for character in arrived[:MOST_SHOWN]],
        "check": check,
        "is_test": _is_test(arrived),
        "scanned": scanned,
        "mended": scanned and scanned.kind and f"/{scanned.kind}/{scanned.code}" not in arrived.upper(),
        "wrong": wrong,
    }


def _read(arrived: str) -> tuple[Scanned | None, str]:
    try:
        return scan(arrived), ""
    except (NotALabelError, WrongCodeError) as error:
        return None, str(error)


def _is_test(arrived: str) -> bool:
    """More than half of it stands where it stands in the test code."""
    same = sum(sent == got for sent, got in zip(TEST_TEXT, arrived.upper(), strict=False))
    return same * 2 > len(TEST_TEXT)
