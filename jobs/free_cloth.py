"""What of each roll and offcut a plan may use: behind what is already set aside, clear of faults."""

import datetime
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from jobs.calc.cutting import Fault as PlannerFault
from jobs.calc.cutting import Stock
from shopstock.calc.stretches import (
    Promised,
    Stretch,
    clean_stretches,
    from_free_end,
    meet,
    place_each,
    start_behind,
    within,
)
from shopstock.models import Roll, SetAside, Shop
from shopstock.prepreg import NO_END, last_day
from shopstock.queries import usable_rolls, with_details

MOST_ROLLS = 400


@dataclass(frozen=True)
class FreeCloth:
    """One roll as a plan sees it. Positions are in mm from the free end; `start_mm` is where the free part begins.

    Clean stretches end at the safe length: what the roll holds with 95 % certainty. Beside a streak, a fault of part of
    the width, the roll is not clean, but passable: narrower pieces can be cut there.
    """

    roll: Roll
    start_mm: int
    clean: tuple[Stretch, ...]
    trim_mm: int
    promised_mm: int
    booked: tuple[Stretch, ...] = ()
    ends_on: datetime.date = NO_END
    end_mm: int = 0

    def as_booked(self) -> "FreeCloth":
        """The same roll if all that is booked were really there."""
        return replace(self, clean=self.booked, end_mm=self.roll.length_mm)

    def behind(self, start_mm: int) -> "FreeCloth":
        """What is left of the roll when it is cut up to there."""

        def rest(stretches: Iterable[Stretch]) -> tuple[Stretch, ...]:
            return tuple((max(low, start_mm), high) for low, high in stretches if high > start_mm)

        return replace(self, start_mm=start_mm, clean=rest(self.clean), booked=rest(self.booked))

    @property
    def usable_width_mm(self) -> int:
        return self.roll.width_mm - 2 * self.trim_mm

    @property
    def clean_mm(self) -> int:
        return sum(high - low for low, high in self.clean)

    @property
    def doubtful_mm(self) -> int:
        """Booked, but too unsure to plan on."""
        return self.roll.length_mm - self.roll.safe_length_mm

    @cached_property
    def passable(self) -> tuple[Stretch, ...]:
        """Clear of faults that cross the whole width."""
        crossing = [(fault.from_mm, fault.to_mm) for fault in self.roll.open_faults if fault.across_mm is None]
        return within(clean_stretches(self.roll.length_mm, crossing), self.start_mm, self.end_mm)

    @cached_property
    def streaks(self) -> tuple[PlannerFault, ...]:
        """Faults of part of the width on passable cloth; those that overlap are one."""
        found: list[PlannerFault] = []
        for fault in self.roll.open_faults:
            if fault.across_mm is not None:
                lies = from_free_end(self.roll.length_mm, (fault.from_mm, fault.to_mm))
                found += [PlannerFault(*part, *fault.across_mm) for part in within(self.passable, *lies)]
        return tuple(_apart(found))

    def place(self, strips: Sequence[Promised]) -> list[int] | None:
        """Where strips come to lie when cut in this order, each as near the free end as it goes."""
        return place_each(((strip.length_mm, self._clear_for(strip)) for strip in strips), self.start_mm)

    def _clear_for(self, strip: Promised) -> tuple[Stretch, ...]:
        met = [fault for fault in self.roll.open_faults if meet(fault.across_mm, strip.taken_across)]
        clear = clean_stretches(self.roll.length_mm, [(fault.from_mm, fault.to_mm) for fault in met])
        return within(clear, self.start_mm, self.end_mm)

    def as_stock(self) -> Stock:
        edges = [self.start_mm, *(edge for stretch in self.passable for edge in stretch)]
        gaps = zip(edges[:-1:2], edges[1::2], strict=True)
        faults = [PlannerFault(low, high) for low, high in gaps if low < high]
        price = self.roll.reinforcement.price_per_m2
        return Stock(
            id=self.roll.code,
            kind=kind_of(self.roll),
            width_mm=self.roll.width_mm,
            trim_mm=self.trim_mm,
            length_mm=edges[-1] - self.start_mm,
            faults=tuple(_moved(fault, -self.start_mm) for fault in (*faults, *self.streaks)),
            lot=self.roll.lot,
            cost_per_m2=None if price is None else float(price),
        )


