"""How large the pictograms of a hazardous product are on its container."""

from dataclasses import dataclass


@dataclass(frozen=True)
class PictogramSize:
    """wanted_mm and least_mm are sides of the diamond itself, not of the square round it."""

    most_litres: float
    least_mm: float
    wanted_mm: float


# Regulation (EC) 1272/2008, Annex I, table 1.3: dimensions of labels and pictograms by capacity of the package
SIZES = (
    PictogramSize(3, 10, 16),
    PictogramSize(50, 23, 23),
    PictogramSize(500, 32, 32),
    PictogramSize(float("inf"), 46, 46),
)


def pictogram_size(litres: float) -> PictogramSize:
    """Return how large the pictograms of a package are.

    litres: capacity of the package, L. Result: sides of the diamond in mm. Raises ValueError for a capacity of nothing.
    Source: Regulation (EC) 1272/2008, Annex I, 1.2.1.4, table 1.3.
    Worked: a pail of 25 L takes 23 mm; a can of 1 L takes 16 mm if possible and 10 mm at least.
    """
    if litres <= 0:
        raise ValueError("A package holds more than nothing. Give its capacity in litres.")
    return next(size for size in SIZES if litres <= size.most_litres)
