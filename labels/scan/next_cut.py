"""What the laminator does next with a roll: cut the promise that comes first, or cut something away before it."""

from dataclasses import dataclass

from shopstock.calc.stretches import Stretch, clean_stretches
from shopstock.ledger.checks import places_of, stretches
from shopstock.models import Fault, Movement, Roll, SetAside, Shop
from shopstock.queries import faults_on, keeping_rule, promises_on


@dataclass(frozen=True)
class CutAway:
    """The length at the free end that must go first, why, and how much clean cloth goes with it."""

    length_mm: int
    reason: str
    clean_mm: int
    cause: str = Movement.Cause.FAULT


@dataclass(frozen=True)
class NextCut:
    """promise is None where nothing is set aside; fits is False where what is set aside cannot come off the roll.

    leads are what must be cut away before each of the later ones, None where nothing.
    """

    promise: SetAside | None
    later: tuple[SetAside, ...]
    cut_away: CutAway | None
    fits: bool
    leads: tuple[CutAway | None, ...] = ()

    @property
    def is_idle(self) -> bool:
        """Nothing planned, and clean cloth at the free end: only a cut without a plan can come next."""
        return self.promise is None and self.cut_away is None


@dataclass(frozen=True)
class PieceLeft:
    """A piece worth keeping from a line of the ledger; kept is the offcut it has already become."""

    number: int
    width_mm: int
    length_mm: int
    kept: Roll | None


def next_cut(roll: Roll) -> NextCut:
    promises = list(promises_on(roll))
    clean = stretches(roll)
    if not promises:
        lead_mm = clean[0][0] if clean else roll.length_mm
        return NextCut(None, (), _cut_away(roll, 0, lead_mm, clean), fits=bool(clean))
    lengths = [promise.length_mm for promise in promises]
    starts = places_of(roll, promises)
    if starts is None:
        return NextCut(promises[0], tuple(promises[1:]), None, fits=False, leads=(None,) * (len(promises) - 1))
    reached = [0, *(start + length for start, length in zip(starts, lengths, strict=True))]
    first, *leads = (_cut_away(roll, end, start, clean) for end, start in zip(reached, starts, strict=False))
    return NextCut(promises[0], tuple(promises[1:]), first, fits=True, leads=tuple(leads))


def _cut_away(roll: Roll, from_mm: int, to_mm: int, clean: list[Stretch]) -> CutAway | None:
    """What lies between two places, in mm from the free end, if anything does."""
    if to_mm == from_mm:
        return None
    length_mm = to_mm - from_mm
    clean_mm = sum(max(0, min(end, to_mm) - max(start, from_mm)) for start, end in clean)
    faults = _causes(roll, from_mm, to_mm)
    if not faults:
        return CutAway(length_mm, "end too short for the next cut", clean_mm, Movement.Cause.SHORT)
    return CutAway(length_mm, faults, clean_mm)


def _causes(roll: Roll, from_mm: int, to_mm: int) -> str:
    ends = ((fault, roll.length_mm - fault.to_mm, roll.length_mm - fault.from_mm) for fault in faults_on(roll))
    reached = [fault for fault, start, end in ends if start < to_mm and end > from_mm]
    names = [fault.get_cause_display() for fault in reached]
    return ", ".join(dict.fromkeys(names))


def pieces_left(movement: Movement, shop: Shop) -> list[PieceLeft]:
    """What the plan keeps of a cut; of a length cut away, its clean stretches that are long enough."""
    if movement.kind == Movement.Kind.LOSS:
        sizes = _clean_sizes(movement, shop)
    else:
        sizes = _planned_sizes(movement)
    kept = _kept_from(movement, len(sizes))
    return [PieceLeft(number, *size, kept.get(number)) for number, size in enumerate(sizes)]


def offcut_key(movement: Movement, number: int) -> str:
    """One piece of one cut can be kept once, whichever phone asks."""
    return f"offcut:{movement.pk}:{number}"


def _planned_sizes(movement: Movement) -> list[tuple[int, int]]:
    offcuts = movement.set_aside.offcuts if movement.set_aside else []
    return [(piece["width_mm"], piece["length_mm"]) for piece in offcuts]


def _clean_sizes(movement: Movement, shop: Shop) -> list[tuple[int, int]]:
    """Faults keep their place from the core end, so the roll as it was before can still be told."""
    roll, lost_mm = movement.roll, -movement.delta_mm
    rule = keeping_rule(roll.reinforcement, shop)
    faults = Fault.objects.filter(roll=roll, cleared_at__isnull=True).values_list("from_mm", "to_mm")
    clean = clean_stretches(movement.balance_after_mm + lost_mm, faults)
    lengths = [min(end, lost_mm) - start for start, end in clean if start < lost_mm]
    return [(roll.width_mm, length) for length in lengths if rule.keeps(roll.width_mm, length, roll.width_mm)]


def _kept_from(movement: Movement, count: int) -> dict[int, Roll]:
    keys = {offcut_key(movement, number): number for number in range(count)}
    lines = Movement.objects.filter(key__in=keys).select_related("roll")
    return {keys[line.key]: line.roll for line in lines}
