"""Form fields that read a number with its unit as people type it, and keep what was typed when it is wrong."""

import uuid
from collections.abc import Callable

from django import forms

from shopstock.calc.label_date import LabelDateError, read_label_date
from shopstock.calc.units import UnitError, format_length, format_mass, parse_length_mm, parse_mass_g


class TypedField(forms.CharField):
    """Text that `read` makes something of, or refuses in words that are shown beside the field."""

    hint = ""

    def __init__(self, **kwargs):
        kwargs.setdefault("help_text", self.hint)
        super().__init__(**kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")

    def read(self, text: str):
        raise NotImplementedError

    def to_python(self, value):
        text = super().to_python(value)
        if text in self.empty_values:
            return None
        try:
            return self.read(text)
        except (UnitError, LabelDateError) as error:
            raise forms.ValidationError(str(error)) from None


class QuantityField(TypedField):
    """Text such as "12.5 m"; cleans to a whole number of the stored unit."""

    parse: Callable[[str, str | None], int]
    show: Callable[[int, str], str]

    def __init__(self, *, default_unit: str | None = None, least: int = 1, **kwargs):
        self.default_unit = default_unit
        self.least = least
        kwargs.setdefault("help_text", f"With its unit; a number alone is {default_unit}." if default_unit else "")
        super().__init__(**kwargs)

    def read(self, text: str) -> int:
        quantity = type(self).parse(text, self.default_unit)
        if quantity < self.least:
            or_none = "" if self.required else ", or leave it empty"
            raise forms.ValidationError(
                f"“{text}” is too little. Enter at least {self.least} {self.stored_unit}{or_none}."
            )
        return quantity

    def prepare_value(self, value):
        return type(self).show(value, "metric") if isinstance(value, int) else value

    def has_changed(self, initial, data) -> bool:
        return super().has_changed(self.prepare_value(initial), data)


class LengthField(QuantityField):
    """Cleans to whole millimetres."""

    stored_unit = "mm"
    parse = staticmethod(parse_length_mm)
    show = staticmethod(format_length)


class MassField(QuantityField):
    """Cleans to whole grams."""

    stored_unit = "g"
    parse = staticmethod(parse_mass_g)
    show = staticmethod(format_mass)


class LabelDateField(TypedField):
    """Cleans to the last day a label allows."""

    hint = "Like 2026-08-31. When the label names only a month, 2026-08: its last day counts."
    read = staticmethod(read_label_date)


def new_form_key() -> str:
    return uuid.uuid4().hex


class KeyedForm(forms.Form):
    """A form that writes to the ledger: its key is made when it is shown, so a second tap is the same wish."""

    key = forms.CharField(widget=forms.HiddenInput, initial=new_form_key, max_length=64)
