"""The cheapest deliveries of a supplier, beside each need by itself."""

from decimal import Decimal

import pytest

from shopstock.buying import buying_of
from shopstock.demand import ClothUse
from shopstock.models import Offer, Shop
from shopstock.to_order import order_lines
from tests.factories import TODAY, make_chemical, make_reinforcement, make_supplier
from tests.shopstock.demand_source import day


@pytest.fixture
def supplier(db):
    return make_supplier(lead_time_days=14, freight=Decimal("40"))


def buying(supplier):
    return buying_of(
        supplier, [line for line in order_lines(TODAY) if line.supplier == supplier], TODAY, Shop.current()
    )


def test_needs_close_together_share_one_delivery_and_its_freight(planned, supplier):
    roving = make_reinforcement(supplier=supplier)
    planned.short_of(roving, rolls=2, needed_on=day(30))
    planned.uses += [
        ClothUse(roving.pk, day(30), "Hull", 1, new_mm=40_000, new_rolls=1),
        ClothUse(roving.pk, day(37), "Deck", 2, new_mm=40_000, new_rolls=1),
    ]
    found = buying(supplier)
    assert [(delivery.comes_by, [packs for _, packs in delivery.lines]) for delivery in found.deliveries] == [
        (day(30), [2])
    ]
    # two rolls at 120.00 and one freight; a roll kept a week is 120 · 20 % / 52
    assert (found.cost, found.plain_deliveries, found.plain_cost, found.proved) == (
        Decimal("280.46"), 2, Decimal("320.00"), True,
    )  # fmt: skip


def test_price_break_of_the_supplier_is_used(planned, supplier):
    roving = make_reinforcement(supplier=supplier)
    Offer.objects.create(
        supplier=supplier, reinforcement=roving, width_mm=1250, length_mm=50_000, least_packs=2, price=Decimal("100")
    )
    planned.short_of(roving, rolls=2, needed_on=day(30))
    (line,) = order_lines(TODAY)
    assert (line.each, line.cost, buying(supplier).cost) == (Decimal("100"), Decimal("200"), Decimal("240.00"))


def test_offer_of_another_width_is_no_price_break(planned, supplier):
    roving = make_reinforcement(supplier=supplier)
    Offer.objects.create(
        supplier=supplier, reinforcement=roving, width_mm=1000, length_mm=50_000, least_packs=1, price=Decimal("1")
    )
    planned.short_of(roving, rolls=1, needed_on=day(30))
    assert order_lines(TODAY)[0].each == Decimal("120.00")


def test_delivery_of_what_is_late_already_says_to_order_at_once(planned, supplier):
    planned.short_of(make_reinforcement(supplier=supplier), rolls=1, needed_on=day(3))
    (delivery,) = buying(supplier).deliveries
    assert (delivery.comes_by, delivery.order_by) == (day(14), TODAY)


def test_what_has_waited_is_delivered_as_soon_as_can_be_though_more_is_needed_later(planned, supplier):
    """One roll was needed on day 3, another is on day 20: an order of today is here on day 14."""
    roving = make_reinforcement("roving", supplier=supplier)
    planned.short_of(roving, rolls=2, needed_on=day(3))
    planned.uses += [
        ClothUse(roving.pk, day(number), f"Hull {number}", number, new_mm=40_000, new_rolls=1) for number in (3, 20)
    ]
    (delivery,) = buying(supplier).deliveries
    assert (delivery.comes_by, delivery.words) == (day(14), "2 × roving")


def test_material_without_a_price_is_left_out_of_the_plan(planned, supplier):
    planned.short_of(make_reinforcement(supplier=supplier, price_per_roll=None))
    assert buying(supplier) is None


def test_resin_is_not_bought_together_with_what_it_would_not_outlive(planned, supplier):
    resin = make_chemical(supplier=supplier, pack_g=25_000, price_per_pack=Decimal("1"), shelf_life_days=28)
    planned.needs_resin(resin, 25_000, 20, "Hull")
    planned.needs_resin(resin, 25_000, 100, "Deck")
    assert [sum(packs for _, packs in delivery.lines) for delivery in buying(supplier).deliveries] == [1, 1]


@pytest.mark.parametrize(("days", "comes", "at_once"), [(10, 10, True), (12, 12, False), (9, 10, True)])
def test_order_that_can_just_be_in_time_comes_on_the_day_and_not_in_the_week_after(
    planned, supplier, days, comes, at_once
):
    planned.short_of(make_reinforcement(supplier=supplier, lead_time_days=10), rolls=1, needed_on=day(days))
    (delivery,) = buying(supplier).deliveries
    assert (delivery.comes_by, delivery.order_by <= TODAY) == (day(comes), at_once)


@pytest.mark.parametrize("second", [49, 50])
def test_resin_needed_on_the_day_after_it_ends_is_a_delivery_of_its_own(planned, supplier, second):
    """Bought for day 21, good for 28 days: on day 49 it still is, on day 50 no more."""
    resin = make_chemical(supplier=supplier, pack_g=25_000, price_per_pack=Decimal("1"), shelf_life_days=28)
    planned.needs_resin(resin, 25_000, 21, "Hull")
    planned.needs_resin(resin, 25_000, second, "Deck")
    bought = [sum(packs for _, packs in delivery.lines) for delivery in buying(supplier).deliveries]
    assert bought == ([2] if second == 49 else [1, 1])


def test_plan_is_said_beside_each_need_by_itself(planned, supplier):
    roving = make_reinforcement(supplier=supplier)
    planned.short_of(roving, rolls=3, needed_on=day(30))
    planned.uses += [
        ClothUse(roving.pk, day(30 + 7 * n), f"Hull {n}", n + 1, new_mm=40_000, new_rolls=1) for n in range(3)
    ]
    found = buying(supplier)
    assert (found.words, found.plain_words) == ("one order of 3 rolls", "3 orders of 3 rolls")
    # three rolls at 120.00 and one freight of 40.00; one roll kept for one week and one for two, at 120 · 20 % / 52
    assert (found.cost, found.plain_cost, found.saves) == (Decimal("401.38"), Decimal("480.00"), Decimal("78.62"))


def test_two_materials_of_one_supplier_share_one_freight(planned, supplier):
    for name, number in (("roving", 30), ("mat", 33)):
        planned.short_of(make_reinforcement(name, supplier=supplier), rolls=1, needed_on=day(number))
    found = buying(supplier)
    (delivery,) = found.deliveries
    assert (delivery.comes_by, delivery.words) == (day(30), "1 × roving, 1 × mat")
    assert (found.cost, found.words) == (Decimal("280.00"), "one order of 2 rolls")


def test_needs_of_two_suppliers_are_two_plans(planned, supplier):
    other = make_supplier("Bay Cloth", freight=Decimal("15"))
    for seller in (supplier, other):
        planned.short_of(make_reinforcement(f"cloth of {seller}", supplier=seller), rolls=1, needed_on=day(30))
    assert [buying(seller).cost for seller in (supplier, other)] == [Decimal("160.00"), Decimal("135.00")]
