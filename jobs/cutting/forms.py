from collections.abc import Iterable, Sequence

from django import forms

from jobs.models import CuttingPlan, Job, PlannedStrip, StandIn
from jobs.question import Question
from jobs.wishes import KeptBlank, KeptStrip, Pin, Wishes
from shopstock.calc.units import format_length, format_width
from shopstock.models import SetAside

MOST_ROLLS_TO_CHOOSE = 60
SEARCH_SECONDS = ((20, "20 seconds"), (60, "1 minute"), (300, "5 minutes"), (600, "10 minutes"))

KEPT = {"hx-preserve": "true"}  # what is typed stays while the search puts better plans in


class ConfirmForm(forms.Form):
    accept_short = forms.BooleanField(
        label="Cut what there is; I order the rest",
        required=False,
        widget=forms.CheckboxInput(attrs=KEPT),  # a better plan never has more pieces short
    )
    revision = forms.IntegerField(widget=forms.HiddenInput, required=False)
    why_first = forms.CharField(
        label="Why it goes before the other", max_length=300, required=False, widget=forms.HiddenInput
    )

    def __init__(self, *args, plan: CuttingPlan, waiting: Sequence[StandIn] = (), asks_why: bool = False, **kwargs):
        super().__init__(*args, initial={"revision": plan.revision}, **kwargs)
        if asks_why:
            self._show_why_first()
        if not plan.is_short:
            del self.fields["accept_short"]
        self.waiting = {f"designer-{decision.pk}": decision for decision in waiting}
        for name, decision in self.waiting.items():
            self.fields[name] = forms.CharField(
                label=f"Designer who agreed to {decision}",
                max_length=100,
                help_text=f"Class {decision.grade} asks for the name before anything is set aside.",
                error_messages={"required": "Enter the designer who agreed to it, then confirm."},
                widget=forms.TextInput(attrs=KEPT),
            )

    def clean_accept_short(self) -> bool:
        if not self.cleaned_data["accept_short"]:
            raise forms.ValidationError("Pieces are short. Tick this to cut what there is, or order first.")
        return True

    def _show_why_first(self) -> None:
        """It is hidden as long as a plan takes nothing from others."""
        self.fields["why_first"].widget, self.fields["why_first"].required = forms.TextInput(attrs=KEPT), True

    def ask_why_first(self, question: str) -> None:
        self._show_why_first()
        self.add_error("why_first", question)

    @property
    def asks_why(self) -> bool:
        return not self["why_first"].is_hidden

    @property
    def designers(self) -> dict[int, str]:
        """Names by stand-in."""
        return {decision.pk: self.cleaned_data[name] for name, decision in self.waiting.items()}


class SearchForm(forms.Form):
    seconds = forms.TypedChoiceField(label="Search for", choices=SEARCH_SECONDS, coerce=int, initial=60)


