"""Outlines: what is read, and what is refused with the place that is wrong."""

import io

import ezdxf
import pytest

from jobs.calc.outline import OutlineError, area_mm2, checked, quarter_turned
from jobs.calc.outline_picture import draw_outline
from jobs.calc.outline_reading import outline_from_dxf, outline_from_svg, outline_from_svg_file


def dxf(*lines, units: int = 4, closed: bool = True, loose: bool = False) -> bytes:
    drawing = ezdxf.new(units=units)
    for line in lines:
        drawing.modelspace().add_lwpolyline(line, close=closed)
    if loose:
        drawing.modelspace().add_line((0, 0), (100, 0))
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue().encode()


TRIANGLE = [(0, 0), (300, 0), (0, 200)]


def test_triangle_of_a_path_has_its_area_and_the_rectangle_around_it():
    found = outline_from_svg("M10 20 H310 L10 220 Z")
    assert (found.length_mm, found.width_mm, found.area_mm2) == (300, 200, 30_000)
    assert set(found.corners) == {(0, 0), (300, 0), (0, 200)}


def test_polyline_of_a_drawing_is_the_same_outline_as_the_path():
    assert outline_from_dxf(dxf(TRIANGLE)) == outline_from_svg("M0 0 H300 L0 200 Z")


def test_drawing_without_a_unit_is_taken_as_millimetres():
    assert outline_from_dxf(dxf(TRIANGLE, units=0)).length_mm == 300


def test_curves_are_followed_within_a_fraction_of_a_millimetre():
    circle = outline_from_svg("M0 500 A500 500 0 1 1 1000 500 A500 500 0 1 1 0 500 Z")
    assert circle.area_mm2 == pytest.approx(785_398, rel=0.002)
    assert (circle.length_mm, circle.width_mm) == (1_000, 1_000)


def test_bulge_of_a_polyline_is_an_arc():
    drawing = ezdxf.new(units=4)
    points = [(0, 0, 1.0), (200, 0, 0), (200, 300, 0), (0, 300, 0)]  # a half circle below the first side
    drawing.modelspace().add_lwpolyline(points, close=True, format="xyb")
    text = io.StringIO()
    drawing.write(text)
    found = outline_from_dxf(text.getvalue().encode())
    assert (found.length_mm, found.width_mm) == (200, 400)
    assert found.area_mm2 == pytest.approx(200 * 300 + 3.14159 * 100**2 / 2, rel=0.003)


@pytest.mark.parametrize(
    ("path", "words", "place_mm"),
    [
        ("M0 0 H300 L0 200", "The line is open: its end lies 200.0 mm from its start", (0, 200)),
        ("M0 0 L300 200 L300 0 L0 200 Z", "crosses or touches itself at 150, 100 mm", (150, 100)),
        ("M0 0 H3 L0 2 Z", "only 3 × 2 mm. Is it drawn in metres or inches?", (0, 0)),
        ("M0 0 H900000 L0 200 Z", "900 m long. Is it drawn in a smaller unit?", (0, 0)),
    ],
)
def test_bad_outline_is_refused_with_the_place_marked(path, words, place_mm):
    with pytest.raises(OutlineError) as refused:
        outline_from_svg(path)
    assert words in str(refused.value)
    assert refused.value.place_mm == place_mm
    assert draw_outline(refused.value.points, refused.value.place_mm).mark is not None


@pytest.mark.parametrize(
    "path",
    ["", "hello", "<svg/>", "M", "M0 0", "M0 0 A", "M0 0H300V0Z", "M0 0 1e999 0 0 5Z", "H300 L0 200 Z", "M0 0 H nan Z"],
)
def test_nonsense_is_refused_in_words(path):
    with pytest.raises(OutlineError):
        outline_from_svg(path)


