"""The catalogue: what a builder chooses a fabric by, typed as the trade writes it, refused when it cannot be."""

import csv
import io
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopstock import ledger
from shopstock.models import Reinforcement
from tests.factories import NOON, make_reinforcement, make_roll, make_supplier

pytestmark = pytest.mark.django_db

ROLES = ["clerk", "laminator", "owner", "outsider"]
MAT = {
    "name": "Mat 450",
    "form": "mat",
    "fibre": "e_glass",
    "weave": "none",
    "areal_weight": "1.5 oz",
    "layers": "",
    "width_mm": "50 in",
    "roll_length_mm": "60 yd",
    "turning": "",
    "binder": "powder",
    "fits_polyester": "fits",
    "fits_vinylester": "fits",
    "fits_epoxy": "not",
    "supplier": "",
    "price_per_roll": "",
    "lead_time_days": "",
    "minimum_mm": "",
    "weight_tolerance_percent": "",
    "notes": "",
}


def add(client, **fields):
    return client.post(reverse("reinforcement-add"), MAT | fields)


def errors(page) -> dict:
    return {name: list(messages) for name, messages in page.context["form"].errors.items()}


def listed(client, **query) -> list[str]:
    return [row.record.name for row in client.get(reverse("reinforcements"), query).context["table"].rows]


@pytest.fixture
def signed_in(client, clerk):
    client.force_login(clerk)
    return client


def test_fabric_is_added_with_what_is_usual_for_its_form(signed_in):
    page = add(signed_in)
    made = Reinforcement.objects.get()
    assert page.url == made.get_absolute_url()
    assert (made.areal_weight_gsm, made.width_mm, made.roll_length_mm) == (Decimal("457.73"), 1270, 54_864)
    assert (made.turning, made.weight_tolerance_percent, made.minimum_mm) == ("any", Decimal("10.0"), 0)
    assert made.active
    assert list(made.layers.values_list("angle_deg", "areal_weight_gsm")) == [(None, Decimal("457.73"))]


def test_layers_are_stored_in_their_order(signed_in):
    add(signed_in, form="stitched", areal_weight="600 g/m²", layers="300 @ +45, 300 @ -45")
    assert list(Reinforcement.objects.get().layers.values_list("number", "angle_deg", "areal_weight_gsm")) == [
        (1, 45, Decimal("300.00")),
        (2, -45, Decimal("300.00")),
    ]


@pytest.mark.parametrize(
    ("fields", "wrong"),
    [
        (
            {"areal_weight": "1.5 oz/yd²"},
            {
                "areal_weight": [
                    "1.5 oz/yd² is 50.86 g/m², too light for chopped strand mat. Did you mean 1.5 oz/ft² (457.73 g/m²)?"
                ]
            },
        ),
        (
            {"areal_weight": "450 oz"},
            {
                "areal_weight": [
                    "450 oz/ft² is 137318.28 g/m², too heavy for chopped strand mat. "
                    "Did you mean 450 g/m² (1.47 oz/ft²)?"
                ]
            },
        ),
        (
            {"areal_weight": "1000000 g/m²"},
            {
                "areal_weight": [
                    "1000000 g/m² is too heavy for chopped strand mat. Chopped strand mat weighs 75 to 1300 g/m²: "
                    "check the number and its unit on the label."
                ]
            },
        ),
        (
            {"form": "stitched", "areal_weight": "600 g/m²", "layers": "300 @ 0, 200 @ 90"},
            {
                "layers": [
                    "The layers come to 500 g/m² but the fabric is given as 600 g/m². They may differ by 3 %. Check "
                    "whether the mat layer is in oz/ft² and whether the name was taken for the weight."
                ]
            },
        ),
        (
            {"form": "unidirectional", "areal_weight": "300 g/m²", "turning": "balanced"},
            {"turning": ["Turned, these layers (300 @ 0) would lie in other directions. Choose: never turned."]},
        ),
        (
            {"form": "cloth", "areal_weight": "200 g/m²"},
            {"weave": ["A cloth is woven: say whether plain, twill, satin or basket."]},
        ),
        (
            {"weave": "twill"},
            {"weave": ["Chopped strand mat is not woven: choose none, or another form."]},
        ),
        (
            {"width_mm": "50 kg"},
            {"width_mm": ["kg does not measure a length. Write it like 12.5 m or 50 in."]},
        ),
        ({"roll_length_mm": ""}, {"roll_length_mm": ["Fill this in."]}),
        ({"price_per_roll": "-1"}, {"price_per_roll": ["Enter 0 or more."]}),
    ],
)
def test_fabric_that_cannot_be_is_refused_beside_the_field_and_what_was_typed_is_kept(signed_in, fields, wrong):
    page = add(signed_in, **fields)
    assert errors(page) == wrong
    name, typed = next(iter(fields.items()))
    assert page.context["form"][name].value() == typed
    assert Reinforcement.objects.count() == 0


def test_name_that_is_there_in_other_capitals_is_refused(signed_in):
    add(signed_in)
    assert errors(add(signed_in, name="MAT 450")) == {
        "name": ["There is already a fabric called MAT 450. Open that one, or choose another name."]
    }


