"""Lists: a page far down has the rows it should, and a cell of an exported file is no formula."""

import pytest
from django.urls import reverse

from shopstock.listing import KeysFirst, harmless
from shopstock.models import Supplier


@pytest.fixture
def many(db):
    Supplier.objects.bulk_create(Supplier(name=f"Supplier {number:04d}") for number in range(1100))


def test_page_far_down_has_the_rows_in_their_order(client, clerk, many):
    client.force_login(clerk)
    table = client.get(reverse("suppliers"), {"page": 41, "sort": "-name"}).context["table"]
    assert [row.record.name for row in table.paginated_rows] == [f"Supplier {n:04d}" for n in range(99, 74, -1)]


def test_rows_far_down_are_read_by_their_keys(many, django_assert_num_queries):
    with django_assert_num_queries(2):
        assert [row.name for row in KeysFirst(Supplier.objects.order_by("name"))[1000:1003]] == [
            "Supplier 1000", "Supplier 1001", "Supplier 1002",
        ]  # fmt: skip
    with django_assert_num_queries(1):
        assert len(list(KeysFirst(Supplier.objects.order_by("name"))[:25])) == 25


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1", "@x", "\t=1", "\r=1"])
def test_text_that_a_spreadsheet_would_run_is_made_harmless(cell):
    assert harmless(cell) == f"'{cell}"


@pytest.mark.parametrize("cell", ["glass", "", 5, -5, None, 1.5])
def test_other_cells_stay_as_they_are(cell):
    assert harmless(cell) is cell
