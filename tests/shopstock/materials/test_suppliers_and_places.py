"""Who the fabric comes from and where it lies."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shopstock.models import Place, Supplier
from tests.factories import make_chemical, make_container, make_place, make_reinforcement, make_roll, make_supplier

pytestmark = pytest.mark.django_db

ROLES = ["clerk", "laminator", "owner", "outsider"]
SUPPLIER = {"name": "Northern Fabrics", "lead_time_days": "10", "email": "", "notes": ""}
PLACE = {"name": "Rack A1", "kind": "rack", "notes": ""}
WRITES = [(Supplier, "supplier", SUPPLIER), (Place, "place", PLACE)]


@pytest.fixture
def signed_in(client, clerk):
    client.force_login(clerk)
    return client


@pytest.mark.parametrize(("model", "name", "fields"), WRITES)
def test_one_is_added_and_changed(signed_in, model, name, fields):
    signed_in.post(reverse(f"{name}-add"), fields)
    made = model.objects.get()
    signed_in.post(reverse(f"{name}-edit", args=[made.pk]), fields | {"name": "Another"})
    assert list(model.objects.values_list("pk", "name")) == [(made.pk, "Another")]


@pytest.mark.parametrize(("model", "name", "fields"), WRITES)
def test_name_that_is_there_in_other_capitals_is_refused(signed_in, model, name, fields):
    signed_in.post(reverse(f"{name}-add"), fields)
    page = signed_in.post(reverse(f"{name}-add"), fields | {"name": fields["name"].upper()})
    assert page.context["form"].errors["name"][0].startswith(f"There is already a {name} called")
    assert model.objects.count() == 1


@pytest.mark.parametrize(
    ("fields", "wrong"),
    [
        ({"name": ""}, ["name"]),
        ({"lead_time_days": "-3"}, ["lead_time_days"]),
        ({"lead_time_days": "soon"}, ["lead_time_days"]),
        ({"email": "nobody"}, ["email"]),
    ],
)
def test_supplier_that_is_wrong_keeps_what_was_typed(signed_in, fields, wrong):
    page = signed_in.post(reverse("supplier-add"), SUPPLIER | fields)
    assert list(page.context["form"].errors) == wrong
    assert page.context["form"][wrong[0]].value() == fields[wrong[0]]


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize(("model", "name", "fields"), WRITES)
def test_only_clerk_and_owner_may_add_and_change(client, request, role, model, name, fields):
    old = model.objects.create(name="Old")
    client.force_login(request.getfixturevalue(role))
    client.post(reverse(f"{name}-add"), fields)
    client.post(reverse(f"{name}-edit", args=[old.pk]), fields | {"name": "New"})
    expected = {"New", fields["name"]} if role in ("clerk", "owner") else {"Old"}
    assert set(model.objects.values_list("name", flat=True)) == expected


@pytest.mark.parametrize("role", ROLES)
def test_everyone_with_a_role_may_look(client, request, role):
    addresses = [
        *(reverse("suppliers"), reverse("places")),
        *(reverse("supplier", args=[make_supplier().pk]), reverse("place", args=[make_place().pk])),
    ]
    client.force_login(request.getfixturevalue(role))
    assert {client.get(address).status_code for address in addresses} == {403 if role == "outsider" else 200}


def test_supplier_page_shows_its_fabrics(signed_in):
    supplier = make_supplier()
    make_reinforcement("WR 600", supplier=supplier)
    make_reinforcement("Mat 450", form="mat")
    fabrics = signed_in.get(supplier.get_absolute_url()).context["fabrics"]
    assert [row.record.name for row in fabrics.rows] == ["WR 600"]


def test_place_page_shows_what_lies_there(signed_in, clerk):
    place = make_place()
    roll, drum = make_roll(by=clerk, place=place), make_container(by=clerk, place=place)
    make_roll(by=clerk)
    page = signed_in.get(reverse("place", args=[place.pk]))
    assert [row.record for row in page.context["rolls"].rows] == [roll]
    assert [row.record for row in page.context["containers"].rows] == [drum]


def test_cabinet_says_how_many_litres_of_flammables_it_holds_against_its_limit(signed_in, clerk):
    cabinet, rack = make_place("Flammables", kind="cabinet"), make_place()
    for place in (cabinet, rack):
        resin = make_chemical(density_liquid=Decimal("1.1"), flammable_category=3)
        make_container(by=clerk, chemical=resin, mass_g=25_000, place=place)
    page = signed_in.get(reverse("place", args=[cabinet.pk])).content.decode()
    assert "<strong>22.7 L</strong> of category 1 to 3, at most 227.1 L." in page  # 25 kg at 1.10 kg/L
    assert "Flammable liquid here" not in signed_in.get(reverse("place", args=[rack.pk])).content.decode()


def test_place_list_counts_rolls_and_containers_apart(signed_in, clerk):
    place = make_place()
    for _ in range(2):
        make_roll(by=clerk, place=place)
    for _ in range(3):
        make_container(by=clerk, place=place)
    found = signed_in.get(reverse("places")).context["table"].rows[0].record
    assert (found.rolls_there, found.containers_there) == (2, 3)


@pytest.mark.parametrize(("address", "make"), [("suppliers", make_supplier), ("places", make_place)])
def test_list_takes_as_many_queries_for_three_as_for_one(signed_in, address, make):
    make("One")
    signed_in.get(reverse(address))  # the shop's own row is made at the first look
    with CaptureQueriesContext(connection) as one:
        signed_in.get(reverse(address))
    make("Two")
    make("Three")
    with CaptureQueriesContext(connection) as three:
        signed_in.get(reverse(address))
    assert len(three) == len(one)


@pytest.mark.parametrize("name", ["reinforcement", "supplier", "place"])
def test_address_of_nothing_gives_the_helpful_page(signed_in, name):
    page = signed_in.get(reverse(name, args=[999]))
    assert page.status_code == 404
    assert "Nothing at this address" in page.content.decode()
