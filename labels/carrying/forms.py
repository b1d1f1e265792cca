from django import forms

from labels.calc.qr_payload import NotALabelError, scan
from shopstock.calc.stock_code import WrongCodeError
from shopstock.fields import KeyedForm
from shopstock.models import Container, Place, Roll
from shopstock.standing_fields import PlaceAsked

SCANNER = {"autocomplete": "off", "autocapitalize": "characters", "autofocus": True}
Item = Roll | Container


class WhichForm(forms.Form):
    """The roll or container in the hand."""

    item = forms.CharField(
        label="Scan or type the code of the roll or container", max_length=200, widget=forms.TextInput(attrs=SCANNER)
    )

    def clean_item(self) -> Item:
        return find_item(self.cleaned_data["item"])


def find_item(text: str) -> Item:
    code = _code(text)
    found = _item(code)
    if found is None:
        if Place.objects.filter(code=code).exists():
            raise forms.ValidationError("That is the label of a place. Scan the thing first, then where you put it.")
        raise forms.ValidationError(f"No roll and no container here has the code {code}. Scan its label.")
    return found


def _item(code: str) -> Item | None:
    roll = Roll.objects.select_related("reinforcement", "place").filter(code=code).first()
    return roll or Container.objects.select_related("chemical", "place").filter(code=code).first()


def _code(text: str) -> str:
    try:
        return scan(text).code
    except (NotALabelError, WrongCodeError) as error:
        raise forms.ValidationError(str(error)) from None


class WhereForm(PlaceAsked, KeyedForm):
    """Where it is put: the place's label, its name, or one of the list; of a roll also how it lies there."""

    field_order = ["place", "knows", "lying"]

    item = forms.CharField(widget=forms.HiddenInput, max_length=20)
    place = forms.CharField(
        label="Scan the place, or type its name",
        max_length=200,
        error_messages={"required": "Scan the label of the place, or type its name."},
        widget=forms.TextInput(attrs=SCANNER | {"list": "places"}),
    )
    lying = forms.ChoiceField(label="How it lies there", choices=Roll.Lying.choices)

    def __init__(self, data=None, *, carried: Item):
        start = {"item": carried.code, "lying": getattr(carried, "lying", "")}
        super().__init__(data, initial=start)
        self.carried = carried
        if isinstance(carried, Container):
            del self.fields["lying"]

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
        if other := _item(code):
            kind = "roll" if isinstance(other, Roll) else "container"
            raise forms.ValidationError(f"That is the label of a {kind}. Scan where you put this one first.")
        raise forms.ValidationError(f"No place here has the code {code}.")

    def clean(self) -> dict:
        super().clean()
        lying = {"lying": self.cleaned_data["lying"]} if "lying" in self.cleaned_data else {}
        self.ask_about_place(self.carried, **lying)
        return self.cleaned_data