def _moved(fault: PlannerFault, by_mm: int) -> PlannerFault:
    return replace(fault, from_mm=fault.from_mm + by_mm, to_mm=fault.to_mm + by_mm)


def _apart(faults: Sequence[PlannerFault]) -> list[PlannerFault]:
    """Faults that overlap made one that holds both, until none do."""
    apart: list[PlannerFault] = []
    for fault in sorted(faults, key=lambda fault: fault.from_mm):
        while touched := [other for other in apart if _overlap(fault, other)]:
            apart = [other for other in apart if other not in touched]
            all_of = [fault, *touched]
            fault = PlannerFault(
                min(one.from_mm for one in all_of),
                max(one.to_mm for one in all_of),
                min(one.across_from_mm for one in all_of),
                max(one.across_to_mm for one in all_of),
            )
        apart.append(fault)
    return apart


def _overlap(one: PlannerFault, other: PlannerFault) -> bool:
    along = one.from_mm < other.to_mm and other.from_mm < one.to_mm
    return along and one.across_from_mm < other.across_to_mm and other.across_from_mm < one.across_to_mm


def kind_of(roll: Roll) -> str:
    if roll.kind == Roll.Kind.OFFCUT:
        return "offcut"
    return "remnant" if roll.length_mm < roll.label_length_mm else "roll"


def free_cloth(
    reinforcement_ids: Collection[int],
    shop: Shop,
    *,
    at: datetime.datetime,
    cut_on: datetime.date,
    as_if_given_back: Collection[int] = (),
    non_structural: bool = False,
) -> dict[int, list[FreeCloth]]:
    """Usable cloth by reinforcement, oldest roll first; `as_if_given_back` names set-asides a new plan replaces.

    What ends before the day of cutting, by its label or its time out of the freezer, is left out. Cloth that was
    downgraded is there for non-structural jobs alone.
    """
    usable = (
        usable_rolls(non_structural=non_structural)
        .filter(reinforcement__in=reinforcement_ids)
        .exclude(use_by__lt=cut_on)
    )
    usable = usable.select_related("reinforcement", "place", "parent__parent")
    found: dict[int, list[FreeCloth]] = {pk: [] for pk in reinforcement_ids}
    for roll in with_details(usable.order_by("received_on", "pk")):
        cloth = None if has_ended(roll, at, cut_on) else free_part(roll, shop, as_if_given_back)
        if cloth is not None and len(found[roll.reinforcement_id]) < MOST_ROLLS:
            found[roll.reinforcement_id].append(cloth)
    return found


def has_ended(roll: Roll, at: datetime.datetime, cut_on: datetime.date) -> bool:
    """Whether a roll may no longer be cut on a day."""
    return last_day(roll, at) < cut_on


def free_part(roll: Roll, shop: Shop, as_if_given_back: Collection[int] = ()) -> FreeCloth | None:
    """The part of a loaded roll behind what is set aside on it, or None when nothing is left to plan on."""
    clean = clean_stretches(roll.length_mm, [(fault.from_mm, fault.to_mm) for fault in roll.open_faults])
    kept = standing(roll.open_promises, as_if_given_back)
    start_mm = start_behind(kept, roll.length_mm, roll.open_faults)
    if start_mm is None:
        return None
    booked = within(clean, start_mm, roll.length_mm)
    rest = within(clean, start_mm, roll.safe_length_mm)
    trim_mm = shop.edge_trim_mm if roll.kind == Roll.Kind.ROLL else 0
    if roll.width_mm <= 2 * trim_mm:
        return None
    promised_mm = sum(promise.length_mm for promise in kept)
    cloth = FreeCloth(roll, start_mm, rest, trim_mm, promised_mm, booked, end_mm=roll.safe_length_mm)
    return cloth if cloth.passable else None


def standing(promises: Iterable[SetAside], as_if_given_back: Collection[int]) -> list[SetAside]:
    return [promise for promise in promises if promise.pk not in as_if_given_back]