def test_edit_form_saved_as_it_is_changes_nothing(signed_in):
    add(signed_in, minimum_mm="12.5 m", price_per_roll="88.50")
    before = Reinforcement.objects.values().get()
    layers = list(Reinforcement.objects.get().layers.values_list("number", "angle_deg", "areal_weight_gsm"))
    address = reverse("reinforcement-edit", args=[before["id"]])
    form = signed_in.get(address).context["form"]
    signed_in.post(address, {name: "" if (value := form[name].value()) is None else value for name in form.fields})
    assert Reinforcement.objects.values().get() == before
    assert list(Reinforcement.objects.get().layers.values_list("number", "angle_deg", "areal_weight_gsm")) == layers


def test_edit_replaces_the_layers(signed_in):
    add(signed_in)
    made = Reinforcement.objects.get()
    signed_in.post(reverse("reinforcement-edit", args=[made.pk]), MAT | {"areal_weight": "300 g/m²", "active": "on"})
    assert list(made.layers.values_list("number", "areal_weight_gsm")) == [(1, Decimal("300.00"))]


def test_page_shows_weight_in_both_units_and_stock_that_is_free(signed_in, clerk):
    fabric = make_reinforcement("WR 600", minimum_mm=90_000)
    roll = make_roll(by=clerk, reinforcement=fabric, length_mm=50_000)
    make_roll(by=clerk, reinforcement=fabric, length_mm=30_000, quarantine_reason="wet")
    ledger.set_aside(promises=[ledger.Promise(roll, 12_000, "Hull 7: strip 1")], by=clerk, at=NOON)
    page = signed_in.get(fabric.get_absolute_url())
    shown = page.context["reinforcement"]
    assert (shown.on_racks_mm, shown.free_on_racks_mm, shown.roll_count) == (80_000, 38_000, 2)
    text = " ".join(page.content.decode().split())
    assert "600 g/m² · 17.70 oz/yd²" in text
    assert "1.92 EUR per m²" in text
    assert "<dt>Hull 7: strip 1</dt><dd>12.00 m</dd>" in text
    assert '<span class="tag bad">low</span>' in text


@pytest.mark.parametrize(
    ("query", "names"),
    [
        ({}, ["Mat 300", "Twill 200", "WR 600"]),
        ({"words": "wr north"}, ["WR 600"]),
        ({"form": "mat"}, ["Mat 300"]),
        ({"fibre": "carbon"}, ["Twill 200"]),
        ({"active": "no"}, ["Mat 300"]),
        ({"active": "yes"}, ["Twill 200", "WR 600"]),
        ({"words": "nothing"}, []),
    ],
)
def test_list_shows_what_the_filter_leaves(signed_in, query, names):
    make_reinforcement("WR 600", supplier=make_supplier("Northern Fabrics"))
    make_reinforcement("Mat 300", form="mat", active=False)
    make_reinforcement("Twill 200", form="cloth", fibre="carbon", weave="twill")
    assert listed(signed_in, **query) == names


def test_export_gives_plain_numbers(signed_in, clerk):
    make_roll(by=clerk, reinforcement=make_reinforcement("WR 600"), length_mm=12_345)
    page = signed_in.get(reverse("reinforcements"), {"_export": "csv"})
    row = next(csv.DictReader(io.StringIO(page.content.decode("utf-8-sig"))))
    assert (row["Name"], row["areal weight"], row["on the racks"]) == ("WR 600", "600.00", "12345")


def test_list_takes_as_many_queries_for_three_fabrics_as_for_one(signed_in, clerk):
    make_roll(by=clerk, reinforcement=make_reinforcement(supplier=make_supplier()))
    signed_in.get(reverse("reinforcements"))  # the shop's own row is made at the first look
    with CaptureQueriesContext(connection) as one:
        signed_in.get(reverse("reinforcements"))
    for _ in range(2):
        make_roll(by=clerk, reinforcement=make_reinforcement(supplier=make_supplier()))
    with CaptureQueriesContext(connection) as three:
        signed_in.get(reverse("reinforcements"))
    assert len(three) == len(one)


@pytest.mark.parametrize("role", ROLES)
def test_only_clerk_and_owner_may_write_the_catalogue(client, request, role):
    client.force_login(request.getfixturevalue(role))
    add(client)
    assert Reinforcement.objects.count() == (1 if role in ("clerk", "owner") else 0)


@pytest.mark.parametrize("role", ROLES)
def test_only_clerk_and_owner_may_change_a_fabric(client, request, role):
    fabric = make_reinforcement("WR 600", form="mat", weave="none")
    client.force_login(request.getfixturevalue(role))
    client.post(reverse("reinforcement-edit", args=[fabric.pk]), MAT)
    fabric.refresh_from_db()
    assert fabric.name == ("Mat 450" if role in ("clerk", "owner") else "WR 600")


@pytest.mark.parametrize("role", ROLES)
def test_everyone_with_a_role_may_look(client, request, role):
    fabric = make_reinforcement()
    client.force_login(request.getfixturevalue(role))
    statuses = {client.get(address).status_code for address in (reverse("reinforcements"), fabric.get_absolute_url())}
    assert statuses == {403 if role == "outsider" else 200}


def test_laminator_is_offered_no_button_that_would_be_refused(client, laminator):
    fabric = make_reinforcement()
    client.force_login(laminator)
    text = "".join(client.get(a).content.decode() for a in (reverse("reinforcements"), fabric.get_absolute_url()))
    assert reverse("reinforcement-add") not in text
    assert reverse("reinforcement-edit", args=[fabric.pk]) not in text
