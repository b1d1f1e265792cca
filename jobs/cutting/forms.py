from django import forms


class ConfirmForm(forms.Form):
    accept_short = forms.BooleanField(label="Cut what there is; I order the rest", required=False)

    def __init__(self, *args, is_short: bool, **kwargs):
        super().__init__(*args, **kwargs)
        if not is_short:
            del self.fields["accept_short"]

    def clean_accept_short(self) -> bool:
        if not self.cleaned_data["accept_short"]:
            raise forms.ValidationError("Pieces are short. Tick this to cut what there is, or order first.")
        return True
