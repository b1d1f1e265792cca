"""Every address says who may use it."""

from django.urls import URLPattern, get_resolver

from shopstock.roles import ACTIONS

OPEN_TO_ALL = {"sign-in", "sign-out", "pin-sign-in", "healthz", "climate-readings", "watch-feed"}


def patterns(resolver=None):
    for pattern in (resolver or get_resolver()).url_patterns:
        if isinstance(pattern, URLPattern):
            yield pattern
        else:
            yield from patterns(pattern)


def test_every_view_names_the_action_that_guards_it():
    unguarded = [p.name for p in patterns() if p.name not in OPEN_TO_ALL and not hasattr(p.callback, "shop_action")]
    assert unguarded == []


def test_every_guarded_action_is_in_the_table_of_roles():
    actions = {p.callback.shop_action for p in patterns() if hasattr(p.callback, "shop_action")}
    assert actions <= set(ACTIONS)


def test_every_address_has_a_name_of_its_own():
    names = [pattern.name for pattern in patterns()]
    assert sorted(set(names)) == sorted(names)
