"""`{% strip_of roll %}`: the one drawing of a roll, on every page that shows one."""

from collections.abc import Iterable, Mapping
from itertools import count

from django import template

from shopstock.calc.stretches import place_in_order
from shopstock.calc.strip_picture import Piece, Span, draw_strip, draw_zoom
from shopstock.ledger.checks import metres, stretches
from shopstock.models import Roll
from shopstock.queries import faults_on, promises_on

register = template.Library()
_drawings = count(1)  # each drawing on a page names its own hatch


@register.inclusion_tag("shopstock/strip.html")
def strip_of(roll: Roll) -> Mapping:
    """The roll as it lies: faults hatched, set-aside lengths tinted in the order of cutting."""
    if roll.length_mm == 0:
        return {"picture": None}
    faults = [
        Span(
            max(0, roll.length_mm - fault.to_mm),
            roll.length_mm - fault.from_mm,
            fault.get_cause_display(),
            across_mm=fault.across_mm,
        )
        for fault in faults_on(roll)
    ]
    promises = promises_on(roll)
    starts = place_in_order([promise.length_mm for promise in promises], stretches(roll)) or []
    spans = [
        Span(start, start + promise.length_mm, promise.purpose, "next" if number == 0 else "")
        for number, (start, promise) in enumerate(zip(starts, promises, strict=False))
    ]
    return drawing(roll.length_mm, roll.width_mm, faults=faults, set_aside=spans)


@register.inclusion_tag("shopstock/strip.html")
def strip_with_blanks(
    length_mm: int, width_mm: int, blanks: Iterable[Piece], set_aside: Iterable[Span], faults: Iterable[Span]
) -> Mapping:
    """A planned roll: strips and the blanks in them."""
    return drawing(length_mm, width_mm, faults=faults, set_aside=set_aside, blanks=blanks)


@register.inclusion_tag("shopstock/strip_zoom.html")
def strip_zoomed(length_mm: int, width_mm: int, blanks: Iterable[Piece]) -> Mapping:
    """One strip to scale, its blanks numbered as in the list beside it."""
    blanks = list(blanks)
    words = [f"Strip of {metres(length_mm)}, {width_mm} mm wide, free end on the left."]
    words += [
        f"{number}: {piece.name}, {piece.along_mm} mm along the roll and {piece.across_mm} mm across."
        for number, piece in enumerate(blanks, start=1)
    ]
    return {"picture": draw_zoom(length_mm, width_mm, blanks), "words": " ".join(words)}


def drawing(length_mm: int, width_mm: int, *, faults=(), set_aside=(), blanks=()) -> dict:
    faults, set_aside, blanks = list(faults), list(set_aside), list(blanks)
    words = [f"{metres(length_mm)} long, {width_mm} mm wide, seen from the free end."]
    words += [f"{span.name}: {metres(span.start_mm)} to {metres(span.end_mm)}." for span in set_aside if span.name]
    words += [f"Fault, {span.name}: {metres(span.start_mm)} to {metres(span.end_mm)}." for span in faults]
    return {
        "picture": draw_strip(length_mm, width_mm, faults=faults, set_aside=set_aside, blanks=blanks),
        "words": " ".join(words),
        "hatch": f"fault-hatch-{next(_drawings)}",
    }
