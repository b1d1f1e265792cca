from django import forms

from labels.calc.qr_payload import NotALabelError, scan
from shopstock.calc.stock_code import WrongCodeError
from shopstock.fields import KeyedForm
from shopstock.models import Place, Roll

SCANNER = {"autocomplete": "off", "autocapitalize": "characters", "autofocus": True}


class WhichForm(forms.Form):
    """The roll in the hand."""

    roll = forms.CharField(
        label="Scan or type the code of the roll", max_length=200, widget=forms.TextInput(attrs=SCANNER)
    )

    def clean_roll(self) -> Roll:
        return find_roll(self.cleaned_data["roll"])


def find_roll(text: str) -> Roll:
    code = _code(text)
    found = Roll.objects.select_related("reinforcement", "place").filter(code=code).first()
    if found is None:
        if Place.objects.filter(code=code).exists():
            raise forms.ValidationError("That is the label of a place. Scan the roll first, then where you put it.")
        raise forms.ValidationError(f"No roll here has the code {code}. Scan the label of a roll.")
    return found


def _code(text: str) -> str:
    try:
        return scan(text).code
    except (NotALabelError, WrongCodeError) as error:
        raise forms.ValidationError(str(error)) from None


class WhereForm(KeyedForm):
    """Where it is put: the place's label, its name, or one of the list."""

    roll = forms.CharField(widget=forms.HiddenInput, max_length=20)
    place = forms.CharField(
        label="Scan the place, or type its name",
        max_length=200,
        error_messages={"required": "Scan the label of the place, or type its name."},
        widget=forms.TextInput(attrs=SCANNER | {"list": "places"}),
    )
    lying = forms.ChoiceField(label="How it lies there", choices=Roll.Lying.choices)

    def clean_place(self) -> Place:
        text = self.cleaned_data["place"]
        named = Place.objects.filter(name__iexact=text).first()
        return named or self._scanned(text)

    def _scanned(self, text: str) -> Place:
        try:
            code = _code(text)
        except forms.ValidationError:
            raise forms.ValidationError(f"There is no place called “{text}”. Choose one of the list.") from None
        found = Place.objects.filter(code=code).first()
        if found is not None:
            return found
        if Roll.objects.filter(code=code).exists():
            raise forms.ValidationError("That is the label of a roll. Scan where you put this one first.")
        raise forms.ValidationError(f"No place here has the code {code}.")
