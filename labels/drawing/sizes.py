"""Type sizes on labels, in mm of the typeface's em."""

from collections.abc import Iterator

# 5 points, the least that is read without a glass.
LEAST_TEXT_MM = 1.75
_STEP = 0.97


def sizes_down(largest: float) -> Iterator[float]:
    size = max(largest, LEAST_TEXT_MM)
    while size > LEAST_TEXT_MM:
        yield size
        size *= _STEP
    yield LEAST_TEXT_MM
