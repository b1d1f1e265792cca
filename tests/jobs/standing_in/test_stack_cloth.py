"""A stack is laid only while its cloth is there; what it takes and costs is kept with the decision."""

import pytest
from django.urls import reverse

from jobs.designers import StandInRefused
from jobs.lay_up_text import LaidFabric, written
from jobs.models import StandIn
from jobs.standing_in.actions import choose_stand_in
from jobs.standing_in.target import target_of
from shopstock.models import Roll
from tests.factories import NOON
from tests.jobs.fabrics import hull_job, make_fabric

pytestmark = pytest.mark.django_db


def lay(part, fabric, by, direction="0"):
    target = target_of(part.pk, [part.plies.get(number=2).pk])
    fixed = {"tolerance": 0.05, "limit": 0.15, "why": "none there", "designer": "", "by": by, "at": NOON}
    plies = [LaidFabric(fabric, direction)]
    return choose_stand_in(target=target, plies=plies, shown=written(target.specified), **fixed)


def test_decision_keeps_cost_waste_and_cloth(client, owner):
    _, part = hull_job(owner)
    kept = lay(part, make_fabric("cross 600", "cross", 600, by=owner), owner)
    assert kept.other_ratios | {"thickness": 1, "mass": 1, "resin": 1} == {
        "thickness": 1, "mass": 1, "resin": 1, "cost": 1.0, "taken_m2": 2.5, "waste_percent": 20.0,
    }  # fmt: skip
    client.force_login(owner)
    page = client.get(kept.get_absolute_url()).content.decode()
    assert "2.50 m², 20 % of it waste" in page


@pytest.mark.parametrize(
    ("fields", "changes", "words"),
    [
        ({}, {"condition": "quarantined"}, "cross 600: nothing usable is free on the racks: 1 roll quarantined"),
        ({"fits_polyester": "not"}, {}, "cross 600: does not go with the resin of the job"),
        ({"fibre": "carbon"}, {}, "cross 600: carbon is another fibre than specified"),
        ({"length_mm": 1_500}, {}, "cross 600: one ply takes 2.00 m²"),
    ],
)
def test_stack_whose_cloth_is_not_there_is_neither_offered_a_button_nor_laid(client, owner, fields, changes, words):
    _, part = hull_job(owner)
    fabric = make_fabric("cross 600", "cross", 600, by=owner, **fields)
    Roll.objects.filter(reinforcement=fabric).update(**changes) if changes else None
    with pytest.raises(StandInRefused, match=words):
        lay(part, fabric, owner)
    client.force_login(owner)
    ply = part.plies.get(number=2)
    address = f"{reverse('stand-in-choose', args=[part.pk])}?ply={ply.pk}&stack={fabric.pk}:0x1"
    page = client.get(address).content.decode()
    assert words[0].upper() + words[1:] in page
    assert "Lay it" not in page
    assert not StandIn.objects.exists()
