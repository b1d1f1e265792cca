import django_filters
from django import forms
from django.db.models import F, QuerySet

from shopstock.calc.forms import FORMS
from shopstock.fault_fields import FaultFields
from shopstock.fields import LengthField
from shopstock.models import Fault, Movement, Place, Reinforcement, Roll
from shopstock.models.roll import STILL_OPEN
from shopstock.queries import find_rolls
from shopstock.roll_entry import RollForm
from shopstock.standing_fields import PlaceAsked

HALF_LINE_MM = 50


class RollFilter(django_filters.FilterSet):
    words = django_filters.CharFilter(label="Words", method="having_words", help_text="Code, lot, name or place.")
    reinforcement = django_filters.ModelChoiceFilter(queryset=Reinforcement.objects.all(), empty_label="all")
    form = django_filters.ChoiceFilter(
        field_name="reinforcement__form",
        label="Form",
        choices=[(form.key, form.name) for form in FORMS.values()],
        empty_label="all",
    )
    place = django_filters.ModelChoiceFilter(queryset=Place.objects.all(), empty_label="all")
    condition = django_filters.ChoiceFilter(choices=Roll.Condition.choices, empty_label="all")
    kind = django_filters.ChoiceFilter(label="Roll or offcut", choices=Roll.Kind.choices, empty_label="both")
    shown = django_filters.ChoiceFilter(
        label="Shown",
        choices=[("used", "used up"), ("all", "all, ever")],
        empty_label="still on the racks",
        method="of_shown",
    )

    def having_words(self, rolls: QuerySet, name: str, value: str) -> QuerySet:
        return rolls.filter(pk__in=find_rolls(value).values("pk"))

    def of_shown(self, rolls: QuerySet, name: str, value: str) -> QuerySet:
        return rolls.exclude(closed_on=STILL_OPEN) if value == "used" else rolls

    def filter_queryset(self, queryset: QuerySet) -> QuerySet:
        rolls = super().filter_queryset(queryset)
        return rolls if self.form.cleaned_data.get("shown") else rolls.filter(closed_on=STILL_OPEN)

    @property
    def narrowed(self) -> int:
        """How many filters besides the words are set."""
        return sum(bool(self.form[name].value()) for name in self.filters if name != "words")


def all_rolls() -> QuerySet[Roll]:
    free = F("length_mm") - F("set_aside_mm") - F("faulty_mm")
    return Roll.objects.select_related("reinforcement", "place").annotate(free_length_mm=free)


class FaultForm(FaultFields, RollForm):
    bare_units = {"start": "position", "end": "position", "across_from": "width", "across_to": "width"}
    field_order = ["cause", "start", "end", "another", "note", "photo", "across_from", "across_to"]

    cause = forms.ChoiceField(label="What is wrong", choices=[("", "Choose"), *Fault.Cause.choices])
    start = LengthField(label="From, measured from the free end", least=0)
    end = LengthField(
        label="To, measured from the free end",
        required=False,
        help_text="Empty for a splice or a line across: 50 mm to each side are kept clear.",
    )
    note = forms.CharField(label="Note", max_length=200, required=False)

    def clean(self) -> dict:
        data = super().clean()
        start_mm, end_mm = data.get("start"), data.get("end")
        if start_mm is None or "end" in self.errors:
            return data
        if start_mm >= self.roll.length_mm:
            self.add_error("start", f"There are {self.shown(self.roll.length_mm)} on the roll: start before that.")
        elif end_mm is None:
            data["start"], data["end"] = self._line(start_mm)
        elif end_mm <= start_mm:
            self.add_error("end", "It ends before it starts: both are measured from the free end.")
        elif end_mm > self.roll.length_mm:
            self.add_error("end", f"There are {self.shown(self.roll.length_mm)} on the roll: end there at the latest.")
        self.check_across(self.roll)
        if not self.errors:
            self.check_overlap(self.roll, data["start"], data["end"], self.units)
        return data

    def _line(self, at_mm: int) -> tuple[int, int]:
        return max(0, at_mm - HALF_LINE_MM), min(self.roll.length_mm, at_mm + HALF_LINE_MM)


class ReasonForm(RollForm):
    reason = forms.CharField(label="Why", max_length=200)


class QuarantineForm(ReasonForm):
    reason = forms.CharField(
        label="What is wrong with it",
        max_length=200,
        help_text="The next person reads this. No plan and no cut takes the roll until the owner releases it.",
    )


class ReleaseForm(ReasonForm):
    reason = forms.CharField(
        label="Why it may be used", max_length=200, help_text="Kept in the ledger under your name."
    )


class TakeBackForm(ReasonForm):
    reason = forms.CharField(
        label="What was wrong with it",
        max_length=200,
        help_text="The wrong line stays; a new line takes its length back.",
    )


class MoveForm(PlaceAsked, RollForm):
    field_order = ["place", "lying", "knows"]

    place = forms.ModelChoiceField(Place.objects.all(), label="Where it goes", empty_label="Choose")
    lying = forms.ChoiceField(label="How it lies", choices=Roll.Lying.choices)

    def __init__(self, *args, roll: Roll, **kwargs):
        super().__init__(*args, roll=roll, initial={"place": roll.place_id, "lying": roll.lying}, **kwargs)

    def clean(self) -> dict:
        super().clean()
        lying = self.cleaned_data.get("lying")
        if lying and lying != Roll.Lying.FOLDED and self.roll.lying == Roll.Lying.FOLDED:
            self.add_error(
                "lying", "It lay folded. Say under “Found folded” what is done with it, and how it lies now."
            )
        self.ask_about_place(self.roll, lying=lying)
        return self.cleaned_data


class LossForm(RollForm):
    bare_units = {"length": "length"}

    length = LengthField(label="Length cut away", help_text="From the free end.")
    cause = forms.ChoiceField(
        label="Why",
        choices=[("", "Choose"), *Movement.Cause.choices],
    )
    note = forms.CharField(label="Note", max_length=150, required=False)

    def clean(self) -> dict:
        data = super().clean()
        if data.get("cause") == "other" and not data.get("note"):
            self.add_error("note", "Say in a few words why it was cut away.")
        return data

    def words(self) -> str:
        why = Movement.Cause(self.cleaned_data["cause"]).label
        return ": ".join(filter(None, (why, self.cleaned_data["note"])))


class OffcutForm(RollForm):
    bare_units = {"length": "length", "width": "width"}

    length = LengthField(
        label="Length along the warp", help_text="Of the piece in your hands; its cut is already taken off the roll."
    )
    width = LengthField(label="Width")
    place = forms.ModelChoiceField(
        Place.objects.all(), label="Where it goes", required=False, empty_label="where the roll is"
    )

    def clean_width(self) -> int:
        width_mm = self.cleaned_data["width"]
        if width_mm > self.roll.width_mm:
            raise forms.ValidationError(f"The roll is {self.roll.width_mm} mm wide; no piece of it is wider.")
        return width_mm

    def clean_length(self) -> int:
        length_mm = self.cleaned_data["length"]
        longest = longest_cut_mm(self.roll)
        if length_mm > longest:
            raise forms.ValidationError(
                f"The longest cut booked from this roll is {self.shown(longest)}. Book the cut first."
                if longest
                else "No cut was booked from this roll yet. Book the cut first."
            )
        return length_mm


def longest_cut_mm(roll: Roll) -> int:
    cuts = roll.movements.filter(kind__in=[Movement.Kind.CUT, Movement.Kind.LOSS]).order_by("delta_mm")
    return -(cuts.values_list("delta_mm", flat=True).first() or 0)
