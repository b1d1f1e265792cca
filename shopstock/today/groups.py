"""Today's page in groups, each with its count and at most a handful shown."""

from collections.abc import Sequence
from dataclasses import dataclass

from shopstock.watch import KINDS, WatchItem
from shopstock.watch_answers import WATCHED

SHOWN = 5
SHOWN_OF_A_KIND = 3  # there are many kinds; a phone should show them without a wall of text


@dataclass(frozen=True)
class Group:
    """Things of one kind; `shown` are the first few, or all on the kind's own page."""

    kind: str
    title: str
    items: Sequence
    shown: Sequence

    @property
    def count(self) -> int:
        return len(self.items)

    @property
    def has_more(self) -> bool:
        return len(self.shown) < len(self.items)


def group_of(kind: str, title: str, items: Sequence, *, show_all: bool = False, most: int = SHOWN) -> Group:
    return Group(kind, title, items, items if show_all else items[:most])


def watch_groups(items: Sequence[WatchItem], role: str | None, *, only: str | None = None) -> list[Group]:
    """Warnings that concern the role, by kind, the kind with the most urgent item first."""
    kinds = [kind for kind in WATCHED.get(role, ()) if only in (None, kind)]
    by_kind = {kind: [item for item in items if item.kind == kind] for kind in kinds}
    groups = [
        group_of(kind, KINDS[kind], found, show_all=only == kind, most=SHOWN_OF_A_KIND)
        for kind, found in by_kind.items()
        if found
    ]
    return sorted(groups, key=lambda group: min(item.severity for item in group.items))
