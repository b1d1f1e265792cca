"""What the planner found put back onto the rolls as they lie: strips in cutting order, and what is left of them."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from jobs.calc.cutting import Offcut, PlacedBlank, Plan, Strip
from shopstock.calc.offcut_rule import KeepingRule
from shopstock.calc.stretches import Stretch, within
from shopstock.models import Reinforcement, Shop
from shopstock.queries import cutting_over_mm, keeping_rule

from .free_cloth import FreeCloth
from .models import PlannedBlank


class CannotPlan(Exception):
    """There is no plan to make; the message says what to do."""


@dataclass(frozen=True)
class LeftOver:
    """A piece beside or between the blanks, in mm from the free end and the roll's left edge."""

    from_mm: int
    x_mm: int
    length_mm: int
    width_mm: int
    kept: bool = False


@dataclass(frozen=True)
class LaidStrip:
    """A strip where it lies on its roll; blanks and offcuts count from the strip's start and the roll's left edge.

    A strip without blanks is cut off first, to reach one that is marked out already.
    """

    cloth: FreeCloth
    number: int
    from_mm: int
    length_mm: int
    blanks: tuple[PlacedBlank, ...]
    offcuts: tuple[tuple[int, int], ...] = ()  # (width_mm, length_mm)
    ends_mm: tuple[int, ...] = ()  # clean lengths cut away to reach it
    left: tuple[LeftOver, ...] = ()
    outlines: tuple[tuple[tuple[float, float], ...], ...] = ()  # of nested blanks, from each blank's own corner

    @property
    def to_mm(self) -> int:
        return self.from_mm + self.length_mm

    @property
    def taken_across(self) -> tuple[tuple[int, int], ...]:
        """From and to in mm from the left edge that its blanks and the offcuts beside them take; none: all of it."""
        return taken_across(self.blanks, [p for p in self.left if p.kept and p.from_mm >= self.from_mm])

    @property
    def area_mm2(self) -> int:
        return self.length_mm * self.cloth.roll.width_mm

    @property
    def clean_mm(self) -> int:
        """How much of its length lies on clean cloth; the rest lies beside a fault."""
        return sum(high - low for low, high in within(self.cloth.clean, self.from_mm, self.to_mm))

    @property
    def cut_off_mm2(self) -> int:
        return (self.length_mm + sum(self.ends_mm)) * self.cloth.roll.width_mm


def taken_across(
    blanks: Iterable[PlacedBlank | PlannedBlank], kept: Iterable[Offcut | LeftOver]
) -> tuple[tuple[int, int], ...]:
    """(from, to) in mm of the parts of a width that blanks and offcuts kept beside them take; those that meet are one.

    Without blanks none, which stands for all of the width.
    """
    parts = [(blank.x_mm, blank.across_mm) for blank in blanks]
    if not parts:
        return ()
    joined: list[tuple[int, int]] = []
    for start, width in sorted(parts + [(piece.x_mm, piece.width_mm) for piece in kept]):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], start + width))
        else:
            joined.append((start, start + width))
    return tuple(joined)


@dataclass(frozen=True)
class _Place:
    """One strip of the planner, or the clean length before it that must come off first, and where it starts."""

    start_mm: int
    length_mm: int
    strip: Strip | None = None
    taken_across: tuple[tuple[int, int], ...] = ()


def lay_on_rolls(
    plan: Plan,
    cloth: Sequence[FreeCloth],
    kind: Reinforcement,
    shop: Shop,
    *,
    marked_rolls: Collection[str] = (),
) -> tuple[LaidStrip, ...]:
    """Strips in cutting order where they really come to lie, and of what is left over the pieces worth keeping.

    On `marked_rolls` they stay where the planner has them, since a strip there is marked out on the cloth.
    """
    table = _Table(plan, keeping_rule(kind, shop), cutting_over_mm(kind, shop))
    strips: list[LaidStrip] = []
    for item in cloth:
        mine = sorted((s for s in plan.strips if s.stock == item.roll.code), key=lambda strip: strip.from_mm)
        if mine:
            across = [_across_of(strip, item, table) for strip in mine]
            lay = _as_marked if item.roll.code in marked_rolls else _packed
            places = lay(item, mine, across)
            strips += _laid_on(item, places, table)
    return tuple(strips)


@dataclass(frozen=True)
class _Table:
    """What is the same for every strip of a plan."""

    plan: Plan
    rule: KeepingRule
    over_mm: int

    def keeps(self, piece: Offcut, item: FreeCloth) -> bool:
        return self.rule.keeps(piece.width_mm, piece.length_mm, item.roll.width_mm)


def _across_of(strip: Strip, item: FreeCloth, table: "_Table") -> tuple[tuple[int, int], ...]:
    """What of the roll's width the blanks of a strip take, and the offcuts beside them that are worth keeping."""
    kept = [piece for piece in _offcuts_in(strip, table.plan.offcuts) if table.keeps(piece, item)]
    return tuple((low + item.trim_mm, high + item.trim_mm) for low, high in taken_across(strip.blanks, kept))