class TogetherForm(forms.Form):
    jobs = forms.ModelMultipleChoiceField(
        Job.objects.none(),
        label="Jobs to plan together",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Tick the jobs to plan together."},
    )

    def __init__(self, *args, jobs: Iterable[Job], **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["jobs"].queryset = Job.objects.filter(pk__in=[job.pk for job in jobs]).order_by("cut_on", "pk")
        self.fields["jobs"].label_from_instance = lambda job: f"{job}, to be cut on {job.cut_on:%Y-%m-%d}"

    def clean_jobs(self):
        jobs = self.cleaned_data["jobs"]
        if len(jobs) < 2:
            raise forms.ValidationError("Tick two jobs or more. One job alone is planned from its own page.")
        return jobs


class HandForm(forms.Form):
    """What the owner settles: rolls left out, strips kept as they are marked out, pieces tied to a roll."""

    leave_out = forms.MultipleChoiceField(
        label="Do not use these rolls", required=False, widget=forms.CheckboxSelectMultiple
    )
    keep = forms.MultipleChoiceField(
        label="Keep these strips, they are marked out",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="They stay where they lie on the roll, with the pieces in them.",
    )

    def __init__(
        self,
        *args,
        plan: CuttingPlan,
        strips: Sequence[PlannedStrip],
        questions: Sequence[Question],
        units: str,
        **kwargs,
    ):
        self.plan, self.questions, self.units = plan, questions, units
        self.strips = {str(strip.pk): strip for strip in strips if _may_be_kept(strip)}
        self.settled = Wishes.from_json(plan.wishes)
        super().__init__(*args, initial=self._initial(), **kwargs)
        self.fields["leave_out"].choices = self._rolls(strips)
        self.fields["keep"].choices = [(pk, self._strip_words(strip)) for pk, strip in self.strips.items()]
        if not self.strips:
            del self.fields["keep"]
        self.pinned = self._add_pins()

    def _initial(self) -> dict:
        kept = {(strip.roll, strip.core_mm, strip.length_mm) for strip in self.settled.kept}
        keep = [pk for pk, strip in self.strips.items() if (strip.roll.code, *self._place(strip)) in kept]
        return {"leave_out": list(self.settled.forbidden), "keep": keep}

    def _place(self, strip: PlannedStrip) -> tuple[int, int]:
        seen = self.plan.stock_seen[str(strip.roll_id)]
        return seen["length_mm"] - strip.from_mm, strip.length_mm

    def _rolls(self, strips: Sequence[PlannedStrip]) -> list[tuple[str, str]]:
        used = {strip.roll.code for strip in strips} | set(self.settled.forbidden)
        items = [item for question in self.questions for item in question.cloth if item.roll.code in used]
        return [(item.roll.code, self._roll_words(item)) for item in items]

    def _roll_words(self, item) -> str:
        length, width = format_length(item.clean_mm, self.units), format_width(item.roll.width_mm, self.units)
        return f"{item.roll.code}, {item.roll.reinforcement}, {length} free, {width} wide"

    def _strip_words(self, strip: PlannedStrip) -> str:
        length, start = format_length(strip.length_mm, self.units), format_length(strip.from_mm, self.units)
        names = ", ".join(dict.fromkeys(blank.name for blank in strip.blanks.all()))
        return f"Strip {strip.number} of {strip.roll.code}, {length} from {start}: {names}"

    def _add_pins(self) -> dict[str, tuple[int, str]]:
        now = {(pin.ply, pin.name): pin.roll for pin in self.settled.pins}
        names = {}
        for question in self.questions:
            rolls = [("", "any roll")] + [
                (item.roll.code, self._roll_words(item)) for item in question.cloth[:MOST_ROLLS_TO_CHOOSE]
            ]
            for piece in question.fitting:
                field = f"pin-{len(names)}"
                names[field] = (piece.ply_id, piece.name)
                self.fields[field] = forms.ChoiceField(
                    label=f"{piece.name}, {piece.count} ×",
                    choices=rolls,
                    required=False,
                    initial=now.get(names[field], ""),
                )
        return names

    @property
    def main_fields(self) -> list:
        return [self[name] for name in ("leave_out", "keep") if name in self.fields]

    @property
    def pin_fields(self) -> list:
        return [self[name] for name in self.pinned]

    def wishes(self) -> Wishes:
        cleaned = self.cleaned_data
        pins = [Pin(*self.pinned[name], cleaned[name]) for name in self.pinned if cleaned[name]]
        kept = [self._kept(self.strips[pk]) for pk in cleaned.get("keep", ())]
        return Wishes(tuple(cleaned["leave_out"]), tuple(pins), tuple(kept))

    def _kept(self, strip: PlannedStrip) -> KeptStrip:
        blanks = (
            KeptBlank(b.ply_id, b.name, b.x_mm, b.y_mm, b.across_mm, b.along_mm, b.turned) for b in strip.blanks.all()
        )
        return KeptStrip(strip.roll.code, *self._place(strip), tuple(blanks))


def _may_be_kept(strip: PlannedStrip) -> bool:
    is_open = strip.set_aside is None or strip.set_aside.state == SetAside.State.OPEN
    blanks = list(strip.blanks.all())
    return is_open and bool(blanks) and not any(blank.outline for blank in blanks)
