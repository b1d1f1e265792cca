"""A whole lay-up of many plies: one fabric of it gives way throughout, the rest stays as it is."""

from decimal import Decimal

import pytest

from jobs.lay_up_text import LaidFabric, written
from jobs.models import Ply
from jobs.standing_in.actions import choose_stand_in
from jobs.standing_in.search import find_stand_ins
from jobs.standing_in.target import target_of
from shopstock.models import Shop
from tests.factories import NOON
from tests.jobs.fabrics import hull_job, make_fabric
from tests.jobs.factories import make_ply

pytestmark = pytest.mark.django_db


@pytest.fixture
def part(owner):
    """Mat, roving, mat, roving, mat: the roving is not there, the last mat is a smaller patch with its own share."""
    _, part = hull_job(owner)
    mat, roving = (part.plies.get(number=number).reinforcement for number in (1, 2))
    make_ply(part, roving)
    make_ply(part, mat, direction="any", length_mm=500, width_mm=400, fibre_mass_fraction=Decimal("0.333"))
    return part


def found_for(part, **rules):
    limits = {"at": NOON, "tolerance": 0.05, "limit": 0.15} | rules
    return find_stand_ins(target_of(part.pk, []), Shop.current(), **limits)


def test_fabric_that_is_not_there_gives_way_throughout(owner, part):
    make_fabric("cross 600", "cross", 600, by=owner)
    found = found_for(part)
    best = found.rows[0]
    assert best.words == "mat 450 / cross 600 at 0° / mat 450 / cross 600 at 0° / mat 450"
    assert (best.comparison.grade, found.swapped > 0) == ("A", True)


def test_lighter_fabric_gives_way_two_for_one(owner, part):
    make_fabric("roving 300", "woven_roving", 300, by=owner)
    assert found_for(part).rows[0].words == "mat 450 / 2 × roving 300 at 0° / mat 450 / 2 × roving 300 at 0° / mat 450"


def test_near_miss_of_a_whole_lay_up_is_shown_as_not_equivalent(owner, part):
    make_fabric("roving 500", "woven_roving", 500, by=owner)
    found = found_for(part)
    assert "mat 450 / roving 500 at 0° / mat 450 / roving 500 at 0° / mat 450" in [row.words for row in found.short]
    assert {row.comparison.grade for row in found.short} == {"C"}


def test_plies_that_stay_keep_their_size_and_their_share(owner, part):
    cross = make_fabric("cross 600", "cross", 600, by=owner)
    target = target_of(part.pk, [])
    plies = [LaidFabric(cross, "0") if ply.direction == "0" else ply for ply in target.specified]
    fixed = {"tolerance": 0.05, "limit": 0.15, "why": "none there", "designer": "", "by": owner, "at": NOON}
    kept = choose_stand_in(target=target, plies=plies, shown=written(target.specified), **fixed)
    assert [ply["fibre_mass_fraction"] for ply in kept.chosen] == [0.3, 0.5, 0.3, 0.5, 0.333]
    rows = [(ply.length_mm, ply.width_mm, ply.fibre_mass_fraction) for ply in part.plies.order_by("number")]
    assert rows == [(2_000, 1_000, None)] * 4 + [(500, 400, Decimal("0.333"))]


def test_outline_of_a_ply_stays_with_what_stands_in_for_it(owner, part):
    outline = [[0, 0], [2_000, 0], [0, 1_000]]
    Ply.objects.filter(part=part, number=2).update(outline=outline)
    cross = make_fabric("cross 300", "cross", 310, by=owner)
    target = target_of(part.pk, [part.plies.get(number=2).pk])
    fixed = {"tolerance": 0.05, "limit": 0.15, "why": "none there", "designer": "", "by": owner, "at": NOON}
    choose_stand_in(target=target, plies=[LaidFabric(cross, "0")] * 2, shown=written(target.specified), **fixed)
    assert [ply.outline for ply in part.plies.filter(reinforcement=cross)] == [outline, outline]
