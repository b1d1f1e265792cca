"""A plan as the steps at the cutting table: what is cut away first, each strip, and the blanks inside it."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from jobs.material_rows import left_over_by_roll, offcuts_by_strip
from jobs.models import CuttingPlan, PlannedBlank, PlannedStrip
from jobs.queries import strips_in_order
from shopstock.calc.stretches import from_free_end
from shopstock.calc.strip_picture import LeftOver, Piece, Span
from shopstock.ledger.checks import places_of
from shopstock.models import SetAside
from shopstock.queries import faults_on, promises_on


@dataclass(frozen=True)
class Step:
    """One thing to do; lengths in mm, `from_mm` from the free end as the roll lay when the plan was made."""

    roll_code: str
    from_mm: int
    length_mm: int
    strip: PlannedStrip | None = None
    why: str = ""
    offcuts: tuple[tuple[int, int], ...] = ()
    beside: tuple[Span, ...] = ()  # faults of part of the width that its pieces lie clear of

    @property
    def state(self) -> str:
        promise = self.strip.set_aside if self.strip else None
        return promise.get_state_display() if promise else ""

    @property
    def is_end(self) -> bool:
        """A length without pieces, cut off to reach a strip that is marked out."""
        return self.strip is not None and not self.blanks

    @property
    def is_lost(self) -> bool:
        promise = self.strip.set_aside if self.strip else None
        return promise is not None and promise.state == SetAside.State.GIVEN_BACK

    @property
    def blanks(self) -> list[PlannedBlank]:
        return list(self.strip.blanks.all()) if self.strip else []

    @property
    def alike(self) -> list[tuple[PlannedBlank, int]]:
        """Each kind of blank once, with how many of it the strip gives."""
        kinds: dict[tuple, list[PlannedBlank]] = {}
        for blank in self.blanks:
            kinds.setdefault((blank.name, blank.along_mm, blank.across_mm), []).append(blank)
        return [(blanks[0], len(blanks)) for blanks in kinds.values()]

    @property
    def pieces(self) -> list[Piece]:
        return [piece_of(blank) for blank in self.blanks]


@dataclass(frozen=True)
class RollPage:
    """Everything a plan takes from one roll, and how the roll lay when it was planned."""

    code: str
    reinforcement: str
    seen: dict
    steps: tuple[Step, ...]
    left_over: tuple[LeftOver, ...] = ()

    @property
    def strips(self) -> list[Step]:
        return [step for step in self.steps if step.strip]

    @property
    def taken_mm(self) -> int:
        return sum(step.length_mm for step in self.strips)

    @property
    def shown_mm(self) -> int | None:
        """How much of the roll to draw: a little past what is cut, or all of it when that is most of it."""
        ends = [step.from_mm + step.length_mm for step in self.steps]
        ends += [piece.from_free_mm + piece.along_mm for piece in self.left_over]
        end_mm = round(1.06 * max(ends, default=0)) + 200
        return end_mm if end_mm < 0.8 * self.seen["length_mm"] else None

    @property
    def blanks(self) -> list[Piece]:
        return [piece_of(blank, step.from_mm) for step in self.strips for blank in step.blanks]

    @property
    def spans(self) -> list[Span]:
        before = [Span(0, self.seen["start_mm"], "already set aside")] if self.seen["start_mm"] else []
        return before + [Span(s.from_mm, s.from_mm + s.length_mm, f"strip {s.strip.number}") for s in self.strips]

    @property
    def faults(self) -> list[Span]:
        return list(_faults_of(self.seen))


def _faults_of(seen: dict) -> Iterator[Span]:
    """Faults as the roll lay when it was planned; plans of before knew none of part of the width."""
    for from_mm, to_mm, name, *across in seen["faults"]:
        lies = from_free_end(seen["length_mm"], (from_mm, to_mm))
        yield Span(*lies, name, across_mm=tuple(across[0]) if across and across[0] else None)


def _streaks_between(faults: Iterable[Span], low_mm: int, high_mm: int) -> tuple[Span, ...]:
    return tuple(span for span in faults if span.across_mm and span.start_mm < high_mm and low_mm < span.end_mm)


def streaks_beside(promise: SetAside) -> tuple[Span, ...]:
    """Faults of part of the width beside the pieces of a strip that is still to be cut, as its roll lies now."""
    roll, promises = promise.roll, list(promises_on(promise.roll))
    starts = places_of(roll, promises)
    if promise not in promises or starts is None:
        return ()
    start_mm = starts[promises.index(promise)]
    faults = (
        Span(*from_free_end(roll.length_mm, (f.from_mm, f.to_mm)), f.get_cause_display(), across_mm=f.across_mm)
        for f in faults_on(roll)
    )
    return _streaks_between(faults, start_mm, start_mm + promise.length_mm)


def piece_of(blank: PlannedBlank, strip_from_mm: int = 0) -> Piece:
    return Piece(
        strip_from_mm + blank.y_mm,
        blank.x_mm,
        blank.along_mm,
        blank.across_mm,
        blank.name,
        turned=blank.turned,
        outline=tuple((x, y) for x, y in blank.outline),
    )


def roll_pages(plan: CuttingPlan) -> list[RollPage]:
    strips: dict[int, list[PlannedStrip]] = {}
    for strip in strips_in_order(plan):
        strips.setdefault(strip.roll_id, []).append(strip)
    kept, left_over = offcuts_by_strip(plan), left_over_by_roll(plan)
    pages = []
    for roll_id, mine in strips.items():
        seen, roll = plan.stock_seen[str(roll_id)], mine[0].roll
        steps, left = tuple(_steps(seen, mine, kept)), tuple(LeftOver(*piece) for piece in left_over[roll.code])
        pages.append(RollPage(roll.code, roll.reinforcement.name, seen, steps, left))
    return pages


def _steps(seen: dict, strips: list[PlannedStrip], kept: dict) -> Iterator[Step]:
    reached_mm = seen["start_mm"]
    for strip in strips:
        offcuts = tuple(kept[seen["code"], strip.number])
        if strip.from_mm > reached_mm:
            yield _cut_away(seen, reached_mm, strip.from_mm, offcuts)
        beside = _streaks_between(_faults_of(seen), strip.from_mm, strip.from_mm + strip.length_mm)
        yield Step(seen["code"], strip.from_mm, strip.length_mm, strip, offcuts=offcuts, beside=beside)
        reached_mm = strip.from_mm + strip.length_mm


def _cut_away(seen: dict, low_mm: int, high_mm: int, offcuts: tuple[tuple[int, int], ...]) -> Step:
    """What comes off before the next strip: faults, and the clean end before the first of them."""
    met = [(span.start_mm, span.name) for span in _faults_of(seen) if span.start_mm < high_mm and low_mm < span.end_mm]
    clean_mm = min((start for start, _ in met), default=high_mm) - low_mm
    words = [", ".join(dict.fromkeys(name for _, name in met))] if met else []
    if clean_mm > 0:
        kept = (seen["width_mm"], clean_mm) in offcuts
        words.append("keep the clean end before it as an offcut" if kept else "the clean end before it is too short")
    return Step(seen["code"], low_mm, high_mm - low_mm, why="; ".join(words))
