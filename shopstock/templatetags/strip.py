"""`{% strip_of roll %}`: the one drawing of a roll, on every page that shows one."""

from collections.abc import Iterable, Mapping
from itertools import count

from django import template

from shopstock.calc.strip_picture import LeftOver, Piece, Span, draw_strip, draw_zoom
from shopstock.calc.units import METRIC, format_length, format_width
from shopstock.ledger.checks import places_of
from shopstock.models import Roll
from shopstock.queries import faults_on, promises_on

register = template.Library()
_drawings = count(1)  # each drawing on a page names its own hatch


@register.inclusion_tag("shopstock/strip.html", takes_context=True)
def strip_of(context: Mapping, roll: Roll) -> Mapping:
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
    starts = places_of(roll, promises) or []
    spans = [
        Span(start, start + promise.length_mm, promise.purpose, "next" if number == 0 else "")
        for number, (start, promise) in enumerate(zip(starts, promises, strict=False))
    ]
    return drawing(roll.length_mm, roll.width_mm, units_of(context), faults=faults, set_aside=spans)


def units_of(context: Mapping) -> str:
    """The units the shop chose; `shop` is in every page's context."""
    shop = context.get("shop")
    return shop.units if shop else METRIC


@register.inclusion_tag("shopstock/strip.html", takes_context=True)
def strip_with_blanks(
    context: Mapping,
    length_mm: int,
    width_mm: int,
    blanks: Iterable[Piece],
    set_aside: Iterable[Span],
    faults: Iterable[Span],
    left_over: Iterable[LeftOver] = (),
    shown_mm: int | None = None,
) -> Mapping:
    """A planned roll: strips, the blanks in them and what is left over; `shown_mm` draws only that much of it."""
    return drawing(
        length_mm,
        width_mm,
        units_of(context),
        faults=faults,
        set_aside=set_aside,
        blanks=blanks,
        left_over=left_over,
        shown_mm=shown_mm,
    )


@register.inclusion_tag("shopstock/strip_zoom.html", takes_context=True)
def strip_zoomed(context: Mapping, length_mm: int, width_mm: int, blanks: Iterable[Piece]) -> Mapping:
    """One strip to scale, its blanks numbered as in the list beside it."""
    blanks, units = list(blanks), units_of(context)
    words = [f"Strip of {format_length(length_mm, units)}, {format_width(width_mm, units)} wide, free end on the left."]
    words += [
        f"{number}: {piece.name}, {format_width(piece.along_mm, units)} along the roll and "
        f"{format_width(piece.across_mm, units)} across."
        for number, piece in enumerate(blanks, start=1)
    ]
    return {"picture": draw_zoom(length_mm, width_mm, blanks), "words": " ".join(words)}


def drawing(
    length_mm: int, width_mm: int, units: str = METRIC, *, faults=(), set_aside=(), blanks=(), left_over=(), **drawn
) -> dict:
    faults, set_aside, blanks, left_over = list(faults), list(set_aside), list(blanks), list(left_over)

    def metres(mm: int) -> str:
        return format_length(mm, units)

    words = [f"{metres(length_mm)} long, {format_width(width_mm, units)} wide, seen from the free end."]
    words += [f"{span.name}: {metres(span.start_mm)} to {metres(span.end_mm)}." for span in set_aside if span.name]
    words += [f"Fault, {span.name}: {metres(span.start_mm)} to {metres(span.end_mm)}." for span in faults]
    words += [
        f"{'Offcut to keep' if piece.kept else 'Too short to use'}: {metres(piece.along_mm)} × "
        f"{format_width(piece.across_mm, units)} at {metres(piece.from_free_mm)}."
        for piece in left_over
    ]
    return {
        "picture": draw_strip(
            length_mm,
            width_mm,
            faults=faults,
            set_aside=set_aside,
            blanks=blanks,
            left_over=left_over,
            system=units,
            **drawn,
        ),
        "words": " ".join(words),
        "hatch": f"fault-hatch-{next(_drawings)}",
    }
