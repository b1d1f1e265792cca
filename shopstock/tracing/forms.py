import datetime

from django import forms
from django.utils import timezone

from .timeline import CLOTH, DECISION, RESIN

DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class DayForm(forms.Form):
    on = forms.DateField(label="At the end of", widget=DAY)

    def clean_on(self) -> datetime.date:
        day = self.cleaned_data["on"]
        if not 1970 <= day.year <= 9000:
            raise forms.ValidationError("Give a day on which there was a store.")
        return day


class TimelineForm(forms.Form):
    since = forms.DateField(label="From", required=False, widget=DAY)
    until = forms.DateField(label="To, that day too", required=False, widget=DAY)
    by = forms.CharField(label="Person, by the name to sign in with", required=False, max_length=150)
    what = forms.ChoiceField(
        label="What",
        required=False,
        choices=[("", "all"), (CLOTH, "cloth"), (RESIN, "resin"), (DECISION, "decisions and corrections")],
    )
    of = forms.CharField(label="Code of a roll or container", required=False, max_length=80)

    def clean(self) -> dict:
        cleaned = super().clean()
        since, until = cleaned.get("since"), cleaned.get("until")
        if since and until and until < since:
            self.add_error("until", "The last day lies before the first.")
        return cleaned

    def wanted(self) -> dict:
        """What `timeline` takes; days are the shop's own, whatever the clocks did in that night."""
        entry = self.cleaned_data
        return {
            "since": _midnight(entry["since"]),
            "until": _midnight(entry["until"] + datetime.timedelta(days=1)) if entry["until"] else None,
            "by": entry["by"],
            "what": entry["what"],
            "of": entry["of"].strip().upper().replace(" ", "").replace("-", "")
            if _is_code(entry["of"])
            else entry["of"],
        }


def _midnight(day: datetime.date | None) -> datetime.datetime | None:
    return timezone.make_aware(datetime.datetime.combine(day, datetime.time())) if day else None


def _is_code(text: str) -> bool:
    return len(text.replace(" ", "").replace("-", "")) <= 10
