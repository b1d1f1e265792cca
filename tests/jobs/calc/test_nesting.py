"""Nesting in a child process: what comes back is checked, and what goes wrong ends only the child."""

from dataclasses import replace

import pytest

from jobs.calc.nesting import Nest, Nested, Shape, is_right, nest

TRIANGLE = ((0, 0), (300, 0), (0, 200))


def test_two_right_triangles_share_a_rectangle():
    shapes = [Shape("gusset", TRIANGLE, 2)]
    found = nest(shapes, 210, seconds=1)
    assert found.length_mm < 320
    assert is_right(found, shapes, 210)
    assert sorted(item.turn for item in found.placed) == [0, 180]


def test_gap_is_kept_between_outlines():
    from shapely.geometry import Polygon

    found = nest([Shape("gusset", TRIANGLE, 2)], 260, seconds=1, gap_mm=10)
    one, other = (Polygon(item.corners) for item in found.placed)
    assert one.distance(other) >= 9.9


def test_outline_that_may_not_turn_keeps_its_direction():
    found = nest([Shape("gusset", TRIANGLE, 3, (0, 180))], 1_000, seconds=1)
    assert {item.turn for item in found.placed} <= {0, 180}


def test_outline_wider_than_the_stretch_gives_no_nest():
    assert nest([Shape("gusset", TRIANGLE, 2)], 150, seconds=1) is None


def test_shapes_that_end_the_child_give_no_nest():
    assert nest([Shape("line", ((0, 0), (300, 0)), 1)], 500, seconds=1) is None


@pytest.fixture
def right() -> Nest:
    other = tuple((300 - x, 200 - y) for x, y in TRIANGLE)
    return Nest(300.0, (Nested("a", TRIANGLE, 0), Nested("a", other, 180)))


SHAPES = [Shape("a", TRIANGLE, 2)]


def test_right_nest_is_right(right):
    assert is_right(right, SHAPES, 200)


@pytest.mark.parametrize("change", ["over another", "off the edge", "off the end", "one missing", "shrunk", "unknown"])
def test_wrong_nest_is_seen(right, change):
    first, second = right.placed
    wrong = {
        "over another": (first, replace(first)),
        "off the edge": (first, replace(second, corners=tuple((x, y + 5) for x, y in second.corners))),
        "off the end": (first, replace(second, corners=tuple((x + 5, y) for x, y in second.corners))),
        "one missing": (first,),
        "shrunk": (first, replace(second, corners=tuple((150 + x / 2, 100 + y / 2) for x, y in TRIANGLE))),
        "unknown": (first, replace(second, id="b")),
    }[change]
    assert not is_right(replace(right, placed=wrong), SHAPES, 200)
