from django import forms

from jobs.calc.choosing import COMPOUND_CURVE, EVERY_WAY, FLAT, ONE_WAY, SINGLE_CURVE, TWO_WAYS
from jobs.calc.constituents import RESIN_NAMES
from jobs.models import Job, Part
from shopstock.models.reinforcement import FIBRE_CHOICES

SHAPES = [(FLAT, "flat"), (SINGLE_CURVE, "curved one way"), (COMPOUND_CURVE, "compound curve, such as a bow")]
LOADS = [(ONE_WAY, "one way, along 0°"), (TWO_WAYS, "two ways, 0° and 90°"), (EVERY_WAY, "every way")]
TARGETS = ("thickness", "mass", "stretching", "bending", "reference")


class ChooseForm(forms.Form):
    shape = forms.ChoiceField(label="The part is", choices=SHAPES)
    load = forms.ChoiceField(label="It is loaded", choices=LOADS, initial=TWO_WAYS)
    wear = forms.BooleanField(label="It wears or takes knocks", required=False)
    resin = forms.ChoiceField(choices=list(RESIN_NAMES.items()))
    process = forms.ChoiceField(choices=Job.Process)
    fibre = forms.ChoiceField(choices=[("", "any"), *FIBRE_CHOICES], required=False)
    thickness = forms.FloatField(label="Thickness at least (mm)", required=False, min_value=0.1, max_value=100)
    mass = forms.FloatField(label="Mass at most (kg/m²)", required=False, min_value=0.05, max_value=200)
    stretching = forms.FloatField(
        label="Stretching stiffness at least (N/mm)",
        required=False,
        min_value=1,
        help_text="Per mm of width, in each loaded direction; a 3 mm mat laminate has about 27 000.",
    )
    bending = forms.FloatField(
        label="Bending stiffness at least (N·mm)",
        required=False,
        min_value=1,
        help_text="Per mm of width; a 3 mm mat laminate has about 21 000.",
    )
    reference = forms.ModelChoiceField(
        Part.objects.none(),
        label="As good as the lay-up of",
        required=False,
        empty_label="no lay-up",
        help_text="A part of a job; fibre, stiffness and strength must come to 95 % of it.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        parts = Part.objects.filter(plies__isnull=False).distinct().select_related("job").order_by("-job_id", "pk")
        self.fields["reference"].queryset = parts
        self.fields["reference"].label_from_instance = lambda part: f"{part} of {part.job}"

    def clean(self) -> dict:
        cleaned = super().clean()
        if not self.errors and all(cleaned.get(name) is None for name in TARGETS):
            raise forms.ValidationError("Give at least one target: thickness, mass, a stiffness or a lay-up.")
        return cleaned
