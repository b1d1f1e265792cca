import datetime
from fractions import Fraction

from django import forms

from shopstock.calc.positions import read_positions
from shopstock.calc.quantity import read_quantity
from shopstock.calc.roll_check import (
    length_is_absurd,
    likely_masses,
    likely_widths,
    mass_is_absurd,
    width_is_absurd,
    width_is_odd,
)
from shopstock.calc.roll_mass import mass_g_from_length
from shopstock.calc.units import UnitError, format_length, format_mass, format_width
from shopstock.fields import KeyedForm, LengthField, MassField
from shopstock.models import Fault, Place, Reinforcement, Roll, Supplier
from shopstock.standing_fields import PlaceAsked
from shopstock.typed_units import bare_unit, use_bare_units

from .actions import FOUND_WORDS, MOST_ROLLS, Arrived, Findings

EARLIEST = datetime.date(1990, 1, 1)
FOLDS = [("no", "no, nowhere"), (Fault.Cause.FOLD, "yes, folded"), (Fault.Cause.CREASE, "yes, creased")]
TICKS = [Fault.Cause.CRUSHED, Fault.Cause.WET, Fault.Cause.OIL, Fault.Cause.DUST]


class PositionsField(forms.CharField):
    """Places on the roll; cleans to stretches in mm from the free end."""

    default_unit = "m"

    def __init__(self, **kwargs):
        super().__init__(required=False, max_length=300, **kwargs)
        self.widget.attrs.update(autocomplete="off", inputmode="text")

    def clean(self, value):
        try:
            return read_positions(super().clean(value), self.default_unit)
        except UnitError as error:
            raise forms.ValidationError(str(error)) from None


class OneRollFields(forms.Form):
    """Label length and weights, asked once for a single roll or in a row for each of several."""

    length = LengthField(label="Length on the label")
    gross = MassField(label="Weight with its tube", required=False)
    tube = MassField(label="Weight of the bare tube", required=False)

    def check_roll(self, reinforcement: Reinforcement, width_mm: int) -> None:
        """Stop lengths and weights that no such roll can have; each message goes beside its field."""
        length_mm, gross_g, tube_g = (self.cleaned_data.get(name) for name in ("length", "gross", "tube"))
        if length_mm and length_is_absurd(length_mm, reinforcement.roll_length_mm):
            self.add_error("length", _too_long(length_mm, reinforcement, self.units))
        elif length_mm and gross_g:
            expected_g = Fraction(mass_g_from_length(length_mm, reinforcement.areal_weight_gsm, width_mm))
            self._check_weight(gross_g, tube_g or 0, expected_g)

    def _check_weight(self, gross_g: int, tube_g: int, expected_g: Fraction) -> None:
        if gross_g > tube_g and not mass_is_absurd(gross_g - tube_g, expected_g):
            return
        number = read_quantity(self.data[self.add_prefix("gross")]).number
        likely = likely_masses(number, tube_g, expected_g)
        did_you_mean = f"Did you mean {' or '.join(likely)}?" if likely else ""
        explain = _lighter_than_its_tube if gross_g <= tube_g else _absurd_weight
        self.add_error("gross", explain(gross_g, tube_g, expected_g, did_you_mean, self.units))

    def arrived(self, *, damaged: bool) -> Arrived:
        data = self.cleaned_data
        return Arrived(data["length"], data["gross"], data["tube"], damaged)


