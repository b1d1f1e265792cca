import pytest

from labels.calc.hazard_sizes import pictogram_size


@pytest.mark.parametrize(
    ("litres", "least_mm", "wanted_mm"),
    [(0.5, 10, 16), (3, 10, 16), (3.01, 23, 23), (50, 23, 23), (51, 32, 32), (500, 32, 32), (1000, 46, 46)],
)
def test_size_follows_the_capacity_of_the_package(litres, least_mm, wanted_mm):
    size = pictogram_size(litres)
    assert (size.least_mm, size.wanted_mm) == (least_mm, wanted_mm)


def test_package_of_nothing_is_refused():
    with pytest.raises(ValueError, match="more than nothing"):
        pictogram_size(0)
