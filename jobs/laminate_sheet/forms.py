from django import forms

from jobs.calc.constituents import RESIN_NAMES
from jobs.calc.laid_ply import HIGHEST_FRACTION, LOWEST_FRACTION
from jobs.lay_up_sheet import METHODS, RULE
from jobs.models import Job, MaterialProperties, Ply
from shopstock.models import Reinforcement

MOST_ROWS, USUAL_ROWS = 8, 4
LIKE_KG_PER_M3 = 100
LEAST_MODULUS = 500


class PlyRow(forms.Form):
    fabric = forms.ModelChoiceField(Reinforcement.objects.filter(active=True), required=False, empty_label="none")
    direction = forms.ChoiceField(
        choices=[(way.value, way.short) for way in Ply.Direction], required=False, initial=Ply.Direction.ALONG
    )
    times = forms.IntegerField(min_value=1, max_value=30, required=False, label="How many", initial=1)
    share = forms.FloatField(required=False, label="Fibre share by mass")

    def __init__(self, *args, number: int, **kwargs):
        super().__init__(*args, **kwargs)
        self.number = number
        for name, field in self.fields.items():
            field.widget.attrs["aria-label"] = f"{field.label or name.capitalize()} of ply {number}"

    def clean_share(self) -> float | None:
        share = self.cleaned_data["share"]
        if share is not None and not LOWEST_FRACTION <= share <= HIGHEST_FRACTION:
            raise forms.ValidationError(
                f"The fibre share lies from {LOWEST_FRACTION} to {HIGHEST_FRACTION}. Write 30 % as 0.30."
            )
        return share


class SheetForm(forms.Form):
    """The conditions that hold for the whole lay-up; its plies are rows beside it."""

    process = forms.ChoiceField(choices=Job.Process, initial=Job.Process.HAND)
    resin = forms.ChoiceField(choices=list(RESIN_NAMES.items()))
    method = forms.ChoiceField(choices=list(METHODS.items()), initial=RULE)
    woven_factor = forms.FloatField(
        label="Woven yarns keep of their stiffness",
        min_value=0.8,
        max_value=1.0,
        initial=1.0,
        help_text="1.00 as the class rule has it. 0.90 is a cautious figure for crimp.",
    )


class PropertiesForm(forms.ModelForm):
    """Figures of one material; a number that looks as if it were typed in another unit is questioned."""

    class Meta:
        model = MaterialProperties
        fields = [
            "density",
            "modulus",
            "modulus_across",
            "shear_modulus",
            "poisson",
            "strain_along",
            "strain_across",
            "strain_woven",
            "strain_mat",
            "source",
        ]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["source"].help_text = "Data sheet with its date, standard or test report."
        if self.instance.kind == "resin":
            for name in ("modulus_across", "strain_along", "strain_across", "strain_woven", "strain_mat"):
                del self.fields[name]

    def clean_density(self) -> float:
        density = self.cleaned_data["density"]
        if density >= LIKE_KG_PER_M3:
            raise forms.ValidationError(
                f"{density:g} looks like kg/m³. In g/cm³ that is {density / 1000:g}: type that if it is meant."
            )
        if not 0.5 <= density <= 5:
            raise forms.ValidationError("Fibres and resins weigh 0.5 to 5 g/cm³.")
        return density

    def clean_poisson(self) -> float:
        poisson = self.cleaned_data["poisson"]
        if not 0 <= poisson < 0.5:
            raise forms.ValidationError("Poisson’s ratio lies from 0 to below 0.5.")
        return poisson

    def clean(self) -> dict:
        cleaned = super().clean()
        for name in ("modulus", "modulus_across", "shear_modulus"):
            value = cleaned.get(name)
            if value is not None and value < LEAST_MODULUS:
                self.add_error(
                    name, f"{value:g} looks like GPa. In N/mm² that is {value * 1000:g}: type that if it is meant."
                )
        return cleaned
