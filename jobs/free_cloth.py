"""What of each roll and offcut a plan may use: behind what is already set aside, clear of faults."""

import datetime
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from jobs.calc.cutting import Fault as PlannerFault
from jobs.calc.cutting import Stock
from shopstock.calc.stretches import Stretch, clean_stretches, place_in_order, start_behind, within
from shopstock.ledger.freezer import use_by_of
from shopstock.models import Roll, SetAside, Shop
from shopstock.prepreg import end_of
from shopstock.queries import usable_rolls, with_details

MOST_ROLLS = 400
NO_END = datetime.date.max


@dataclass(frozen=True)
class FreeCloth:
    """One roll as a plan sees it. Positions are in mm from the free end; `start_mm` is where the free part begins.

    Clean stretches end at the safe length: what the roll holds with 95 % certainty.
    """

    roll: Roll
    start_mm: int
    clean: tuple[Stretch, ...]
    trim_mm: int
    promised_mm: int
    booked: tuple[Stretch, ...] = ()
    ends_on: datetime.date = NO_END

    def as_booked(self) -> "FreeCloth":
        """The same roll if all that is booked were really there."""
        return replace(self, clean=self.booked)

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

    def place(self, lengths_mm: Sequence[int]) -> list[int] | None:
        """Where strips of these lengths come to lie when cut in this order, each as near the free end as it goes."""
        return place_in_order(lengths_mm, self.clean)

    def as_stock(self) -> Stock:
        edges = [self.start_mm, *(edge for stretch in self.clean for edge in stretch)]
        gaps = zip(edges[:-1:2], edges[1::2], strict=True)
        price = self.roll.reinforcement.price_per_m2
        return Stock(
            id=self.roll.code,
            kind=kind_of(self.roll),
            width_mm=self.roll.width_mm,
            trim_mm=self.trim_mm,
            length_mm=edges[-1] - self.start_mm,
            faults=tuple(PlannerFault(low - self.start_mm, high - self.start_mm) for low, high in gaps if low < high),
            lot=self.roll.lot,
            cost_per_m2=None if price is None else float(price),
        )


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


def last_day(roll: Roll, at: datetime.datetime) -> datetime.date:
    """By the date on its label or that of the roll it came from, and, for prepreg, by its time out of the freezer."""
    if roll.reinforcement.is_prepreg:
        end = end_of(roll, at)
        return NO_END if end is None else end.on
    return use_by_of(roll) or NO_END


def free_part(roll: Roll, shop: Shop, as_if_given_back: Collection[int] = ()) -> FreeCloth | None:
    """The part of a loaded roll behind what is set aside on it, or None when nothing is left to plan on."""
    clean = clean_stretches(roll.length_mm, [(fault.from_mm, fault.to_mm) for fault in roll.open_faults])
    kept = standing(roll.open_promises, as_if_given_back)
    start_mm = start_behind([promise.length_mm for promise in kept], clean)
    if start_mm is None:
        return None
    booked = within(clean, start_mm, roll.length_mm)
    rest = within(clean, start_mm, roll.safe_length_mm)
    if not rest:
        return None
    trim_mm = shop.edge_trim_mm if roll.kind == Roll.Kind.ROLL else 0
    if roll.width_mm <= 2 * trim_mm:
        return None
    return FreeCloth(roll, start_mm, rest, trim_mm, sum(promise.length_mm for promise in kept), booked)


def standing(promises: Iterable[SetAside], as_if_given_back: Collection[int]) -> list[SetAside]:
    return [promise for promise in promises if promise.pk not in as_if_given_back]
