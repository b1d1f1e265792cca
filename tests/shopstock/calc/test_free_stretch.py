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
    assert longest_free_stretch(10_000, faults, promised) == longest
