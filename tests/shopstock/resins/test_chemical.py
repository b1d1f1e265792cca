import csv
from decimal import Decimal

import pytest

from shopstock.models import Chemical
from tests.factories import make_chemical


@pytest.fixture
def wish():
    return {"name": "laminating resin", "kind": "polyester", "density_liquid": "1.1", "pack_g": "25 kg"}


def test_product_added_keeps_its_figures(client, clerk, wish):
    client.force_login(clerk)
    more = {"open_life_days": "30", "price_per_pack": "95.50", "density_cured": "1,2"}
    client.post("/resins/products/add/", wish | more)
    made = Chemical.objects.get()
    assert (made.density_liquid, made.density_cured, made.pack_g, made.open_life_days, made.price_per_pack) == (
        Decimal("1.100"), Decimal("1.200"), 25_000, 30, Decimal("95.50"),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "field", "message"),
    [
        ({"density_liquid": "115"}, "density_liquid", "Did you mean 1.15 kg/L?"),
        ({"density_liquid": ""}, "density_liquid", "Fill this in"),
        ({"density_cured": "9"}, "density_cured", "Did you mean 0.9 kg/L or 9 lb/gal"),
        ({"pack_g": "25"}, "pack_g", "Write the unit too"),
        ({"minimum_g": "0 kg"}, "minimum_g", "“0 kg” is too little. Enter at least 1 g, or leave it empty."),
        ({"minimum_g": "-5 kg"}, "minimum_g", "cannot be negative"),
        ({"minimum_g": "200 t"}, "minimum_g", "“200 t” is more than 100 t. Check the number and its unit."),
        ({"minimum_g": "2 m"}, "minimum_g", "m does not measure a mass"),
        ({"minimum_g": "some"}, "minimum_g", "“some” is not a number with a unit. Write it like 12.5 kg."),
        ({"price_per_pack": "-1"}, "price_per_pack", "below zero"),
        ({"open_life_days": "-3"}, "open_life_days", "Enter 0 or more"),
        ({"open_life_days": "999999999"}, "open_life_days", "More than 3650 days"),
        ({"shelf_life_days": "3651"}, "shelf_life_days", "More than 3650 days"),
        ({"shelf_life_days": "0"}, "shelf_life_days", "Enter at least 1 day, or leave it empty."),
        ({"name": "gelcoat"}, "name", "already a product of that name"),
        ({"kind": "glue"}, "kind", "“glue” is not in the list"),
    ],
)
def test_product_that_cannot_be_right_is_refused_beside_the_field(client, clerk, wish, changes, field, message):
    make_chemical("gelcoat", kind="gelcoat")
    client.force_login(clerk)
    found = client.post("/resins/products/add/", wish | changes).context["form"].errors
    assert list(found) == [field]
    assert message in found[field][0]
    assert Chemical.objects.count() == 1


def test_product_is_changed_without_touching_what_was_left_alone(client, clerk, wish):
    made = make_chemical("old name", pack_g=20_000)
    client.force_login(clerk)
    page = client.get(f"/resins/products/{made.pk}/edit/")
    assert 'name="pack_g" value="20.00 kg"' in page.content.decode()
    client.post(f"/resins/products/{made.pk}/edit/", {**wish, "pack_g": "20.00 kg"})
    made.refresh_from_db()
    assert (made.name, made.pack_g) == ("laminating resin", 20_000)


@pytest.mark.parametrize(
    ("typed", "kept_g", "shown"),
    [("50", 50_000, "50.00 kg"), ("2.5 kg", 2_500, "2.50 kg"), ("110 lb", 49_895, "49.895 kg"), ("", 0, None)],
)
def test_minimum_is_read_with_its_unit_and_empty_is_none(client, clerk, wish, typed, kept_g, shown):
    client.force_login(clerk)
    client.post("/resins/products/add/", wish | {"minimum_g": typed})
    made = Chemical.objects.get()
    field = client.get(f"/resins/products/{made.pk}/edit/").context["form"]["minimum_g"]
    assert (made.minimum_g, field.value()) == (kept_g, shown)
    client.post(f"/resins/products/{made.pk}/edit/", wish | {"minimum_g": ""})
    made.refresh_from_db()
    assert made.minimum_g == 0


def test_minimum_stands_on_the_product_and_in_the_file(client, clerk):
    made = make_chemical("laminating resin", minimum_g=50_000)
    client.force_login(clerk)
    assert "<dt>Keep at least</dt><dd>50.00 kg in date</dd>" in client.get(made.get_absolute_url()).content.decode()
    (row,) = csv.DictReader(client.get("/resins/products/?_export=csv").content.decode().splitlines())
    assert row["keep at least (g)"] == "50000"
