"""Stiffness of stacks: what holds for every stack, and the figures of an independent library."""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.calc.laminate_stiffness import (
    StiffPly,
    bending_moduli,
    in_plane_moduli,
    is_symmetric,
    laminate_stiffness,
    moduli_by_direction,
)
from jobs.calc.stiffness import Lamina, StiffnessError, checked_angle, reduced_stiffness, turned_stiffness
from tests.bench.compare_laminate_library import difference, ours

FROZEN = json.loads((Path(__file__).parent / "library_stacks.json").read_text(encoding="utf-8"))

laminae = st.builds(
    Lamina, st.floats(20_000, 200_000), st.floats(3_000, 20_000), st.floats(1_000, 8_000), st.floats(0.05, 0.4)
)
angles = st.floats(-90, 90)


def ply(lamina: Lamina, angle: float, thickness: float) -> StiffPly:
    return StiffPly(turned_stiffness(reduced_stiffness(lamina), angle), thickness)


plies = st.builds(ply, laminae, angles, st.floats(0.1, 3))
stacks = st.lists(plies, min_size=1, max_size=8)


def near(one, other, scale=None) -> bool:
    return np.allclose(one, other, rtol=0, atol=1e-9 * (scale or np.abs(other).max()))


@pytest.mark.parametrize("row", FROZEN, ids=range(len(FROZEN)))
def test_stiffness_agrees_with_an_independent_library(row):
    assert difference(ours(row["stack"]), row, row["stack"]) < 1e-9


@given(stacks, st.randoms())
def test_stacking_order_does_not_change_stretching(stack, chance):
    shuffled = list(stack)
    chance.shuffle(shuffled)
    assert near(laminate_stiffness(shuffled).a, laminate_stiffness(stack).a)


@given(stacks)
def test_symmetric_stack_does_not_couple_stretching_and_bending(stack):
    whole = [*stack, *reversed(stack)]
    found = laminate_stiffness(whole)
    assert is_symmetric(whole)
    assert near(found.b, np.zeros((3, 3)), np.abs(found.a).max() * found.thickness_mm)
    assert not found.couples_stretch_and_bending


@given(st.lists(st.tuples(laminae, st.floats(-45, 45), st.floats(0.1, 3)), min_size=1, max_size=5), st.floats(-45, 45))
def test_turning_a_lay_up_turns_its_plot(parts, turn):
    laid = laminate_stiffness([ply(*part) for part in parts])
    turned = laminate_stiffness([ply(lamina, angle + turn, t) for lamina, angle, t in parts])
    plot = moduli_by_direction(laid, range(0, 180, 15))
    turned_plot = moduli_by_direction(turned, [angle + turn for angle in range(0, 180, 15)])
    assert np.allclose(turned_plot, plot, rtol=1e-6)


@given(stacks, st.floats(-180, 180))
def test_stretching_along_a_direction_is_that_of_the_turned_laminate(stack, angle):
    found = laminate_stiffness(stack)
    assert found.stretching_along(angle) == pytest.approx(found.turned(angle).a[0, 0], rel=1e-9)
    assert found.bending_along(angle) == pytest.approx(found.turned(angle).d[0, 0], rel=1e-9)


@given(laminae)
def test_a_whole_turn_leaves_a_ply_as_it_was(lamina):
    stiffness = reduced_stiffness(lamina)
    assert near(turned_stiffness(stiffness, 360), stiffness)


@given(laminae, st.floats(0.1, 3))
def test_plus_and_minus_45_couple_only_stretching_and_twist(lamina, thickness):
    b = laminate_stiffness([ply(lamina, 45, thickness), ply(lamina, -45, thickness)]).b
    others = b.copy()
    others[0, 2] = others[1, 2] = others[2, 0] = others[2, 1] = 0
    assert near(others, np.zeros((3, 3)), np.abs(b).max())
    assert abs(b[0, 2]) > 0


def test_one_ply_has_its_own_moduli_in_stretching_and_bending():
    lamina = Lamina(40_000, 9_000, 4_000, 0.27)
    found = laminate_stiffness([ply(lamina, 0, 2)])
    for moduli in (in_plane_moduli(found), bending_moduli(found)):
        assert (moduli.along, moduli.across, moduli.shear, moduli.poisson) == pytest.approx(
            (40_000, 9_000, 4_000, 0.27)
        )


def test_balanced_stack_does_not_couple_stretching_and_shear():
    lamina = Lamina(40_000, 9_000, 4_000, 0.27)
    assert not laminate_stiffness([ply(lamina, 30, 1), ply(lamina, -30, 1)]).couples_stretch_and_shear
    assert laminate_stiffness([ply(lamina, 30, 1)]).couples_stretch_and_shear


def test_no_plies_are_no_laminate():
    with pytest.raises(StiffnessError, match="at least one ply"):
        laminate_stiffness([])


@pytest.mark.parametrize("angle", [-91, 135, 450])
def test_angle_out_of_range_is_refused(angle):
    with pytest.raises(StiffnessError, match="−90° to 90°"):
        checked_angle(angle)


@pytest.mark.parametrize("figures", [(0, 1, 1, 0.2), (10, 1, -1, 0.2), (1, 10, 1, 0.9)])
def test_impossible_ply_is_refused(figures):
    with pytest.raises(StiffnessError):
        Lamina(*figures)
