"""What became of stock, asked of whoever uses it. The storeroom does not know jobs; jobs register here."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Protocol

from django.db.models import QuerySet


@dataclass(frozen=True)
class Use:
    """One part of one job that a length or mass went into."""

    job: str
    part: str
    pieces: tuple[str, ...]
    address: str


class UseSource(Protocol):
    def uses_of_set_asides(self, numbers: Collection[int]) -> dict[int, list[Use]]:
        """By the number of the set-aside: the parts whose pieces lie in that length."""
        ...

    def uses_of_draws(self, numbers: Collection[int]) -> dict[int, list[Use]]:
        """By the number of the line of masses: the parts whose plies were laid with that pot."""
        ...

    def decisions(self) -> list[QuerySet]:
        """Decisions for the timeline, each a queryset with the columns of `shopstock.tracing.timeline`."""
        ...


_sources: list[UseSource] = []


def register(source: UseSource) -> None:
    if source not in _sources:
        _sources.append(source)


def uses_of_set_asides(numbers: Collection[int]) -> dict[int, list[Use]]:
    return _gathered(source.uses_of_set_asides(numbers) for source in _sources)


def uses_of_draws(numbers: Collection[int]) -> dict[int, list[Use]]:
    return _gathered(source.uses_of_draws(numbers) for source in _sources)


def _gathered(told: Iterable[dict[int, list[Use]]]) -> dict[int, list[Use]]:
    found: dict[int, list[Use]] = {}
    for by_number in told:
        for number, uses in by_number.items():
            found.setdefault(number, []).extend(uses)
    return found


def decisions() -> list[QuerySet]:
    return [rows for source in _sources for rows in source.decisions()]
