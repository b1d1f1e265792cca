import itertools
import math

import pytest

from shopstock.calc.swatch import BACK, CHOPPED, SIZE, STITCH, STRAND, WARP, WEFT, Swatch, draw_swatch

FABRICS = {
    "plain cloth": ("cloth", "plain", [0, 90]),
    "plain roving": ("woven_roving", "plain", [0, 90]),
    "twill": ("cloth", "twill", [0, 90]),
    "satin": ("cloth", "satin", [0, 90]),
    "basket": ("cloth", "basket", [0, 90]),
    "unidirectional": ("unidirectional", "none", [0]),
    "stitched ±45": ("stitched", "none", [45, -45]),
    "stitched 0/90": ("stitched", "none", [0, 90]),
    "mat": ("mat", "none", [None]),
    "veil": ("veil", "none", [None]),
    "combination": ("combination", "none", [0, None]),
    "core": ("core", "none", [None]),
}


def area(swatch: Swatch, kind: str) -> float:
    return sum(bar.width * bar.height for bar in swatch.bars if bar.kind == kind)


@pytest.mark.parametrize(("one", "other"), list(itertools.combinations(FABRICS, 2)))
def test_two_kinds_of_fabric_never_look_the_same(one, other):
    assert draw_swatch(*FABRICS[one]) != draw_swatch(*FABRICS[other])


@pytest.mark.parametrize("name", [name for name, fabric in FABRICS.items() if fabric[1] != "none"])
def test_woven_yarns_stay_inside_the_picture(name):
    for bar in draw_swatch(*FABRICS[name]).bars:
        assert 0 <= bar.x < bar.x + bar.width <= SIZE + 0.02
        assert 0 <= bar.y < bar.y + bar.height <= SIZE + 0.02


def test_plain_weave_shows_as_much_warp_as_weft():
    swatch = draw_swatch("cloth", "plain", [0, 90])
    assert area(swatch, WARP) == pytest.approx(area(swatch, WEFT), rel=0.01)


def test_satin_shows_mostly_warp():
    swatch = draw_swatch("cloth", "satin", [0, 90])
    assert area(swatch, WARP) > 3 * area(swatch, WEFT)


def test_unidirectional_strands_run_from_left_to_right():
    assert {(line.kind, line.y1 == line.y2) for line in draw_swatch("unidirectional", "none", [0]).lines} == {
        (STRAND, True)
    }


def test_strands_at_plus_45_rise_to_the_right():
    line = draw_swatch("unidirectional", "none", [45]).lines[0]
    assert line.x2 > line.x1
    assert line.y2 < line.y1


def test_stitched_fabric_shows_its_layers_and_the_thread():
    assert {line.kind for line in draw_swatch("stitched", "none", [45, -45]).lines} == {STRAND, BACK, STITCH}


def test_mat_shows_strands_in_every_direction():
    lines = draw_swatch("mat", "none", [None]).lines
    assert {line.kind for line in lines} == {CHOPPED}
    sectors = [math.degrees(math.atan2(line.y2 - line.y1, line.x2 - line.x1)) % 180 // 30 for line in lines]
    assert {sector: sectors.count(sector) >= 3 for sector in sectors} == dict.fromkeys(range(6), True)
