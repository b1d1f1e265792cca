from django import forms

from shopstock.fields import KeyedForm
from shopstock.reading_form import ReadingForm

USUAL_REASON = "count"


class RecountForm(ReadingForm):
    """Measuring with the aim of setting the ledger right."""

    reason = forms.CharField(
        label="Why it was counted", max_length=150, required=False, help_text="For example: looked short."
    )

    def words(self) -> str:
        names = ", ".join(found.name for found in self.outcome.found)
        return f"{names}: {self.cleaned_data['reason'] or USUAL_REASON}"


class TubeEmptyForm(KeyedForm):
    note = forms.CharField(label="Note", max_length=150, required=False)


class HabitForm(forms.Form):
    """What the owner switches on is what the page showed, not what it would be by now."""

    allowance_mm = forms.IntegerField(min_value=0, max_value=1000, widget=forms.HiddenInput)
    switch = forms.ChoiceField(choices=[("on", "on"), ("off", "off")], widget=forms.HiddenInput)
