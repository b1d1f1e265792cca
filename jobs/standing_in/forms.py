from django import forms

from jobs.calc.stand_in import DEFAULT_LIMIT, DEFAULT_TOLERANCE


class RuleForm(forms.Form):
    """How strict the comparison is; carried in the address."""

    tolerance = forms.FloatField(
        label="May fall short by (%)",
        min_value=0,
        max_value=20,
        initial=100 * DEFAULT_TOLERANCE,
        help_text="In any direction. 5 % is usual.",
    )
    limit = forms.FloatField(
        label="May be thicker or heavier by (%)",
        min_value=0,
        max_value=200,
        initial=100 * DEFAULT_LIMIT,
        help_text="The whole laminate against what is specified.",
    )


class DecisionForm(forms.Form):
    why = forms.CharField(label="Why", max_length=300, help_text="Such as: none of it on the racks until the 12th.")
    designer = forms.CharField(
        label="Designer who agreed",
        max_length=100,
        required=False,
        help_text="Classes B and C ask for one. Empty: the job stays marked, and nothing is set aside before.",
    )
    shown = forms.CharField(widget=forms.HiddenInput, max_length=400)

    def clean_designer(self) -> str:
        return self.cleaned_data["designer"].strip()


class DesignerForm(forms.Form):
    designer = forms.CharField(label="Designer who agreed", max_length=100)
