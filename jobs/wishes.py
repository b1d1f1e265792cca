"""What is settled by hand before a plan is made: rolls left out, blanks tied to a roll, strips already marked out."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace

from jobs.calc.cutting import PlacedBlank, Problem, Strip

from .free_cloth import FreeCloth
from .laying import CannotPlan
from .pieces import Piece


@dataclass(frozen=True)
class Pin:
    """Every piece of this name of a ply comes from one roll."""

    ply: int
    name: str
    roll: str


@dataclass(frozen=True)
class KeptBlank:
    ply: int
    name: str
    x_mm: int
    y_mm: int
    across_mm: int
    along_mm: int
    turned: bool = False


@dataclass(frozen=True)
class KeptStrip:
    """A strip that stays where it is marked out; its place is from the core end, which cutting does not move."""

    roll: str
    core_mm: int
    length_mm: int
    blanks: tuple[KeptBlank, ...]


@dataclass(frozen=True)
class Wishes:
    forbidden: tuple[str, ...] = ()
    pins: tuple[Pin, ...] = ()
    kept: tuple[KeptStrip, ...] = field(default=())

    def __bool__(self) -> bool:
        return bool(self.forbidden or self.pins or self.kept)

    def as_json(self) -> dict:
        return asdict(self) if self else {}

    @classmethod
    def from_json(cls, data: Mapping) -> "Wishes":
        kept = (
            KeptStrip(**{**strip, "blanks": tuple(KeptBlank(**blank) for blank in strip["blanks"])})
            for strip in data.get("kept", ())
        )
        return cls(tuple(data.get("forbidden", ())), tuple(Pin(**pin) for pin in data.get("pins", ())), tuple(kept))

    def allowed(self, cloth: Sequence[FreeCloth]) -> list[FreeCloth]:
        return [item for item in cloth if item.roll.code not in self.forbidden]

    def marked_rolls(self) -> frozenset[str]:
        return frozenset(strip.roll for strip in self.kept)

    def applied(self, problem: Problem, cloth: Sequence[FreeCloth], pieces: Sequence[Piece], over_mm: int) -> Problem:
        """The problem with what of the wishes concerns it; raises CannotPlan for one that no longer holds."""
        ids = {(piece.ply_id, piece.name): piece.blank_id for piece in pieces}
        items = {item.roll.code: item for item in cloth}
        here = [strip for strip in self.kept if all((blank.ply, blank.name) in ids for blank in strip.blanks)]
        return replace(
            problem,
            forbidden=tuple(code for code in self.forbidden if code in items),
            pins=tuple(_pin(pin, ids, items) for pin in self.pins if (pin.ply, pin.name) in ids),
            locked_strips=tuple(_locked(strip, ids, items, over_mm) for strip in here if strip.blanks),
        )


def _pin(pin: Pin, ids: Mapping, items: Collection[str]) -> tuple[str, str]:
    if pin.roll not in items:
        raise CannotPlan(f"{pin.name} is tied to roll {pin.roll}, of which nothing is free. Take that tie out.")
    return ids[pin.ply, pin.name], pin.roll


def _locked(strip: KeptStrip, ids: Mapping, items: Mapping[str, FreeCloth], over_mm: int) -> Strip:
    item = items.get(strip.roll)
    from_mm = -1 if item is None else item.roll.length_mm - strip.core_mm - item.start_mm
    if from_mm < 0:
        raise CannotPlan(f"The strip kept on roll {strip.roll} is not free any more. Let it go, and plan again.")
    blanks = tuple(_placed(blank, ids, item.trim_mm, over_mm) for blank in strip.blanks)
    return Strip(strip.roll, from_mm, strip.length_mm, blanks)


def _placed(blank: KeptBlank, ids: Mapping, trim_mm: int, over_mm: int) -> PlacedBlank:
    across_mm, along_mm = blank.across_mm, blank.along_mm
    if blank.turned:
        across_mm += over_mm
    else:
        along_mm += over_mm
    name = ids[blank.ply, blank.name]
    return PlacedBlank(name, blank.x_mm - trim_mm, blank.y_mm, across_mm, along_mm, blank.turned)
