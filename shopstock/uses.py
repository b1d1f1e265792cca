"""What became of stock, asked of whoever uses it. The storeroom does not know jobs; jobs register here."""

from collections.abc import Iterable
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
    def uses_of_set_asides(self, numbers: Iterable[int]) -> dict[int, list[Use]]:
        """By the number of the set-aside: the parts whose pieces lie in that length."""
        ...

    def decisions(self) -> list[QuerySet]:
        """Decisions for the timeline, each a queryset with the columns of `shopstock.tracing.timeline`."""
        ...


_sources: list[UseSource] = []


def register(source: UseSource) -> None:
    if source not in _sources:
        _sources.append(source)


def uses_of_set_asides(numbers: Iterable[int]) -> dict[int, list[Use]]:
    wanted, found = sorted(set(numbers)), {}
    for source in _sources:
        for number, uses in source.uses_of_set_asides(wanted).items():
            found.setdefault(number, []).extend(uses)
    return found


def decisions() -> list[QuerySet]:
    return [rows for source in _sources for rows in source.decisions()]
