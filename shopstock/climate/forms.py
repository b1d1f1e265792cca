import datetime
from collections.abc import Callable
from decimal import Decimal

from django import forms

from shopstock.calc.climate import Reading, UnlikelyReading, check_log
from shopstock.calc.climate_file import ClimateFile, ClimateFileError, read_climate_file
from shopstock.calc.quantity import UnitError
from shopstock.calc.units import US, parse_temperature_c

LARGEST_FILE = 5 * 1024 * 1024
SHOWN_WRONG = 5


class ReadingForm(forms.Form):
    temperature = forms.CharField(label="Temperature", max_length=20)
    humidity = forms.DecimalField(
        label="Relative humidity (%)", min_value=0, max_value=100, max_digits=4, decimal_places=1, required=False
    )
    at = forms.DateTimeField(
        label="When",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
        input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"],
    )
    sure = forms.BooleanField(label="It is right: I looked at the unit", required=False)

    def __init__(self, *args, units: str, now, asks: bool = False, **kwargs):
        super().__init__(*args, **kwargs)
        self.now = now
        self.unit = "°F" if units == US else "°C"
        self.fields["temperature"].help_text = f"A number alone is {self.unit}."
        self.fields["temperature"].widget.attrs |= {"autocomplete": "off", "inputmode": "decimal"}
        self.fields["at"].initial = now
        if not asks:
            del self.fields["sure"]

    def clean_temperature(self) -> Decimal:
        try:
            return parse_temperature_c(self.cleaned_data["temperature"], self.unit)
        except UnitError as error:
            raise forms.ValidationError(str(error)) from None

    def clean_at(self):
        at = self.cleaned_data["at"]
        if at > self.now:
            raise forms.ValidationError("That is still to come. Enter when the reading was taken.")
        return at


class FileForm(forms.Form):
    """Cleans to the readings of the file."""

    file = forms.FileField(
        label="CSV file",
        help_text="Its first line names the columns: time, temperature_c (or temperature_f), humidity.",
        widget=forms.FileInput(attrs={"accept": ".csv,text/csv"}),
    )

    sure = forms.BooleanField(label="It is in °C: I looked at the unit", required=False, widget=forms.HiddenInput)

    def __init__(self, *args, now, before: Callable[[datetime.datetime], Reading | None], **kwargs):
        """`before` gives the place's reading before a moment."""
        super().__init__(*args, **kwargs)
        self.now, self.before = now, before

    def clean_file(self) -> ClimateFile:
        file = self.cleaned_data["file"]
        if file.size > LARGEST_FILE:
            raise forms.ValidationError("The file is larger than 5 MB. Bring it in part by part.")
        try:
            found = read_climate_file(file.read().decode("utf-8"), self.now.tzinfo)
        except UnicodeDecodeError:
            raise forms.ValidationError("The file is not text in UTF-8. Save it as CSV (UTF-8).") from None
        except ClimateFileError as error:
            raise forms.ValidationError(str(error)) from None
        if found.wrong:
            more = f" And {len(found.wrong) - SHOWN_WRONG} more." if len(found.wrong) > SHOWN_WRONG else ""
            raise forms.ValidationError(" ".join(found.wrong[:SHOWN_WRONG]) + more + " Nothing was stored.")
        if not found.readings:
            raise forms.ValidationError("The file holds no reading.")
        if found.readings[-1].at > self.now:
            last = f"{found.readings[-1].at:%Y-%m-%d %H:%M}"
            raise forms.ValidationError(f"Its last reading, of {last}, is still to come. Set the clock of the logger.")
        return found

    def clean(self) -> dict:
        values = super().clean()
        if values.get("file"):
            self._ask_about_unit(values["file"], sure=values.get("sure", False))
        return values

    def _ask_about_unit(self, found: ClimateFile, *, sure: bool) -> None:
        try:
            check_log(found.readings, self.before(found.readings[0].at))
        except UnlikelyReading as error:
            self.fields["sure"].widget = forms.CheckboxInput()
            if not sure:
                ask = "Name the column temperature_f if it is °F; or choose the file again and tick below."
                self.add_error("file", f"{error} {ask} Nothing was stored.")


class SensorForm(forms.Form):
    name = forms.CharField(max_length=60, help_text="What it is and where it hangs.")
