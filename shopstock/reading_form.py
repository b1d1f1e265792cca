"""The form for measuring a roll: any of three ways, and what was probably meant when a reading cannot be."""

from fractions import Fraction

from django import forms

from .calc.quantity import rounded
from .calc.roll_check import likely_masses, mass_is_absurd
from .calc.roll_diameter import diameter_of
from .calc.roll_mass import RollMassError, mass_g_from_length
from .calc.units import UnitError, format_length, format_mass, read_quantity
from .calc.wound_length import WoundLengthError
from .fields import KeyedForm, LengthField, MassField
from .models import Roll
from .readings import CannotTell, Outcome, Readings, areal_weight_of, last_tools, was_joined, weigh_up
from .typed_units import use_bare_units

ROUND, ACROSS = "round", "across"


class ThicknessField(forms.CharField):
    """A thickness such as "1.18 mm"; cleans to mm, a fraction kept."""

    def clean(self, value):
        text = super().clean(value)
        if not text:
            return None
        try:
            quantity = read_quantity(text)
            thickness_mm = float(quantity.in_unit("mm") if quantity.unit else quantity.number)
        except UnitError as error:
            raise forms.ValidationError(str(error)) from None
        if not 0.01 <= thickness_mm <= 30:
            raise forms.ValidationError("One layer is between 0.01 and 30 mm thick. Check the number and its unit.")
        return thickness_mm


