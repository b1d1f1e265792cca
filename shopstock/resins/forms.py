import datetime
from decimal import Decimal

from django import forms

from shopstock.calc.label_date import EARLIEST_YEAR, names_a_month
from shopstock.calc.quantity import UnitError
from shopstock.calc.resin_amount import read_amount_g
from shopstock.calc.units import US, format_mass
from shopstock.fields import KeyedForm, LabelDateField, MassField
from shopstock.models import Chemical, Container, Place, Supplier
from shopstock.standing_fields import PlaceAsked

from .fields import day_field

MASS_ROUNDING = 0.02  # a label's net mass and a scale differ by about this much


def scale_unit(units: str) -> str:
    """The unit a bare number on the scale has in this shop."""
    return "lb" if units == US else "kg"


def use_scale_unit(form: forms.Form, units: str, *names: str) -> None:
    for name in names:
        field = form.fields[name]
        field.default_unit = scale_unit(units)
        field.help_text = f"{field.help_text} A number alone is {field.default_unit}.".strip()


def read_amount(text: str, chemical: Chemical, default_unit: str | None = None) -> int:
    try:
        mass_g = read_amount_g(text, chemical.density_liquid, default_unit)
    except UnitError as error:
        raise forms.ValidationError(str(error)) from None
    if mass_g < 1:
        raise forms.ValidationError(f"“{text}” is too little. Enter at least 1 g.")
    return mass_g


