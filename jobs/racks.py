"""What there is of one reinforcement for planned work, as sure as the ledger is of it, and what a new roll adds."""

import datetime
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil

from django.db.models import F, Window
from django.db.models.functions import RowNumber
from django.utils import timezone

from jobs.calc.cutting import Blank, Stock
from jobs.calc.serving import ALL_THERE, COMING, Cloth
from jobs.calc.serving import NEW as NEW_ROLL
from shopstock.arrivals import Arrival
from shopstock.models import Reinforcement, Shop
from shopstock.prepreg import last_day
from shopstock.queries import cutting_over_mm, usable_rolls, with_details

from .free_cloth import FreeCloth, free_part
from .pieces import Piece, usable_width_mm
from .planning import blank_id, least_across_mm, widths_to_try

FEW_ROLLS, ALL_ROLLS = 60, 400  # the longest of a reinforcement: as many as usually do, and as many as a plan may use
MOST_ASKED = 80  # lengths that the planner is asked about when the racks are short
NEW = "new roll "
WASTEFUL = 5  # times their own area that pieces may take of rolls


def cloth_on_racks(
    reinforcement_ids: Collection[int], shop: Shop, most: int, on: datetime.date
) -> dict[int, list[FreeCloth]]:
    """Of each reinforcement the rolls with the most free on them, the length in doubt left out, and until when each
    may be cut as it stands at the end of the day `on`."""
    at = datetime.datetime.combine(on, datetime.time.max, timezone.get_current_timezone())
    free = F("length_mm") - F("set_aside_mm") - F("faulty_mm")
    place = Window(RowNumber(), partition_by=F("reinforcement"), order_by=[free.desc(), F("pk").asc()])
    rolls = usable_rolls().filter(reinforcement__in=reinforcement_ids).exclude(use_by__lt=on)
    rolls = rolls.select_related("reinforcement", "place", "parent__parent").annotate(all_free_mm=free)
    found: dict[int, list[FreeCloth]] = {pk: [] for pk in reinforcement_ids}
    for roll in with_details(
        rolls.filter(all_free_mm__gt=0).annotate(place_in_line=place).filter(place_in_line__lte=most)
    ):
        cloth = free_part(roll, shop)
        if cloth is not None:
            found[roll.reinforcement_id].append(replace(sure_part(cloth), ends_on=last_day(roll, at)))
    return found


def sure_part(cloth: FreeCloth) -> FreeCloth:
    """The same without what may not be there: the doubt of a length lies at its core end."""
    sure_mm = cloth.roll.safe_length_mm
    clean = tuple((low, min(high, sure_mm)) for low, high in cloth.clean if low < sure_mm)
    return replace(cloth, clean=clean)


def enough_rolls(pieces: Sequence[Piece], area_mm2: int, roll_mm2: int) -> int:
    """Never more than one a piece; a first fit fills more than a quarter of the rolls that it begins."""
    return min(sum(piece.count for piece in pieces), 1 + WASTEFUL * ceil(area_mm2 / max(1, roll_mm2)))


@dataclass(frozen=True)
class Racks:
    """What there is of one reinforcement, what is on its way, and what a new roll of it would be."""

    kind: Reinforcement
    cloth: Sequence[FreeCloth]
    shop: Shop
    coming: Sequence[Arrival] = ()

    @property
    def allowance_mm(self) -> int:
        return self.shop.cutting_allowance_mm

    @cached_property
    def over_mm(self) -> int:
        return cutting_over_mm(self.kind, self.shop)

    def blank_of(self, piece: Piece) -> Blank:
        """As much longer along the roll as this shop's cuts run over."""
        return Blank(blank_id(piece), piece.across_mm, piece.along_mm + self.over_mm, piece.count, piece.turns)

    @property
    def new_width_mm(self) -> int:
        return max(1, usable_width_mm(self.kind.width_mm, self.shop))

    @property
    def widths_mm(self) -> list[int]:
        """For panels that come out of the racks' rolls and of new ones alike, widest first."""
        widths = widths_to_try(self.kind, self.cloth, self.shop)
        return sorted({min(self.new_width_mm, width) for width in widths}, reverse=True)

    def trimmed_mm(self, width_mm: int) -> int:
        """What a blank and its allowance may take of a new roll of this width."""
        trim_mm = self.shop.edge_trim_mm
        return width_mm - 2 * trim_mm if width_mm > 2 * trim_mm else width_mm

    @property
    def lengths(self) -> list[Cloth]:
        """Every clean length on the racks and on its way."""
        here = [
            Cloth(item.usable_width_mm, high - low, ALL_THERE, ends_on=item.ends_on)
            for item in self.cloth
            for low, high in item.clean
            if high > low
        ]
        coming = [
            Cloth(self.trimmed_mm(roll.width_mm), roll.length_mm, roll.expected_on, COMING)
            for roll in self.coming
            for _ in range(roll.count)
        ]
        return here + coming

    def enough_new(self, pieces: Sequence[Piece]) -> int:
        """As many new rolls as pieces that fit one may take."""
        area_mm2 = sum(piece.across_mm * (piece.along_mm + self.over_mm) * piece.count for piece in pieces)
        return enough_rolls(pieces, area_mm2, self.new_width_mm * self.kind.roll_length_mm)

    def new_lengths(self, count: int) -> list[Cloth]:
        width_mm = self.trimmed_mm(self.kind.width_mm)
        return [Cloth(width_mm, self.kind.roll_length_mm, ALL_THERE, NEW_ROLL)] * count

    def stock(self, until: datetime.date, new_rolls: int = 0) -> tuple[Stock, ...]:
        """The longest lengths there are by a day and in date on it, and new rolls, as the planner takes them."""
        there = sorted((c for c in self.lengths if c.may_be_cut(until)), key=lambda c: -c.length_mm)[:MOST_ASKED]
        rows = [
            Stock(f"length {number}", "roll", item.width_mm, 0, item.length_mm, preference=item.source)
            for number, item in enumerate(there)
        ]
        new = [
            Stock(f"{NEW}{number}", "roll", item.width_mm, 0, item.length_mm, preference=2)
            for number, item in enumerate(self.new_lengths(new_rolls))
        ]
        return (*rows, *new)

    def fits_new_roll(self, piece: Piece) -> bool:
        length_mm = self.kind.roll_length_mm - self.allowance_mm - self.over_mm
        ways = [(piece.across_mm, piece.along_mm)]
        if 90 in piece.turns:
            ways.append((piece.along_mm, piece.across_mm))
        return any(across <= self.new_width_mm and along <= length_mm for across, along in ways)


def fitting(pieces: Sequence[Piece], widest_mm: int) -> list[Piece]:
    """Pieces that the widest cloth can hold; the planner refuses to be asked about others."""
    return [piece for piece in pieces if least_across_mm(piece) <= widest_mm]
