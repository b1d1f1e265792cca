from decimal import Decimal

from django import forms

from jobs.mix_plan import Conditions, NextPot
from shopstock.calc.quantity import MASS, Quantity, UnitError, read_quantity, rounded, unit_of
from shopstock.calc.stock_code import check_code, normalise_code
from shopstock.calc.units import HEAVIEST_MASS_G, parse_temperature_c
from shopstock.fields import KeyedForm, MassField
from shopstock.models import Chemical, Container


class ConditionsForm(forms.Form):
    """Temperature, dose and what goes in; the page is worked out from these."""

    temperature = forms.CharField(label="Temperature in the shop", max_length=12)
    percent = forms.DecimalField(
        label="Catalyst (%)", min_value=Decimal("0.1"), max_value=Decimal(10), max_digits=4, decimal_places=2
    )
    second = forms.ModelChoiceField(Chemical.objects.none(), label="Catalyst", empty_label=None)

    def __init__(self, *args, product: Chemical, seconds: list[Chemical], unit: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.unit = unit
        self.fields["temperature"].help_text = f"Measured where you laminate. A number alone is {unit}."
        self.fields["temperature"].widget.attrs |= {"autocomplete": "off", "inputmode": "decimal"}
        self.fields["second"].queryset = Chemical.objects.filter(pk__in=[item.pk for item in seconds])
        if not product.takes_catalyst:
            del self.fields["percent"]
            self.fields["second"].label = "Hardener"

    def clean_temperature(self) -> Decimal:
        try:
            return parse_temperature_c(self.cleaned_data["temperature"], self.unit)
        except UnitError as error:
            raise forms.ValidationError(str(error)) from None

    def conditions(self) -> Conditions:
        data = self.cleaned_data
        percent = None if data.get("percent") is None else float(data["percent"])
        return Conditions(float(data["temperature"]), percent, data["second"])


class ContainerField(forms.CharField):
    """A code scanned or typed; cleans to the container."""

    def __init__(self, **kwargs):
        super().__init__(max_length=200, **kwargs)
        self.widget.attrs |= {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}

    def clean(self, value) -> Container | None:
        text = super().clean(value)
        if text in self.empty_values:
            return None
        code = text.rstrip("/").rpartition("/")[2]
        found = None
        if check_code(code):
            found = Container.objects.filter(code=normalise_code(code)).select_related("chemical", "place").first()
        if found is None:
            raise forms.ValidationError(f"“{text}” is no container of this store. Scan the label on the drum again.")
        return found


class GramsField(forms.CharField):
    """Cleans to grams with one decimal: a few grams of catalyst are not weighed to the whole gram."""

    def __init__(self, **kwargs):
        super().__init__(**kwargs)
        self.widget.attrs |= {"autocomplete": "off", "inputmode": "decimal"}

    def clean(self, value) -> Decimal | None:
        text = super().clean(value)
        if text in self.empty_values:
            return None
        try:
            quantity = read_quantity(text)
            unit = quantity.unit or unit_of("g")
            if unit.kind != MASS:
                raise UnitError(f"{unit.symbol} is no mass. Weigh it, in grams: a volume is not a mass.")
            grams = rounded(Quantity(quantity.number, unit).in_unit("g"), 1)
        except UnitError as error:
            raise forms.ValidationError(str(error)) from None
        if not 1 <= grams <= HEAVIEST_MASS_G:
            raise forms.ValidationError(f"“{text}” cannot be weighed for a pot. Check the figure and its unit.")
        return grams


class PotForm(KeyedForm):
    """Scan, weigh, confirm: the planned grams stand in it, to be changed to what the scale says."""

    number = forms.IntegerField(widget=forms.HiddenInput)
    resin = ContainerField(label="Scan the resin")
    resin_g = MassField(label="Resin weighed", default_unit="g")
    more = ContainerField(label="Scan a second one, when the first ran empty", required=False)
    more_g = MassField(label="Weighed from the second one", default_unit="g", required=False)
    second = ContainerField(label="Scan the catalyst")
    second_g = GramsField(label="Catalyst weighed")
    out_of_order = forms.CharField(label="Why another goes before the one named", max_length=120, required=False)

    def __init__(self, *args, pot: NextPot, is_catalyst: bool, may_override: bool, stopped: bool = False, **kwargs):
        weighing = pot.weighing
        start = {
            "number": pot.number,
            "resin_g": f"{weighing.resin_g:.0f} g",
            "second_g": f"{weighing.second_g:.1f} g",
        }
        super().__init__(*args, initial=start, auto_id="pot_%s", **kwargs)
        if not is_catalyst:
            self.fields["second"].label, self.fields["second_g"].label = "Scan the hardener", "Hardener weighed"
        if not (stopped and may_override):
            del self.fields["out_of_order"]
        self.fields["second_g"].help_text = "On the scale, in grams. A number alone is g, never mL."

    def clean(self) -> dict:
        data = super().clean()
        if bool(data.get("more")) != bool(data.get("more_g")) and not {"more", "more_g"} & set(self.errors):
            self.add_error("more_g", "A second container needs its code and what was weighed from it.")
        return data
