"""What every form that reports a fault asks beside its position: how wide, a photo, and whether it is another one."""

from collections.abc import Sequence

from django import forms

from .calc.units import format_length
from .fields import LengthField
from .ledger.faults import CROSSING
from .models import Fault, Movement, Roll
from .photos import PhotoField, keep
from .queries import faults_on


class FaultFields(forms.Form):
    """Mixed into a form with `start`, `end` and `cause`; positions are in mm from the free end."""

    across_from = LengthField(
        label="Only from, measured from the left edge", required=False, least=0, help_text="Empty: right across."
    )
    across_to = LengthField(label="to, from the left edge", required=False)
    photo = PhotoField(help_text="Kept small, without the place where it was taken.")
    another = forms.BooleanField(label="Yes, it is another fault", required=False)

    @property
    def asks_another(self) -> bool:
        return "another" in self.errors or bool(self.data.get("another"))

    def check_across(self, roll: Roll) -> None:
        low, high = self.cleaned_data.get("across_from"), self.cleaned_data.get("across_to")
        if {"across_from", "across_to"} & set(self.errors) or (low is None and high is None):
            return
        cause = self.cleaned_data.get("cause")
        if cause in CROSSING:
            self.add_error("across_from", f"A {Fault.Cause(cause).label} runs right across. Leave the width empty.")
        elif high is None or (low or 0) >= high:
            self.add_error("across_to", "Say how far from the left edge it reaches, more than where it begins.")
        elif high > roll.width_mm:
            self.add_error("across_to", f"The roll is {roll.width_mm} mm wide; it cannot reach further.")

    def check_overlap(self, roll: Roll, start_mm: int, end_mm: int, units: str) -> None:
        """The same damage noted twice is asked about; it may be another one on top."""
        if self.cleaned_data.get("another") or self._was_sent():
            return
        over = [fault for fault in faults_on(roll) if _overlaps(roll, fault, start_mm, end_mm)]
        if over:
            self.add_error("another", f"{_named(roll, over, units)} Is this the same one? Then there is nothing to do.")

    def across_mm(self) -> tuple[int, int] | None:
        high = self.cleaned_data.get("across_to")
        return None if high is None else (self.cleaned_data.get("across_from") or 0, high)

    def kept_photo(self) -> str:
        """Store the photo and return its name; "" without one, and for a second tap."""
        jpeg = self.cleaned_data.get("photo")
        return keep(jpeg) if jpeg and not self._was_sent() else ""

    def _was_sent(self) -> bool:
        return Movement.objects.filter(key=self.cleaned_data.get("key")).exists()


def _overlaps(roll: Roll, fault: Fault, start_mm: int, end_mm: int) -> bool:
    return roll.length_mm - fault.to_mm < end_mm and start_mm < roll.length_mm - fault.from_mm


def _named(roll: Roll, faults: Sequence[Fault], units: str) -> str:
    fault = faults[0]
    start, end = (format_length(max(0, roll.length_mm - mm), units) for mm in (fault.to_mm, fault.from_mm))
    return f"{fault.get_cause_display().capitalize()} is noted there already, {start} to {end}."
