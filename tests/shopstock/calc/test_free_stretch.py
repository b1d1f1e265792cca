from types import SimpleNamespace

import pytest

from shopstock.calc.free_stretch import longest_free_stretch


@pytest.mark.parametrize(
    ("faults", "promised", "longest"),
    [
        ([], [], 10_000),
        ([], [4_000, 1_000], 5_000),
        ([], [10_000], 0),
        ([(2_000, 2_500)], [], 7_500),
        ([(2_000, 2_500)], [7_000], 2_000),
        ([(2_000, 2_500)], [6_000, 2_000], 1_500),  # 6000 to 7500 stays between them, behind the fault all is taken
        ([(0, 10_000)], [], 0),
    ],
)
def test_longest_free_stretch_of_a_ten_metre_roll(faults, promised, longest):
    faults = [SimpleNamespace(from_mm=low, to_mm=high, across_mm=None) for low, high in faults]
    promises = [SimpleNamespace(length_mm=length, taken_across=()) for length in promised]
    assert longest_free_stretch(10_000, faults, promises) == longest


def test_length_promised_beside_a_streak_is_not_free():
    streak = SimpleNamespace(from_mm=4_000, to_mm=5_000, across_mm=(0, 100))
    beside = SimpleNamespace(length_mm=5_500, taken_across=((100, 900),))
    assert longest_free_stretch(10_000, [streak], [beside]) == 4_000
