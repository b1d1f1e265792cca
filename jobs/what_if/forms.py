import datetime

from django import forms

from jobs.calc.cutting import MOST_BLANKS
from jobs.calc.day_or_week import DayError, read_day_or_week
from jobs.chance_field import ChanceField
from jobs.models import Job
from jobs.queries import most_pieces

MOST_TIMES = 50
LATEST_DAYS = 5 * 366
PLANNED, QUOTED = "planned", "quoted"


class WhatIfForm(forms.Form):
    """How many of which lay-up by when."""

    like = forms.ModelChoiceField(
        Job.objects.none(),
        label="Lay-up of",
        empty_label="choose a job",
        error_messages={
            "required": "Choose the job whose lay-up it is.",
            "invalid_choice": "Choose a job that has plies.",
        },
    )
    times = forms.IntegerField(
        label="How many of it",
        min_value=1,
        max_value=MOST_TIMES,
        initial=1,
        error_messages={
            "required": "Enter how many.",
            "invalid": "Enter a whole number.",
            "min_value": "One at least.",
            "max_value": f"{MOST_TIMES} at most; make several jobs of more.",
        },
    )
    by = forms.CharField(
        label="To be cut by",
        max_length=20,
        help_text="A day like 2026-05-04 or a week like 2026-W20, which counts from its Monday.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Enter the day or week by which it is wanted."},
    )

    def __init__(self, *args, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["like"].queryset = Job.objects.filter(parts__plies__isnull=False).distinct().order_by("name")

    def clean_by(self) -> datetime.date:
        try:
            day = read_day_or_week(self.cleaned_data["by"], self.today)
        except DayError as error:
            raise forms.ValidationError(str(error)) from None
        if day < self.today:
            raise forms.ValidationError(f"{day} has gone by. Enter a day still to come.")
        if day > self.today + datetime.timedelta(days=LATEST_DAYS):
            raise forms.ValidationError(f"{day} is years away. Check the year.")
        return day

    def clean(self) -> dict:
        data = super().clean()
        like, times = data.get("like"), data.get("times")
        if like and times:
            name, pieces = most_pieces(like)
            if pieces * times > MOST_BLANKS:
                self.add_error(
                    "times",
                    f"That makes {pieces * times:,} pieces of {name}, and one cutting plan takes {MOST_BLANKS:,}. "
                    "Ask for fewer.",
                )
        return data


class TakeForm(WhatIfForm):
    """The same, confirmed: a planned job, or one that is quoted with its chance."""

    name = forms.CharField(
        label="Name of the job", max_length=80, error_messages={"required": "Enter what the shop calls it."}
    )
    kind = forms.ChoiceField(
        label="It is",
        choices=[(PLANNED, "a planned job"), (QUOTED, "only quoted")],
        initial=QUOTED,
        widget=forms.RadioSelect,
    )
    chance = ChanceField(label="Chance that it comes (%)", help_text="For a quote, from 1 to 99.")
    field_order = ["name", "kind", "chance"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, auto_id="take_%s", **kwargs)  # the question's fields stand on the same page
        for name in ("like", "times", "by"):
            self.fields[name].widget = self.fields[name].hidden_widget()

    def clean(self) -> dict:
        data = super().clean()
        if data.get("kind") == QUOTED and not data.get("chance") and "chance" not in self.errors:
            self.add_error("chance", "Enter the chance that it comes, or make it a planned job.")
        return data

    @property
    def chance_percent(self) -> int | None:
        return self.cleaned_data["chance"] if self.cleaned_data["kind"] == QUOTED else None
