"""How hard a QR symbol is to read by the look of it: the penalties by which ISO/IEC 18004 chooses a mask."""

import numpy as np

_ALL_LIGHT, _ALL_DARK = 0, 0b11111
# dark-light-dark-dark-dark-light-dark as in a finder pattern, with four light modules behind it or before it
_FINDER_BEFORE_LIGHT, _FINDER_BEHIND_LIGHT = 0b10111010000, 0b00001011101


def penalties(symbols: np.ndarray) -> np.ndarray:
    """The penalty of each of several symbols, an array of (symbol, row, column), true where dark."""
    bits = symbols.astype(np.int16)
    both_ways = np.array([bits, bits.transpose(0, 2, 1)])
    return _lines(both_ways) + _blocks(bits) + _imbalance(bits)


def _lines(both_ways: np.ndarray) -> np.ndarray:
    fives = _windows_of_five(both_ways)
    return (_long_runs(fives) + _finder_look_alikes(fives, both_ways)).sum(axis=0)


def _windows_of_five(bits: np.ndarray) -> np.ndarray:
    """Each five modules next to one another along the rows, as one number."""
    twos = 2 * bits[..., :-1] + bits[..., 1:]
    return 8 * twos[..., :-3] + 2 * twos[..., 2:-1] + bits[..., 4:]


def _long_runs(windows: np.ndarray) -> np.ndarray:
    """Three for five modules of one colour in a row, one for each more."""
    alike = (windows == _ALL_LIGHT) | (windows == _ALL_DARK)
    begins = alike.copy()
    begins[..., 1:] &= ~alike[..., :-1]
    return alike.sum(axis=(-1, -2)) + 2 * begins.sum(axis=(-1, -2))


def _finder_look_alikes(fives: np.ndarray, bits: np.ndarray) -> np.ndarray:
    """Forty for each eleven modules that could be taken for the corner of a symbol."""
    windows = 64 * fives[..., :-6] + 2 * fives[..., 5:-1] + bits[..., 10:]
    return 40 * ((windows == _FINDER_BEFORE_LIGHT) | (windows == _FINDER_BEHIND_LIGHT)).sum(axis=(-1, -2))


def _blocks(bits: np.ndarray) -> np.ndarray:
    """Three for each square of two by two modules of one colour."""
    squares = bits[:, :-1, :-1] + bits[:, 1:, :-1] + bits[:, :-1, 1:] + bits[:, 1:, 1:]
    return 3 * (squares % 4 == 0).sum(axis=(-1, -2))


def _imbalance(bits: np.ndarray) -> np.ndarray:
    """Ten for every five percent away from half dark."""
    percent = 100 * bits.mean(axis=(-1, -2))
    return 10 * (np.abs(percent - 50) // 5).astype(int)
