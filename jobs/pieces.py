"""From the plies of a job to the pieces cut for it: panels, seams kept apart, turns, and what cannot be cut."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from math import sqrt

from jobs.calc import blanks as calc
from jobs.calc.outline import Corners, area_mm2, quarter_turned
from shopstock.calc.forms import CLOTH, FORMS, TURN_ANY
from shopstock.models import Reinforcement, Shop

from .models import Job, Part, Ply

Size = tuple[int, int]
PieceKey = tuple[int, Size]
CALC_DIRECTION = {
    Ply.Direction.ALONG: calc.ALONG_PLY,
    Ply.Direction.ACROSS: calc.ACROSS_PLY,
    Ply.Direction.BIAS: calc.BIAS_BOTH,
    Ply.Direction.PLUS: calc.BIAS_PLUS,
    Ply.Direction.MINUS: calc.BIAS_MINUS,
    Ply.Direction.ANY: calc.ANY_DIRECTION,
}
OVER_LENGTH, OVER_WIDTH, OVER_BIAS = "length", "width", "bias"


@dataclass(frozen=True)
class Piece:
    """One kind of blank of one ply, and how many of it are wanted."""

    ply_id: int
    reinforcement_id: int
    name: str
    across_mm: int
    along_mm: int
    count: int
    turns: tuple[int, ...] = (0,)
    outline: Corners = ()  # along and across, as the piece lies unturned; none for a rectangle

    @property
    def key(self) -> PieceKey:
        return self.ply_id, size_key(self.across_mm, self.along_mm)

    @property
    def blank_id(self) -> str:
        """Its name for the planner."""
        return f"{self.ply_id}:{self.name}"

    @property
    def area_mm2(self) -> int:
        return self.across_mm * self.along_mm * self.count

    @property
    def net_mm2(self) -> int:
        """What one of it covers: the area of its outline, or of the rectangle."""
        return area_mm2(self.outline) if self.outline else self.across_mm * self.along_mm

    def outline_as_laid(self, turned: bool) -> Corners:
        return quarter_turned(self.outline, self.across_mm) if turned else self.outline


@dataclass(frozen=True)
class Refusal:
    """A ply that no roll of its reinforcement can give, and why."""

    reinforcement_id: int
    name: str
    pieces: int
    reason: str


@dataclass(frozen=True)
class LayUp:
    pieces: tuple[Piece, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    notes: tuple[tuple[int, str], ...] = ()  # (reinforcement id, a word to the cutter)

    def of(self, reinforcement_id: int) -> "LayUp":
        return LayUp(
            tuple(piece for piece in self.pieces if piece.reinforcement_id == reinforcement_id),
            tuple(refusal for refusal in self.refusals if refusal.reinforcement_id == reinforcement_id),
            tuple(note for note in self.notes if note[0] == reinforcement_id),
        )

    def named(self, before: str) -> "LayUp":
        """The same with this before every name."""
        return LayUp(
            tuple(replace(piece, name=before + piece.name) for piece in self.pieces),
            tuple(replace(refusal, name=before + refusal.name) for refusal in self.refusals),
            tuple((kind, before + word) for kind, word in self.notes),
        )

    def __add__(self, other: "LayUp") -> "LayUp":
        return LayUp(self.pieces + other.pieces, self.refusals + other.refusals, self.notes + other.notes)


@dataclass(frozen=True)
class _Laid:
    """How one ply is made of blanks, and where its seams run in the mould."""

    blanks: tuple[calc.PlyBlank, ...]
    over: str
    covered_mm: int
    seams_mm: tuple[int, ...] = ()


def size_key(across_mm: int, along_mm: int) -> Size:
    return min(across_mm, along_mm), max(across_mm, along_mm)


def usable_width_mm(width_mm: int, shop: Shop) -> int:
    """What a blank may take of a roll's width: trim off both sides, and the allowance that the planner adds to it."""
    return width_mm - 2 * shop.edge_trim_mm - shop.cutting_allowance_mm


def lay_up_of(job: Job, widths_mm: Mapping[int, int]) -> LayUp:
    """The pieces of a job whose parts, plies, reinforcements and layers are loaded; widths by reinforcement id."""
    whole = LayUp()
    for part in job.parts.all():
        whole += _lay_up_of_part(part, widths_mm)
    return whole


