"""The dark and light modules of a label's QR code, without quiet zone."""

from functools import lru_cache

import numpy as np
import qrcode

from labels.calc.qr_payload import symbol_version
from labels.drawing.qr_penalty import penalties

QUIET_MODULES = 4

Matrix = tuple[tuple[bool, ...], ...]
Run = tuple[int, int, int]

_MASKS = range(8)


@lru_cache(maxsize=4096)
def matrix_of(payload: str) -> Matrix:
    """The symbol that `qrcode` makes, with the mask that it would choose, found in a quarter of the time.

    What another mask changes in a symbol does not depend on its text, so only one of the eight is worked out module
    by module.
    """
    version = symbol_version(payload)
    changes, info = _changes_by_mask(version)
    symbols = _made(payload, version, mask=0) ^ changes
    best = int(np.argmin(penalties(symbols & ~info)))
    return tuple(map(tuple, symbols[best].tolist()))


def _made(payload: str, version: int, mask: int) -> np.ndarray:
    code = _symbol(payload, version, mask)
    code.make(fit=False)
    return np.array(code.get_matrix(), dtype=bool)


def _symbol(payload: str, version: int, mask: int) -> qrcode.QRCode:
    code = qrcode.QRCode(
        version=version,
        error_correction=qrcode.constants.ERROR_CORRECT_Q,
        border=0,
        box_size=1,
        mask_pattern=mask,
    )
    code.add_data(payload, optimize=0)
    return code


@lru_cache(maxsize=2)
def _changes_by_mask(version: int) -> tuple[np.ndarray, np.ndarray]:
    """For each mask the modules that differ from mask 0; and the modules that name the mask, which do not count
    when masks are compared."""
    made = np.array([_made("A", version, mask) for mask in _MASKS])
    return made ^ made[0], np.any(made & ~_without_info(version), axis=0)


def _without_info(version: int) -> np.ndarray:
    symbols = []
    for mask in _MASKS:
        code = _symbol("A", version, mask)
        code.makeImpl(True, mask)
        symbols.append(code.modules)
    return np.array(symbols, dtype=bool)


def runs_of(matrix: Matrix) -> list[Run]:
    """Dark modules joined along each row: (row, first column, modules)."""
    framed = np.pad(np.array(matrix, dtype=np.int8), ((0, 0), (1, 1)))
    steps = np.diff(framed, axis=1)
    rows, begins = np.nonzero(steps == 1)
    ends = np.nonzero(steps == -1)[1]
    return list(zip(rows.tolist(), begins.tolist(), (ends - begins).tolist(), strict=True))