class RollRowForm(OneRollFields):
    """One of several rolls of a delivery."""

    damaged = forms.BooleanField(label="What was found is on this roll", required=False, initial=True)

    def __init__(self, *args, units: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.units = units
        use_bare_units(self, units, length="length", gross="mass", tube="mass")
        for name in ("length", "gross", "tube"):
            self.fields[name].help_text = ""


class ReceiveForm(PlaceAsked, OneRollFields, KeyedForm):
    reinforcement = forms.ModelChoiceField(Reinforcement.objects.filter(active=True), empty_label="Choose")
    supplier = forms.ModelChoiceField(
        Supplier.objects.all(), required=False, empty_label="the one in the catalogue", label="Supplier"
    )
    lot = forms.CharField(label="Lot", max_length=40, required=False, help_text="The maker’s number on the label.")
    count = forms.IntegerField(
        label="How many rolls of this lot",
        min_value=1,
        max_value=MOST_ROLLS,
        initial=1,
        error_messages={
            "min_value": "At least one roll.",
            "max_value": f"At most {MOST_ROLLS} at once; send the rest in a second form.",
        },
    )
    width = LengthField(label="Width as measured", help_text="Selvedge to selvedge, with a tape.")
    width_confirmed = forms.BooleanField(label="Yes, the width was measured so", required=False)

    folded = forms.ChoiceField(
        label="Was it folded or creased anywhere?",
        choices=FOLDS,
        widget=forms.RadioSelect,
        help_text="Look along the whole roll: a fold breaks the strands, even when it looks flat again.",
        error_messages={"required": "Look for folds and creases, then say no or yes."},
    )
    folded_at = PositionsField(label="Folded or creased at")
    splices = PositionsField(label="Splices", help_text="Flagged at the selvedge. One or more, like 12.5, 30.")
    splices_told = forms.IntegerField(min_value=0, max_value=9, required=False, widget=forms.HiddenInput)
    splices_looked = forms.BooleanField(label="Looked for: there are no more than those", required=False)
    note = forms.CharField(label="Note", max_length=120, required=False)

    place = forms.ModelChoiceField(Place.objects.all(), required=False, empty_label="no place yet")
    lying = forms.ChoiceField(label="How it lies", choices=Roll.Lying.choices, initial=Roll.Lying.CORE)
    price = forms.DecimalField(
        label="Price paid for a roll", min_value=0, max_digits=10, decimal_places=2, required=False
    )
    received_on = forms.DateField(label="Received on", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"))

    def __init__(self, *args, units: str, currency: str, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.units, self.today = units, today
        self.fields["received_on"].initial = today
        self.fields["price"].label += f" ({currency})"
        for cause in TICKS:
            self.fields[cause.value] = forms.BooleanField(label=FOUND_WORDS[cause], required=False)
            self.fields[f"{cause.value}_at"] = PositionsField(label=f"{FOUND_WORDS[cause].capitalize()} at")
        use_bare_units(self, units, length="length", width="width", gross="mass", tube="mass")
        self._explain_positions(bare_unit("position", units))
        told = str(self["splices_told"].value() or "")
        if told in "123456789" and told:
            self.fields["splices"].help_text = f"The label says {told}. {self.fields['splices'].help_text}"

    def _explain_positions(self, unit: str) -> None:
        for field in self.fields.values():
            if isinstance(field, PositionsField):
                field.default_unit = unit
                like = field.help_text or "From–to if you can tell, like 3.2–3.6."
                field.help_text = f"{like} In {unit} from the free end."

    def findings_fields(self) -> list[tuple]:
        """(tick, where) pairs for the page."""
        return [(self[cause.value], self[f"{cause.value}_at"]) for cause in TICKS]

    @property
    def asks_width(self) -> bool:
        return "width_confirmed" in self.errors or bool(self.data.get("width_confirmed"))

    @property
    def asks_splices(self) -> bool:
        return "splices_looked" in self.errors or bool(self.data.get("splices_looked"))

    def clean_key(self) -> str:
        key = self.cleaned_data["key"]
        if not key.replace("-", "").isalnum() or not key.isascii():
            raise forms.ValidationError("This page is damaged. Open Receive again.")
        return key

    def clean_received_on(self) -> datetime.date:
        day = self.cleaned_data["received_on"]
        if day > self.today:
            raise forms.ValidationError(f"{day} lies in the future. Enter the day the roll came in.")
        if day < EARLIEST:
            raise forms.ValidationError(f"{day} is long ago. Check the year.")
        return day

    def clean(self) -> dict:
        data = super().clean()
        reinforcement, width_mm = data.get("reinforcement"), data.get("width")
        if reinforcement and width_mm:
            self._check_width(reinforcement, width_mm)
            if data.get("count") == 1:
                self.check_roll(reinforcement, width_mm)
        if data.get("lying") == Roll.Lying.FOLDED and data.get("folded") == "no":
            self.add_error("folded", "It lies folded, so it was folded: say yes here, or choose how it lies.")
        self._check_splices(data)
        self._check_findings(data)
        if reinforcement:
            self.ask_about_place(Roll(reinforcement=reinforcement), lying=data.get("lying"))
        return data

    def _check_width(self, reinforcement: Reinforcement, width_mm: int) -> None:
        if not width_is_odd(width_mm, reinforcement.width_mm):
            return
        measured, listed = (format_width(mm, self.units) for mm in (width_mm, reinforcement.width_mm))
        likely = likely_widths(read_quantity(self.data[self.add_prefix("width")]).number, reinforcement.width_mm)
        if width_is_absurd(width_mm, reinforcement.width_mm) or likely:
            ask = f"Did you mean {' or '.join(likely)}?" if likely else "Check the number and its unit."
            self.add_error("width", f"{measured} measured, {listed} in the catalogue. {ask}")
        elif not self.cleaned_data.get("width_confirmed"):
            self.add_error(
                "width_confirmed", f"{measured} measured, {listed} in the catalogue. Correct it, or tick this."
            )

    def _check_splices(self, data: dict) -> None:
        """A splice that the label names and nobody looked for would end in the middle of a piece."""
        told, found = data.get("splices_told") or 0, len(data.get("splices") or [])
        if found < told and "splices" not in self.errors and not data.get("splices_looked"):
            count = f"{told} splice{'' if told == 1 else 's'}"
            self.add_error("splices_looked", f"The label says {count}. Enter where each is flagged, or tick this.")

    def _check_findings(self, data: dict) -> None:
        if data.get("folded") == "no" and data.get("folded_at"):
            self.add_error("folded", "You gave a place of a fold: say yes, or clear the place.")
        for tick, where in ((cause.value, f"{cause.value}_at") for cause in TICKS):
            if data.get(where) and not data.get(tick):
                self.add_error(tick, "You gave a place: tick this, or clear the place.")
        if data.get("count") == 1 and data.get("length"):
            for name, field in self.fields.items():
                if isinstance(field, PositionsField):
                    self._check_on_roll(name, data)

    def _check_on_roll(self, name: str, data: dict) -> None:
        beyond = [start for start, end in data.get(name) or [] if start >= data["length"]]
        if beyond:
            length = format_length(data["length"], self.units)
            self.add_error(name, f"The roll is {length} long: nothing can be found beyond that.")

    def findings(self) -> Findings:
        data, causes = self.cleaned_data, {}
        if data["folded"] != "no":
            causes[data["folded"]] = data["folded_at"]
        causes |= {cause.value: data[f"{cause.value}_at"] for cause in TICKS if data[cause.value]}
        return Findings(causes, data["splices"], data["note"])

    def common(self) -> dict:
        """What all rolls of the delivery share, as the ledger takes it."""
        data = self.cleaned_data
        names = ("reinforcement", "lot", "place", "lying", "price", "received_on", "key")
        same = {name: data[name] for name in names} | {"standing": data["note_of_place"]}
        return same | {"width_mm": data["width"], "supplier": data["supplier"] or data["reinforcement"].supplier}


def rows_for(form: ReceiveForm) -> list[RollRowForm]:
    """A row for each of several rolls: as typed where it was already shown, else started from the first fields."""
    data, count = form.data, form.cleaned_data.get("count") or 1
    return [] if count == 1 else [_row(form, number, data) for number in range(1, count + 1)]


def _row(form: ReceiveForm, number: int, data) -> RollRowForm:
    prefix = f"roll{number}"
    shown = f"{prefix}-length" in data
    clean = form.cleaned_data
    start = {"length": clean.get("length"), "tube": clean.get("tube")}
    if number == 1:
        start["gross"] = clean.get("gross")
    return RollRowForm(data if shown else None, prefix=prefix, initial=start, units=form.units)


def _too_long(length_mm: int, reinforcement: Reinforcement, units: str) -> str:
    typed, sold = format_length(length_mm, units), format_length(reinforcement.roll_length_mm, units)
    return f"{typed} is more than ten rolls of {sold} as sold. Check the number and its unit."


def _lighter_than_its_tube(gross_g: int, tube_g: int, expected_g: Fraction, did_you_mean: str, units: str) -> str:
    gross, tube = format_mass(gross_g, units), format_mass(tube_g, units)
    return (
        f"With its tube it weighs {gross}, but the tube alone {tube}. {did_you_mean or 'Weigh again, or swap the two.'}"
    )


def _absurd_weight(gross_g: int, tube_g: int, expected_g: Fraction, did_you_mean: str, units: str) -> str:
    weighed, expected = format_mass(gross_g - tube_g, units), format_mass(round(expected_g, -2), units)
    ask = did_you_mean or "Check the weight, the length and the reinforcement."
    return f"{weighed} of cloth, but a roll like this holds about {expected}. {ask}"
