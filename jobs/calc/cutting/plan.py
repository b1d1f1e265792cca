"""What the planner gives back: strips to cut from each roll, with the blanks inside them, and what is left over."""

from dataclasses import asdict, dataclass


@dataclass(frozen=True)
class PlacedBlank:
    """One blank inside a strip: x_mm across from the edge of the usable width, y_mm along from the strip's start."""

    id: str
    x_mm: int
    y_mm: int
    across_mm: int
    along_mm: int
    turned: bool = False


@dataclass(frozen=True)
class Strip:
    """A full-width length of one roll, from_mm counted from the free end."""

    stock: str
    from_mm: int
    length_mm: int
    blanks: tuple[PlacedBlank, ...] = ()

    @property
    def to_mm(self) -> int:
        return self.from_mm + self.length_mm


@dataclass(frozen=True)
class Offcut:
    """A piece left over: where on the roll it lies, x_mm across from the edge of the usable width."""

    stock: str
    from_mm: int
    length_mm: int
    x_mm: int
    width_mm: int

    @property
    def area_mm2(self) -> int:
        return self.length_mm * self.width_mm


@dataclass(frozen=True)
class Unplaced:
    """Blanks for which no cloth was found, and why."""

    id: str
    count: int
    reason: str


@dataclass(frozen=True)
class Plan:
    """A cutting plan with the least cloth that any plan whatever could use (bound_mm2) beside it.

    staged_bound_mm2 is the least that any plan within the allowed stages could use, None where that is not proved.
    """

    name: str
    status: str
    strips: tuple[Strip, ...]
    offcuts: tuple[Offcut, ...]
    dead_ends: tuple[Offcut, ...]
    cloth_mm2: int
    bound_mm2: int
    gap: float | None
    proved: bool
    seconds: float
    unplaced: tuple[Unplaced, ...] = ()
    staged_bound_mm2: int | None = None

    @property
    def complete(self) -> bool:
        return self.status == "complete"

    def to_json(self) -> dict:
        """The plan as plain lists and dictionaries, ready for json.dumps."""
        data = _plain(asdict(self))
        data["seconds"] = round(self.seconds, 3)
        return data


def _plain(data):
    if isinstance(data, dict):
        return {key: _plain(value) for key, value in data.items()}
    return [_plain(value) for value in data] if isinstance(data, list | tuple) else data