def test_path_of_two_lines_is_refused():
    with pytest.raises(OutlineError, match="more than one line"):
        outline_from_svg("M0 0 H300 L0 200 Z M50 50 H60 V60 Z")


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (dxf(TRIANGLE, units=1), "in inches"),
        (dxf(TRIANGLE, units=6), "in metres"),
        (dxf(TRIANGLE, TRIANGLE), "holds 2 lines"),
        (dxf(loose=True), "Join its 1 loose lines"),
        (dxf(), "Draw one closed polyline"),
        (dxf(TRIANGLE, closed=False), "The line is open"),
        (b"\x00\x01 not a drawing", "no DXF drawing"),
        (b"", "no DXF drawing"),
    ],
)
def test_bad_drawing_is_refused_in_words(content, words):
    with pytest.raises(OutlineError, match=words):
        outline_from_dxf(content)


def test_corners_on_a_straight_line_are_left_out():
    assert len(checked([(0, 0), (100, 0), (300, 0), (300, 200), (0, 200), (0, 0)]).corners) == 4


def test_too_many_corners_are_refused():
    from math import cos, pi, sin

    ring = [((5e4 + 40 * (n % 2)) * cos(n * pi / 1500), (5e4 + 40 * (n % 2)) * sin(n * pi / 1500)) for n in range(3000)]
    with pytest.raises(OutlineError, match="more than 2000"):
        checked([*ring, ring[0]])


def test_quarter_turn_keeps_area_and_swaps_the_sides():
    corners = ((0, 0), (300, 0), (0, 200))
    turned = quarter_turned(corners, 200)
    assert turned == ((200, 0), (200, 300), (0, 0))
    assert area_mm2(turned) == area_mm2(corners) == 30_000


def test_quarter_turned_four_times_is_itself():
    corners = ((0, 0), (300, 0), (120, 200))
    found = corners
    for across_mm in (200, 300, 200, 300):
        found = quarter_turned(found, across_mm)
    assert found == corners


def test_drawing_of_an_outline_is_to_one_scale():
    picture = draw_outline([(0, 0), (800, 0), (800, 400), (0, 400)])
    assert (picture.width, picture.height) == (448.0, 248.0)
    assert picture.points == "24,24 424,24 424,224 24,224"


def drawn(*shapes: str, size: str = 'width="300mm" height="200mm" viewBox="0 0 30 20"') -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{"".join(shapes)}</svg>'.encode()


@pytest.mark.parametrize(
    "shape",
    [
        '<path d="M0 0H30L0 20Z"/>',
        '<polygon points="0,0 30,0 0,20"/>',
        '<g transform="scale(10)"><path transform="translate(1 2)" d="M0 0H3L0 2Z"/></g>',
    ],
)
def test_svg_drawing_is_read_in_the_millimetres_that_it_says(shape):
    assert outline_from_svg_file(drawn(shape)) == outline_from_svg("M0 0 H300 L0 200 Z")


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"<svg", "no SVG drawing that can be read"),
        (b"<html></html>", "does not say its size"),
        (b'<!DOCTYPE svg [<!ENTITY a "b">]>' + drawn('<path d="M0 0H30L0 20Z"/>'), "no SVG drawing"),
        (drawn('<path d="M0 0H30L0 20Z"/>', size='viewBox="0 0 30 20"'), "width and height in mm"),
        (drawn('<path d="M0 0H30L0 20Z"/>', size='width="300" height="200"'), "width and height in mm"),
        (drawn(), "holds no outline"),
        (drawn('<path d="M0 0H30L0 20Z"/>', '<circle r="3"/>'), "holds 2 lines"),
        (drawn('<path d="M0 0H30L0 20Z M5 5H6V6Z"/>'), "more than one line"),
        (drawn('<path d="M0 0L30 20L30 0L0 20Z"/>'), "crosses or touches itself"),
        (drawn('<path d="M0 0H30L0 20"/>'), "open"),
        (drawn('<path d="M0 0H30L0 20Z"/>') + b" " * 1_000_001, "larger than 1 MB"),
    ],
)
def test_svg_drawing_that_is_no_outline_is_refused_with_what_to_do(content, words):
    with pytest.raises(OutlineError, match=words):
        outline_from_svg_file(content)
