"""Labels that somebody asked for; several features ask."""

import datetime

from django.contrib.auth.models import AbstractBaseUser

from .models import LabelWish


def wish_for(*, code: str, why: str, by: AbstractBaseUser, at: datetime.datetime) -> LabelWish:
    """Ask for a label; one that is asked for already is not asked for twice."""
    return LabelWish.objects.get_or_create(
        code=code, run=None, dropped_at=None, defaults={"why": why, "by": by, "at": at}
    )[0]
