"""What is on its way: open lines of orders, with the day each is expected."""

import datetime
from dataclasses import dataclass


@dataclass(frozen=True)
class Arrival:
    """Rolls of one reinforcement as ordered, and the day they are expected."""

    reinforcement_id: int
    width_mm: int
    length_mm: int
    count: int
    expected_on: datetime.date


def cloth_on_its_way(on: datetime.date) -> list[Arrival]:
    """Rolls ordered and not yet received; what is late is expected today at the earliest."""
    return []
