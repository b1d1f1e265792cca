"""Areas as the screens show them."""

from decimal import Decimal

from shopstock.calc.units import US

MM2_PER_M2 = 1_000_000
MM2_PER_FT2 = Decimal("92903.04")


def format_area(area_mm2: int, system: str) -> str:
    """An area to 0.01 m², or to 0.1 ft². ``area_mm2`` in mm². Raises nothing.

    Worked: 2 500 000 mm² → "2.50 m²" or "26.9 ft²".
    """
    if system == US:
        return f"{Decimal(area_mm2) / MM2_PER_FT2:,.1f} ft²".replace(",", "\u202f")
    return f"{Decimal(area_mm2) / MM2_PER_M2:,.2f} m²".replace(",", "\u202f")
