"""Only partners of a thing need be read: what is left out would have changed nothing."""

import itertools

import pytest

from shopstock.calc.neighbours import (
    FABRIC,
    GROUPS,
    PEROXIDE,
    PROMOTER,
    RESIN,
    RULES,
    WARN,
    Rule,
    Spot,
    Thing,
    breaches,
    partners,
)


@pytest.mark.parametrize(("groups", "met"), [({PROMOTER}, {PEROXIDE}), ({FABRIC}, set())])
def test_partners_by_the_rules_of_the_trade(groups, met):
    assert partners(groups) == met


def test_partners_count_whichever_side_the_rule_is_about():
    own = [Rule(RESIN, FABRIC, WARN, "drips", "the shop")]
    assert (partners({RESIN}, own), partners({FABRIC}, own)) == ({FABRIC}, {RESIN})


def test_things_that_are_no_partners_break_no_rule():
    rules = [*RULES, Rule(RESIN, FABRIC, WARN, "drips", "the shop")]
    for one, two in itertools.product(GROUPS, repeat=2):
        thing, other = Thing("one", frozenset({one})), Thing("two", frozenset({two}))
        found = breaches(thing, Spot("rack", things=(other,)), rules)
        assert bool(found) == (two in partners(thing.groups, rules) and one != two), (one, two)
