"""Cloth that a slanted ply takes, and the sense in which angles count, on tickets."""

import pytest
from django.urls import reverse

from jobs.cloth_taken import bias_choices
from jobs.models import Job, Ply
from shopstock.models import SetAside, Shop
from shopstock.tickets import tickets_of
from tests.factories import NOON, make_roll, make_sure
from tests.jobs.fabrics import make_fabric
from tests.jobs.factories import confirmed, make_job, make_part, make_ply

pytestmark = pytest.mark.django_db


def strip_1_m_by_300(owner, direction="45") -> Ply:
    roving = make_fabric("roving 600", "woven_roving", 600, by=owner)
    return make_ply(make_part(make_job(by=owner)), roving, direction=direction, length_mm=1_000, width_mm=300)


def test_fabric_at_45_comes_first_and_takes_a_third_of_bias_cut_cloth(owner):
    ply = strip_1_m_by_300(owner)
    make_fabric("bias 600", "bias", 600, by=owner)
    make_fabric("strands 600", "unidirectional", 600, by=owner)
    found = bias_choices(ply, Shop.current(), NOON)
    assert [(str(one.fabric), one.is_bias_cut, one.blanks_mm2) for one in found] == [
        ("bias 600", False, 300_000),
        ("roving 600", True, 920**2),
    ]
    assert found[1].used_share == pytest.approx(0.355, abs=1e-3)


def test_metres_free_are_those_that_may_go_into_the_job(owner):
    ply = strip_1_m_by_300(owner)
    bias = make_fabric("bias 600", "bias", 600)
    known = make_sure(make_roll(by=owner, reinforcement=bias, length_mm=8_000, lot="S9"))
    make_sure(make_roll(by=owner, reinforcement=bias, length_mm=20_000, lot=""))
    ply.part.job.lot_rule = Job.LotRule.KNOWN
    assert bias_choices(ply, Shop.current(), NOON)[0].free_mm == known.length_mm


def test_ply_page_shows_what_each_fabric_takes(client, owner):
    ply = strip_1_m_by_300(owner)
    make_fabric("bias 600", "bias", 600, by=owner)
    client.force_login(owner)
    text = client.get(reverse("ply-edit", args=[ply.pk])).content.decode()
    assert text.index("bias 600</td>") < text.index("roving 600</td>")
    assert "0.30 m²" in text
    assert "0.85 m²" in text


def test_straight_ply_has_no_such_choice(owner):
    assert bias_choices(strip_1_m_by_300(owner, direction="0"), Shop.current(), NOON) == []


@pytest.mark.parametrize(("sense", "words"), [("ccw", "counter-clockwise"), ("cw", "clockwise")])
def test_ticket_says_which_way_angles_count_and_how_each_piece_lies(client, laminator, owner, sense, words):
    shop = Shop.current()
    shop.angle_sense = sense
    shop.save()
    ply = strip_1_m_by_300(owner, direction="+45")
    plan = confirmed(ply.part.job, owner)
    client.force_login(laminator)
    ticket = client.get(reverse("strip-blanks", args=[SetAside.objects.get().pk])).content.decode()
    said = f"Ply angles count {words}, seen on the tool side."
    assert said in ticket
    assert "+45°" in ticket
    assert said in client.get(plan.get_absolute_url()).content.decode()
    assert said in client.get(reverse("cut-tickets", args=[plan.pk])).content.decode()
    (printed,) = tickets_of(plan.pk)
    assert said == f"Ply angles count {printed.angle_sense}."
    assert [blank.lies_at for blank in printed.blanks] == ["+45°"]
