"""What forms say of a wrong entry where they do not say it themselves: what to do, in the shop's words, not Django's.

Set on Django's own classes, which is where every form and every model's own form takes them from.
"""

from django import forms
from django.core import validators

NOT_IN_LIST = "That is not in the list. Choose one that is."

FIELD_MESSAGES = {
    forms.Field: {"required": "Fill this in."},
    forms.IntegerField: {"invalid": "Enter a whole number, such as 12."},
    forms.FloatField: {"invalid": "Enter a number, such as 1.5."},
    forms.DecimalField: {"invalid": "Enter a number, such as 1.5."},
    forms.DateField: {"invalid": "Enter a date as year-month-day, such as 2026-03-14."},
    forms.TimeField: {"invalid": "Enter a time, such as 07:30."},
    forms.DateTimeField: {"invalid": "Enter date and time, such as 2026-03-14 07:30."},
    forms.ChoiceField: {"invalid_choice": "“%(value)s” is not in the list. Choose one that is."},
    forms.MultipleChoiceField: {"invalid_choice": "“%(value)s” is not in the list. Choose one that is."},
    forms.ModelChoiceField: {"invalid_choice": NOT_IN_LIST},
    forms.ModelMultipleChoiceField: {"invalid_choice": NOT_IN_LIST, "invalid_pk_value": NOT_IN_LIST},
    forms.FileField: {
        "invalid": "The file did not arrive. Choose it again.",
        "missing": "The file did not arrive. Choose it again.",
        "empty": "The file is empty. Choose another.",
    },
    forms.ImageField: {"invalid_image": "This is no picture that can be read. Send a JPEG or PNG."},
    forms.UUIDField: {"invalid": "Open the page again."},
    forms.URLField: {"invalid": "Enter a web address that begins with http:// or https://."},
}

VALIDATOR_MESSAGES = {
    validators.MinValueValidator: "Enter %(limit_value)s or more.",
    validators.MaxValueValidator: "Enter %(limit_value)s or less.",
    validators.MaxLengthValidator: "Shorten this to %(limit_value)d characters; it has %(show_value)d.",
    validators.MinLengthValidator: "Enter at least %(limit_value)d characters; it has %(show_value)d.",
    validators.EmailValidator: "Enter an e-mail address, such as name@shop.example.",
    validators.URLValidator: "Enter a web address that begins with http:// or https://.",
    validators.ProhibitNullCharactersValidator: "There is a character in it that cannot be kept. Type it anew.",
}

DECIMAL_MESSAGES = {
    "invalid": "Enter a number, such as 1.5.",
    "max_digits": "Enter at most %(max)s digits.",
    "max_decimal_places": "Enter at most %(max)s digits after the point.",
    "max_whole_digits": "Enter at most %(max)s digits before the point.",
}


def speak_plainly() -> None:
    """Called once, when the program starts and before any form is made."""
    for field, messages in FIELD_MESSAGES.items():
        field.default_error_messages = {**field.__dict__.get("default_error_messages", {}), **messages}
    for validator, message in VALIDATOR_MESSAGES.items():
        validator.message = message
    validators.DecimalValidator.messages = {**validators.DecimalValidator.messages, **DECIMAL_MESSAGES}