class ReadingForm(KeyedForm):
    """Cleans to an `Outcome`, or to None with the reason beside its field."""

    tape = LengthField(label="Length by tape", required=False, least=0, help_text="Laid out on the table, all of it.")
    gross = MassField(label="Weight with its tube", required=False)
    tube = MassField(label="Weight of the bare tube", required=False, least=0)
    outer = LengthField(label="Outside of the roll", required=False)
    measured_as = forms.ChoiceField(
        label="Measured", choices=[(ROUND, "with a tape round it"), (ACROSS, "straight across")], initial=ROUND
    )
    core = LengthField(label="Outside of the tube, straight across", required=False)
    thickness = ThicknessField(label="Thickness of one layer", required=False, max_length=40)
    longer = forms.BooleanField(label="Yes, measured so", required=False)
    seen_mm = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args, roll: Roll, units: str, **kwargs):
        self.roll, self.units, self.outcome = roll, units, None
        known = {"seen_mm": roll.length_mm, **self._known()} | kwargs.pop("initial", {})
        super().__init__(*args, initial=known, **kwargs)
        use_bare_units(self, units, tape="length", gross="mass", tube="mass", outer="width", core="width")
        self.fields["thickness"].help_text = "A number alone is mm."

    def _known(self) -> dict:
        tools = last_tools(self.roll)
        shown = {
            "tube": format_mass(tools["tube_g"], self.units) if "tube_g" in tools else None,
            "core": format_length(round(tools["core_mm"]), self.units) if "core_mm" in tools else None,
            "thickness": f"{tools['thickness_mm']:g} mm" if "thickness_mm" in tools else self._thickness(),
        }
        return {name: value for name, value in shown.items() if value}

    def _thickness(self) -> str | None:
        known = self.roll.reinforcement.wound_thickness_mm
        return f"{known.normalize():f} mm" if known else None

    @property
    def asks_longer(self) -> bool:
        return "longer" in self.errors or bool(self.data.get("longer"))

    @property
    def asks_thickness(self) -> bool:
        return self.roll.outer_mm is None

    def readings(self) -> Readings:
        data = self.cleaned_data
        outer_mm = data["outer"]
        if outer_mm is not None and data["measured_as"] == ROUND:
            outer_mm = diameter_of(outer_mm)
        return Readings(data["tape"], data["gross"], data["tube"], outer_mm, data["core"], data["thickness"])

    def clean(self) -> dict:
        data = super().clean()
        if self.errors:
            return data
        readings = self.readings()
        if readings.is_empty:
            self.add_error(None, "Nothing was measured yet. Fill in one of the three ways.")
            return data
        self._check_weight(readings)
        self._check_diameter(readings)
        if not self.errors and not self.only_keeps:
            self._weigh_up(readings)
        return data

    @property
    def only_keeps(self) -> bool:
        """The readings are kept as the figures of an uncut roll; no length is told from them."""
        return "keep" in self.data

    def _check_weight(self, readings: Readings) -> None:
        """A weight in the wrong unit is caught by what the whole roll could weigh at most, or by the bare tube."""
        if readings.gross_g is None:
            return
        tube_g = readings.tube_g if readings.tube_g is not None else self.roll.tube_g or 0
        expected_g = Fraction(self._full_mass_g())
        booked_g = expected_g * self.roll.length_mm / max(1, self.roll.label_length_mm)
        number = read_quantity(self.data[self.add_prefix("gross")]).number
        meant = likely_masses(number, tube_g, booked_g) if booked_g else []
        hint = f" Did you mean {' or '.join(meant)}?" if meant else ""
        weighs = format_mass(readings.gross_g, self.units)
        if readings.gross_g < tube_g:
            self.add_error(
                "gross",
                f"{weighs} is less than the bare tube, {format_mass(tube_g, self.units)}.{hint} "
                "Weigh the roll with its tube, or correct the tube.",
            )
        elif readings.gross_g - tube_g > expected_g and mass_is_absurd(readings.gross_g - tube_g, expected_g):
            self.add_error("gross", f"{weighs} is far more than this roll ever weighed.{hint}")
        elif self.roll.gross_g and readings.gross_g > self.roll.gross_g * 1.02 and not self._has_more_cloth():
            came = format_mass(self.roll.gross_g, self.units)
            self.add_error("gross", f"{weighs} is more than the {came} it weighed when it came.{hint} Weigh it again.")

    def _has_more_cloth(self) -> bool:
        return was_joined(self.roll)

    def _full_mass_g(self):
        roll = self.roll
        gsm = rounded(Fraction(areal_weight_of(roll)[0]), 2)
        return mass_g_from_length(max(roll.label_length_mm, roll.length_mm), gsm, roll.width_mm)

    def _check_diameter(self, readings: Readings) -> None:
        core_mm = readings.core_mm if readings.core_mm is not None else self.roll.core_mm
        if readings.outer_mm is None or core_mm is None or readings.outer_mm >= core_mm:
            return
        outer, core = (format_length(round(size), self.units) for size in (readings.outer_mm, core_mm))
        across = " A tape round it shows about three times as much." if self.data.get("measured_as") == ROUND else ""
        self.add_error(
            "outer", f"That makes the roll {outer} across, less than its tube, {core}.{across} Measure both again."
        )

    def _weigh_up(self, readings: Readings) -> None:
        try:
            outcome = weigh_up(self.roll, readings)
        except CannotTell as error:
            self.add_error(error.field, str(error))
        except RollMassError as error:
            self.add_error("gross", str(error))
        except WoundLengthError as error:
            self.add_error("outer", str(error))
        else:
            self._check_length(outcome)

    def _check_length(self, outcome: Outcome) -> None:
        """Longer than its label by more than both could be off is asked about once."""
        label_mm = self.roll.label_length_mm
        percent = float(self.roll.supplier.length_tolerance_percent) if self.roll.supplier else 1.0
        most_mm = label_mm * (1 + percent / 100)
        least_mm = outcome.taken_over.length_mm - outcome.taken_over.give_or_take_mm
        self.outcome = outcome
        if least_mm > most_mm and not self.cleaned_data["longer"] and not self._has_more_cloth():
            measured = format_length(outcome.length_mm, self.units)
            self.add_error(
                "longer",
                f"{measured} is more than the {format_length(label_mm, self.units)} it came with. "
                "Correct the reading, or tick this if the label was wrong.",
            )
