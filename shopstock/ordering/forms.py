import datetime
from decimal import Decimal

from django import forms
from django.utils.text import capfirst

from shopstock.fields import KeyedForm, LengthField, MassField
from shopstock.models import Chemical, Offer, Order, OrderLine, Reinforcement, Supplier

DATE = {"type": "date"}


def date_input() -> forms.DateInput:
    return forms.DateInput(attrs=DATE, format="%Y-%m-%d")


class OrderTermsForm(forms.ModelForm):
    class Meta:
        model = Order
        fields = ["expected_on", "freight", "duty_percent", "handling", "note"]
        widgets = {"expected_on": date_input(), "note": forms.Textarea(attrs={"rows": 3})}
        help_texts = {"note": "Stands on the order as you write it."}

    def __init__(self, *args, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        for name in ("freight", "handling"):
            self.fields[name].label = f"{name.capitalize()} ({self.instance.currency})"

    def clean_expected_on(self):
        day = self.cleaned_data["expected_on"]
        if day and day < self.today:
            raise forms.ValidationError(f"{day} has gone by. Enter the day it is expected.")
        return day


class DayForm(forms.Form):
    expected_on = forms.DateField(label="Expected on", widget=date_input())

    def __init__(self, *args, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_expected_on(self):
        day = self.cleaned_data["expected_on"]
        if day < self.today:
            raise forms.ValidationError(f"{day} has gone by. Enter the day the supplier names now.")
        return day


class SizeForm(forms.ModelForm):
    """What is sold: cloth by width and length, a product by the mass of a pack."""

    width_mm = LengthField(label="Width", default_unit="mm", required=False)
    length_mm = LengthField(label="Length of a roll", default_unit="m", required=False)
    pack_g = MassField(label="Net mass of a pack", default_unit="kg", required=False)

    def __init__(self, *args, currency: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["reinforcement"] = forms.ModelChoiceField(
            Reinforcement.objects.filter(active=True), required=False, empty_label="none"
        )
        self.fields["chemical"] = forms.ModelChoiceField(
            Chemical.objects.all(), required=False, empty_label="none", label="Resin or other product"
        )
        self.fields["price"].label += f" ({currency})"

    def clean(self) -> dict:
        data = super().clean()
        cloth, product = data.get("reinforcement"), data.get("chemical")
        if bool(cloth) == bool(product):
            self.add_error("reinforcement", "Choose a fabric or a product, one of the two.")
        elif cloth:
            self._fill_cloth(cloth)
        else:
            self._fill_product(product)
        return data

    def _fill_cloth(self, cloth: Reinforcement) -> None:
        data = self.cleaned_data
        data["width_mm"] = data.get("width_mm") or cloth.width_mm
        data["length_mm"] = data.get("length_mm") or cloth.roll_length_mm
        data["pack_g"] = None

    def _fill_product(self, product: Chemical) -> None:
        data = self.cleaned_data
        data["width_mm"] = data["length_mm"] = None
        data["pack_g"] = data.get("pack_g") or product.pack_g
        if not data["pack_g"] and "pack_g" not in self.errors:
            self.add_error("pack_g", "Enter what a pack holds: it is not known for this product.")


class LineForm(SizeForm):
    class Meta:
        model = OrderLine
        fields = ["reinforcement", "chemical", "packs", "price", "width_mm", "length_mm", "pack_g", "reason"]
        labels = {"packs": "How many rolls or packs"}
        help_texts = {"reason": "The job, the minimum, a forecast."}


class OfferForm(SizeForm):
    class Meta:
        model = Offer
        fields = ["reinforcement", "chemical", "price", "least_packs", "width_mm", "length_mm", "pack_g"]
        help_texts = {
            "least_packs": "1, or the number from which this price holds for all of them.",
        }


class SupplierTermsForm(forms.ModelForm):
    class Meta:
        model = Supplier
        fields = ["lead_time_days", "freight", "currency", "email"]
        help_texts = {"freight": "For one delivery, whatever is on it.", "email": "Where orders go."}

    def clean_currency(self) -> str:
        currency = self.cleaned_data["currency"].strip().upper()
        if currency and (len(currency) != 3 or not currency.isalpha() or not currency.isascii()):
            raise forms.ValidationError("Three letters, such as EUR or USD; empty for the shop's own.")
        return currency


class NewOrderForm(KeyedForm):
    supplier = forms.ModelChoiceField(Supplier.objects.all(), empty_label="Choose")


class DeliveryForm(KeyedForm):
    """Ticks and prices of what came, made for the candidates of one order."""

    received_on = forms.DateField(label="Came on", widget=date_input())
    paper = forms.CharField(label="Number of the delivery note", max_length=40, required=False)
    freight = forms.DecimalField(min_value=0, max_digits=10, decimal_places=2)
    duty_percent = forms.DecimalField(
        label="Duty on goods and freight (%)", min_value=0, max_value=100, max_digits=5, decimal_places=2
    )
    handling = forms.DecimalField(min_value=0, max_digits=10, decimal_places=2)

    def __init__(self, *args, candidates, currency: str, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.candidates, self.today = candidates, today
        for name in ("freight", "handling"):
            self.fields[name].label = f"{name.capitalize()} ({currency})"
        for candidate in candidates:
            self.fields[f"came-{candidate.value}"] = forms.BooleanField(
                label=f"{capfirst(candidate.item)} came for this order", required=False
            )
            self.fields[f"price-{candidate.value}"] = forms.DecimalField(
                label=f"Invoiced ({currency})",
                min_value=0,
                max_digits=10,
                decimal_places=2,
                required=False,
                initial=candidate.line.price,
            )

    def rows(self) -> list[tuple]:
        """(candidate, its tick, its price) for the page."""
        return [
            (candidate, self[f"came-{candidate.value}"], self[f"price-{candidate.value}"])
            for candidate in self.candidates
        ]

    def clean_received_on(self) -> datetime.date:
        day = self.cleaned_data["received_on"]
        if day > self.today:
            raise forms.ValidationError(f"{day} lies in the future. Enter the day it came.")
        return day

    def clean(self) -> dict:
        data = super().clean()
        for candidate in self.candidates:
            if data.get(f"came-{candidate.value}") and data.get(f"price-{candidate.value}") is None:
                self.add_error(f"price-{candidate.value}", "Enter what was invoiced for it; 0 if nothing was.")
        return data

    def found(self) -> list[tuple]:
        data = self.cleaned_data
        return [
            (candidate, data[f"price-{candidate.value}"])
            for candidate in self.candidates
            if data[f"came-{candidate.value}"]
        ]

    def charges(self) -> dict[str, Decimal]:
        return {name: self.cleaned_data[name] for name in ("freight", "duty_percent", "handling")}
