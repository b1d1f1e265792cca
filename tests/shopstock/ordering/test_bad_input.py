"""What people type wrong about buying is refused in words, and what is not known stops no page."""

from decimal import Decimal

import pytest
from django.urls import reverse

from shopstock.buying import buying_of
from shopstock.demand import ClothUse
from shopstock.models import Offer, Reinforcement, Shop, Supplier
from shopstock.to_order import order_lines
from tests.factories import TODAY, make_chemical, make_reinforcement, make_supplier
from tests.shopstock.demand_source import day


@pytest.fixture
def page(client, owner):
    client.force_login(owner)
    return client


@pytest.fixture
def supplier(db):
    return make_supplier(lead_time_days=14, freight=Decimal("40"))


@pytest.mark.parametrize(
    ("field", "typed"), [("lead_time_days", "-3"), ("lead_time_days", "1.5"), ("freight", "-1"), ("currency", "1 €")]
)
def test_terms_that_cannot_be_are_refused_at_the_field(page, supplier, field, typed):
    terms = {"lead_time_days": "14", "freight": "40", "currency": "", "email": ""} | {field: typed}
    form = page.post(reverse("supplier-terms", args=[supplier.pk]), terms).context["form"]
    assert (list(form.errors), form[field].value()) == ([field], typed)
    assert "Enter" in form.errors[field][0] or "Three letters" in form.errors[field][0]
    supplier.refresh_from_db()
    assert (supplier.lead_time_days, supplier.freight, supplier.currency) == (14, Decimal("40"), "")


@pytest.mark.parametrize(
    ("field", "typed"), [("length_mm", "0"), ("width_mm", "-1 m"), ("price", "-2"), ("least_packs", "0")]
)
def test_offer_of_no_length_or_less_than_nothing_is_refused(page, supplier, field, typed):
    kind = make_reinforcement()
    offer = {"reinforcement": kind.pk, "price": "90", "least_packs": "1", "width_mm": "", "length_mm": "50 m"}
    form = page.post(reverse("offer-add", args=[supplier.pk]), offer | {field: typed}).context["form"]
    assert (list(form.errors), Offer.objects.count()) == ([field], 0)


def test_supplier_without_a_price_is_on_the_list_and_says_so(page, planned, supplier):
    planned.short_of(make_reinforcement("roving", supplier=supplier, price_per_roll=None), needed_on=day(30))
    shown = page.get(reverse("ordering")).content.decode()
    assert "no price yet" in shown
    assert "1 line whose price or pack is not known" in shown


def test_job_due_yesterday_is_ordered_for_at_once(planned, supplier):
    planned.short_of(make_reinforcement("roving", supplier=supplier), needed_on=day(-1))
    (line,) = order_lines(TODAY)
    assert (line.packs, line.days_late) == (1, 15)


def test_money_of_two_currencies_is_never_added_up(page, planned, supplier):
    other = make_supplier("Overseas", currency="USD")
    for each, name in ((supplier, "roving"), (other, "carbon")):
        planned.short_of(make_reinforcement(name, supplier=each), needed_on=day(30))
    orders = page.get(reverse("ordering")).context["orders"]
    assert sorted((order.currency, order.cost) for order in orders) == [
        ("EUR", Decimal("120.00")),
        ("USD", Decimal("120.00")),
    ]


@pytest.mark.parametrize(("make", "name"), [(make_reinforcement, "cloth-outlook"), (make_chemical, "resin-outlook")])
def test_material_that_nobody_sells_still_has_its_outlook(page, planned, make, name):
    material = make(supplier=None)
    if isinstance(material, Reinforcement):
        planned.short_of(material, needed_on=day(9))
    else:
        planned.needs_resin(material, 5_000, 9)
    found = page.get(reverse(name, args=[material.pk])).context["found"]
    assert (found.failing.on, found.failing.order_by) == (day(9), None)


def shared(planned, supplier) -> Supplier:
    """Two rolls that one delivery could bring; a search without time finds nothing better than each by itself."""
    roving = make_reinforcement("roving", supplier=supplier)
    planned.short_of(roving, rolls=2, needed_on=day(30))
    for number in (30, 37):
        planned.uses.append(ClothUse(roving.pk, day(number), f"Hull {number}", number, new_mm=40_000, new_rolls=1))
    return supplier


def test_search_without_time_falls_back_to_each_need_by_itself_and_the_page_says_so(page, planned, supplier):
    shop = Shop.current()
    shop.order_seconds = Decimal("0")
    shop.save()
    found = buying_of(shared(planned, supplier), order_lines(TODAY), TODAY, shop)
    assert (found.proved, found.method, found.cost) == (False, "lot for lot", Decimal("320.00"))
    shown = page.get(reverse("ordering")).content.decode()
    assert "Not proved cheapest" in shown
    assert "lot for lot" in shown


def test_search_that_is_done_in_time_says_nothing_of_doubt(page, planned, supplier):
    shared(planned, supplier)
    assert "Not proved cheapest" not in page.get(reverse("ordering")).content.decode()
