import datetime

import pytest

from shopstock.models import Container
from tests.factories import TODAY, make_chemical, make_container, make_place, make_supplier


@pytest.fixture
def wish(db):
    return {
        "chemical": make_chemical("laminating resin", supplier=make_supplier()).pk,
        "batch": "B77",
        "net": "25 kg",
        "label_date": "2026-08",
        "received_on": "2026-03-02",
        "place": make_place("Cabinet 1").pk,
        "count": "1",
        "key": "form-1",
    }


@pytest.fixture
def page(client, clerk):
    client.force_login(clerk)
    return lambda wish, **changes: client.post("/resins/receive/", wish | changes)


def errors(response) -> dict:
    return {name: list(texts) for name, texts in response.context["form"].errors.items()}


def test_container_received_is_in_the_store_with_what_was_typed(page, wish, clerk):
    response = page(wish)
    made = Container.objects.get()
    assert response.headers["Location"] == f"/resins/{made.code}/"
    assert (made.mass_g, made.label_date, made.batch, made.received_on, made.supplier.name, made.place.name) == (
        25_000, datetime.date(2026, 8, 31), "B77", TODAY, "Northern Fabrics", "Cabinet 1",
    )  # fmt: skip
    assert made.movements.get().by == clerk


def test_container_weighed_holds_gross_less_empty(page, wish):
    page(wish, net="", gross="26.5 kg", tare="1.5")
    made = Container.objects.get()
    assert (made.mass_g, made.tare_g) == (25_000, 1_500)


def test_net_volume_is_turned_to_mass_by_density(page, wish):
    page(wish, net="5 gal")
    assert Container.objects.get().mass_g == 20_820  # 5 × 3.785411784 L × 1.10 kg/L


def test_container_may_come_in_on_its_last_day(page, wish):
    page(wish, label_date="2026-03-02")
    assert Container.objects.get().label_date == TODAY


def test_several_alike_get_a_code_each_and_the_form_sent_twice_makes_no_more(page, wish):
    for _ in range(2):
        response = page(wish, count="3")
    assert response.headers["Location"] == "/resins/?words=B77"
    assert Container.objects.values("code").distinct().count() == 3


@pytest.mark.parametrize(
    ("changes", "field", "message"),
    [
        ({"label_date": "2026-02"}, "label_date", "Past its date (2026-02-28) on the day it came in (2026-03-02)"),
        ({"label_date": "03/04/2026"}, "label_date", "can be read in two ways"),
        ({"opened_on": "2026-03-01"}, "opened_on", "Opened before it was received (2026-03-02)"),
        ({"opened_on": "2026-03-03"}, "opened_on", "still to come. Today is 2026-03-02"),
        ({"made_on": "2026-03-03"}, "made_on", "Made after it came in (2026-03-02)"),
        ({"made_on": "2026-03-02", "label_date": "2026-03-02"}, "made_on", "are the two dates swapped?"),
        ({"received_on": "2026-03-03"}, "received_on", "still to come"),
        ({"received_on": "0026-03-02"}, "received_on", "Check the year"),
        ({"received_on": "yesterday"}, "received_on", "Write the day like 2026-03-02"),
        ({"net": ""}, "net", "Enter the net mass, or the gross weight"),
        ({"net": "0 g"}, "net", "too little"),
        ({"net": "a drum"}, "net", "not a number"),
        ({"net": "", "gross": "26 kg"}, "tare", "the empty weight is needed too"),
        ({"net": "", "gross": "2 kg", "tare": "2 kg"}, "gross", "must weigh more than the empty one"),
        ({"net": "", "gross": "1 kg", "tare": "2 kg"}, "gross", "must weigh more than the empty one"),
        ({"gross": "20 kg", "tare": "1 kg"}, "net", "19.00 kg by weight, 25.00 kg by the label"),
        ({"chemical": "999"}, "chemical", "That is not in the list"),
        ({"count": "51"}, "count", "Enter 50 or less"),
    ],
)
def test_receipt_that_cannot_be_right_is_refused_beside_the_field(page, wish, changes, field, message):
    response = page(wish, **changes)
    found = errors(response)
    assert list(found) == [field]
    assert message in found[field][0]
    assert Container.objects.count() == 0
    assert 'value="B77"' in response.content.decode()


def test_product_on_the_address_is_chosen_already(client, clerk, wish):
    client.force_login(clerk)
    form = client.get(f"/resins/receive/?chemical={wish['chemical']}").content.decode()
    assert f'<option value="{wish["chemical"]}" selected>laminating resin</option>' in form


def test_form_sent_again_with_another_mass_is_refused_and_the_first_entry_stands(page, wish):
    page(wish)
    response = page(wish, net="30 kg")
    assert "already sent once, with other figures" in response.content.decode()
    assert [made.mass_g for made in Container.objects.all()] == [25_000]


def test_batch_with_odd_characters_is_still_found_after_several_alike(page, client, wish):
    response = page(wish, count="2", batch="A&B 7#1")
    assert len(client.get(response.headers["Location"]).context["table"].rows) == 2


@pytest.mark.parametrize(("typed", "precision"), [("2026-08", "month"), ("2026-08-31", "day")])
def test_label_that_names_a_month_is_good_to_its_last_day_and_says_so(page, wish, typed, precision):
    page(wish, label_date=typed, made_on="2026-02", vessel="steel")
    made = Container.objects.get()
    assert (made.label_date, made.label_precision) == (datetime.date(2026, 8, 31), precision)
    assert (made.made_on, made.vessel) == (datetime.date(2026, 2, 1), "steel")


def test_peroxide_is_not_received_beside_promoter(page, wish, clerk):
    make_container(by=clerk, chemical=make_chemical("Cobalt", kind="promoter"), place=make_place("Cabinet 1"))
    response = page(wish, chemical=make_chemical(kind="peroxide").pk)
    assert "mixed directly they explode" in response.content.decode()
    assert Container.objects.count() == 1
