"""One strength method a comparison: the standard's lines for glass in polyester, breaking strains for all else."""

import pytest

from jobs.calc.choosing import Wish, comparable_strength, misses, prepare
from jobs.calc.constituents import EPOXY, VINYLESTER, default_materials
from jobs.calc.laid_ply import Fabric, LaidPly
from jobs.calc.laminate_properties import PropertiesError
from jobs.calc.ply_strength import ISO, RULE, strength_method, strength_per_width
from jobs.calc.stand_in import compare
from jobs.lay_up_sheet import ISO as STANDARD_SHEET
from jobs.lay_up_sheet import sheet_of
from shopstock.calc.directional_fibre import FibreLayer
from tests.worked.stiffness_calculations import laid

POLYESTER = default_materials()
MAT, ROVING = laid(450, "mat", 0.30), laid(600, "woven_roving", 0.48)
SPECIFIED = [MAT, ROVING, MAT]


def carbon(gsm: float) -> LaidPly:
    layers = (FibreLayer(gsm / 2, 0), FibreLayer(gsm / 2, 90))
    return LaidPly(Fabric(f"carbon {gsm:g}", f"carbon {gsm:g}", "cloth", "carbon", gsm, layers), 0, 0.5)


@pytest.mark.parametrize("resin", [EPOXY, VINYLESTER])
def test_glass_in_another_resin_than_polyester_is_not_compared_by_the_standards_lines(resin):
    materials = default_materials(resin)
    assert strength_method(SPECIFIED, materials) == RULE
    assert compare(SPECIFIED, SPECIFIED, materials).strength_method == RULE
    assert compare(SPECIFIED, SPECIFIED, POLYESTER).strength_method == ISO


def test_breaking_strains_count_by_the_resin():
    """The rule's factor: 0.8 polyester, 0.9 vinyl ester, 1.0 epoxy (BV NR546, table 6, as restated)."""
    strands = laid(600, "unidirectional", 0.55)
    found = [strength_per_width(strands, 0, RULE, default_materials(r)) for r in ("polyester", VINYLESTER, EPOXY)]
    assert found[0] < found[1] < found[2]
    assert found[2] / found[0] == pytest.approx(1.25, rel=0.02)  # and the ply is a little thinner


def test_standards_sheet_of_another_resin_is_refused():
    with pytest.raises(PropertiesError, match="E-glass in polyester, not for epoxy, cured. Work it out by micromech"):
        sheet_of(SPECIFIED, default_materials(EPOXY), STANDARD_SHEET, {}, None)


def test_carbon_among_the_candidates_puts_all_on_the_rules_method():
    assert comparable_strength([MAT, ROVING], SPECIFIED, POLYESTER) == ISO
    assert comparable_strength([MAT, carbon(300)], SPECIFIED, POLYESTER) == RULE


def test_candidate_without_a_strength_of_that_method_misses_it_in_words():
    wish = Wish((0,), reference=prepare([ROVING], POLYESTER), strength_method=ISO)
    assert misses(prepare([carbon(900)], POLYESTER), wish)[-1] == "its strength is not known"