class ReceiveForm(PlaceAsked, KeyedForm):
    field_order = [
        "chemical", "batch", "net", "gross", "tare", "vessel", "made_on", "label_date", "received_on", "opened_on",
        "supplier", "place", "knows", "count",
    ]  # fmt: skip

    chemical = forms.ModelChoiceField(Chemical.objects.all(), label="Product", empty_label="choose one")
    batch = forms.CharField(max_length=40, required=False, help_text="As on the label: it ties a part to its resin.")
    net = forms.CharField(
        label="Net mass, each",
        max_length=40,
        required=False,
        help_text="What the label says is inside, like 25 kg, 55 lb or 5 gal. Leave empty when you weighed it.",
    )
    gross = MassField(label="Gross weight", required=False, help_text="Full, on the scale.")
    tare = MassField(label="Weight of the empty container", required=False, help_text="On its lid or data sheet.")
    vessel = forms.ChoiceField(
        label="It stands in", required=False, choices=[("", "not noted"), *Container.Vessel.choices]
    )
    made_on = LabelDateField(
        label="Made on", required=False, help_text="When the label says so: a day, or a month such as 2026-02."
    )
    label_date = LabelDateField(label="Use by (date on the label)")
    received_on = day_field(label="Received on")
    opened_on = day_field(
        label="Opened on",
        required=False,
        help_text="Only when it is open already: its life once opened counts from here.",
    )
    supplier = forms.ModelChoiceField(Supplier.objects.all(), required=False, empty_label="as the product says")
    place = forms.ModelChoiceField(Place.objects.all(), required=False, empty_label="not noted")
    count = forms.IntegerField(
        label="How many alike",
        min_value=1,
        max_value=50,
        initial=1,
        help_text="Containers of the same batch, mass and date. Each gets its own code.",
    )

    def __init__(self, *args, on: datetime.date, units: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.on = on
        self.units = units
        self.fields["received_on"].initial = on
        use_scale_unit(self, units, "gross", "tare")

    def clean_received_on(self) -> datetime.date:
        return self._not_later(self.cleaned_data["received_on"])

    def clean_opened_on(self) -> datetime.date | None:
        return self._not_later(self.cleaned_data["opened_on"])

    def _not_later(self, day: datetime.date | None) -> datetime.date | None:
        if day is not None and day.year < EARLIEST_YEAR:
            raise forms.ValidationError(f"{day} is too long ago. Check the year.")
        if day is not None and day > self.on:
            raise forms.ValidationError(f"{day} is still to come. Today is {self.on}.")
        return day

    def clean(self) -> dict:
        values = super().clean()
        self._check_dates(values.get("received_on"), values.get("opened_on"), values.get("label_date"))
        self._check_made(values)
        month = names_a_month(self.data.get("label_date", ""))
        values["label_precision"] = Container.Precision.MONTH if month else Container.Precision.DAY
        values["mass_g"] = self._mass(values)
        if values.get("chemical"):
            self.ask_about_place(self._all_of_them(values))
        return values

    @staticmethod
    def _all_of_them(values: dict) -> Container:
        """As one container: together they fill a cabinet."""
        mass_g = (values.get("mass_g") or 0) * (values.get("count") or 1)
        return Container(chemical=values["chemical"], vessel=values.get("vessel") or "", mass_g=mass_g)

    def _check_dates(self, received, opened, label) -> None:
        if received and opened and opened < received:
            self.add_error("opened_on", f"Opened before it was received ({received}): check the two dates.")
        if received and label and label < received:
            self.add_error(
                "label_date",
                f"Past its date ({label}) on the day it came in ({received}). If both are right, send it back.",
            )

    def _check_made(self, values: dict) -> None:
        """A label that names only the month of making is good from that month's first day."""
        made, received, label = (values.get(name) for name in ("made_on", "received_on", "label_date"))
        if made and names_a_month(self.data.get("made_on", "")):
            made = values["made_on"] = made.replace(day=1)
        if made and received and made > received:
            self.add_error("made_on", f"Made after it came in ({received}): check the two dates.")
        elif made and label and made >= label:
            self.add_error("made_on", f"Made on or after the day it ends ({label}): are the two dates swapped?")

    def _mass(self, values: dict) -> int | None:
        if {"net", "gross", "tare", "chemical"} & set(self.errors):
            return None
        weighed, named = self._weighed(values.get("gross"), values.get("tare")), self._named(values)
        if weighed and named and abs(weighed - named) > MASS_ROUNDING * named:
            gap = f"{format_mass(weighed, self.units)} by weight, {format_mass(named, self.units)} by the label"
            self.add_error("net", f"The figures disagree: {gap}. Weigh again, or leave one of them empty.")
        if not (weighed or named or self.errors):
            self.add_error("net", "Enter the net mass, or the gross weight and the weight of the empty container.")
        return weighed or named

    def _weighed(self, gross: int | None, tare: int | None) -> int | None:
        if gross is None:
            return None
        if tare is None:
            self.add_error("tare", "With a gross weight the empty weight is needed too, or the drum counts as resin.")
            return None
        if gross <= tare:
            self.add_error("gross", "The full container must weigh more than the empty one. Check the two weights.")
            return None
        return gross - tare

    def _named(self, values: dict) -> int | None:
        text = values.get("net")
        if not text:
            return None
        try:
            return read_amount(text, values["chemical"], scale_unit(self.units))
        except forms.ValidationError as error:
            self.add_error("net", error)
            return None


class AmountForm(KeyedForm):
    """An amount out of one container, by mass or by volume."""

    amount = forms.CharField(label="How much", max_length=40)

    def __init__(self, *args, container: Container, **kwargs):
        super().__init__(*args, **kwargs)
        self.container = container
        density = container.chemical.density_liquid.normalize()
        self.fields["amount"].help_text = f"With its unit: 850 g, 1.2 kg, 2 lb; or 3 L, 1 gal at {density:f} kg/L."
        self.fields["amount"].widget.attrs["autocomplete"] = "off"

    def clean_amount(self) -> int:
        return read_amount(self.cleaned_data["amount"], self.container.chemical)


class DrawForm(AmountForm):
    """`first` goes before this container; who may take this one all the same says why, under his or her name."""

    amount = forms.CharField(label="How much was taken", max_length=40)
    purpose = forms.CharField(label="What for", max_length=100, required=False, help_text="Job or part.")
    out_of_order = forms.CharField(max_length=120, help_text="It is kept in the ledger under your name.")

    def __init__(self, *args, first: Container | None, may_override: bool, **kwargs):
        super().__init__(*args, **kwargs)
        self.first = first
        if first is None or not may_override:
            del self.fields["out_of_order"]
        else:
            self.fields["out_of_order"].label = f"Why this one before {first.code}"
            self.fields["out_of_order"].error_messages["required"] = (
                f"Take {first.code}, which ends on {first.expires_on}, or say why this one goes before it."
            )

    @property
    def is_stopped(self) -> bool:
        """Another container goes first, and this person may not decide otherwise."""
        return self.first is not None and "out_of_order" not in self.fields


class LossForm(AmountForm):
    amount = forms.CharField(label="How much was lost", max_length=40)
    reason = forms.CharField(label="How", max_length=200, help_text="Spilled, leaked, cured in the can.")


class MoveForm(PlaceAsked, KeyedForm):
    place = forms.ModelChoiceField(Place.objects.all(), label="Where it goes", empty_label="Choose")

    field_order = ["place", "knows"]

    def __init__(self, *args, container: Container, **kwargs):
        super().__init__(*args, **kwargs)
        self.container = container
        self.fields["place"].initial = container.place_id

    def clean(self) -> dict:
        super().clean()
        self.ask_about_place(self.container)
        return self.cleaned_data


class LifeTestForm(KeyedForm):
    tested_on = day_field(label="Tested on")
    gel_minutes = forms.DecimalField(
        label="Cup gel time (minutes)", max_digits=5, decimal_places=1, min_value=Decimal("0.1")
    )
    cured = forms.BooleanField(label="The cup cured as it should", required=False)
    result = forms.CharField(label="What was seen", max_length=200, help_text="Amount, dose, temperature, hardness.")
    new_end = day_field(label="When it passed: use by", required=False)

    def __init__(self, *args, container: Container, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.chemical = container.chemical
        self.fields["tested_on"].initial = today
        longest = today + datetime.timedelta(days=self.chemical.extend_days)
        self.fields[
            "new_end"
        ].help_text = f"At most {self.chemical.extend_days} days after the test, so up to {longest} for one made today."
        least, most = self.chemical.gel_min_minutes, self.chemical.gel_max_minutes
        if least is not None and most is not None:
            self.fields["gel_minutes"].help_text = f"The data sheet’s window: {least:g} to {most:g} minutes."


class OpenedForm(forms.Form):
    on = day_field(label="Opened on")

    def __init__(self, *args, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["on"].initial = today

    def clean_on(self) -> datetime.date:
        day = self.cleaned_data["on"]
        if day > self.today:
            raise forms.ValidationError(f"{day} is still to come. Today is {self.today}.")
        return day


class WeighForm(KeyedForm):
    gross = MassField(label="Weight on the scale, with its container")
    tare = MassField(label="Weight of the empty container", least=0)
    reason = forms.CharField(label="Why weighed", max_length=200, initial="stock count")

    def __init__(self, *args, container: Container, units: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["tare"].initial = container.tare_g
        use_scale_unit(self, units, "gross", "tare")

    def clean(self) -> dict:
        values = super().clean()
        gross, tare = values.get("gross"), values.get("tare")
        if gross is not None and tare is not None and gross < tare:
            self.add_error("gross", "Less than the empty container weighs. Check both weights.")
        return values


class DisposeForm(KeyedForm):
    reason = forms.CharField(
        label="Waste note", max_length=200, help_text="Where it goes and under which number. It stays in the ledger."
    )
