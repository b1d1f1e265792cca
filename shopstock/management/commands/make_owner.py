import getpass
import sys

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from shopstock.people.actions import new_person
from shopstock.people.forms import NewPersonForm
from shopstock.roles import OWNER


class Command(BaseCommand):
    help = "Make a person who can do everything. Asks for the password; the first owner is made this way."

    def add_arguments(self, parser):
        parser.add_argument("name", help="the name to sign in with")
        parser.add_argument("--password-stdin", action="store_true", help="read the password from standard input")

    def handle(self, *, name: str, password_stdin: bool, **options):
        password = sys.stdin.readline().rstrip("\n") if password_stdin else asked_twice()
        form = NewPersonForm({"name": name, "role": OWNER, "password": password})
        if not form.is_valid():
            raise CommandError(" ".join(message for messages in form.errors.values() for message in messages))
        new_person(**form.cleaned_data)
        self.stdout.write(f"{name} can sign in now as owner.")


def asked_twice() -> str:
    password = getpass.getpass("Password: ")
    try:
        validate_password(password)
    except ValidationError as error:
        raise CommandError(" ".join(error.messages)) from None
    if getpass.getpass("Once more: ") != password:
        raise CommandError("The two passwords differ. Nothing was made; run the command again.")
    return password
