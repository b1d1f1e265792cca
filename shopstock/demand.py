"""What planned work needs, asked of whoever plans it. The storeroom does not know jobs; jobs register here."""

import datetime
from dataclasses import dataclass
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
class ResinNeed:
    """A mass of one product that one job will use on a day, waste included."""

    chemical_id: int
    mass_g: int
    needed_on: datetime.date
    job: str


class DemandSource(Protocol):
    def cloth_shortages(self, on: datetime.date) -> list[ClothShortage]: ...

    def resin_needs(self, on: datetime.date) -> list[ResinNeed]: ...

    def shortest_blanks_mm(self) -> dict[int, int]:
        """For each reinforcement in planned work, the shortest length along the roll that any blank needs."""
        ...


_sources: list[DemandSource] = []


def register(source: DemandSource) -> None:
    if source not in _sources:
        _sources.append(source)


def cloth_shortages(on: datetime.date) -> list[ClothShortage]:
    return [shortage for source in _sources for shortage in source.cloth_shortages(on)]


def resin_needs(on: datetime.date) -> list[ResinNeed]:
    return sorted((need for source in _sources for need in source.resin_needs(on)), key=lambda need: need.needed_on)


def shortest_blanks_mm() -> dict[int, int]:
    shortest: dict[int, int] = {}
    for source in _sources:
        for reinforcement_id, length_mm in source.shortest_blanks_mm().items():
            shortest[reinforcement_id] = min(length_mm, shortest.get(reinforcement_id, length_mm))
    return shortest
