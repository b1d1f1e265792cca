from django import forms

from shopstock.models import Chemical, Reinforcement


class ArticleForm(forms.Form):
    """What an article number means: one fabric, or one product."""

    gtin = forms.RegexField(r"^\d{14}$", widget=forms.HiddenInput)
    text = forms.CharField(max_length=500, widget=forms.HiddenInput, strip=False)
    reinforcement = forms.ModelChoiceField(
        Reinforcement.objects.filter(active=True), required=False, empty_label="no fabric", label="It is this fabric"
    )
    chemical = forms.ModelChoiceField(
        Chemical.objects.all(), required=False, empty_label="no product", label="Or this resin or other product"
    )

    def clean(self) -> dict:
        cleaned = super().clean()
        if bool(cleaned.get("reinforcement")) == bool(cleaned.get("chemical")):
            raise forms.ValidationError("Choose the fabric or the product that this article is: one of the two.")
        return cleaned
