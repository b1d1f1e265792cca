from django import forms
from django.contrib.auth import authenticate, get_user_model

User = get_user_model()
LEAST_DIGITS = 5


class PinSignInForm(forms.Form):
    """Who, from those who have a PIN, and the PIN; used by the sign-in view in place of name and password."""

    username = forms.ChoiceField(label="Who are you?", widget=forms.RadioSelect)
    pin = forms.CharField(
        label="PIN",
        max_length=8,
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )

    def __init__(self, request=None, *args, **kwargs):
        self.request, self.person = request, None
        super().__init__(*args, **kwargs)
        people = User.objects.filter(is_active=True, pin__isnull=False).order_by("first_name", "username")
        self.fields["username"].choices = [(p.username, p.first_name or p.username) for p in people]

    def clean(self) -> dict:
        cleaned = super().clean()
        if "username" in cleaned and "pin" in cleaned:
            self.person = authenticate(self.request, username=cleaned["username"], pin=cleaned["pin"])
            if self.person is None:
                raise forms.ValidationError("That PIN is not right. After several wrong ones the sign-in locks.")
        return cleaned

    def get_user(self):
        return self.person


class NewPinForm(forms.Form):
    pin = forms.CharField(
        label="New PIN",
        max_length=8,
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "new-password"}),
        help_text=f"{LEAST_DIGITS} to 8 digits, not all alike and not in a row.",
    )
    again = forms.CharField(
        label="Once more",
        max_length=8,
        widget=forms.PasswordInput(attrs={"inputmode": "numeric", "autocomplete": "new-password"}),
    )

    def clean_pin(self) -> str:
        pin = self.cleaned_data["pin"]
        if not (pin.isascii() and pin.isdecimal() and len(pin) >= LEAST_DIGITS):
            raise forms.ValidationError(f"A PIN is {LEAST_DIGITS} to 8 digits.")
        steps = {int(after) - int(before) for before, after in zip(pin, pin[1:], strict=False)}
        if len(steps) == 1 and steps <= {-1, 0, 1}:
            raise forms.ValidationError("That PIN is guessed at once. Take digits that are neither alike nor in a row.")
        return pin

    def clean(self) -> dict:
        cleaned = super().clean()
        if {"pin", "again"} <= set(cleaned) and cleaned["pin"] != cleaned["again"]:
            self.add_error("again", "The two PINs differ.")
        return cleaned


class TabletForm(forms.Form):
    name = forms.CharField(label="Name of this tablet", max_length=60, help_text="Such as “cutting table”.")
