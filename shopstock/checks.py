"""What Django is to look at before the program is let into the shop."""

from django.core.checks import Warning as Caution
from django.core.checks import register
from django.db import connection

from .sqlite_build import warning_for


def sqlite_caution() -> str | None:
    if connection.vendor != "sqlite":
        return None
    return warning_for(connection.Database.sqlite_version_info)


@register(deploy=True)
def sqlite_is_sound(app_configs, **kwargs) -> list[Caution]:
    words = sqlite_caution()
    return [Caution(words, id="shopstock.W001")] if words else []
