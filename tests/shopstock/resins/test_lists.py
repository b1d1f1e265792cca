import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shopstock import ledger
from tests.factories import NOON, TODAY, make_chemical, make_container, make_place, new_key


def day(number: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=number)


@pytest.fixture
def stock(clerk):
    """One container of each state, by a name that says it."""
    resin = make_chemical("laminating resin", open_life_days=30)
    gelcoat = make_chemical("white gelcoat", kind="gelcoat")
    made = {
        "past": make_container(by=clerk, chemical=resin, label_date=day(-1)),
        "last": make_container(by=clerk, chemical=gelcoat, label_date=TODAY, mass_g=1_000),
        "near": make_container(by=clerk, chemical=resin, label_date=day(30)),
        "opened": make_container(by=clerk, chemical=resin, opened_on=TODAY),
        "good": make_container(by=clerk, chemical=gelcoat, place=make_place("Cabinet 1"), batch="G9"),
        "gone": make_container(by=clerk, chemical=gelcoat, batch="old"),
    }
    ledger.dispose(container=made["gone"], by=clerk, at=NOON, key=new_key(), reason="waste note 1")
    return made


@pytest.mark.parametrize(
    ("question", "names"),
    [
        ("", {"past", "last", "near", "opened", "good"}),
        ("?date=past", {"past"}),
        ("?date=near", {"last", "near", "opened"}),
        ("?date=good", {"last", "near", "opened", "good"}),
        ("?store=gone", {"gone"}),
        ("?store=all", {"past", "last", "near", "opened", "good", "gone"}),
        ("?kind=gelcoat", {"last", "good"}),
        ("?words=cabinet+g9", {"good"}),
        ("?words=nothing", set()),
    ],
)
def test_list_of_containers_is_narrowed(client, laminator, stock, question, names):
    client.force_login(laminator)
    rows = client.get(f"/resins/{question}").context["table"].rows
    assert {row.record.code for row in rows} == {stock[name].code for name in names}


def test_list_is_exported_with_plain_grams_and_state(client, laminator, stock):
    client.force_login(laminator)
    sheet = client.get("/resins/?date=past&_export=csv").content.decode().splitlines()
    code = stock["past"].code
    assert sheet[0] == "container,product,kind,batch,left (g),use by,date,opened,place"
    assert sheet[1] == f"{code},laminating resin,polyester resin,B77,20000,2026-03-01,past,sealed,"


@pytest.mark.parametrize("address", ["/resins/", "/resins/products/"])
def test_list_asks_the_database_the_same_number_of_times_for_one_row_and_three(
    client, laminator, clerk, address, django_assert_num_queries
):
    client.force_login(laminator)
    make_container(by=clerk, place=make_place())
    client.get(address)
    with CaptureQueriesContext(connection) as one:
        client.get(address)
    for _ in range(2):
        make_container(by=clerk, place=make_place())
    with django_assert_num_queries(len(one)):
        client.get(address)


def test_products_list_counts_what_is_in_date(client, laminator, stock):
    client.force_login(laminator)
    rows = client.get("/resins/products/").context["table"].rows
    assert {row.record.name: row.record.in_date_g for row in rows} == {
        "laminating resin": 40_000,
        "white gelcoat": 21_000,
    }


def test_product_page_lists_the_one_that_goes_first_at_the_top(client, laminator, stock):
    client.force_login(laminator)
    page = client.get(stock["near"].chemical.get_absolute_url())
    assert [row.record for row in page.context["table"].rows] == [stock["opened"], stock["near"], stock["past"]]
    assert page.context["in_date_g"] == 40_000
