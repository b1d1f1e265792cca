"""What is set aside and waits for the knife, by what it is for."""

from collections.abc import Iterable
from dataclasses import dataclass

from shopstock.models import Roll, SetAside


@dataclass(frozen=True)
class RollToCut:
    """The cuts that one purpose waits for on one roll; `next_mm` comes off first."""

    roll: Roll
    cuts: int
    length_mm: int
    next_mm: int


@dataclass(frozen=True)
class WorkToCut:
    """Everything set aside for one purpose, in the order in which it was set aside."""

    purpose: str
    rolls: list[RollToCut]

    @property
    def cuts(self) -> int:
        return sum(roll.cuts for roll in self.rolls)

    @property
    def length_mm(self) -> int:
        return sum(roll.length_mm for roll in self.rolls)


def work_to_cut() -> list[WorkToCut]:
    """Open set-asides by purpose, the one that has waited longest first; on a roll in the order of cutting."""
    waiting = SetAside.objects.filter(state=SetAside.State.OPEN).order_by("at", "pk")
    by_purpose: dict[str, list[SetAside]] = {}
    for promise in waiting.select_related("roll__reinforcement", "roll__place"):
        by_purpose.setdefault(promise.purpose, []).append(promise)
    return [WorkToCut(purpose, _by_roll(promises)) for purpose, promises in by_purpose.items()]


def _by_roll(promises: Iterable[SetAside]) -> list[RollToCut]:
    by_roll: dict[int, list[SetAside]] = {}
    for promise in promises:
        by_roll.setdefault(promise.roll_id, []).append(promise)
    return [_roll_to_cut(sorted(group, key=lambda promise: promise.number)) for group in by_roll.values()]


def _roll_to_cut(group: list[SetAside]) -> RollToCut:
    total_mm = sum(promise.length_mm for promise in group)
    return RollToCut(group[0].roll, len(group), total_mm, group[0].length_mm)
