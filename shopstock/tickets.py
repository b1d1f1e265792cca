"""What is cut from a roll by a plan, asked of whoever plans it, so that it can be printed for the cutting table.

A source is named, not imported: the storeroom does not know jobs, and their features are loaded when first asked.
"""

import datetime
from dataclasses import dataclass, field
from importlib import import_module
from typing import Protocol

from .calc.strip_picture import Span


@dataclass(frozen=True)
class CutBlank:
    """A piece inside a strip: corner in mm from the strip's start and the roll's left edge, size in mm.

    `lies_at` says in words how the piece lies in its ply, such as “+45°”; empty where direction does not matter.
    `outline` are its corners in mm along and across from its own corner; empty for a rectangle.
    """

    name: str
    part: str
    ply_number: int
    along_mm: int
    across_mm: int
    from_start_mm: int
    from_edge_mm: int
    turned: bool = False
    lies_at: str = ""
    outline: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class TicketStep:
    """A strip, or a length that is cut away (number None) and why; `from_mm` from the free end as planned.

    `beside` are faults of part of the width that its pieces lie clear of.
    """

    number: int | None
    from_mm: int
    length_mm: int
    why: str = ""
    done: bool = False
    blanks: tuple[CutBlank, ...] = ()
    offcuts: tuple[tuple[int, int], ...] = ()
    beside: tuple[Span, ...] = ()


@dataclass(frozen=True)
class Ticket:
    """Everything that a plan takes from one roll, in the order of cutting; lengths in mm.

    `angle_sense` says which way ply angles count; `marks` is what must be settled before anything is cut.
    """

    code: str
    kind: str
    reinforcement: str
    lot: str
    place: str
    job: str
    cut_on: datetime.date
    length_mm: int
    width_mm: int
    steps: tuple[TicketStep, ...]
    faults: tuple[Span, ...] = field(default=())
    has_warp: bool = True
    angle_sense: str = ""
    marks: tuple[str, ...] = ()

    @property
    def blanks(self) -> list[CutBlank]:
        return [blank for step in self.steps for blank in step.blanks]


class TicketSource(Protocol):
    def tickets_of(self, plan_number: int) -> list[Ticket] | None:
        """One ticket a roll; None for a plan that does not exist or does not count any more."""
        ...


_sources: list[str] = []


def register(module: str) -> None:
    if module not in _sources:
        _sources.append(module)


def tickets_of(plan_number: int) -> list[Ticket] | None:
    answers = (import_module(source).tickets_of(plan_number) for source in _sources)
    return next((answer for answer in answers if answer is not None), None)
