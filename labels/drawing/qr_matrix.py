"""The dark and light modules of a label's QR code, without quiet zone."""

from functools import lru_cache

import qrcode

from labels.calc.qr_payload import symbol_version

QUIET_MODULES = 4

Matrix = tuple[tuple[bool, ...], ...]
Run = tuple[int, int, int]


@lru_cache(maxsize=4096)
def matrix_of(payload: str) -> Matrix:
    code = qrcode.QRCode(
        version=symbol_version(payload), error_correction=qrcode.constants.ERROR_CORRECT_Q, border=0, box_size=1
    )
    code.add_data(payload, optimize=0)
    code.make(fit=False)
    return tuple(tuple(bool(module) for module in row) for row in code.get_matrix())


def runs_of(matrix: Matrix) -> list[Run]:
    """Dark modules joined along each row: (row, first column, modules)."""
    return [(number, *run) for number, row in enumerate(matrix) for run in _row_runs(row)]


def _row_runs(row: tuple[bool, ...]) -> list[tuple[int, int]]:
    runs, start = [], None
    for column, dark in enumerate((*row, False)):
        if dark and start is None:
            start = column
        elif not dark and start is not None:
            runs.append((start, column - start))
            start = None
    return runs
