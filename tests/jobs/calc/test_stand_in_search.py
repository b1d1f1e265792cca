"""The search against trying every stack one by one."""

from itertools import combinations_with_replacement, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.calc.constituents import NoProperties, default_materials
from jobs.calc.laid_ply import Fabric, LaidPly, LaidPlyError, families
from jobs.calc.stand_in import CLASS_A, CLASS_B, CLASS_C, compare, same_kind
from jobs.calc.stand_in_search import Gap, combinations_tried, rough_ratios, stand_ins
from shopstock.calc.directional_fibre import RANDOM, FibreLayer
from tests.worked.stiffness_calculations import laid

MATERIALS = default_materials()
MAT, ROVING = laid(450, "mat", 0.30), laid(600, "woven_roving", 0.48)
MIDDLE = Gap((MAT,), (ROVING,), (MAT,))

options = st.builds(
    laid,
    st.integers(3, 18).map(lambda step: step * 50),
    st.sampled_from(["mat", "woven_roving", "stitched", "unidirectional"]),
    st.just(0.45),
    st.sampled_from([0, 90, 45]),
)


def holds(stack, gap) -> bool:
    return compare(gap.filled(stack), gap.specified, MATERIALS).grade in (CLASS_A, CLASS_B)


def by_hand(plies, gap) -> set[tuple[int, ...]]:
    """Every set of up to three options of which some order holds, and no set with a ply less does."""
    found: set[tuple[int, ...]] = set()
    for size in (1, 2, 3):
        for stack in combinations_with_replacement(range(len(plies)), size):
            smaller = {tuple(sorted(part)) for n in range(1, size) for part in permutations(stack, n)}
            orders = (tuple(plies[at] for at in order) for order in set(permutations(stack)))
            if not smaller & found and any(holds(order, gap) for order in orders):
                found.add(stack)
    return found


@settings(max_examples=25, deadline=None)
@given(st.lists(options, min_size=1, max_size=5), st.sampled_from([MIDDLE, Gap((), MIDDLE.specified, ())]))
def test_search_finds_what_trying_every_stack_finds(plies, gap):
    found = stand_ins(plies, gap, MATERIALS, most_found=10_000)
    assert {tuple(sorted(stack)) for stack in found} == by_hand(plies, gap)
    assert all(holds([plies[at] for at in stack], gap) for stack in found)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.lists(options, min_size=1, max_size=3), min_size=1, max_size=6))
def test_rough_look_passes_all_that_hold_and_gives_the_worst_ratio_but_for_bending(stacks):
    found = rough_ratios(stacks, MIDDLE.specified, MATERIALS)
    for stack, (worst, passes) in zip(stacks, found, strict=True):
        whole = compare(stack, MIDDLE.specified, MATERIALS)
        besides_bending = [ratio for name, ratio in whole.ratios.items() if not name.startswith("bending")]
        assert worst == pytest.approx(min(besides_bending))
        assert passes or whole.grade == CLASS_C


def test_rough_look_at_the_trap_of_a_stiff_mat():
    ((worst, passes),) = rough_ratios([MIDDLE.filled([laid(600, "mat", 0.30)])], MIDDLE.specified, MATERIALS)
    assert (round(worst, 3), passes) == (0.882, False)


def test_two_light_plies_of_the_same_roving_stand_in_without_a_designer():
    plies = [laid(300, "woven_roving", 0.48), laid(600, "mat", 0.30)]
    assert stand_ins(plies, MIDDLE, MATERIALS) == [(0, 0)]
    assert compare(MIDDLE.filled([plies[0]] * 2), MIDDLE.specified, MATERIALS).grade == CLASS_A


def test_every_stack_of_two_hundred_materials_is_tried():
    forms = ["mat", "woven_roving", "stitched", "unidirectional"]
    plies = [laid(100 + 4 * step, forms[step % 4], 0.45, (0, 45, 90)[step % 3]) for step in range(200)]
    assert combinations_tried(200) == 1_373_700
    heaviest = [step for step in range(200) if step % 4 == 1][-1]
    gap = Gap((), (plies[heaviest],), ())
    assert (heaviest,) in stand_ins(plies, gap, MATERIALS, most_found=1_000_000)


def test_trap_of_a_stiff_mat_is_not_equivalent():
    found = compare(MIDDLE.filled([laid(600, "mat", 0.30)]), MIDDLE.specified, MATERIALS, limit=1)
    assert found.grade == CLASS_C
    assert found.ratios["stretching 0"] > 1.02
    assert found.reasons == ("fibre 0° only 88 % of what is specified", "strength 0° only 93 % of what is specified")


def test_seven_per_cent_short_is_too_short_at_five_and_not_at_ten():
    specified, candidate = [laid(600, "woven_roving", 0.48)], [laid(586, "woven_roving", 0.48)]
    strict, loose = (compare(candidate, specified, MATERIALS, tolerance=allowed) for allowed in (0.05, 0.10))
    assert strict.worst_ratio == pytest.approx((586 / 600) ** 3)
    assert (strict.grade, loose.grade) == (CLASS_C, CLASS_A)


def test_mass_beyond_the_jobs_limit_is_not_offered_as_equal():
    found = compare(MIDDLE.filled([laid(800, "woven_roving", 0.48)]), MIDDLE.specified, MATERIALS, limit=0.05)
    assert found.grade == CLASS_C
    assert found.reasons[-1] == "mass 110 %, beyond the limit of 105 %"


def test_same_weight_of_other_fabric_is_not_the_same_kind():
    assert same_kind([laid(300, "woven_roving", 0.48)] * 2, [ROVING])
    assert not same_kind([laid(300, "stitched", 0.48)] * 2, [ROVING])
    assert not same_kind([laid(300, "woven_roving", 0.48, 45)] * 2, [ROVING])


def test_fibre_without_figures_is_refused_with_what_to_do():
    flax = LaidPly(Fabric(1, "flax twill", "cloth", "flax", 300, (FibreLayer(150, 0), FibreLayer(150, 90))), 0, 0.4)
    with pytest.raises(NoProperties, match="no elastic figures of flax yet. Enter them"):
        compare([flax], [flax], MATERIALS)


def test_layers_that_do_not_add_up_are_refused():
    with pytest.raises(LaidPlyError, match="come to 500 g/m² and its weight is 600 g/m²: more than 3 % apart"):
        Fabric(1, "roving", "woven_roving", "e_glass", 600, (FibreLayer(250, 0), FibreLayer(250, 90)))


def test_strands_of_a_triaxial_are_a_pair_and_one_way():
    found = families([FibreLayer(354, 0), FibreLayer(200, 45), FibreLayer(200, -45), FibreLayer(100, RANDOM)])
    kinds = [(one.kind, one.areal_weight_gsm, one.angle_deg) for one in found]
    assert kinds == [("mat", 100, 0), ("strand", 354, 0), ("pair", 400, 45)]
