"""Every address says who may use it."""

import pytest
from django.urls import URLPattern, get_resolver

from shopstock.roles import ACTIONS

# Written down a second time, so that a guard that is loosened by mistake is seen: a new page is added here by hand.
FOR_THE_OWNER_ALONE = """
    cut-habit job-add job-before job-cancel job-edit job-taken-on material-properties-default
    material-properties-edit offer-add offer-remove order-add order-approve order-cancel order-csv order-day
    order-line-add order-line-close order-line-edit order-line-remove order-pdf order-sent order-terms
    order-text order-write ordering ordering-file part-add part-edit part-remove people person person-add
    person-unlock place-rule-add place-rule-remove plan-by-hand plan-cancel plan-confirm plan-job plan-search
    plan-stop plan-together plies-import ply-add ply-edit ply-outline ply-outline-remove ply-remove
    precedence-take-back roll-fault-clear roll-release roll-take-back sensor-add sensor-stop shop-settings
    stand-in-choose stand-in-designer stock-value supplier-terms tablet-end tablets timeline what-if
    what-if-take widths-to-buy
"""
FOR_CLERK_AND_OWNER = """
    article-remember chemical-add chemical-edit chemical-sheet-add chemical-sheet-remove container-dispose
    container-receive container-test container-weigh cut-habits order order-came orders part-history place-add
    place-edit receipt receive recount recount-close recount-count recount-round reinforcement-add
    reinforcement-edit roll-empty roll-fold roll-recount roll-return roll-use-by scan-delivery stock-columns
    stock-export stock-import stock-import-confirm supplier-add supplier-edit trace trace-batch trace-lot
"""
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


@pytest.mark.parametrize(
    ("roles", "listed"),
    [({"owner"}, FOR_THE_OWNER_ALONE), ({"clerk", "owner"}, FOR_CLERK_AND_OWNER)],
    ids=["owner", "clerk and owner"],
)
def test_pages_that_not_everybody_may_use_are_the_ones_written_down(roles, listed):
    guarded = {p.name: ACTIONS[p.callback.shop_action] for p in patterns() if hasattr(p.callback, "shop_action")}
    assert {name for name, allowed in guarded.items() if allowed == roles} == set(listed.split())
