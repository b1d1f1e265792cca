"""Shared tablets: which device is one, by a token in its cookie of which the store keeps only the hash."""

import datetime
import hashlib
import secrets

from django.conf import settings
from django.http import HttpRequest

from .models import Tablet

COOKIE_SECONDS = 2 * 365 * 24 * 3600
BY_PIN = "signed_in_by_pin"  # in the session: the number of the tablet


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def new_tablet(*, name: str, by, at: datetime.datetime) -> tuple[Tablet, str]:
    """Returns the tablet and its token, which is shown to the device once and stored nowhere."""
    token = secrets.token_urlsafe(32)
    return Tablet.objects.create(name=name, token_hash=_hash(token), made_by=by, made_at=at), token


def end_tablet(*, tablet: Tablet, at: datetime.datetime) -> None:
    Tablet.objects.filter(pk=tablet.pk, ended_at__isnull=True).update(ended_at=at)


def tablet_of(request: HttpRequest) -> Tablet | None:
    token = request.COOKIES.get(settings.TABLET_COOKIE_NAME, "")
    return Tablet.objects.filter(token_hash=_hash(token), ended_at__isnull=True).first() if token else None
