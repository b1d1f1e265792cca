from django import forms

from shopstock.fields import MassField
from shopstock.models import Chemical

from .fields import DensityField

LONGEST_DAYS = 3650  # ten years


class ChemicalForm(forms.ModelForm):
    density_liquid = DensityField(label="Density, liquid")
    density_cured = DensityField(label="Density, cured", required=False)
    pack_g = MassField(label="Net mass of a pack as sold", required=False, help_text="Like 25 kg or 55 lb.")

    class Meta:
        model = Chemical
        fields = [
            "name",
            "kind",
            "density_liquid",
            "density_cured",
            "open_life_days",
            "shelf_life_days",
            "supplier",
            "lead_time_days",
            "pack_g",
            "price_per_pack",
            "notes",
        ]
        help_texts = {
            "open_life_days": "From the data sheet. Leave empty when opening does not shorten its life.",
            "shelf_life_days": "No more is ordered at once than is used within it.",
            "lead_time_days": "Leave empty to use the supplier’s.",
        }
        error_messages = {
            "name": {"unique": "There is already a product of that name. Open it, or choose another name."}
        }

    def clean(self) -> dict:
        values = super().clean()
        for name in ("open_life_days", "shelf_life_days", "lead_time_days"):
            if (values.get(name) or 0) > LONGEST_DAYS:
                self.add_error(name, f"More than {LONGEST_DAYS} days is no life or lead time. Write it in days.")
        return values

    def __init__(self, *args, currency: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["price_per_pack"].label = f"Price of a pack ({currency})"
        self.fields["supplier"].empty_label = "none yet"

    def clean_price_per_pack(self):
        price = self.cleaned_data["price_per_pack"]
        if price is not None and price < 0:
            raise forms.ValidationError("A price cannot be below zero.")
        return price
