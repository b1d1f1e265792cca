from django import forms

from .accounts import JOB, MONTH, REINFORCEMENT

DAY = forms.DateInput({"type": "date"}, format="%Y-%m-%d")


class PeriodForm(forms.Form):
    start = forms.DateField(label="From", required=False, widget=DAY)
    end = forms.DateField(label="To", required=False, widget=DAY)
    by = forms.ChoiceField(
        label="By", choices=[(MONTH, "month"), (JOB, "job"), (REINFORCEMENT, "reinforcement")], required=False
    )

    def clean(self) -> dict:
        data = super().clean()
        if data.get("start") and data.get("end") and data["end"] < data["start"]:
            self.add_error("end", "It ends before it starts. Swap the two days.")
        return data
