"""From a ply to its blanks."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from jobs.calc.blanks import (
    EQUAL_PANELS,
    FULL_PANELS,
    BlankError,
    Cloth,
    PlyBlank,
    SeamNotAllowed,
    bias_square_mm,
    bias_strips_mm,
    blanks_of_ply,
    panels_needed,
    seam_centres,
    seams_clear,
    split_into_panels,
    staggered_panels,
)

CLOTH = Cloth(1250, "cloth", balanced=True)
MAT = Cloth(1250, "mat", ())
DOUBLE_BIAS = Cloth(1270, "stitched", (45, -45), balanced=True)
UNIDIRECTIONAL = Cloth(500, "unidirectional", (0,))

covered = st.integers(1, 20_000)
widths = st.integers(60, 3000)
overlaps = st.integers(0, 59)


def sizes(blanks):
    return [(blank.across_mm, blank.along_mm) for blank in blanks]


@given(covered, widths, overlaps, st.sampled_from([EQUAL_PANELS, FULL_PANELS]))
def test_panels_cover_the_ply_exactly(covered_mm, width, overlap, style):
    panels = split_into_panels(covered_mm, width, overlap, style=style)
    assert sum(panels) == covered_mm + (len(panels) - 1) * overlap
    assert all(0 < panel <= width for panel in panels)


@given(covered, widths, overlaps)
def test_one_panel_fewer_would_not_cover(covered_mm, width, overlap):
    count = panels_needed(covered_mm, width, overlap)
    assert count == 1 or (count - 1) * width - (count - 2) * overlap < covered_mm


@given(covered, widths, overlaps)
def test_equal_panels_are_alike_within_a_millimetre(covered_mm, width, overlap):
    panels = split_into_panels(covered_mm, width, overlap, style=EQUAL_PANELS)
    assert max(panels) - min(panels) <= 1


@given(st.integers(1500, 8000), st.integers(900, 2600))
def test_staggered_panels_stay_clear_of_the_neighbour_and_cover_exactly(covered_mm, width):
    neighbour = seam_centres(split_into_panels(covered_mm, width, 50), 50)
    panels = staggered_panels(covered_mm, width, neighbour)
    assert seams_clear(seam_centres(panels, 50), neighbour)
    assert sum(panels) == covered_mm + (len(panels) - 1) * 50
    assert all(0 < panel <= width for panel in panels)


def test_stagger_that_no_panel_can_keep_is_refused():
    with pytest.raises(BlankError, match="take a wider cloth"):
        staggered_panels(500, 300, range(0, 500, 50))


def test_ply_along_the_roll_has_its_length_along():
    assert blanks_of_ply(2000, 900, "0", CLOTH, count=3) == (PlyBlank(900, 2000, 3, (0, 90)),)


def test_ply_across_the_roll_is_limited_by_its_width():
    with pytest.raises(SeamNotAllowed, match="2000 mm wide and the cloth gives 1250 mm"):
        blanks_of_ply(2000, 900, "90", CLOTH)


def test_ply_across_the_roll_is_cut_in_panels_where_a_seam_may_be():
    assert sizes(blanks_of_ply(2000, 900, "90", CLOTH, seams_allowed=True)) == [(1250, 900), (800, 900)]


def test_bias_ply_from_cloth_asks_for_the_square_around_it():
    (blank,) = blanks_of_ply(1000, 300, "±45", CLOTH)
    assert (blank.across_mm, blank.along_mm) == (920, 920)
    assert blank.note.startswith("bias blank: cut at 45°")


def test_bias_ply_comes_straight_from_a_double_bias_fabric():
    (blank,) = blanks_of_ply(2000, 900, "±45", DOUBLE_BIAS)
    assert (blank.across_mm, blank.along_mm) == (900, 2000)
    assert blank.note == "straight along the roll: the fabric's own fibres lie at ±45°"


def test_straight_ply_from_a_double_bias_fabric_is_cut_at_45():
    (blank,) = blanks_of_ply(900, 400, "0", DOUBLE_BIAS)
    assert (blank.across_mm, blank.along_mm) == (920, 920)
    assert "cut at 45°" in blank.note


def test_long_bias_ply_is_refused_without_a_seam():
    with pytest.raises(SeamNotAllowed, match="At 45° this ply needs 2334 mm of cloth"):
        blanks_of_ply(3000, 300, "±45", CLOTH)


def test_long_bias_ply_is_pieced_where_a_seam_may_be():
    blanks = blanks_of_ply(3000, 300, "±45", CLOTH, seams_allowed=True)
    assert sizes(blanks) == [(944, 944), (943, 943), (943, 943)]


def test_bias_ply_wider_than_the_cloth_is_laid_of_slanted_strips():
    blanks = blanks_of_ply(1500, 1500, "±45", CLOTH, seams_allowed=True)
    assert sizes(blanks) == [(1250, 2122), (922, 1843)]
    assert [(blank.panel, blank.panels) for blank in blanks] == [(1, 2), (2, 2)]
    assert "strips side by side with slanted seams" in blanks[0].note


def test_bias_ply_wider_than_the_cloth_asks_for_a_seam():
    with pytest.raises(SeamNotAllowed, match="At 45° this ply needs 3465 mm of cloth"):
        blanks_of_ply(3000, 1900, "±45", CLOTH)


@given(st.integers(50, 4000), st.integers(50, 4000), st.integers(300, 2000), st.integers(0, 100), st.data())
def test_slanted_strips_cover_every_point_and_lap_at_every_seam(length, width, usable, overlap, data):
    strips = bias_strips_mm(length, width, usable, overlap)
    x, y = data.draw(st.integers(0, length)), data.draw(st.integers(0, width))
    across, along = (x + y) / 2**0.5, (x - y) / 2**0.5
    start = 0
    for wide, long in strips:
        if start <= across <= start + wide:
            # the ply under this strip: corners of the rectangle, and where the strip's edges meet the rectangle
            edges = [(u * 2**0.5 - v, v) for u in (start, start + wide) for v in (0, width)]
            edges += [(v, u * 2**0.5 - v) for u in (start, start + wide) for v in (0, length)]
            corners = [(px, py) for px in (0, length) for py in (0, width)]
            under = [
                (px - py) / 2**0.5
                for px, py in edges + corners
                if -1e-6 <= px <= length + 1e-6 and -1e-6 <= py <= width + 1e-6
                if start - 1e-6 <= (px + py) / 2**0.5 <= start + wide + 1e-6
            ]
            assert min(under) - 1e-6 <= along <= max(under) + 1e-6
            assert 0 <= long - (max(under) - min(under)) + 1e-5 < 1 + 2e-5
            break
        start += wide - overlap
    else:
        pytest.fail(f"({x}, {y}) lies under none of {strips}")


@given(st.integers(1, 5000), st.integers(1, 5000))
def test_bias_square_holds_the_ply_and_no_millimetre_more(length, width):
    side = bias_square_mm(length, width)
    assert 2 * side**2 >= (length + width) ** 2 > 2 * (side - 1) ** 2


@pytest.mark.parametrize("direction", ["0", "90", "+45", "any"])
def test_unidirectional_blank_never_turns(direction):
    assert {blank.turns for blank in blanks_of_ply(300, 200, direction, UNIDIRECTIONAL)} == {(0,)}


def test_mat_turns_where_both_sides_fit_the_width():
    assert blanks_of_ply(1000, 900, "any", MAT) == (PlyBlank(900, 1000, 1, (0, 90)),)


def test_mat_lies_with_its_long_side_along_where_only_that_fits():
    assert blanks_of_ply(900, 2000, "0", MAT) == (PlyBlank(900, 2000, 1, (0,)),)


@given(st.integers(1, 4000), st.integers(1, 4000), st.sampled_from(["0", "90", "±45", "any"]))
def test_no_blank_is_wider_than_the_cloth(length, width, direction):
    for cloth in (CLOTH, MAT, DOUBLE_BIAS, UNIDIRECTIONAL):
        try:
            blanks = blanks_of_ply(length, width, direction, cloth, seams_allowed=True)
        except BlankError:
            continue
        assert all(0 < blank.across_mm <= cloth.usable_width_mm for blank in blanks)


@given(st.integers(1, 1250), st.integers(1, 1250))
def test_a_ply_that_fits_needs_no_seam(length, width):
    assume(bias_square_mm(length, width) <= 1250)
    assert all(len(blanks_of_ply(length, width, direction, CLOTH)) == 1 for direction in ("0", "90", "±45"))


@pytest.mark.parametrize(("length", "width", "count"), [(0, 1, 1), (1, 0, 1), (1, 1, 0)])
def test_ply_of_no_size_is_refused(length, width, count):
    with pytest.raises(BlankError, match="above zero"):
        blanks_of_ply(length, width, "0", CLOTH, count=count)


def test_unknown_direction_is_refused_with_the_directions():
    with pytest.raises(BlankError, match="±45"):
        blanks_of_ply(1, 1, "30", CLOTH)


@pytest.mark.parametrize("overlap", [-1, 1250])
def test_overlap_as_wide_as_the_cloth_is_refused(overlap):
    with pytest.raises(BlankError, match="1250 mm is usable"):
        panels_needed(3000, 1250, overlap)
