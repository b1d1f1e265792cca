"""Is what was measured on a roll that came in believable, and if not, what was probably meant."""

from fractions import Fraction

from shopstock.calc.quantity import UNITS, rounded

ODD_WIDTH_MM = 25
ODD_WIDTH_PERCENT = 5
WIDEST_TIMES = 3
LONGEST_TIMES = 10
ABSURD_MASS_TIMES = 3
LIKELY_MASS_TIMES = 2

_MASS_UNITS = ("kg", "g", "lb", "oz")
_WIDTH_UNITS = ("mm", "cm", "m", "in")


def width_is_odd(measured_mm: int, catalogue_mm: int) -> bool:
    """Whether a measured width (mm) is more than 25 mm or more than 5 % from the catalogue's (mm). Raises nothing.

    Source: data sheets allow about 10 mm or half an inch, so this is beyond any tolerance, own rule.
    Worked: 1290 against 1270 → False; 1240 against 1270 → True; 110 against 100 → True.
    """
    apart = abs(measured_mm - catalogue_mm)
    return apart > ODD_WIDTH_MM or apart * 100 > ODD_WIDTH_PERCENT * catalogue_mm


def width_is_absurd(measured_mm: int, catalogue_mm: int) -> bool:
    """Whether a measured width (mm) is more than three times the catalogue's (mm). Raises nothing.

    Source: own rule, a slip of the unit. Worked: 2540 against 1270 → False; 12 700 → True.
    """
    return measured_mm > WIDEST_TIMES * catalogue_mm


def likely_widths(number: Fraction, catalogue_mm: int) -> list[str]:
    """Ways to read a measured number so that it is the catalogue's width (mm), as text with the unit, or none.

    number: as typed, no unit. Raises nothing. Source: own rule. Worked: 49.5 against 1270 → ["49.5 in"].
    """
    readings = ((unit, round(number * UNITS[unit].factor)) for unit in _WIDTH_UNITS)
    return [f"{_plain(number)} {unit}" for unit, mm in readings if not width_is_odd(mm, catalogue_mm)]


def length_is_absurd(label_mm: int, catalogue_mm: int) -> bool:
    """Whether a length on a label (mm) is more than ten times that of a roll as sold (mm). Raises nothing.

    Source: own rule, a slip of the unit. Worked: 50 000 against 50 000 → False; 5 000 000 → True.
    """
    return label_mm > LONGEST_TIMES * catalogue_mm


def mass_is_absurd(net_g: int, expected_g: Fraction) -> bool:
    """Whether a net mass (g) is over three times, or under a third of, what the roll should weigh (g). Raises nothing.

    Source: own rule; no tolerance comes near it, so a unit, the length or the reinforcement is wrong.
    Worked: 31 000 against 30 900 → False; 31 against 30 900 → True.
    """
    return net_g > ABSURD_MASS_TIMES * expected_g or net_g * ABSURD_MASS_TIMES < expected_g


def likely_masses(number: Fraction, tube_g: int, expected_g: Fraction) -> list[str]:
    """Ways to read a weighed number so that it fits the roll, as text with the unit; none when none fits.

    number: as typed, no unit. tube_g: bare tube in g. expected_g: what the fabric should weigh in g. A reading fits
    when it leaves between half and twice the expected mass. Raises nothing. Source: own rule.
    Worked: 32600, tube 1600, expected 30 900 → ["32600 g"].
    """
    return [
        f"{_plain(number)} {unit}" for unit in _MASS_UNITS if _fits(number * UNITS[unit].factor - tube_g, expected_g)
    ]


def _fits(net_g: Fraction, expected_g: Fraction) -> bool:
    return expected_g <= net_g * LIKELY_MASS_TIMES and net_g <= expected_g * LIKELY_MASS_TIMES


def _plain(number: Fraction) -> str:
    return f"{rounded(number, 3).normalize():f}"
