"""What will lie where: each page of labels, to scale, before it is printed."""

from collections.abc import Sequence
from dataclasses import dataclass

from labels.calc.sheet_geometry import Medium, Slot, pages, slots

from .label_of import Item

MOST_PAGES = 3


@dataclass(frozen=True)
class Place:
    """One label of a page: item is None where the sheet was used before or stays free."""

    slot: Slot
    item: Item | None
    used: bool
    middle_x: float
    middle_y: float


@dataclass(frozen=True)
class Page:
    number: int
    places: list[Place]


def preview(items: Sequence[Item], medium: Medium, first: int) -> list[Page]:
    """The first few pages, each with all its labels; raises MediumError or SlotError."""
    left, shown = list(items), []
    for number, taken in enumerate(pages(medium, len(items), first)[:MOST_PAGES], start=1):
        on_page, left = left[: len(taken)], left[len(taken) :]
        shown.append(Page(number, _places(medium, dict(zip((s.number for s in taken), on_page, strict=True)))))
    return shown


def _places(medium: Medium, items: dict[int, Item]) -> list[Place]:
    begins = min(items)
    across, down = medium.label_w / 2, medium.label_h / 2
    return [
        Place(slot, items.get(slot.number), slot.number < begins, round(slot.x + across, 2), round(slot.y + down, 2))
        for slot in slots(medium)
    ]


def type_mm(medium: Medium) -> float:
    """Type in which a code of eight characters fits a label."""
    return round(min(medium.label_w / 5.5, medium.label_h / 3, 9), 2)


def page_count(count: int, medium: Medium, first: int) -> int:
    return len(pages(medium, count, first))
