"""What the page of a fabric says of its weight, directions, weave, fibre, drape and resins."""

from decimal import Decimal

import pytest
from django.urls import reverse

from tests.factories import make_reinforcement

pytestmark = pytest.mark.django_db


def page(client, person, fabric) -> str:
    client.force_login(person)
    return client.get(reverse("reinforcement", args=[fabric.pk])).content.decode()


def test_weight_stands_between_its_neighbours(client, laminator):
    for gsm in (200, 300, 400, 500, 700, 800, 900, 1000):
        make_reinforcement(f"roving {gsm}", areal_weight_gsm=Decimal(gsm))
    this = make_reinforcement("roving 600", areal_weight_gsm=Decimal(600))
    text = page(client, laminator, this)
    scale = text[text.index('class="scale"') : text.index('id="direction"')]
    shown = [gsm for gsm in range(200, 1100, 100) if f"roving {gsm}" in scale]
    assert shown == [300, 400, 500, 600, 700, 800, 900]


def test_directions_are_drawn_and_said_in_figures(client, laminator):
    text = page(client, laminator, make_reinforcement("roving", areal_weight_gsm=Decimal(600)))
    assert "roving: 300 at 0°, 150 at +45°, 300 at 90°, 150 at −45°." in text


def test_shops_own_drape_goes_before_the_usual_one(client, laminator):
    assert "2: takes a bend one way" in page(client, laminator, make_reinforcement())
    own = page(client, laminator, make_reinforcement(drape=4))
    assert "4: takes a double curve" in own
    assert "The shop’s own rating." in own


def test_sunlight_on_aramid_and_epoxy_on_its_binder_are_said(client, laminator):
    text = page(client, laminator, make_reinforcement(fibre="aramid", fits_epoxy="not"))
    assert "turns brown and loses strength" in text
    assert "✕ does not go together" in text
