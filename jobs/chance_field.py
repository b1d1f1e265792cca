"""The field in which a job is quoted with its chance; two forms have it."""

from django import forms


class ChanceField(forms.IntegerField):
    """The chance of a quoted job in whole per cent; None for a firm job."""

    def __init__(self, *, label: str = "Only quoted: chance that it comes (%)", **kwargs):
        super().__init__(
            label=label,
            required=False,
            widget=forms.NumberInput(attrs={"min": 1, "max": 99, "inputmode": "numeric"}),
            error_messages={"invalid": "Enter a whole number from 1 to 99, or leave it empty for a firm job."},
            **kwargs,
        )

    def clean(self, value) -> int | None:
        chance = super().clean(value)
        if chance is None or 1 <= chance <= 99:
            return chance
        if chance == 100:
            raise forms.ValidationError("A job that comes for sure is firm: leave the chance empty.")
        if chance == 0:
            raise forms.ValidationError("A job that surely does not come is no quote: leave it out, or cancel it.")
        raise forms.ValidationError(f"{chance} % is no chance. Enter 1 to 99, or leave it empty for a firm job.")
