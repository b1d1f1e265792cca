"""What the owner sets for ordering: within limits that say what to enter, and used by the pages."""

from decimal import Decimal

import pytest
from django.forms import model_to_dict
from django.urls import reverse

from shopstock.models import Shop


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


def send(page, **changed):
    return page.post(reverse("shop-settings"), model_to_dict(Shop.current()) | changed)


def test_ordering_settings_are_kept(page):
    chosen = {
        "keeping_percent": "12.5",
        "short_percent": "250",
        "order_seconds": "2.0",
        "forecast_weeks": "26",
        "forecast_smoothing_percent": "20",
    }
    send(page, **chosen)
    shop = Shop.current()
    assert {name: str(getattr(shop, name)) for name in chosen} == chosen


@pytest.mark.parametrize(
    ("name", "typed", "says"),
    [
        ("keeping_percent", "-1", "Enter a number from 0 to 100 %."),
        ("keeping_percent", "101", "Enter a number from 0 to 100 %."),
        ("short_percent", "0", "Enter a number from 1 to 1000 %."),
        ("order_seconds", "0", "Enter a number from 0.1 to 10 s."),
        ("order_seconds", "60", "Enter a number from 0.1 to 10 s."),
        ("forecast_weeks", "3", "Enter a number from 8 to 156 weeks."),
        ("forecast_smoothing_percent", "80", "Enter a number from 1 to 50 %."),
    ],
)
def test_setting_out_of_its_limits_says_what_to_enter_and_nothing_is_saved(page, name, typed, says):
    form = send(page, **{name: typed, "name": "Changed"}).context["form"]
    assert form.errors[name] == [says]
    assert (Shop.current().name, Shop.current().keeping_percent) == ("Our shop", Decimal("20.0"))
