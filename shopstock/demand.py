"""What planned work needs, asked of whoever plans it. The storeroom does not know jobs; jobs register here."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Protocol


@dataclass(frozen=True)
class ClothShortage:
    """What the racks cannot give for planned jobs, in pieces: `rolls` whole rolls as sold would cover it."""

    reinforcement_id: int
    pieces: int
    length_mm: int
    rolls: int
    needed_on: datetime.date
    for_jobs: tuple[str, ...]
    reason: str


@dataclass(frozen=True)
class ClothUse:
    """What one job takes of one reinforcement on a day, in mm along the roll; quoted jobs carry their chance.

    `here_mm` comes off the racks, `coming_mm` off what is ordered; `new_mm` and `new_rolls` would have to be bought,
    and `missing` pieces not even a new roll gives. `set_aside` lengths are promised by a confirmed plan.
    """

    reinforcement_id: int
    needed_on: datetime.date
    job: str
    job_pk: int
    here_mm: int = 0
    coming_mm: int = 0
    new_mm: int = 0
    new_rolls: int = 0
    missing: int = 0
    set_aside: bool = False
    chance_percent: int | None = None

    @property
    def length_mm(self) -> int:
        return self.here_mm + self.coming_mm + self.new_mm

    @property
    def is_quoted(self) -> bool:
        return self.chance_percent is not None


@dataclass(frozen=True)
class QuotedCuts:
    """What quoted jobs of one reinforcement would cut from new rolls, in mm of each roll, after the racks gave theirs.

    `new_mm` has it for every set of jobs, by their keys, that may come while the others do not.
    """

    reinforcement_id: int
    new_mm: Mapping[frozenset[int], tuple[int, ...]]


@dataclass(frozen=True)
class LeastBlank:
    """The least that any planned blank of a reinforcement needs along the roll and across it, in mm."""

    along_mm: int = 0
    across_mm: int = 0


@dataclass(frozen=True)
class SizeAsSold:
    """A roll that could be bought: width and length in mm, and from how many on each costs what; no price is empty."""

    width_mm: int
    length_mm: int
    prices: tuple[tuple[int, Decimal], ...] = ()
    currency: str = ""
    supplier: str = ""

    def each(self, rolls: int) -> Decimal | None:
        """The price of one when so many are bought at once."""
        return next((price for least, price in reversed(self.prices) if least <= rolls), None)


@dataclass(frozen=True)
class SizeTried:
    """What planned jobs would take of new rolls of one size; `problem` says why there is no figure."""

    size: SizeAsSold
    panels: int = 0
    length_mm: int = 0
    rolls: int = 0
    waste_percent: Decimal | None = None
    problem: str = ""

    @property
    def cost(self) -> Decimal | None:
        each = self.size.each(self.rolls)
        return None if each is None or self.problem else each * self.rolls


@dataclass(frozen=True)
class ResinNeed:
    """A mass of one product that one job will use on a day, waste included."""

    chemical_id: int
    mass_g: int
    needed_on: datetime.date
    job: str
    chance_percent: int | None = None


class DemandSource(Protocol):
    def cloth_shortages(self, on: datetime.date) -> list[ClothShortage]: ...

    def cloth_uses(self, on: datetime.date) -> list[ClothUse]:
        """What every job takes of each reinforcement: set aside, planned and quoted."""
        ...

    def quoted_cloth(self, on: datetime.date) -> list[ClothUse]:
        """What quoted jobs would take, each with its chance; cheap where there are none."""
        ...

    def quoted_cuts(self, on: datetime.date) -> list[QuotedCuts]:
        """Of reinforcements with quoted jobs that an order of today could serve, where they are few enough to try."""
        ...

    def try_sizes(self, reinforcement_id: int, sizes: Sequence[SizeAsSold], on: datetime.date) -> list[SizeTried]:
        """The planned work of one reinforcement cut from new rolls of each size alone."""
        ...

    def resin_needs(self, on: datetime.date) -> list[ResinNeed]: ...

    def quoted_resin(self, on: datetime.date) -> list[ResinNeed]:
        """What quoted jobs would use, each with its chance."""
        ...

    def least_blanks(self) -> dict[int, LeastBlank]:
        """For each reinforcement in planned work; a blank that may be turned counts as it needs least."""
        ...


_sources: list[DemandSource] = []


def register(source: DemandSource) -> None:
    if source not in _sources:
        _sources.append(source)


def cloth_shortages(on: datetime.date) -> list[ClothShortage]:
    return [shortage for source in _sources for shortage in source.cloth_shortages(on)]


def cloth_uses(on: datetime.date) -> list[ClothUse]:
    return sorted((use for source in _sources for use in source.cloth_uses(on)), key=lambda use: use.needed_on)


def quoted_cloth(on: datetime.date) -> list[ClothUse]:
    return [use for source in _sources for use in source.quoted_cloth(on)]


def quoted_cuts(on: datetime.date) -> list[QuotedCuts]:
    return [cuts for source in _sources for cuts in source.quoted_cuts(on)]


def try_sizes(reinforcement_id: int, sizes: Sequence[SizeAsSold], on: datetime.date) -> list[SizeTried]:
    return [tried for source in _sources for tried in source.try_sizes(reinforcement_id, sizes, on)]


def quoted_resin(on: datetime.date) -> list[ResinNeed]:
    return sorted((need for source in _sources for need in source.quoted_resin(on)), key=lambda need: need.needed_on)


def resin_needs(on: datetime.date) -> list[ResinNeed]:
    return sorted((need for source in _sources for need in source.resin_needs(on)), key=lambda need: need.needed_on)


def least_blanks() -> dict[int, LeastBlank]:
    least: dict[int, LeastBlank] = {}
    for source in _sources:
        for reinforcement_id, blank in source.least_blanks().items():
            known = least.get(reinforcement_id, blank)
            along_mm, across_mm = min(blank.along_mm, known.along_mm), min(blank.across_mm, known.across_mm)
            least[reinforcement_id] = LeastBlank(along_mm, across_mm)
    return least
