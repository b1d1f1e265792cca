"""From a ply to the blanks cut for it: fibre direction, panels where the cloth is too narrow, seams kept apart.

A ply is a rectangle in the mould: length along its 0° line, width across. A blank is one flat piece: ``along`` the
roll and ``across`` it, both whole mm.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, isqrt, sqrt

from shopstock.calc.forms import TURN_ANY, TURN_NEVER, form_of, turns_allowed

ALONG_PLY = "0"
ACROSS_PLY = "90"
BIAS_PLUS = "+45"
BIAS_MINUS = "-45"
BIAS_BOTH = "±45"
ANY_DIRECTION = "any"
DIRECTIONS = (ALONG_PLY, ACROSS_PLY, BIAS_PLUS, BIAS_MINUS, BIAS_BOTH, ANY_DIRECTION)

# Class rules for FRP ships: mats in one ply overlap at least 50 mm, overlap centres of neighbours 100 mm apart.
DEFAULT_OVERLAP_MM = 50
LEAST_STAGGER_MM = 100

HAIR_MM = 1e-6  # less than arithmetic with roots can add to a length

EQUAL_PANELS = "equal"
FULL_PANELS = "full"


class BlankError(ValueError):
    """A ply that cannot be cut from this cloth; the message says why."""


class SeamNotAllowed(BlankError):
    """A ply wider than the cloth where no seam may be."""


@dataclass(frozen=True)
class Cloth:
    """What blanks need to know of a reinforcement: usable width in mm (trim taken off), form, fibre angles in degrees.

    ``axes_deg`` are measured from the roll's length: (0, 90) cloth, (45, -45) stitched, (0,) unidirectional, () mat.
    ``balanced`` says that its two directions carry the same fibre.
    """

    usable_width_mm: int
    form: str
    axes_deg: tuple[int, ...] = (0, 90)
    balanced: bool = False

    @property
    def lies_at_45(self) -> bool:
        return {45, -45} <= set(self.axes_deg)

    @property
    def has_direction(self) -> bool:
        return form_of(self.form).turn_rule != TURN_ANY

    @property
    def may_turn(self) -> bool:
        return form_of(self.form).turn_rule != TURN_NEVER


@dataclass(frozen=True)
class PlyBlank:
    """One kind of blank of a ply: size in mm, how many, turns allowed (degrees), which panel, a word to the cutter."""

    across_mm: int
    along_mm: int
    count: int
    turns: tuple[int, ...]
    panel: int = 1
    panels: int = 1
    note: str = ""


def panels_needed(covered_mm: int, usable_width_mm: int, overlap_mm: int = 0) -> int:
    """Panels side by side to cover a width: ceil((B − o) / (W − o)), at least 1; all in mm.

    Raises BlankError. Source: geometry; overlap from class rules for FRP ships (2014). Worked: 3000 mm from 1270
    with 50 → 3.
    """
    _check_widths(covered_mm, usable_width_mm, overlap_mm)
    return max(1, -((overlap_mm - covered_mm) // (usable_width_mm - overlap_mm)))


def _check_widths(covered_mm: int, usable_width_mm: int, overlap_mm: int) -> None:
    if covered_mm <= 0 or usable_width_mm <= 0:
        raise BlankError("A ply and a cloth both need a width above zero.")
    if not 0 <= overlap_mm < usable_width_mm:
        raise BlankError(
            f"An overlap of {overlap_mm} mm needs cloth wider than that: {usable_width_mm} mm is usable here."
        )


def split_into_panels(
    covered_mm: int,
    usable_width_mm: int,
    overlap_mm: int = DEFAULT_OVERLAP_MM,
    *,
    seams_allowed: bool = True,
    style: str = FULL_PANELS,
) -> tuple[int, ...]:
    """Panel widths in mm that cover a ply exactly: they add up to B + (n − 1)·o.

    All widths in mm. FULL_PANELS leaves the last as the remainder, EQUAL_PANELS makes them alike within 1 mm. Raises
    SeamNotAllowed and BlankError. Source: geometry. Worked: 3000 from 1270, 50 → (1270, 1270, 560).
    """
    count = panels_needed(covered_mm, usable_width_mm, overlap_mm)
    if count > 1 and not seams_allowed:
        raise SeamNotAllowed(
            f"The ply is {covered_mm} mm wide and the cloth gives {usable_width_mm} mm. Allow a seam in this ply, or "
            "take a wider cloth."
        )
    total = covered_mm + (count - 1) * overlap_mm
    if style == EQUAL_PANELS:
        least, wider = divmod(total, count)
        return (least + 1,) * wider + (least,) * (count - wider)
    return (usable_width_mm,) * (count - 1) + (total - (count - 1) * usable_width_mm,)


def seam_centres(panels_mm: Sequence[int], overlap_mm: int) -> tuple[int, ...]:
    """Centre line of every overlap in mm from the ply's edge, rounded down to whole mm.

    Worked: (1270, 1270, 560) with 50 → (1245, 2465).
    """
    centres, edge = [], 0
    for width in panels_mm[:-1]:
        edge += width
        centres.append(edge - (overlap_mm + 1) // 2)
        edge -= overlap_mm
    return tuple(centres)


def seams_clear(one_mm: Sequence[int], other_mm: Sequence[int], least_mm: int = LEAST_STAGGER_MM) -> bool:
    """Whether every seam centre of one ply lies ``least_mm`` mm or more from every one of its neighbour (all mm).

    Source: class rules for FRP ships (2014), 100 mm. Worked: (1245,) and (1145,) → True; (1245,) and (1200,) → False.
    """
    return all(abs(a - b) >= least_mm for a in one_mm for b in other_mm)


def staggered_panels(
    covered_mm: int,
    usable_width_mm: int,
    neighbour_seams_mm: Sequence[int],
    overlap_mm: int = DEFAULT_OVERLAP_MM,
    least_mm: int = LEAST_STAGGER_MM,
) -> tuple[int, ...]:
    """Panel widths in mm whose seams stay clear of the neighbouring ply's, with as few panels as will do.

    All in mm; the first panel is made narrower, whole mm by whole mm, until the seams are clear; one panel more than
    needed is tried before giving up. Raises BlankError. Source: class rules. Worked: 3000 from 1270 beside (1245, 2465)
    → (1170, 1270, 660).
    """
    needed = panels_needed(covered_mm, usable_width_mm, overlap_mm)
    for count in (needed, needed + 1):
        for first in range(usable_width_mm, 2 * overlap_mm, -1):
            panels = _panels_from(first, count, covered_mm, usable_width_mm, overlap_mm)
            if panels and seams_clear(seam_centres(panels, overlap_mm), neighbour_seams_mm, least_mm):
                return panels
    raise BlankError(f"No seam of this ply stays {least_mm} mm clear of the ply beside it: take a wider cloth.")


def _panels_from(first_mm: int, count: int, covered_mm: int, width_mm: int, overlap_mm: int) -> tuple[int, ...] | None:
    if count == 1:
        return (covered_mm,) if first_mm >= covered_mm else None
    last = covered_mm + (count - 1) * overlap_mm - first_mm - (count - 2) * width_mm
    if overlap_mm < last <= width_mm:
        return (first_mm, *(width_mm,) * (count - 2), last)
    return None


def blanks_of_ply(
    length_mm: int,
    width_mm: int,
    direction: str,
    cloth: Cloth,
    *,
    count: int = 1,
    overlap_mm: int = DEFAULT_OVERLAP_MM,
    seams_allowed: bool = False,
    style: str = FULL_PANELS,
) -> tuple[PlyBlank, ...]:
    """Blanks for ``count`` plies of length × width (mm) whose main fibre lies in ``direction``.

    Direction 0 runs along the ply, 90 across it, ±45 both ways at 45°, any where it does not matter (mat). A ±45 ply
    comes straight from a ±45 fabric; from other cloth it is a bias blank: the rectangle around the ply turned by 45°.
    One wider than the cloth is pieced, where a seam may be: of such squares end to end or of strips laid at 45°.
    Raises SeamNotAllowed and BlankError. Source: geometry. Worked: 2000 × 900 at 90 from 1270 → along 900, across 2000:
    refused without a seam, with one panels of 1270 and 780.
    """
    _check_ply(length_mm, width_mm, direction, count)
    if direction == ANY_DIRECTION and not cloth.may_turn:
        direction = ALONG_PLY
    if not cloth.has_direction or direction == ANY_DIRECTION:
        return _undirected(length_mm, width_mm, cloth, count, overlap_mm, seams_allowed, style)
    if _needs_bias(direction, cloth):
        return _bias(length_mm, width_mm, direction, cloth, count, overlap_mm, seams_allowed)
    across, along = (length_mm, width_mm) if direction == ACROSS_PLY else (width_mm, length_mm)
    panels = split_into_panels(across, cloth.usable_width_mm, overlap_mm, seams_allowed=seams_allowed, style=style)
    return _panel_blanks(panels, along, count, _turns(cloth), _straight_note(direction, cloth))


def _check_ply(length_mm: int, width_mm: int, direction: str, count: int) -> None:
    if length_mm <= 0 or width_mm <= 0 or count < 1:
        raise BlankError("A ply needs a length, a width and a count above zero.")
    if direction not in DIRECTIONS:
        raise BlankError(f"“{direction}” is no ply direction. Use one of: {', '.join(DIRECTIONS)}.")


def _needs_bias(direction: str, cloth: Cloth) -> bool:
    only_at_45 = set(cloth.axes_deg) == {45, -45}
    if direction in (ALONG_PLY, ACROSS_PLY):
        return only_at_45
    return not cloth.lies_at_45


def _turns(cloth: Cloth) -> tuple[int, ...]:
    return turns_allowed(cloth.form, balanced=cloth.balanced)


def _straight_note(direction: str, cloth: Cloth) -> str:
    if cloth.lies_at_45 and direction in (BIAS_PLUS, BIAS_MINUS, BIAS_BOTH):
        return "straight along the roll: the fabric's own fibres lie at ±45°"
    return "length across the roll" if direction == ACROSS_PLY else ""


def _panel_blanks(
    panels_mm: Sequence[int], along_mm: int, count: int, turns: tuple[int, ...], note: str
) -> tuple[PlyBlank, ...]:
    of = len(panels_mm)
    return tuple(PlyBlank(width, along_mm, count, turns, i, of, note) for i, width in enumerate(panels_mm, start=1))


def _undirected(
    length_mm: int, width_mm: int, cloth: Cloth, count: int, overlap_mm: int, seams_allowed: bool, style: str
) -> tuple[PlyBlank, ...]:
    shorter, longer = sorted((length_mm, width_mm))
    turns = (0, 90) if longer <= cloth.usable_width_mm else (0,)
    panels = split_into_panels(shorter, cloth.usable_width_mm, overlap_mm, seams_allowed=seams_allowed, style=style)
    return _panel_blanks(panels, longer, count, turns, "")


def bias_square_mm(length_mm: int, width_mm: int) -> int:
    """Side in mm, rounded up, of the square around a length × width (mm) rectangle turned by 45°: (L + W)/√2.

    Source: geometry. Worked: 1000 × 300 → 920.
    """
    half_square = (length_mm + width_mm) ** 2
    side = isqrt(half_square // 2)
    return side if 2 * side**2 >= half_square else side + 1


def bias_strips_mm(
    length_mm: int, width_mm: int, usable_width_mm: int, overlap_mm: int = DEFAULT_OVERLAP_MM
) -> tuple[tuple[int, int], ...]:
    """(across, along) in mm of strips of the roll laid side by side at 45° until they cover a length × width (mm) ply.

    The strips stand at 45° to the ply's edges, and so do their seams. Across the strips the ply measures (L + W)/√2,
    split like any width; each strip is as long as the ply is along the warp anywhere under it. Raises BlankError.
    Source: geometry. Worked: 1500 × 1500 from 1270, lap 50 → (1270, 2122) and (902, 1803).
    """
    panels = split_into_panels(bias_square_mm(length_mm, width_mm), usable_width_mm, overlap_mm)
    strips, start_mm = [], 0
    for across_mm in panels:
        along_mm = _along_warp_mm(length_mm, width_mm, start_mm * sqrt(2), (start_mm + across_mm) * sqrt(2))
        strips.append((across_mm, max(1, ceil(along_mm - HAIR_MM))))
        start_mm += across_mm - overlap_mm
    return tuple(strips)


def _along_warp_mm(length_mm: int, width_mm: int, low: float, high: float) -> float:
    """How far a ply reaches along a warp at 45°, between the slanted lines x + y = low and x + y = high."""
    high = min(high, length_mm + width_mm)
    x_most = min(max(low, length_mm), high)
    y_most = min(max(low, width_mm), high)
    foremost = 2 * min(length_mm, x_most) - x_most
    hindmost = y_most - 2 * min(width_mm, y_most)
    return (foremost - hindmost) / sqrt(2)


def _bias(
    length_mm: int, width_mm: int, direction: str, cloth: Cloth, count: int, overlap_mm: int, seams_allowed: bool
) -> tuple[PlyBlank, ...]:
    sizes = _bias_sizes(length_mm, width_mm, cloth.usable_width_mm, overlap_mm, seams_allowed)
    note = _bias_note(direction, cloth)
    if any(across_mm != along_mm for across_mm, along_mm in sizes):
        note += ", strips side by side with slanted seams"
    of = len(sizes)
    # A square turned by 90° swaps +45 and −45, so only a balanced cloth may turn.
    return tuple(PlyBlank(*size, count, _turns(cloth), i, of, note) for i, size in enumerate(sizes, start=1))


def _bias_sizes(
    length_mm: int, width_mm: int, usable_mm: int, overlap_mm: int, seams_allowed: bool
) -> tuple[tuple[int, int], ...]:
    """Squares end to end along the ply, or strips laid across it at 45°: whichever takes less cloth."""
    side_mm = bias_square_mm(length_mm, width_mm)
    if side_mm <= usable_mm:
        return ((side_mm, side_mm),)
    if not seams_allowed:
        raise SeamNotAllowed(
            f"At 45° this ply needs {side_mm} mm of cloth and {usable_mm} mm are usable. "
            "Allow a seam in this ply, or take a ±45 fabric."
        )
    longer_mm, shorter_mm = max(length_mm, width_mm), min(length_mm, width_mm)
    strips = bias_strips_mm(length_mm, width_mm, usable_mm, overlap_mm)
    longest_mm = isqrt(2 * usable_mm**2) - shorter_mm
    if longest_mm <= overlap_mm:
        return strips
    pieces = split_into_panels(longer_mm, longest_mm, overlap_mm, style=EQUAL_PANELS)
    squares = tuple((bias_square_mm(piece, shorter_mm),) * 2 for piece in pieces)
    return min(squares, strips, key=lambda sizes: sum(across_mm * along_mm for across_mm, along_mm in sizes))


def _bias_note(direction: str, cloth: Cloth) -> str:
    if direction in (ALONG_PLY, ACROSS_PLY):
        return f"cut at 45° across the roll: the fabric's fibres lie at ±45° and the ply wants {direction}°"
    return f"bias blank: cut at 45° across the roll, warp to lie at {direction}° in the ply"


def waste_of_overlap_percent(usable_width_mm: int, overlap_mm: int) -> float:
    """Extra cloth in per cent that overlaps take on a wide ply; widths in mm. Worked: 1270, 50 → 4.10."""
    _check_widths(1, usable_width_mm, overlap_mm)
    return 100 * overlap_mm / (usable_width_mm - overlap_mm)
