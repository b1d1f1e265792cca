"""Where faults come to lie when cloth is wound over from one tube to another."""

from dataclasses import dataclass, replace


@dataclass(frozen=True)
class Marked:
    """A fault in mm from the core end; `across_mm` from the left edge of a roll `width_mm` wide, None right across."""

    from_mm: int
    to_mm: int
    width_mm: int
    across_mm: tuple[int, int] | None = None

    @classmethod
    def of(cls, fault, width_mm: int) -> "Marked":
        across = None if fault.across_from_mm is None else (fault.across_from_mm, fault.across_to_mm)
        return cls(fault.from_mm, fault.to_mm, width_mm, across)

    def clipped(self, low_mm: int, high_mm: int) -> "Marked | None":
        """The part between two positions (mm from the core end), or None when nothing of it lies there."""
        start, end = max(self.from_mm, low_mm), min(self.to_mm, high_mm)
        return replace(self, from_mm=start, to_mm=end) if start < end else None

    def turned_over(self, length_mm: int) -> "Marked":
        """The same fault when the cloth's other end (``length_mm`` away) is the core end: its left is then its right.

        Raises nothing. Worked: 2000–2500 on 10 000 mm → 7500–8000.
        """
        across = self.across_mm and (self.width_mm - self.across_mm[1], self.width_mm - self.across_mm[0])
        return replace(self, from_mm=length_mm - self.to_mm, to_mm=length_mm - self.from_mm, across_mm=across)

    def moved(self, by_mm: int) -> "Marked":
        return replace(self, from_mm=self.from_mm + by_mm, to_mm=self.to_mm + by_mm)


def wound_off(fault: Marked, length_mm: int, left_mm: int) -> tuple[Marked | None, Marked | None]:
    """What stays of a fault and what goes along, when all but ``left_mm`` of a roll is wound from its free end.

    length_mm: of the roll before, mm. The old free end goes onto the new tube first, so it is the new core end. Raises
    nothing. Source: geometry. Worked: 9000–9500 on 10 000 mm, 4000 mm left → stays none, goes to 500–1000.
    """
    stays = fault.clipped(0, left_mm)
    goes = fault.clipped(left_mm, length_mm)
    return stays, goes and goes.turned_over(length_mm)


def joined_on(fault: Marked, length_mm: int, below_mm: int) -> Marked:
    """Where a fault of a roll of ``length_mm`` lies once all of it is wound onto ``below_mm`` of another. All in mm.

    The roll's free end goes on first, so it lies turned over. Raises nothing. Source: geometry.
    Worked: 2000–2500 of 10 000 mm onto 30 000 mm → 37 500–38 000.
    """
    return fault.clipped(0, length_mm).turned_over(length_mm).moved(below_mm)