def _lay_up_of_part(part: Part, widths_mm: Mapping[int, int]) -> LayUp:
    pieces, refusals, notes = [], [], []
    below: _Laid | None = None
    for ply in part.plies.all():
        name = f"{part.name} {ply.number}"
        kind = ply.reinforcement_id
        try:
            laid = laid_ply(ply, cloth_of(ply.reinforcement, widths_mm[kind]))
        except calc.BlankError as error:
            refusals.append(Refusal(kind, name, ply.count * part.count, str(error)))
            below = None
            continue
        laid, words = _staggered(ply, laid, below, widths_mm[kind])
        notes += [(kind, f"{name}: {word}") for word in words]
        pieces += [_piece(ply, part, name, blank) for blank in laid.blanks]
        below = laid
    return LayUp(tuple(pieces), tuple(refusals), tuple(notes))


def _piece(ply: Ply, part: Part, name: str, blank: calc.PlyBlank) -> Piece:
    panel = "" if blank.panels == 1 else chr(96 + blank.panel) if blank.panels <= 26 else f".{blank.panel}"
    turns = tuple(turn for turn in blank.turns if turn in ply.reinforcement.turns) if may_turn(ply) else ()
    count = blank.count * part.count
    return Piece(
        ply.pk,
        ply.reinforcement_id,
        f"{name}{panel}",
        blank.across_mm,
        blank.along_mm,
        count,
        turns or (0,),
        outline_on_cloth(ply, blank),
    )


def outline_on_cloth(ply: Ply, blank: calc.PlyBlank) -> Corners:
    """The outline of a ply as its blank lies on the roll; none when it is cut in panels or on the bias."""
    if not ply.outline or blank.panels > 1:
        return ()
    corners: Corners = tuple((x, y) for x, y in ply.outline)
    size, lies = (ply.length_mm, ply.width_mm), (blank.along_mm, blank.across_mm)
    if lies == size and (ply.length_mm != ply.width_mm or ply.direction != Ply.Direction.ACROSS):
        return corners
    return quarter_turned(corners, ply.width_mm) if lies == size[::-1] else ()


def may_turn(ply: Ply) -> bool:
    return ply.may_turn or ply.direction == Ply.Direction.ANY


def cloth_of(reinforcement: Reinforcement, width_mm: int) -> calc.Cloth:
    angles = tuple(layer.angle_deg for layer in reinforcement.layers.all() if layer.angle_deg is not None)
    mat = FORMS[reinforcement.form].turn_rule == TURN_ANY
    return calc.Cloth(
        usable_width_mm=width_mm,
        form=reinforcement.form,
        axes_deg=() if mat else angles or (0, 90),
        balanced=reinforcement.turning != Reinforcement.Turning.NEVER,
    )


def laid_ply(ply: Ply, cloth: calc.Cloth) -> _Laid:
    """The way that needs the fewest seams; raises BlankError when there is none."""
    straight = (Ply.Direction.ALONG, Ply.Direction.ACROSS)
    if not may_turn(ply) and not cloth.has_direction and ply.direction in straight:
        cloth = replace(cloth, form=CLOTH, axes_deg=(0, 90), balanced=False)  # the ply's own wish gives mat a direction
    ways = [ply.direction]
    if ply.may_turn and cloth.may_turn and cloth.balanced and ply.direction in straight:
        ways += [way for way in straight if way != ply.direction]
    laid, refused = [], None
    for way in ways:
        try:
            laid.append(_laid_in(ply, way, cloth))
        except calc.BlankError as error:
            refused = refused or error
    if not laid:
        raise refused
    return min(laid, key=lambda way: len(way.blanks))


def _laid_in(ply: Ply, way: str, cloth: calc.Cloth) -> _Laid:
    blanks = calc.blanks_of_ply(
        ply.length_mm,
        ply.width_mm,
        CALC_DIRECTION[way],
        cloth,
        count=ply.count,
        overlap_mm=ply.overlap_mm if ply.may_seam else 0,
        seams_allowed=ply.may_seam,
    )
    along_mm, laid_mm = blanks[0].along_mm, sum(blank.across_mm for blank in blanks)
    covered_mm = laid_mm - (len(blanks) - 1) * ply.overlap_mm if len(blanks) > 1 else laid_mm
    sizes = {(ply.length_mm, ply.width_mm): OVER_WIDTH, (ply.width_mm, ply.length_mm): OVER_LENGTH}
    over = sizes.get((along_mm, covered_mm), OVER_BIAS)
    seams = calc.seam_centres([blank.across_mm for blank in blanks], ply.overlap_mm) if over != OVER_BIAS else ()
    return _Laid(blanks, over, covered_mm, seams)


