"""The shop's choices are read once for a page, and nobody's half-typed change of them is taken for them."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopstock.models import Shop
from shopstock.models.shop import shop_read_once

pytestmark = pytest.mark.django_db


def test_page_reads_the_shop_once(client, clerk):
    Shop.current()
    client.force_login(clerk)
    with CaptureQueriesContext(connection) as asked:
        client.get(reverse("rolls"))
    assert sum('FROM "shopstock_shop"' in query["sql"] for query in asked) == 1


def test_each_caller_has_its_own_copy():
    with shop_read_once():
        Shop.current().name = "typed, not saved"
        assert Shop.current().name == "Our shop"


def test_saved_change_is_seen_at_once():
    with shop_read_once():
        shop = Shop.current()
        shop.name = "Boat yard"
        shop.save()
        assert Shop.current().name == "Boat yard"


def test_next_page_sees_what_another_worker_changed():
    with shop_read_once():
        Shop.current()
    Shop.objects.update(name="Boat yard")
    with shop_read_once():
        assert Shop.current().name == "Boat yard"
