from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from tests.factories import make_chemical, make_reinforcement, make_supplier
from tests.shopstock.demand_source import day


@pytest.fixture
def short(planned):
    """Cloth late from one supplier, resin in time from another, and a mat that nobody sells to us yet."""
    weaver, chemist = make_supplier("Northern Fabrics", lead_time_days=14), make_supplier("Bay Resins")
    planned.short_of(make_reinforcement("woven roving 600", supplier=weaver), needed_on=day(10))
    planned.short_of(make_reinforcement("=mat 450", price_per_roll=None), needed_on=day(40))
    resin = make_chemical("laminating resin", supplier=chemist, pack_g=25_000, price_per_pack=Decimal("95.50"))
    planned.needs_resin(resin, 30_000, 40)
    return weaver


@pytest.fixture
def as_owner(client, owner):
    client.force_login(owner)
    return client


def text(response) -> str:
    return response.content.decode()


def test_page_groups_by_supplier_most_pressing_first_and_no_supplier_last(as_owner, short):
    orders = as_owner.get("/ordering/").context["orders"]
    assert [(str(order.supplier), order.cost, order.without_cost, order.late) for order in orders] == [
        ("Northern Fabrics", Decimal("120.00"), 0, 1),
        ("Bay Resins", Decimal("191.00"), 0, 0),
        ("None", Decimal("0"), 1, 0),
    ]


def test_page_says_late_and_missing_price_in_words(as_owner, short):
    page = text(as_owner.get("/ordering/"))
    assert '2026-02-26 <span class="tag bad">4 days late</span>' in page
    assert "No supplier yet" in page
    assert "no price yet" in page
    assert "120.00 EUR" in page


def test_page_with_nothing_to_order_says_so(as_owner, planned):
    assert "Nothing to order." in text(as_owner.get("/ordering/"))


def test_file_of_a_supplier_holds_its_lines_with_plain_numbers(as_owner, short):
    response = as_owner.get(reverse("ordering-file", args=[short.pk]))
    head, line = text(response).splitlines()
    assert head == (
        "supplier,what,buy,quantity,of what,size of one,for,needed on,order by,"
        "days late,lead time (days),each,cost,currency"
    )
    assert line == (
        "Northern Fabrics,woven roving 600,1 roll of 50.00 m,1,roll,50.00 m,"
        "Hull 7: 3 pieces short; no end is long enough,2026-03-12,2026-02-26,4,14,120.00,120.00,EUR"
    )
    assert f'filename="order-{short.pk}-2026-03-02.csv"' in response.headers["Content-Disposition"]


def test_file_of_everything_holds_every_line_and_no_formula(as_owner, short):
    rows = text(as_owner.get("/ordering/?_export=csv")).splitlines()
    assert [row.split(",")[:2] for row in rows[1:]] == [
        ["Northern Fabrics", "woven roving 600"],
        ["Bay Resins", "laminating resin"],
        ["no supplier yet", "'=mat 450"],
    ]


def test_file_of_an_unknown_supplier_is_not_found(as_owner, planned):
    assert as_owner.get("/ordering/999/").status_code == 404


@pytest.mark.parametrize(("role", "status"), [("owner", 200), ("clerk", 403), ("laminator", 403), ("outsider", 403)])
def test_ordering_is_the_owners(client, request, planned, role, status):
    supplier = make_supplier()
    client.force_login(request.getfixturevalue(role))
    addresses = ["/ordering/", f"/ordering/{supplier.pk}/"]
    assert [client.get(address).status_code for address in addresses] == [status, status]


def test_page_asks_the_database_the_same_number_of_times_for_more_lines(
    as_owner, short, planned, django_assert_num_queries
):
    as_owner.get("/ordering/")
    with CaptureQueriesContext(connection) as few:
        as_owner.get("/ordering/")
    for name in ("cloth 200", "cloth 300"):
        planned.short_of(make_reinforcement(name, supplier=short))
        planned.needs_resin(make_chemical(f"resin {name}", supplier=short), 5_000, 10)
    with django_assert_num_queries(len(few)):
        as_owner.get("/ordering/")