def _staggered(ply: Ply, laid: _Laid, below: _Laid | None, width_mm: int) -> tuple[_Laid, list[str]]:
    """Move the seams clear of the ply below where that costs no further panel; say what the cutter must know."""
    words = sorted({blank.note for blank in laid.blanks if blank.note})
    if len(laid.blanks) == 1:
        return laid, words
    if below is not None and below.over == laid.over != OVER_BIAS and not _clear(laid, below):
        laid, word = _moved_clear(ply, laid, below, width_mm)
        words.append(word)
    if below is not None and below.over == laid.over == OVER_BIAS and len(below.blanks) > 1:
        words.append(f"seams of plies cut at 45° are not kept apart: lay them {calc.LEAST_STAGGER_MM} mm clear by hand")
    sizes = " + ".join(str(blank.across_mm) for blank in laid.blanks)
    words.insert(0, f"{len(laid.blanks)} panels of {sizes} mm, laid with a lap of {ply.overlap_mm} mm")
    if ply.count > 1:
        words.append(f"its {ply.count} pieces have seams alike; move them {calc.LEAST_STAGGER_MM} mm when stacked")
    return laid, words


def _clear(laid: _Laid, below: _Laid) -> bool:
    return calc.seams_clear(laid.seams_mm, below.seams_mm)


def _moved_clear(ply: Ply, laid: _Laid, below: _Laid, width_mm: int) -> tuple[_Laid, str]:
    """The same panels end for end, panels of other widths, or one panel more: the first that keeps the seams apart."""
    least_mm = calc.LEAST_STAGGER_MM
    turned = tuple(reversed([blank.across_mm for blank in laid.blanks]))
    if calc.seams_clear(calc.seam_centres(turned, ply.overlap_mm), below.seams_mm):
        return _in_panels(ply, laid, turned), f"laid from the other side, seams {least_mm} mm clear of the ply below"
    try:
        panels = calc.staggered_panels(laid.covered_mm, width_mm, below.seams_mm, ply.overlap_mm)
    except calc.BlankError:
        return laid, f"seams come within {least_mm} mm of the ply below: take a wider cloth, or shift a seam by hand"
    more = " with one panel more" if len(panels) > len(laid.blanks) else ""
    return _in_panels(ply, laid, panels), f"seams {least_mm} mm or more clear of the ply below{more}"


def _in_panels(ply: Ply, laid: _Laid, panels_mm: tuple[int, ...]) -> _Laid:
    first = laid.blanks[0]
    blanks = tuple(
        replace(first, across_mm=across_mm, panel=number, panels=len(panels_mm))
        for number, across_mm in enumerate(panels_mm, start=1)
    )
    return replace(laid, blanks=blanks, seams_mm=calc.seam_centres(panels_mm, ply.overlap_mm))


def lap_area_mm2(ply: Ply, width_mm: int) -> int:
    """Cloth that lies double in the seams of one piece of a ply; 0 when it needs none or cannot be cut."""
    try:
        laid = laid_ply(ply, cloth_of(ply.reinforcement, width_mm))
    except calc.BlankError:
        return 0
    first, shorter_mm = laid.blanks[0], min(ply.length_mm, ply.width_mm)
    seam_mm = first.along_mm
    if laid.over == OVER_BIAS:  # a slanted seam crosses the ply at 45°
        seam_mm = shorter_mm if first.across_mm == first.along_mm else round(shorter_mm * sqrt(2))
    return (len(laid.blanks) - 1) * ply.overlap_mm * seam_mm


def without(pieces: Iterable[Piece], done: Counter) -> tuple[Piece, ...]:
    """The pieces still wanted when those counted in `done` (by ply and size) are there already."""
    left, wanted = Counter(done), []
    for piece in pieces:
        taken = min(piece.count, left[piece.key])
        left[piece.key] -= taken
        if piece.count > taken:
            wanted.append(replace(piece, count=piece.count - taken))
    return tuple(wanted)
