import datetime

from django import forms

from shopstock.calc.label_date import LabelDateError, read_label_date
from shopstock.fields import KeyedForm
from shopstock.models import Place


class TakeOutForm(KeyedForm):
    place = forms.ModelChoiceField(
        Place.objects.exclude(kind=Place.Kind.FREEZER), label="Where it thaws", required=False, empty_label="not noted"
    )


class PutBackForm(KeyedForm):
    place = forms.ModelChoiceField(
        Place.objects.filter(kind=Place.Kind.FREEZER), label="Which freezer", required=False, empty_label="as before"
    )
    temperature_c = forms.DecimalField(
        label="Temperature where it lay (°C)",
        required=False,
        max_digits=4,
        decimal_places=1,
        min_value=-30,
        max_value=60,
    )


class UseByForm(forms.Form):
    use_by = forms.CharField(
        label="Use by (date on the label)",
        help_text="Like 2027-02-28; 2027-02 alone means its last day. After it the roll is neither planned on nor cut.",
    )

    def clean_use_by(self) -> datetime.date:
        try:
            return read_label_date(self.cleaned_data["use_by"])
        except LabelDateError as error:
            raise forms.ValidationError(str(error)) from None
