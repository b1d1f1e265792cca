"""How sure a length is: an estimate carries its standard uncertainty and from where each part of it comes.

Two estimates of one roll often rest on the same figure, such as the length on its label. What they share is kept by
name, so that putting them together neither counts the same evidence twice nor forgets it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction
from math import hypot, sqrt

from shopstock.calc.units import METRIC, US, format_length

ONE_SIDED_95 = 1.645
TWO_SIDED_95 = 1.96
INCH_MM = 25.4


class UncertaintyError(ValueError):
    """An uncertainty that cannot be."""


@dataclass(frozen=True)
class Estimate:
    """A length in mm with its doubt: `own_mm` is this estimate's alone, `shared_mm` names what others rest on too.

    A shared part is signed: how many mm the estimate is too long when its source is one standard uncertainty too big.
    """

    length_mm: float
    own_mm: float = 0.0
    shared_mm: Mapping[str, float] = field(default_factory=dict)

    @property
    def uncertainty_mm(self) -> float:
        """Standard uncertainty in mm, all parts together."""
        return hypot(self.own_mm, *self.shared_mm.values())

    @property
    def safe_length_mm(self) -> float:
        """The length in mm that is there with 95 % certainty, never below 0. Worked: 35 129 ± 215 → 34 775."""
        return max(0.0, self.length_mm - ONE_SIDED_95 * self.uncertainty_mm)

    @property
    def give_or_take_mm(self) -> float:
        """Half of the range in mm that holds the truth in 95 cases of 100. Worked: 35 129 ± 215 → 421."""
        return TWO_SIDED_95 * self.uncertainty_mm

    def less(self, length_mm: float, uncertainty_mm: float) -> "Estimate":
        """What is left when a length (mm, with its own standard uncertainty in mm) is taken off.

        Worked: 55 000 ± 318 less 19 600 with 57 mm → 35 400 ± 323.
        """
        return Estimate(self.length_mm - length_mm, hypot(self.own_mm, uncertainty_mm), self.shared_mm)


def covariance_mm2(one: Estimate, other: Estimate) -> float:
    """Covariance in mm² of two estimates, from the sources that both rest on.

    Raises nothing. Source: JCGM 100:2008, 5.2. Worked: label 317.5 mm in one and 202.8 mm in the other → 64 390 mm².
    """
    return sum(part * other.shared_mm.get(source, 0.0) for source, part in one.shared_mm.items())


def from_tolerance(half_width: float) -> float:
    """Standard uncertainty of a figure known only to lie within ± ``half_width``, in the same unit.

    Raises UncertaintyError. Source: JCGM 100:2008, 4.3.7 (rectangular). Worked: ± 0.05 → 0.02887.
    """
    if half_width < 0:
        raise UncertaintyError(f"A tolerance of {half_width} makes no sense: give how far it may be off either way.")
    return half_width / sqrt(3)


def in_words(length_mm: float, uncertainty_mm: float, system: str = METRIC) -> str:
    """A length and its doubt (both mm, standard uncertainty) as a person would say it, the doubt at 95 %.

    Raises nothing. Worked: 35 129 and 215 mm → "35.1 m, give or take 0.4 m"; 2410 and 6 → "2.41 m, give or take 1 cm".
    """
    length, doubt = amounts(length_mm, uncertainty_mm, system)
    return f"{length}, give or take {doubt}"


def amounts(length_mm: float, uncertainty_mm: float, system: str = METRIC) -> tuple[str, str]:
    """A length and its doubt at 95 % as two texts, the length rounded to what the doubt leaves of it. Both in mm."""
    doubt_mm = TWO_SIDED_95 * uncertainty_mm
    if system != METRIC:
        return _in_inches(length_mm, doubt_mm)
    if doubt_mm < 95:
        return f"{_rounded(length_mm / 1000, 2)} m", f"{max(1, round(doubt_mm / 10))} cm"
    return f"{_rounded(length_mm / 1000, 1)} m", f"{_rounded(doubt_mm / 1000, 1)} m"


def _rounded(number: float, places: int) -> Decimal:
    return Decimal(number).quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)


def _in_inches(length_mm: float, doubt_mm: float) -> tuple[str, str]:
    whole = Fraction(round(length_mm / INCH_MM)) * Fraction("25.4")
    inches = doubt_mm / INCH_MM
    doubt = f"{max(1, round(inches))} in" if inches < 24 else f"{_rounded(inches / 12, 1)} ft"
    return format_length(whole, US), doubt
