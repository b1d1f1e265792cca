"""Choosing a fabric: the fewest plies that do what is asked, and what each lay-up misses."""

import pytest

from jobs.calc.choosing import ChoosingError, PreparedPly, Wish, answers, misses, prepare, simplest
from jobs.calc.constituents import default_materials
from jobs.calc.ply_strength import ISO, RULE, strength_method, strength_per_width
from tests.worked.stiffness_calculations import laid

MATERIALS = default_materials()
MAT, ROVING, BIAS = laid(450, "mat", 0.30), laid(600, "woven_roving", 0.48), laid(600, "stitched", 0.50, 45)


def only(ply):
    return PreparedPly(ply, MATERIALS)


def test_a_thickness_is_reached_with_the_fewest_plies():
    answer = simplest(only(MAT), None, Wish((0,), least_thickness_mm=3))
    assert (len(answer.lay_up.laid), answer.misses) == (3, ())


def test_lightest_answer_comes_first_and_those_that_miss_come_last():
    found = answers([MAT, ROVING, BIAS], [MAT], MATERIALS, Wish((0, 90), least_stretching=20_000))
    masses = [answer.lay_up.mass_gsm for answer in found if answer.does_it]
    assert masses == sorted(masses)
    assert [answer.does_it for answer in found] == sorted((answer.does_it for answer in found), reverse=True)


def test_fabric_at_45_is_not_stiff_enough_for_a_pull_at_0():
    wish = Wish((0, 90), reference=prepare([ROVING], MATERIALS), strength_method=ISO)
    found = misses(prepare([BIAS], MATERIALS), wish)
    assert found[0] == "fibre at 0° only 50 % of the reference"
    assert found[-1] == "strength at 0° only 0 % of the reference"


def test_a_mass_alone_fills_the_lay_up_up_to_it():
    answer = simplest(only(MAT), None, Wish((0,), most_mass_gsm=5_000))
    assert (len(answer.lay_up.laid), answer.does_it) == (3, True)


def test_targets_that_exclude_one_another_are_missed_in_words():
    answer = simplest(only(MAT), None, Wish((0,), least_thickness_mm=10, most_mass_gsm=5_000))
    assert answer.misses == ("3.15 mm thick, 10 mm asked",)


def test_even_twelve_plies_may_not_do():
    answer = simplest(only(MAT), None, Wish((0,), least_bending=10**9))
    assert len(answer.lay_up.laid) == 12
    assert answer.misses[0].endswith("N·mm in bending at 0°, 1,000,000,000 asked")


def test_wish_without_a_target_is_refused():
    with pytest.raises(ChoosingError, match="at least one target"):
        Wish((0,))


def test_glass_is_compared_by_the_standard_and_carbon_by_breaking_strains():
    assert strength_method([MAT, ROVING], MATERIALS) == ISO
    thin = laid(450, "mat", 0.15)
    assert strength_method([MAT, thin], MATERIALS) == RULE


def test_strands_count_by_breaking_strain_along_and_a_little_across():
    strands = laid(600, "unidirectional", 0.55)
    along, across = (strength_per_width(strands, angle, RULE, MATERIALS) for angle in (0, 90))
    assert 0 < across < along / 10
    assert strength_per_width(strands, 90, ISO, MATERIALS) == 0


def test_equal_plies_in_a_run_are_as_stiff_as_one_by_one():
    run = simplest(only(ROVING), only(MAT), Wish((0,), least_thickness_mm=5)).lay_up
    single = prepare(run.laid, MATERIALS)
    assert len(run.laid) > len(run.runs)
    for angle in (0, 30, 90):
        assert run.bending(angle) == pytest.approx(single.bending(angle))
        assert run.stretching(angle) == pytest.approx(single.stretching(angle))
