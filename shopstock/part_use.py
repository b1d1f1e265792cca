"""What became of a planned cut, asked of whoever planned it. The storeroom does not know jobs; jobs register here."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True)
class PartUse:
    """The pieces of one job that came out of one set-aside length."""

    job: str
    area_mm2: int


class PartSource(Protocol):
    def parts_of(self, set_aside_ids: Collection[int]) -> dict[int, tuple[PartUse, ...]]: ...


_sources: list[PartSource] = []


def register(source: PartSource) -> None:
    if source not in _sources:
        _sources.append(source)


def parts_of(set_aside_ids: Collection[int]) -> dict[int, tuple[PartUse, ...]]:
    return {pk: uses for source in _sources for pk, uses in source.parts_of(set_aside_ids).items()}
