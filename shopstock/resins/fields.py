"""Fields of the resin forms: a density, a day."""

from django import forms

from shopstock.calc.quantity import UnitError
from shopstock.calc.resin_amount import read_density


class DensityField(forms.CharField):
    """Cleans to kg/L, the same number as g/cm³."""

    def __init__(self, **kwargs):
        kwargs.setdefault(
            "help_text", "On the data sheet. A number alone is kg/L, the same as g/cm³; lb/gal is read too."
        )
        super().__init__(**kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")

    def to_python(self, value):
        text = super().to_python(value)
        if text in self.empty_values:
            return None
        try:
            return read_density(text)
        except UnitError as error:
            raise forms.ValidationError(str(error)) from None

    def has_changed(self, initial, data) -> bool:
        return super().has_changed(str(initial) if initial is not None else None, data)


def day_field(**kwargs) -> forms.DateField:
    wrong = {"invalid": "Write the day like 2026-03-02: year, month, day."}
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(widget=widget, input_formats=["%Y-%m-%d"], error_messages=wrong, **kwargs)
