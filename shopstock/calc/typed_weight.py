"""Reading an areal weight as people type it: with its unit, or as the trade's number of the form."""

from decimal import Decimal
from fractions import Fraction

from shopstock.calc.areal_weight import likely_readings
from shopstock.calc.forms import form_of
from shopstock.calc.quantity import AREAL_WEIGHT
from shopstock.calc.units import parse_areal_weight_gsm, read_quantity


def read_areal_weight(text: str, form: str) -> Decimal:
    """A typed areal weight in g/m² with two decimals; a bare number counts only where one unit alone makes sense.

    Raises UnitError. Worked: "1.5" for mat is 1.5 oz/ft², 457.73 g/m²; "20" for cloth could be oz/yd² or g/m² and is
    refused.
    """
    quantity = read_quantity(text, AREAL_WEIGHT)
    if quantity.unit is None and _only_trade_unit_fits(quantity.number, form):
        text = f"{text.strip()} {form_of(form).trade_unit}"
    return parse_areal_weight_gsm(text, form)


def _only_trade_unit_fits(number: Fraction, form: str) -> bool:
    fitting = [reading.unit for reading in likely_readings(number, form)]
    trade_unit = form_of(form).trade_unit
    return trade_unit in fitting and "g/m²" not in fitting
