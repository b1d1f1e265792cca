"""Fields of the resin forms: a density, a day."""

from django import forms

from shopstock.calc.resin_amount import read_density
from shopstock.fields import TypedField


class DensityField(TypedField):
    """Cleans to kg/L, the same number as g/cm³."""

    hint = "On the data sheet. A number alone is kg/L, the same as g/cm³; lb/gal is read too."
    read = staticmethod(read_density)

    def has_changed(self, initial, data) -> bool:
        return super().has_changed(str(initial) if initial is not None else None, data)


def day_field(**kwargs) -> forms.DateField:
    wrong = {"invalid": "Write the day like 2026-03-02: year, month, day."}
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(widget=widget, input_formats=["%Y-%m-%d"], error_messages=wrong, **kwargs)
