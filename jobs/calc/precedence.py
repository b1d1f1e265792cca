"""The order in which jobs get cloth: by their day, unless somebody decided that one goes before another."""

from collections.abc import Collection, Hashable, Sequence
from typing import TypeVar

Key = TypeVar("Key", bound=Hashable)


class CircleError(ValueError):
    """Decisions that wait for each other in a circle."""


def in_order(keys: Sequence[Key], before: Collection[tuple[Key, Key]]) -> list[Key]:
    """``keys`` in their given order, except that the first of each pair in ``before`` comes ahead of the second.

    Raises CircleError. Source: the earliest key that waits for nobody, again and again. Worked: A, B, C with C before
    A → C, A, B.
    """
    known, placed = set(keys), []
    waits = {key: {first for first, then in before if then == key and first in known} for key in keys}
    left = list(keys)
    while left:
        wanted = next((key for key in left if _free(key, waits, left, set())), None)
        if wanted is None:
            raise CircleError("These decisions wait for each other in a circle: take one of them back.")
        for key in _chain(wanted, waits, left):
            left.remove(key)
            placed.append(key)
    return placed


def _free(key: Key, waits: dict[Key, set[Key]], left: Sequence[Key], seen: set[Key]) -> bool:
    """Whether all that a key waits for can be placed."""
    if key in seen:
        return False
    return all(_free(other, waits, left, seen | {key}) for other in waits[key] if other in left)


def _chain(key: Key, waits: dict[Key, set[Key]], left: Sequence[Key]) -> list[Key]:
    """A key with all that goes before it, ahead of it."""
    chain: list[Key] = []
    for other in [item for item in left if item in waits[key]]:
        chain += [item for item in _chain(other, waits, left) if item not in chain]
    return [*chain, key]
