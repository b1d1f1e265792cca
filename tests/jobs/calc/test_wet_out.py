"""Resin, gelcoat and waste."""

import pytest

from jobs.calc.wet_out import (
    HAND,
    PROCESSES,
    STANDARD_2008,
    USUAL,
    VACUUM,
    WetOutError,
    WithWaste,
    default_fibre_mass_fraction,
    gelcoat_mass_g,
    resin_for_ply_g,
    to_issue_g,
    with_visible_waste,
)
from shopstock.calc.forms import CORE, FORMS


@pytest.mark.parametrize("form", sorted(set(FORMS) - {CORE}))
def test_vacuum_never_leaves_more_resin_than_hand(form):
    by_hand = default_fibre_mass_fraction(form, HAND, 0.5).fraction
    assert 0 < by_hand < default_fibre_mass_fraction(form, VACUUM, 0.5).fraction < 1


def test_default_says_whether_the_standard_gives_it():
    sources = {form: default_fibre_mass_fraction(form, HAND).source for form in ("mat", "cloth")}
    assert sources == {"mat": STANDARD_2008, "cloth": USUAL}


@pytest.mark.parametrize("process", PROCESSES)
def test_core_has_no_fibre_fraction(process):
    with pytest.raises(WetOutError, match="data sheet"):
        default_fibre_mass_fraction(CORE, process)


@pytest.mark.parametrize("mat_share", [None, -0.1, 1.1])
def test_combination_mat_needs_its_share_of_mat(mat_share):
    with pytest.raises(WetOutError, match="share of mat"):
        default_fibre_mass_fraction("combination", HAND, mat_share)


def test_unknown_process_is_refused_with_the_processes():
    with pytest.raises(WetOutError, match="hand_complex"):
        default_fibre_mass_fraction("mat", "by magic")


def test_waste_stays_beside_the_net_mass():
    waste = with_visible_waste(33000, 10)
    assert (waste, waste.total_g) == (WithWaste(33000, 3300), 36300)


def test_resin_grows_with_the_area():
    assert resin_for_ply_g(12, 450, 0.30) == pytest.approx(12600)


@pytest.mark.parametrize(("area", "film", "density"), [(-1, 0.5, 1.2), (1, 0, 1.2), (1, 500, 1.2), (1, 0.5, 1200)])
def test_gelcoat_in_the_wrong_unit_is_refused(area, film, density):
    with pytest.raises(WetOutError, match="0.5 is usual"):
        gelcoat_mass_g(area, film, density)


@pytest.mark.parametrize("call", [lambda: with_visible_waste(1, 101), lambda: to_issue_g(1, 100)])
def test_waste_of_everything_is_refused(call):
    with pytest.raises(WetOutError, match="100 %"):
        call()


def test_negative_area_is_refused():
    with pytest.raises(WetOutError, match="negative"):
        resin_for_ply_g(-1, 450, 0.30)
