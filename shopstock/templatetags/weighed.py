"""`{% weighed_in roll shop.units as weighed %}`: how the weight of a roll at receipt compares with its data sheet."""

from dataclasses import dataclass

from django import template

from shopstock.calc.quantity import rounded
from shopstock.calc.roll_mass import measured_areal_weight_gsm, weigh_in
from shopstock.calc.units import format_areal_weight
from shopstock.models import Roll

register = template.Library()


@dataclass(frozen=True)
class Weighed:
    in_tolerance: bool
    words: str


@register.simple_tag
def weighed_in(roll: Roll, system: str) -> Weighed | None:
    """Needs `reinforcement` loaded; None for a roll that was not weighed with its tube known."""
    if not roll.net_g:
        return None
    kind = roll.reinforcement
    measured = measured_areal_weight_gsm(roll.net_g, roll.label_length_mm, roll.width_mm)
    found = weigh_in(measured, kind.areal_weight_gsm, kind.form, tolerance_percent=kind.weight_tolerance_percent)
    shown = [format_areal_weight(rounded(gsm, 0), kind.form, system) for gsm in (found.measured_gsm, found.nominal_gsm)]
    difference = f"{rounded(found.difference_percent, 1):+}".replace("-", "−")
    where = "inside" if found.in_tolerance else "outside"
    return Weighed(
        found.in_tolerance,
        f"{shown[0]} measured, {shown[1]} nominal, {difference} %: {where} ±{found.tolerance_percent.normalize():f} %",
    )
