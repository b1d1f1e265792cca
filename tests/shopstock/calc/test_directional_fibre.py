"""Fibre that works in a direction."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopstock.calc.directional_fibre import RANDOM, FibreLayer, directional_fibre_gsm

angles = st.floats(-180, 180)


@given(st.floats(1, 2000), angles)
def test_mat_counts_the_same_in_every_direction(gsm, direction):
    assert directional_fibre_gsm([FibreLayer(gsm, RANDOM)], direction) == gsm * 3 / 8


@given(angles)
def test_unidirectional_counts_nothing_across_its_strands(angle):
    assert directional_fibre_gsm([FibreLayer(600, angle)], angle + 90) == pytest.approx(0, abs=1e-9)


def test_mean_over_all_directions_is_that_of_mat():
    mean = sum(directional_fibre_gsm([FibreLayer(600, 0)], angle) for angle in range(180)) / 180
    assert mean == pytest.approx(600 * 3 / 8)
