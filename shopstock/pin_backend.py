"""Signing in by name and PIN; only the page of a shop tablet asks for it."""

from django.contrib.auth import get_user_model
from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.hashers import check_password, make_password
from django.http import HttpRequest

User = get_user_model()


class PinBackend(ModelBackend):
    def authenticate(self, request: HttpRequest | None, username: str | None = None, pin: str | None = None, **kwargs):
        if username is None or not pin or kwargs:
            return None
        person = User.objects.select_related("pin").filter(username=username, is_active=True, pin__isnull=False).first()
        if person is None:
            make_password(pin)  # takes as long as a look at a PIN that is there
            return None
        return person if check_password(pin, person.pin.hashed) else None
