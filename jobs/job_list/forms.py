import datetime

from django import forms

from jobs.chance_field import ChanceField
from jobs.models import Job
from shopstock.models import Chemical, Shop

LATEST_DAYS = 5 * 366
RESIN_KINDS = [Chemical.Kind.POLYESTER, Chemical.Kind.VINYLESTER, Chemical.Kind.EPOXY]


class JobForm(forms.ModelForm):
    chance_percent = ChanceField(help_text="Empty: a firm job. Nothing is set aside for a quoted one.")

    class Meta:
        model = Job
        fields = [
            "name",
            "cut_on",
            "chance_percent",
            "process",
            "resin",
            "waste_percent",
            "max_resin_ratio",
            "gelcoat",
            "gelcoat_area_m2",
            "gelcoat_film_mm",
            "lot_rule",
            "is_non_structural",
            "notes",
        ]
        widgets = {"cut_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}
        labels = {
            "resin": "Laminating resin",
            "max_resin_ratio": "Resin to 1 of reinforcement by mass, at most",
            "is_non_structural": "Non-structural: nothing in this job carries load",
        }
        help_texts = {
            "name": "What the shop calls it, such as Dinghy 14.",
            "process": "Sets the usual share of fibre in the laminate; each ply can have its own.",
            "waste_percent": "Left in pots, brushes and rollers. 15 % is usual by hand.",
            "max_resin_ratio": "What a class rule or drawing allows, such as 2.33 for mat at 30 % glass. Empty: none.",
            "gelcoat_area_m2": "0 when there is no gelcoat.",
            "gelcoat_film_mm": "0.5 mm is usual.",
            "is_non_structural": "Such as mould covers and trim. Plans may then take cloth downgraded after a fold.",
            "lot_rule": "What the class rule or the customer asks. Plans and stand-ins take no other cloth.",
        }
        error_messages = {
            "name": {"unique": "There is already a job called that. Open that one, or choose another name."}
        }

    def __init__(self, *args, today: datetime.date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["resin"].queryset = Chemical.objects.filter(kind__in=RESIN_KINDS)
        self.fields["gelcoat"].queryset = Chemical.objects.filter(kind=Chemical.Kind.GELCOAT)
        self.fields["resin"].empty_label = "not chosen yet"
        self.fields["gelcoat"].empty_label = "no gelcoat"
        if self.instance.taken_on_at is not None:
            del self.fields["chance_percent"]

    def clean_chance_percent(self) -> int | None:
        """Whether a job becomes firm is decided by name, on its page, not by emptying a field."""
        chance = self.cleaned_data["chance_percent"]
        if chance is None and self.initial.get("chance_percent"):
            raise forms.ValidationError("To make it firm, say “Taken on” on the page of the job; or enter its chance.")
        return chance

    def clean_cut_on(self) -> datetime.date:
        """A day that stood there before may have gone by since; a new one may not."""
        day = self.cleaned_data["cut_on"]
        if day < self.today and day != self.initial.get("cut_on"):
            raise forms.ValidationError(f"{day} has gone by. Enter the day on which it is to be cut.")
        if day > self.today + datetime.timedelta(days=LATEST_DAYS):
            raise forms.ValidationError(f"{day} is years away. Check the year.")
        return day

    def clean(self) -> dict:
        cleaned = super().clean()
        if (cleaned.get("gelcoat_area_m2") or 0) > 0 and not cleaned.get("gelcoat"):
            self.add_error("gelcoat", "Choose the gelcoat for this area, or set the area to 0.")
        return cleaned


def first_values(on: datetime.date) -> dict:
    """What a new job starts with."""
    return {"cut_on": on + datetime.timedelta(days=7), "waste_percent": Shop.current().resin_waste_percent}
