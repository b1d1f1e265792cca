from django import forms

from shopstock.fields import LabelDateField
from shopstock.models import Place, Roll
from shopstock.roll_entry import RollForm


class TakeOutForm(RollForm):
    place = forms.ModelChoiceField(
        Place.objects.exclude(kind=Place.Kind.FREEZER), label="Where it thaws", required=False, empty_label="not noted"
    )


class PutBackForm(RollForm):
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


class UseByForm(RollForm):
    use_by = LabelDateField(
        label="Use by (date on the label)",
        help_text="Like 2027-02-28; 2027-02 alone means its last day. After it the roll is neither planned on nor cut.",
    )

    def __init__(self, *args, roll: Roll, **kwargs):
        super().__init__(*args, roll=roll, initial={"use_by": roll.use_by}, **kwargs)
