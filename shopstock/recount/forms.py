from decimal import Decimal

from django import forms

from shopstock.calc.stock_code import check_code, normalise_code
from shopstock.fields import LengthField
from shopstock.models import Place, Roll
from shopstock.reading_form import ReadingForm
from shopstock.typed_units import use_bare_units


class StartForm(forms.Form):
    """What counts as off: beyond both, so that short ends are not flagged for centimetres nor rolls for little."""

    tolerance_percent = forms.DecimalField(
        label="Off by more than (%)", min_value=Decimal("0"), max_value=Decimal("50"), max_digits=4, decimal_places=1
    )
    tolerance = LengthField(label="and by more than", least=0)

    def __init__(self, *args, shop, **kwargs):
        usual = {"tolerance_percent": shop.recount_tolerance_percent, "tolerance": shop.recount_tolerance_mm}
        super().__init__(*args, initial=usual, **kwargs)
        use_bare_units(self, shop.units, tolerance="length")


class WalkForm(forms.Form):
    """Where the person stands, and the label in the hand."""

    place = forms.ModelChoiceField(Place.objects.all(), label="Where you are", required=False, empty_label="not said")
    code = forms.CharField(
        label="Scan or type the code of a roll",
        max_length=120,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "autofocus": True}),
    )

    def clean_code(self) -> Roll | None:
        text = self.cleaned_data["code"].strip().rstrip("/").rpartition("/")[2]
        if not text:
            return None
        if not check_code(text):
            raise forms.ValidationError(f"“{text}” is not a code of this shop: one character is wrong. Scan it again.")
        found = Roll.objects.filter(code=normalise_code(text)).first()
        if found is None:
            raise forms.ValidationError("No roll here has that code. Lay it aside and ask where it came from.")
        return found


class CountForm(ReadingForm):
    """Looks right, or measured; in the place where it was found."""

    place = forms.ModelChoiceField(Place.objects.all(), label="Found at", required=False, empty_label="not said")

    def clean(self) -> dict:
        """What looks right needs no reading."""
        if "looks_right" in self.data:
            data = forms.Form.clean(self)
            for name in [name for name in self.errors if name not in ("place", "key", "seen_mm")]:
                del self.errors[name]
            return data
        return super().clean()


class CloseForm(forms.Form):
    """The rolls nobody found that are to be booked out."""

    gone = forms.ModelMultipleChoiceField(Roll.objects.none(), required=False, widget=forms.CheckboxSelectMultiple)

    def __init__(self, *args, missing, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["gone"].queryset = missing