def _packed(item: FreeCloth, strips: Sequence[Strip], across: Sequence[tuple]) -> list[_Place]:
    """Each as near the free end as it goes."""
    places = [_Place(0, strip.length_mm, strip, taken) for strip, taken in zip(strips, across, strict=True)]
    return [replace(place, start_mm=start) for place, start in zip(places, item.place(places), strict=True)]


def _as_marked(item: FreeCloth, strips: Sequence[Strip], across: Sequence[tuple]) -> list[_Place]:
    """Where the planner has them; clean cloth before a strip is a length of its own that comes off first."""
    places: list[_Place] = []
    reached_mm = item.start_mm
    for strip, taken in zip(strips, across, strict=True):
        start_mm = item.start_mm + strip.from_mm
        low_mm = max([reached_mm, *(low for low, high in item.clean if low <= start_mm <= high)])
        if low_mm < start_mm:
            places.append(_Place(low_mm, start_mm - low_mm))
        places.append(_Place(start_mm, strip.length_mm, strip, taken))
        reached_mm = start_mm + strip.length_mm
    if item.place(places) != [place.start_mm for place in places]:
        raise CannotPlan(
            f"The strip kept on roll {item.roll.code} cannot be reached without moving it. Let it go, and plan again."
        )
    return places


def _laid_on(item: FreeCloth, places: Sequence[_Place], table: _Table) -> list[LaidStrip]:
    strips: list[LaidStrip] = []
    reached_mm = item.start_mm
    for number, place in enumerate(places, start=1):
        strips.append(_laid(item, number, place, reached_mm, table))
        reached_mm = place.start_mm + place.length_mm
    strips[-1] = replace(strips[-1], left=(*strips[-1].left, *_dead_end(item, reached_mm, table.rule)))
    return strips


def _laid(item: FreeCloth, number: int, place: _Place, reached_mm: int, table: _Table) -> LaidStrip:
    def left_over(from_mm: int, x_mm: int, length_mm: int, width_mm: int) -> LeftOver:
        kept = table.rule.keeps(width_mm, length_mm, item.roll.width_mm)
        return LeftOver(from_mm, x_mm, length_mm, width_mm, kept)

    ends = _clean_between(item, reached_mm, place.start_mm)
    left = [left_over(low, 0, high - low, item.roll.width_mm) for low, high in ends]
    if place.strip is None:
        left.append(left_over(place.start_mm, 0, place.length_mm, item.roll.width_mm))
        blanks = ()
    else:
        shift_mm = place.start_mm - place.strip.from_mm
        beside = _offcuts_in(place.strip, table.plan.offcuts)
        left += [left_over(o.from_mm + shift_mm, o.x_mm + item.trim_mm, o.length_mm, o.width_mm) for o in beside]
        blanks = tuple(replace(b, x_mm=b.x_mm + item.trim_mm) for b in _as_wanted(place.strip, table.over_mm))
    kept = tuple((piece.width_mm, piece.length_mm) for piece in left if piece.kept)
    shown = tuple(piece for piece in left if piece.kept or piece.width_mm == item.roll.width_mm)
    ends_mm = tuple(high - low for low, high in ends)
    return LaidStrip(item, number, place.start_mm, place.length_mm, blanks, kept, ends_mm, shown)


def _as_wanted(strip: Strip, over_mm: int) -> list[PlacedBlank]:
    """The blanks at their own size again; what cuts run over stays in the length of the strip."""

    def own_size(blank: PlacedBlank) -> PlacedBlank:
        if blank.turned:
            return replace(blank, across_mm=blank.across_mm - over_mm)
        return replace(blank, along_mm=blank.along_mm - over_mm)

    return [own_size(blank) for blank in strip.blanks]


def _clean_between(item: FreeCloth, low_mm: int, high_mm: int) -> list[Stretch]:
    """The clean ends that are cut away to reach a strip."""
    spans = [(max(low, low_mm), min(high, high_mm)) for low, high in item.clean]
    return [(low, high) for low, high in spans if low < high]


def _offcuts_in(strip: Strip, offcuts: Sequence[Offcut]) -> list[Offcut]:
    return [
        piece
        for piece in offcuts
        if piece.stock == strip.stock
        and strip.from_mm <= piece.from_mm
        and piece.from_mm + piece.length_mm <= strip.to_mm
    ]


def _dead_end(item: FreeCloth, reached_mm: int, rule: KeepingRule) -> list[LeftOver]:
    """What stays on the roll behind its last strip, when it is too short to be of use."""
    rest = _clean_between(item, reached_mm, item.roll.length_mm)
    longest_mm = max((high - low for low, high in rest), default=0)
    if not rest or rule.keeps(item.roll.width_mm, longest_mm, item.roll.width_mm):
        return []
    return [LeftOver(low, 0, high - low, item.roll.width_mm) for low, high in rest]
