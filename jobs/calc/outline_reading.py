"""Reads the outline of a ply from an SVG path, or from an SVG or DXF drawing, in mm."""

import io
import re
from collections.abc import Iterator
from math import ceil

from .outline import Outline, OutlineError, Point, checked

LARGEST_TEXT = 1_000_000
CHORD_MM = 0.2
MOST_POINTS_A_CURVE = 400
ONE_LINE = ("LWPOLYLINE", "POLYLINE", "SPLINE", "CIRCLE", "ELLIPSE")
MILLIMETRES, NO_UNIT = 4, 0
DXF_UNITS = {1: "inches", 2: "feet", 5: "centimetres", 6: "metres", 8: "microinches", 9: "mils", 10: "yards"}
MM_PER_INCH = 25.4
SAYS_ITS_UNIT = re.compile(r"\s*[0-9.]+\s*(mm|cm|in)\s*")
PATH_LETTERS = re.compile(r"[MmLlHhVvCcSsQqTtAaZz0-9eE+\-.,\s]+")


def outline_from_svg(text: str) -> Outline:
    """The outline that the data of one SVG path draws (its ``d`` attribute, numbers in mm).

    Raises OutlineError. Source: SVG 1.1 paths. Worked: "M0 0H300L0 200Z" → 300 × 200 mm.
    """
    from svgelements import Path  # an extra of the installation, needed for outlines only

    text = text.strip()
    if not text or len(text) > LARGEST_TEXT or not PATH_LETTERS.fullmatch(text) or text[0] not in "Mm":
        raise OutlineError("This is no SVG path. Paste its data, such as M0 0 H300 L0 200 Z, with numbers in mm.")
    try:
        path = Path(text)
    except (ValueError, IndexError, TypeError) as error:
        raise OutlineError("The SVG path cannot be read. Paste its data, such as M0 0 H300 L0 200 Z.") from error
    return _outline_of(path)


def outline_from_svg_file(content: bytes) -> Outline:
    """The outline that the one shape of an SVG drawing draws; its width and height must say their unit.

    Raises OutlineError. Source: SVG 1.1, width, height and viewBox. Worked: M0 0H30L0 20Z where width is 300mm, height
    200mm and viewBox 0 0 30 20 → 300 × 200 mm.
    """
    from svgelements import SVG, Path, Shape  # an extra of the installation, needed for outlines only

    if len(content) > LARGEST_TEXT:
        raise OutlineError("The drawing is larger than 1 MB. Save only the outline.")
    unreadable = "This is no SVG drawing that can be read. Save it as plain SVG and try again."
    if b"<!ENTITY" in content or b"\0" in content:
        raise OutlineError(unreadable)
    try:
        drawing = SVG.parse(io.BytesIO(content), reify=True, ppi=MM_PER_INCH)  # a point of the screen is a mm
    except (SyntaxError, ValueError, IndexError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise OutlineError(unreadable) from error
    values = getattr(drawing, "values", {})
    if not all(SAYS_ITS_UNIT.fullmatch(str(values.get(side, ""))) for side in ("width", "height")):
        raise OutlineError("The drawing does not say its size. Save it with width and height in mm, such as 300mm.")
    shapes = [element for element in drawing.elements() if isinstance(element, Shape)]
    if not shapes:
        raise OutlineError("The drawing holds no outline. Draw one closed path.")
    if len(shapes) > 1:
        raise OutlineError(f"The drawing holds {len(shapes)} lines. A ply has one outline; save each on its own.")
    return _outline_of(Path(shapes[0]))


def _outline_of(path) -> Outline:
    from svgelements import Move  # an extra of the installation, needed for outlines only

    if sum(isinstance(segment, Move) for segment in path) != 1:
        raise OutlineError("The SVG path draws more than one line. A ply has one outline; give each its own.")
    return checked(_without_repeats(_points_of_path(path)))


def _points_of_path(path) -> Iterator[Point]:
    for segment in path:
        name = type(segment).__name__
        if name == "Move":
            yield segment.end.x, segment.end.y
        elif name in ("Line", "Close"):
            if segment.end is not None:
                yield segment.end.x, segment.end.y
        else:
            steps = min(MOST_POINTS_A_CURVE, max(8, ceil(segment.length(error=1e-3) / 10)))
            for step in range(1, steps + 1):
                point = segment.point(step / steps)
                yield point.x, point.y


def outline_from_dxf(content: bytes) -> Outline:
    """The outline that the one closed polyline, spline or circle of a DXF drawing in mm draws.

    Raises OutlineError. Source: DXF reference, $INSUNITS 4 is mm, 0 says no unit and is taken as mm.
    """
    import ezdxf  # an extra of the installation, needed for outlines only
    from ezdxf.path import make_path

    if len(content) > LARGEST_TEXT:
        raise OutlineError("The drawing is larger than 1 MB. Save only the outline.")
    try:
        drawing = ezdxf.read(io.StringIO(content.decode("utf-8", errors="replace").replace("\r\n", "\n")))
    except (ezdxf.DXFError, ValueError, IndexError, KeyError, TypeError, AttributeError) as error:
        raise OutlineError("This is no DXF drawing that can be read. Save it as DXF text and try again.") from error
    _require_millimetres(drawing.header.get("$INSUNITS", NO_UNIT))
    space = drawing.modelspace()
    lines = [entity for entity in space if entity.dxftype() in ONE_LINE]
    if not lines:
        loose = sum(entity.dxftype() in ("LINE", "ARC") for entity in space)
        hint = f" Join its {loose} loose lines into one closed polyline." if loose else " Draw one closed polyline."
        raise OutlineError("The drawing holds no outline." + hint)
    if len(lines) > 1:
        raise OutlineError(f"The drawing holds {len(lines)} lines. A ply has one outline; save each on its own.")
    points = [(point.x, point.y) for point in make_path(lines[0]).flattening(CHORD_MM)]
    return checked(_without_repeats(iter(points)))


def _require_millimetres(unit: int) -> None:
    if unit not in (MILLIMETRES, NO_UNIT):
        named = DXF_UNITS.get(unit, "another unit than millimetres")
        raise OutlineError(f"The drawing is in {named}. Save it in millimetres and try again.")


def _without_repeats(points: Iterator[Point]) -> list[Point]:
    kept: list[Point] = []
    for point in points:
        if not kept or point != kept[-1]:
            kept.append(point)
    return kept
