from urllib.parse import urlsplit

from django import forms
from django.contrib.auth import get_user_model
from django.contrib.auth.forms import AuthenticationForm, PasswordChangeForm
from django.contrib.auth.password_validation import validate_password

from shopstock.models import Shop
from shopstock.roles import CLERK, LAMINATOR, OWNER, role_of

User = get_user_model()

ROLE_CHOICES = [
    (CLERK, "clerk: logs what comes in, labels, recounts"),
    (LAMINATOR, "laminator: scans, cuts, draws resin"),
    (OWNER, "owner: plans, orders, and all the rest"),
]


class SignInForm(AuthenticationForm):
    error_messages = {
        "invalid_login": "That name and password do not go together. Capitals count. Ask the owner for a new password.",
        "inactive": "This sign-in was closed. Ask the owner.",
    }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "Name"


class NewPersonForm(forms.Form):
    name = forms.SlugField(label="Name to sign in with", max_length=60, help_text="Letters, digits, - and _.")
    full_name = forms.CharField(label="Full name", max_length=100, required=False)
    role = forms.ChoiceField(choices=ROLE_CHOICES, widget=forms.RadioSelect)
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}), help_text="At least 8 characters."
    )

    def clean_name(self) -> str:
        name = self.cleaned_data["name"]
        if User.objects.filter(username__iexact=name).exists():
            raise forms.ValidationError(f"There is already a person called {name}. Choose another name.")
        return name

    def clean_password(self) -> str:
        validate_password(self.cleaned_data["password"])
        return self.cleaned_data["password"]


class MyPasswordForm(PasswordChangeForm):
    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["new_password1"].help_text = "At least 8 characters, and none of the common ones."
        self.fields["new_password2"].label, self.fields["new_password2"].help_text = "New password once more", ""


class ChangePersonForm(forms.Form):
    full_name = forms.CharField(label="Full name", max_length=100, required=False)
    role = forms.ChoiceField(choices=ROLE_CHOICES, widget=forms.RadioSelect)
    is_active = forms.BooleanField(label="May sign in", required=False)
    password = forms.CharField(
        label="New password",
        required=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="Leave empty to keep the old one.",
    )

    def __init__(self, *args, person, **kwargs):
        initial = {"full_name": person.first_name, "role": role_of(person), "is_active": person.is_active}
        super().__init__(*args, initial=initial, **kwargs)

    def clean_password(self) -> str:
        if self.cleaned_data["password"]:
            validate_password(self.cleaned_data["password"])
        return self.cleaned_data["password"]


class ShopForm(forms.ModelForm):
    class Meta:
        model = Shop
        exclude = ["is_demo"]  # noqa: DJ006 - every other field of the one row is meant to be chosen here

    def clean_address(self) -> str:
        address = self.cleaned_data["address"].strip().rstrip("/")
        parts = urlsplit(address)
        if parts.scheme not in ("http", "https") or not parts.hostname or parts.path or parts.query:
            raise forms.ValidationError("Type it like http://store.lan:8000, without anything behind the host.")
        return address

    def clean_currency(self) -> str:
        currency = self.cleaned_data["currency"].upper()
        if not (len(currency) == 3 and currency.isascii() and currency.isalpha()):
            raise forms.ValidationError("Three letters, such as EUR, USD or GBP.")
        return currency
