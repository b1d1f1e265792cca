"""What a number without a unit means in a form: the unit the shop's people would have written behind it."""

from django import forms

from shopstock.calc.units import METRIC, US

BARE_UNITS = {
    METRIC: {"length": "m", "width": "mm", "position": "m", "mass": "kg"},
    US: {"length": "yd", "width": "in", "position": "ft", "mass": "lb"},
}


def bare_unit(kind: str, system: str) -> str:
    return BARE_UNITS[system][kind]


def use_bare_units(form: forms.Form, system: str, **kinds: str) -> None:
    """Give quantity fields the unit of a bare number, and say so under the label."""
    for name, kind in kinds.items():
        field, unit = form.fields[name], bare_unit(kind, system)
        field.default_unit = unit
        field.help_text = f"{field.help_text} A number alone is {unit}.".strip()
