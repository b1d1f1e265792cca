"""QR symbols in alphanumeric mode at level Q with mask 0, each added up from patterns that `qrcode` has made once.

Error correction and placing are linear: a bit of the text that turns always turns the same modules, whatever the other
bits are. So a symbol takes a sum instead of a division of polynomials and a walk over its modules.
"""

from functools import lru_cache

import numpy as np
import qrcode
from qrcode.base import rs_blocks
from qrcode.util import ALPHA_NUM, BitBuffer, create_bytes

LEVEL = qrcode.constants.ERROR_CORRECT_Q

_ALPHANUMERIC = "0010"
_TERMINATOR = "0000"
_PADDING = "1110110000010001"


def symbol_of(text: str, version: int) -> np.ndarray:
    """The modules of a text in mask 0, true where dark."""
    full, patterns = _full_and_patterns(version)
    zeros = np.frombuffer(_data_bits(text, len(patterns)).encode(), dtype=np.uint8) == ord("0")
    return full ^ np.bitwise_xor.reduce(patterns[zeros], axis=0)


def _data_bits(text: str, capacity: int) -> str:
    """A text as ISO/IEC 18004 spells it in alphanumeric mode: eleven bits for two characters, six for one left over."""
    pairs = (text[at : at + 2] for at in range(0, len(text), 2))
    spelled = f"{_ALPHANUMERIC}{len(text):09b}{''.join(map(_pair_bits, pairs))}"
    ended = (spelled + _TERMINATOR)[:capacity]
    whole = ended + "0" * (-len(ended) % 8)
    return (whole + _PADDING * capacity)[:capacity]


@lru_cache(maxsize=4096)
def _pair_bits(pair: str) -> str:
    numbers = [ALPHA_NUM.index(character) for character in pair.encode()]
    return f"{45 * numbers[0] + numbers[1]:011b}" if len(numbers) == 2 else f"{numbers[0]:06b}"


@lru_cache(maxsize=2)
def _full_and_patterns(version: int) -> tuple[np.ndarray, np.ndarray]:
    """The symbol whose data are all ones, and for each bit of the data the modules that turn when it is nought.

    All ones rather than all noughts, which the library cannot divide.
    """
    count = sum(block.data_count for block in rs_blocks(version, LEVEL))
    full = _made_of([0xFF] * count, version)
    less_one_bit = 0xFF - np.packbits(np.eye(8 * count, dtype=bool), axis=1)
    return full, np.array([_made_of(words, version) ^ full for words in less_one_bit.tolist()])


def _made_of(words: list[int], version: int) -> np.ndarray:
    buffer = BitBuffer()
    buffer.buffer = words
    code = blank(version, mask=0)
    code.data_cache = create_bytes(buffer, rs_blocks(version, LEVEL))
    code.makeImpl(False, 0)
    return np.array(code.modules, dtype=bool)


def blank(version: int, mask: int) -> qrcode.QRCode:
    """A symbol of the library with nothing in it yet."""
    return qrcode.QRCode(version=version, error_correction=LEVEL, border=0, box_size=1, mask_pattern=mask)
