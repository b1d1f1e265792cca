from decimal import Decimal

from django import forms

from jobs.models import Job


class FractionsForm(forms.Form):
    """One field a ply: its fibre share by mass, empty for the usual one."""

    def __init__(self, *args, job: Job, **kwargs):
        super().__init__(*args, **kwargs)
        self.plies = {ply.pk: ply for part in job.parts.all() for ply in part.plies.all()}
        for pk, ply in self.plies.items():
            self.fields[f"ply_{pk}"] = forms.DecimalField(
                label=f"Fibre share by mass of {ply.part} ply {ply.number}",
                required=False,
                initial=ply.fibre_mass_fraction,
                max_digits=4,
                decimal_places=3,
                min_value=Decimal("0.1"),
                max_value=Decimal("0.8"),
                error_messages={
                    "min_value": "From 0.10 to 0.80; write 30 % as 0.30.",
                    "max_value": "From 0.10 to 0.80; write 30 % as 0.30.",
                },
                widget=forms.NumberInput(attrs={"step": "0.001", "inputmode": "decimal"}),
            )

    def fractions(self) -> dict:
        return {ply: self.cleaned_data[f"ply_{pk}"] for pk, ply in self.plies.items()}
