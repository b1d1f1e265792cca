import datetime
from decimal import Decimal

from django import forms

from shopstock.demand import SizeAsSold
from shopstock.fields import LengthField
from shopstock.may_come import Wrong
from shopstock.models import Reinforcement


class CostsForm(forms.Form):
    """What being wrong costs, for the rolls to have for jobs that may come."""

    short = forms.DecimalField(label="A metre short costs", min_value=0, max_digits=8, decimal_places=2)
    over = forms.DecimalField(label="A metre too many costs", min_value=0, max_digits=8, decimal_places=2)

    def __init__(self, *args, currency: str, wrong: Wrong, **kwargs):
        a_metre = {"short": wrong.under * 1000, "over": wrong.over * 1000} if wrong.in_money else {}
        initial = {name: cost.quantize(Decimal("0.01")) for name, cost in a_metre.items()}
        super().__init__(*args, initial=initial, **kwargs)
        self.fields["short"].label += f" ({currency})"
        self.fields["short"].help_text = "Such as its price once more, for express."
        self.fields["over"].label += f" ({currency})"
        self.fields["over"].help_text = "Such as keeping it for a year."

    def wrong(self) -> Wrong:
        """For a millimetre, as everything is counted in it."""
        return Wrong(self.cleaned_data["short"] / 1000, self.cleaned_data["over"] / 1000)


class WidthForm(forms.Form):
    width = LengthField(label="Another width", default_unit="mm")
    length = LengthField(label="Length of its roll", default_unit="m", required=False)
    price = forms.DecimalField(label="Price of a roll", min_value=0, max_digits=10, decimal_places=2, required=False)

    def __init__(self, *args, currency: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.currency = currency
        self.fields["price"].label += f" ({currency})"

    def sizes(self, kind: Reinforcement) -> list[SizeAsSold]:
        """The size asked for; as long as the catalogue's where only a width was given."""
        width_mm, length_mm = self.cleaned_data["width"], self.cleaned_data["length"]
        price = self.cleaned_data["price"]
        prices = () if price is None else ((1, price),)
        return [SizeAsSold(width_mm, length_mm or kind.roll_length_mm, prices, self.currency, "as asked")]

    def clean_width(self):
        width_mm = self.cleaned_data["width"]
        if width_mm > 10_000:
            raise forms.ValidationError("No roll is wider than 10 m. Check the number and its unit.")
        return width_mm


class DayForm(forms.Form):
    on = forms.DateField(
        label="Value at the end of", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), required=False
    )

    def __init__(self, *args, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_on(self) -> datetime.date:
        day = self.cleaned_data["on"] or self.today
        if day > self.today:
            raise forms.ValidationError(f"{day} lies in the future: stock has no value yet on that day.")
        return day
