"""Pieces with outlines nested on one clean stretch of a roll, the rest planned behind them, against rectangles."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, floor

from jobs.calc.cutting import PlacedBlank
from jobs.calc.nesting import Nest, Nested, Shape, nest
from jobs.calc.outline import can_read_outlines
from shopstock.queries import cutting_over_mm

from .free_cloth import FreeCloth
from .laying import LaidStrip
from .pieces import Piece
from .question import MaterialPlan, Question, worth_of

HAIR_MM = 0.1
MOST_WIDTHS = 2
REST_SECONDS = 1.0


def better_way(question: Question, as_rectangles: MaterialPlan, seconds: int) -> MaterialPlan:
    """The better of rectangles and nesting, with what either takes; as it is where there is nothing to nest.

    Plans around what was settled by hand stay as rectangles.
    """
    if not question.outlined or question.wishes or as_rectangles.short or not can_read_outlines():
        return as_rectangles
    nested = nested_plan(question, as_rectangles, seconds)
    ways = {"rectangles_m2": _cut_off_m2(as_rectangles), "nested_m2": None if nested is None else _cut_off_m2(nested)}
    chosen = as_rectangles if nested is None or nested.merit >= as_rectangles.merit else nested
    return replace(chosen, ways=ways | {"chosen": "rectangles" if chosen is as_rectangles else "nested"})


def _cut_off_m2(plan: MaterialPlan) -> float:
    return round(sum(strip.cut_off_mm2 for strip in plan.strips) / 1e6, 3)


def nested_plan(question: Question, as_rectangles: MaterialPlan, seconds: int) -> MaterialPlan | None:
    """None when the outlines fit on no single stretch, or the rest finds no cloth beside them."""
    strips = [strip for strip in _nested_strips(question, seconds) if strip is not None]
    plans = (_with_the_rest(question, as_rectangles, strip) for strip in strips)
    return min((plan for plan in plans if not plan.short), key=lambda plan: plan.merit, default=None)


@dataclass(frozen=True)
class _Place:
    """The first clean stretch of a roll: what lies behind it is reached only by cutting it away."""

    item: FreeCloth
    low_mm: int
    high_mm: int

    @property
    def room_mm(self) -> int:
        return self.high_mm - self.low_mm


def _places(cloth: Sequence[FreeCloth]) -> list[_Place]:
    return [_Place(item, *item.clean[0]) for item in cloth if item.clean]


def _nested_strips(question: Question, seconds: int) -> list[LaidStrip | None]:
    """A strip of all outlines for each of a few widths of cloth."""
    allowance_mm = question.shop.cutting_allowance_mm
    places = _places(question.cloth)
    tallest_mm = max(min(piece.across_mm, piece.along_mm) for piece in question.outlined)
    widths = sorted({place.item.usable_width_mm for place in places}, reverse=True)
    widths = [width for width in widths if width - allowance_mm >= tallest_mm][:MOST_WIDTHS]
    shapes = [
        Shape(piece.blank_id, piece.outline, piece.count, (0, 90, 180, 270) if 90 in piece.turns else (0, 180))
        for piece in question.outlined
    ]
    found = []
    for width_mm in widths:
        share = max(1, seconds // len(widths))
        answer = nest(shapes, width_mm - allowance_mm, seconds=share, gap_mm=float(allowance_mm))
        same = [place for place in places if place.item.usable_width_mm == width_mm]
        found.append(None if answer is None else _strip_of(question, answer, same))
    return found


def _strip_of(question: Question, answer: Nest, places: Sequence[_Place]) -> LaidStrip | None:
    """On the cloth that is cheapest to use, and of that the shortest length that holds it."""
    shop = question.shop
    length_mm = ceil(answer.length_mm) + shop.cutting_allowance_mm + cutting_over_mm(question.reinforcement, shop)
    holding = [place for place in places if place.room_mm >= length_mm]
    if not holding:
        return None
    best = min(holding, key=lambda place: (worth_of(place.item), place.room_mm))
    pieces = {piece.blank_id: piece for piece in question.outlined}
    laid = (_blank_of(item, pieces[item.id], best.item.trim_mm) for item in answer.placed)
    blanks, outlines = zip(*laid, strict=True)
    return LaidStrip(best.item, 1, best.low_mm, length_mm, tuple(blanks), outlines=tuple(outlines))


def _blank_of(item: Nested, piece: Piece, trim_mm: int) -> tuple[PlacedBlank, tuple[tuple[float, float], ...]]:
    """The rectangle around a nested outline, and its corners from the corner of that rectangle."""
    y_mm = max(0, floor(min(x for x, _ in item.corners) + HAIR_MM))
    x_mm = max(0, floor(min(y for _, y in item.corners) + HAIR_MM))
    turned = item.turn % 180 == 90
    size = (piece.along_mm, piece.across_mm) if turned else (piece.across_mm, piece.along_mm)
    corners = tuple((round(x - y_mm, 1), round(y - x_mm, 1)) for x, y in item.corners)
    return PlacedBlank(item.id, x_mm + trim_mm, y_mm, *size, turned), corners


def _with_the_rest(question: Question, as_rectangles: MaterialPlan, strip: LaidStrip) -> MaterialPlan:
    """The pieces without outline planned behind the nested strip, or on other cloth."""
    outlined = set(question.outlined)
    lay_up = replace(question.lay_up, pieces=tuple(p for p in question.lay_up.pieces if p not in outlined))
    cloth = tuple(left for item in question.cloth if (left := _behind(item, strip)).passable)
    rest = replace(question, lay_up=lay_up, cloth=cloth).planned(REST_SECONDS)
    items = {item.roll.pk: item for item in question.cloth}
    strips = [strip] + [
        replace(
            other,
            cloth=items[other.cloth.roll.pk],
            number=other.number + (other.cloth.roll.pk == strip.cloth.roll.pk),
        )
        for other in rest.strips
    ]
    cloth_mm2 = sum(each.length_mm * each.cloth.usable_width_mm for each in strips)
    found = replace(as_rectangles.found, cloth_mm2=cloth_mm2)
    return replace(as_rectangles, strips=tuple(strips), short=rest.short, found=question.bounded(found))


def _behind(item: FreeCloth, strip: LaidStrip) -> FreeCloth:
    return item.behind(strip.to_mm) if item.roll.pk == strip.cloth.roll.pk else item
