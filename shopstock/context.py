from django.http import HttpRequest

from .models import Shop
from .roles import ACTIONS, may, role_of


class Permissions:
    """`{% if can.confirm_plans %}` in templates."""

    def __init__(self, user):
        self._user = user

    def __getitem__(self, name: str) -> bool:
        action = name.replace("_", " ")
        if action not in ACTIONS:
            raise KeyError(name)
        return may(self._user, action)


def shop(request: HttpRequest) -> dict:
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"shop": None}
    return {"shop": Shop.current(), "role": role_of(user), "can": Permissions(user)}
