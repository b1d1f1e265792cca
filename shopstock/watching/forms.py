import datetime

from django import forms

from shopstock.models import WatchDecision
from shopstock.watch_answers import LONGEST_DAYS


class AnswerForm(forms.Form):
    warning = forms.CharField(max_length=80, widget=forms.HiddenInput)
    kind = forms.ChoiceField(
        label="What you do with it",
        choices=[
            (WatchDecision.Kind.SEEN, "I have seen it and see to it"),
            (WatchDecision.Kind.PUT_OFF, "Put it off until a day"),
        ],
        widget=forms.RadioSelect,
    )
    until = forms.DateField(
        label="Put off until",
        required=False,
        input_formats=["%Y-%m-%d"],
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text=f"At most {LONGEST_DAYS} days ahead. It comes back then, or at once when it becomes more urgent.",
    )
    reason = forms.CharField(label="Why", max_length=200, help_text="Kept with your name.")

    def __init__(self, *args, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today

    def clean(self) -> dict:
        data = super().clean()
        puts_off = data.get("kind") == WatchDecision.Kind.PUT_OFF
        if puts_off and data.get("until") is None and "until" not in self.errors:
            self.add_error("until", "Choose the day on which it shall come back.")
        return data


class EmailForm(forms.Form):
    email = forms.EmailField(
        label="My e-mail address", required=False, help_text="Empty: no morning mail. Only this program uses it."
    )
