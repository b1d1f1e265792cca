"""The dark and light modules of a label's QR code, without quiet zone."""

from functools import lru_cache

import numpy as np

from labels.calc.qr_payload import symbol_version
from labels.drawing.qr_penalty import penalties
from labels.drawing.qr_symbol import blank, symbol_of

QUIET_MODULES = 4

Matrix = tuple[tuple[bool, ...], ...]
Run = tuple[int, int, int]

_MASKS = range(8)


@lru_cache(maxsize=4096)
def matrix_of(payload: str) -> Matrix:
    """The symbol that `qrcode` makes, with the mask that it would choose, found in a small part of the time.

    What another mask changes in a symbol does not depend on its text either.
    """
    version = symbol_version(payload)
    changes, info = _changes_by_mask(version)
    symbols = symbol_of(payload, version) ^ changes
    best = int(np.argmin(penalties(symbols & ~info)))
    return tuple(map(tuple, symbols[best].tolist()))


@lru_cache(maxsize=2)
def _changes_by_mask(version: int) -> tuple[np.ndarray, np.ndarray]:
    """For each mask the modules that differ from mask 0; and the modules that name the mask, which do not count
    when masks are compared."""
    made = _in_every_mask(version, test=False)
    return made ^ made[0], np.any(made & ~_in_every_mask(version, test=True), axis=0)


def _in_every_mask(version: int, test: bool) -> np.ndarray:
    """Any text in each mask; as the library tests masks, without their names."""
    symbols = []
    for mask in _MASKS:
        code = blank(version, mask)
        code.add_data("A", optimize=0)
        code.makeImpl(test, mask)
        symbols.append(code.modules)
    return np.array(symbols, dtype=bool)


def runs_of(matrix: Matrix) -> list[Run]:
    """Dark modules joined along each row: (row, first column, modules)."""
    framed = np.pad(np.array(matrix, dtype=np.int8), ((0, 0), (1, 1)))
    steps = np.diff(framed, axis=1)
    rows, begins = np.nonzero(steps == 1)
    ends = np.nonzero(steps == -1)[1]
    return list(zip(rows.tolist(), begins.tolist(), (ends - begins).tolist(), strict=True))
