"""The table of rules row by row: each trips, and each lets pass what it is not about."""

import pytest

from shopstock.calc import neighbours
from shopstock.calc.neighbours import (
    CONDITIONS,
    GROUPS,
    REFUSE,
    RULES,
    Rule,
    Spot,
    Thing,
    breaches,
    flammables,
    groups_of,
)

# What the shop must never be without: organic peroxide apart from what it reacts with, cloth out of harm's way.
KEPT_APART = {
    ("peroxide", "promoter", "refuse"),
    ("peroxide", "amine", "refuse"),
    ("peroxide", "acid", "refuse"),
    ("peroxide", "acetone", "refuse"),
    ("peroxide", "flammable", "refuse"),
    ("peroxide", "in steel", "refuse"),
    ("peroxide", "on wood", "warn"),
    ("aramid", "in daylight", "refuse"),
    ("prepreg", "out of the freezer", "warn"),
    ("fabric", "on the floor", "warn"),
    ("fabric", "on end", "warn"),
    ("fabric", "under drums", "warn"),
    ("fabric", "near sanding", "warn"),
}


def test_no_rule_of_the_trade_is_missing_or_softened():
    assert {(rule.subject, rule.beside, rule.severity) for rule in RULES} >= KEPT_APART


def thing(*groups: str, **more) -> Thing:
    return Thing("thing", frozenset(groups), **more)


def found(one: Thing, spot: Spot, rule: Rule) -> list:
    return [breach for breach in breaches(one, spot, [rule]) if breach.rule == rule]


def name_of(rule: Rule) -> str:
    return f"{rule.subject}, {rule.beside}"


@pytest.mark.parametrize("rule", RULES, ids=name_of)
def test_rule_trips_for_what_it_names_and_for_nothing_else(rule):
    subject = thing(rule.subject)
    if rule.beside in CONDITIONS:
        bad, good = Spot("spot", frozenset({rule.beside})), Spot("spot")
        assert len(found(subject, bad, rule)) == 1
        assert len(found(thing(rule.subject, conditions=frozenset({rule.beside})), good, rule)) == 1
        assert found(subject, good, rule) == []
        assert found(thing("core"), bad, rule) == []
        return
    beside = Spot("spot", things=(thing(rule.beside),))
    assert [breach.neighbour for breach in found(subject, beside, rule)] == ["thing"]
    assert len(found(thing(rule.beside), Spot("spot", things=(subject,)), rule)) == 1
    assert found(subject, Spot("spot", things=(thing("core"),)), rule) == []
    assert found(thing("core"), beside, rule) == []


@pytest.mark.parametrize("rule", RULES, ids=name_of)
def test_rule_has_a_reason_a_source_and_known_names(rule):
    assert rule.reason
    assert rule.source
    assert rule.subject in GROUPS
    assert rule.beside in GROUPS | CONDITIONS
    assert rule.severity in (neighbours.REFUSE, neighbours.WARN)


def test_two_cans_of_peroxide_may_stand_together_even_when_they_are_flammable():
    can = thing("peroxide", "flammable")
    assert breaches(can, Spot("cabinet", things=(can,))) == []


def test_refusals_come_before_warnings():
    spot = Spot("spot", frozenset({"on wood", "in daylight"}), things=(thing("promoter"),))
    assert [breach.severity for breach in breaches(thing("peroxide"), spot)] == ["refuse", "warn", "warn"]


def test_place_kept_for_one_group_refuses_another():
    spot = Spot("Freezer", allowed=frozenset({"prepreg"}))
    assert [(b.severity, b.words) for b in breaches(thing("fabric"), spot)] == [
        (REFUSE, "Freezer is kept for: prepreg")
    ]
    assert breaches(thing("fabric", "prepreg"), spot) == []


@pytest.mark.parametrize(
    ("kind", "acts_as", "category", "groups"),
    [
        ("hardener", (), None, {"amine"}),
        ("polyester", (), None, {"resin", "flammable"}),
        ("polyester", (), 0, {"resin"}),
        ("epoxy", (), None, {"resin"}),
        ("epoxy", (), 3, {"resin", "flammable"}),
        ("solvent", ("acetone",), 2, {"acetone", "flammable"}),
        ("peroxide", (), None, {"peroxide"}),
    ],
)
def test_groups_follow_the_kind_and_what_the_sheet_states(kind, acts_as, category, groups):
    assert groups_of(kind, acts_as, category) == groups


def test_litres_are_summed_by_density_and_category():
    total = flammables([(25_000, 1.10, 3), (790, 0.79, 2), (4_500, 0.9, 4)])
    assert (round(total.cat_1_to_3_l, 2), total.cat_4_l) == (23.73, 5.0)
