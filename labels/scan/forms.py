from django import forms
from django.core.files.uploadedfile import UploadedFile

from labels.calc.cut_slip import is_far_from_plan
from shopstock.calc.units import format_length
from shopstock.fault_fields import FaultFields
from shopstock.fields import KeyedForm, LengthField
from shopstock.models import Fault, Movement, Roll, SetAside
from shopstock.typed_units import use_bare_units

from .next_cut import CutAway
from .photo import NoCodeError, PhotoError, ReadLabel, read_label, read_supplier_code

BARE_LENGTH_UNIT = {"metric": "m", "us": "in"}
NO_CODE = "no code"


class PhotoForm(forms.Form):
    """Cleans to what the photographed label says."""

    photo = forms.FileField(
        label="Photo of the label",
        help_text="The square code, sharp and without glare.",
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
        error_messages={
            "required": "No picture was chosen. Take a photo of the label, or type its code.",
            "empty": "The picture is empty. Take it again, or type the code.",
        },
    )

    def clean_photo(self) -> ReadLabel:
        photo: UploadedFile = self.cleaned_data["photo"]
        try:
            return read_label(photo.file, photo.size)
        except NoCodeError as error:
            raise forms.ValidationError(str(error), code=NO_CODE) from None
        except PhotoError as error:
            raise forms.ValidationError(str(error)) from None


class SupplierPhotoForm(PhotoForm):
    """Cleans to the text of the one supplier's code in the picture, whichever kind of code it is."""

    def clean_photo(self) -> str:
        photo: UploadedFile = self.cleaned_data["photo"]
        try:
            return read_supplier_code(photo.file, photo.size)
        except PhotoError as error:
            raise forms.ValidationError(str(error)) from None


class _TableForm(KeyedForm):
    """A bare number is metres or inches, as the shop measures. Several of these stand on one page."""

    ids = "id_%s"

    def __init__(self, *args, units: str, **kwargs):
        self.units = units
        super().__init__(*args, auto_id=self.ids, **kwargs)
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.default_unit = BARE_LENGTH_UNIT[units]

    def focus_first_wrong(self) -> None:
        """So that the page, shown again, opens where something is to be put right."""
        wrong = next((name for name in self.fields if name in self.errors), None)
        first = wrong or next(field.name for field in self.visible_fields())
        self.fields[first].widget.attrs["autofocus"] = True


class PlannedCutForm(_TableForm):
    """The planned length stands in it; left as it is, it is taken to the millimetre though feet show it rounded."""

    ids = "cut_%s"

    promise = forms.IntegerField(widget=forms.HiddenInput)
    planned_mm = forms.IntegerField(widget=forms.HiddenInput)
    length = LengthField(label="Length really cut", help_text="Change it if you cut more or less.")
    sure = forms.BooleanField(label="Yes, that much was cut", required=False, widget=forms.HiddenInput)

    def __init__(self, *args, left_mm: int = 0, **kwargs):
        """`left_mm` is what is on the roll: only a length that could be cut from it is asked about."""
        self.left_mm = left_mm
        super().__init__(*args, **kwargs)

    @classmethod
    def shown_for(cls, promise: SetAside, *, units: str) -> "PlannedCutForm":
        planned = {"promise": promise.pk, "planned_mm": promise.length_mm}
        return cls(units=units, initial={**planned, "length": format_length(promise.length_mm, units)})

    def clean(self) -> dict:
        cleaned = super().clean()
        planned_mm = cleaned.get("planned_mm")
        if planned_mm is not None and self.data.get("length") == format_length(planned_mm, self.units):
            cleaned["length"] = planned_mm
        self._ask_about_slip(planned_mm, cleaned.get("length"), sure=cleaned.get("sure"))
        return cleaned

    def _ask_about_slip(self, planned_mm: int | None, length_mm: int | None, *, sure: bool) -> None:
        """A slipped decimal point or a wrong unit is far from the plan; what a hand cuts amiss is near it."""
        if planned_mm is None or length_mm is None or not is_far_from_plan(length_mm, planned_mm):
            return
        if length_mm > self.left_mm:
            return
        self.fields["sure"].widget = forms.CheckboxInput()
        if not sure:
            cut, planned = (format_length(mm, self.units) for mm in (length_mm, planned_mm))
            self.add_error(
                "length", f"{cut} is far from the planned {planned}. Correct it, or tick below that it was cut so."
            )


class FreeCutForm(_TableForm):
    ids = "free_%s"

    length = LengthField(label="Length cut", help_text="With its unit, such as 2.4 m, 650 mm or 30 in.")
    purpose = forms.CharField(label="What for", max_length=120)


class QueuedCutForm(PlannedCutForm):
    """A cut that a phone kept while it had no network, planned or not, with when it was made and by whom."""

    ids = "queued_%s"

    code = forms.CharField(max_length=20)
    promise = forms.IntegerField(required=False)
    planned_mm = forms.IntegerField(required=False)
    purpose = forms.CharField(max_length=120, required=False)
    cause = forms.ChoiceField(choices=[("", ""), *Movement.Cause.choices], required=False)
    happened_at = forms.DateTimeField()
    person = forms.IntegerField()


class CutAwayForm(KeyedForm):
    """Nothing to type. What stands beside the length is for a device that tells it later, as it tells a cut."""

    length_mm = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    planned_mm = forms.IntegerField(required=False, widget=forms.HiddenInput)
    length = forms.CharField(required=False, widget=forms.HiddenInput)
    purpose = forms.CharField(required=False, widget=forms.HiddenInput)
    cause = forms.CharField(required=False, widget=forms.HiddenInput)

    @classmethod
    def shown_for(cls, away: CutAway | None, *, units: str) -> "CutAwayForm":
        return cls(auto_id="away_%s", initial=cut_away_entry(away, units) if away else None)


def cut_away_entry(away: CutAway, units: str) -> dict:
    length = {"length_mm": away.length_mm, "planned_mm": away.length_mm, "length": format_length(away.length_mm, units)}
    return length | {"purpose": away.reason, "cause": away.cause}


class FaultForm(FaultFields, _TableForm):
    ids = "fault_%s"
    field_order = ["start", "end", "cause", "another", "note", "photo", "across_from", "across_to"]

    start = LengthField(label="Starts, from the free end", least=0, help_text="0 m is the end in your hand.")
    end = LengthField(label="Ends, from the free end", help_text="With its unit, such as 1.2 m.")
    cause = forms.ChoiceField(label="What is wrong", choices=[("", "Choose"), *Fault.Cause.choices])
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args, roll: Roll, units: str, **kwargs):
        self.roll = roll
        super().__init__(*args, units=units, **kwargs)
        use_bare_units(self, units, across_from="width", across_to="width")

    def clean(self) -> dict:
        cleaned = super().clean()
        start, end = cleaned.get("start"), cleaned.get("end")
        if start is not None and end is not None and end <= start:
            self.add_error("end", "The fault must end farther from the free end than it starts.")
        self.check_across(self.roll)
        if not self.errors:
            self.check_overlap(self.roll, start, end, self.units)
        return cleaned
