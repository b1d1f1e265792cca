"""Length from weight, tape, ledger and diameter: what the worked examples do not say."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopstock.calc import roll_diameter, roll_estimate
from shopstock.calc.roll_mass import RollMassError
from shopstock.calc.uncertainty import from_tolerance


@given(st.floats(5_000, 40_000), st.floats(0, 4_000))
def test_length_falls_as_the_tube_is_heavier(gross_g, tube_g):
    figures = {"areal_weight_gsm": 450, "width_mm": 1250, "u_areal_weight_gsm": 26}
    light = roll_estimate.from_weight(gross_g, tube_g, **figures)
    assert roll_estimate.from_weight(gross_g, tube_g + 100, **figures).length_mm < light.length_mm


def test_shared_parts_are_what_each_source_moves_the_ratio_estimate_by():
    def length(tube_g=1_600.0, label_mm=55_000.0, gross0_g=32_600.0):
        return roll_estimate.from_weight_ratio(21_400, tube_g, label_mm, gross0_g, u_label_mm=317.5)

    usual, step = length(), 1e-3
    moved = {
        "tube": (length(tube_g=1_600 + step).length_mm - usual.length_mm) / step * from_tolerance(100),
        "label": (length(label_mm=55_000 + step).length_mm - usual.length_mm) / step * 317.5,
        "weighing at receipt": (length(gross0_g=32_600 + step).length_mm - usual.length_mm) / step * from_tolerance(50),
    }
    assert usual.shared_mm == pytest.approx(moved, rel=1e-4)


def test_shared_parts_are_what_each_source_moves_the_diameter_estimate_by():
    def length(core=89.0, label_mm=55_000.0, receipt=320.2):
        return roll_diameter.from_diameter_ratio(262, core, label_mm, receipt, u_label_mm=317.5)

    usual, step = length(), 1e-4
    moved = {
        "core": (length(core=89 + step).length_mm - usual.length_mm) / step * from_tolerance(0.5),
        "label": (length(label_mm=55_000 + step).length_mm - usual.length_mm) / step * 317.5,
        "diameter at receipt": (length(receipt=320.2 + step).length_mm - usual.length_mm) / step * from_tolerance(2),
    }
    assert usual.shared_mm == pytest.approx(moved, rel=1e-3)


def test_ratio_doubt_agrees_with_random_rolls():
    random = np.random.default_rng(11)

    def within(middle, half):
        return random.uniform(middle - half, middle + half, 300_000)

    tube = within(1_600, 100)
    lengths = within(55_000, 550) * (within(21_400, 50) - tube) / (within(32_600, 50) - tube)
    found = roll_estimate.from_weight_ratio(21_400, 1_600, 55_000, 32_600, u_label_mm=from_tolerance(550))
    assert lengths.std() == pytest.approx(found.uncertainty_mm, rel=0.01)
    assert lengths.mean() == pytest.approx(found.length_mm, rel=0.001)


def test_habit_of_cutting_over_is_taken_off_with_its_own_doubt():
    before = roll_estimate.from_tape(50_000)
    after = roll_estimate.after_cuts(before, 20_000, 10, u_cut_mm=20, over_mm=15, u_over_mm=5)
    assert after.length_mm == 29_850
    assert after.own_mm == pytest.approx((before.own_mm**2 + 10 * 20**2 + (10 * 5) ** 2) ** 0.5)


@pytest.mark.parametrize("figures", [(1_500, 1_600, 450, 1250), (9_000, 1_600, 0, 1250), (9_000, 1_600, 450, 0)])
def test_weighing_that_tells_no_length_is_refused(figures):
    with pytest.raises(RollMassError):
        roll_estimate.from_weight(*figures, u_areal_weight_gsm=26)
