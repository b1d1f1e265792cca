from decimal import Decimal

import pytest

from shopstock import ledger
from shopstock.models import Offer, Roll
from shopstock.models import OrderLine as Ordered
from shopstock.ordering.actions import approve, new_order, write_order
from shopstock.to_order import order_lines
from shopstock.to_order_line import OrderLine
from tests.factories import (
    NOON,
    TODAY,
    make_chemical,
    make_container,
    make_reinforcement,
    make_roll,
    make_supplier,
    new_key,
)
from tests.shopstock.demand_source import day


@pytest.fixture
def supplier(db):
    return make_supplier(lead_time_days=14)


@pytest.fixture
def roving(supplier):
    return make_reinforcement("woven roving 600", supplier=supplier, minimum_mm=30_000)


@pytest.fixture
def resin(supplier):
    return make_chemical("laminating resin", supplier=supplier, pack_g=25_000, price_per_pack=Decimal("95.50"))


def lines() -> list[OrderLine]:
    return order_lines(TODAY)


def test_cloth_short_for_a_job_and_below_its_minimum_is_one_line_worked_by_hand(planned, roving, clerk):
    # 1 roll of 50 m for 41 m short leaves 9 m; with 12 m free that is 9 m below the minimum of 30 m: 1 roll more.
    make_roll(by=clerk, reinforcement=roving, length_mm=12_000)
    planned.short_of(roving, needed_on=day(30))
    (line,) = lines()
    assert (line.buy, line.cost, line.needed_on, line.order_by.day, line.days_late) == (
        "2 rolls of 50.00 m", Decimal("240.00"), day(30), day(16), 0,
    )  # fmt: skip
    assert line.reasons == (
        "Hull 7: 3 pieces short; no end is long enough",
        "Keep at least 30.00 m; free now 12.00 m",
    )


def test_cloth_at_its_minimum_is_not_ordered_and_below_is_without_a_date(planned, roving, clerk):
    roll = make_roll(by=clerk, reinforcement=roving, length_mm=30_000)
    assert lines() == []
    ledger.record_cut(roll=roll, length_mm=1, by=clerk, at=NOON, key=new_key())
    (line,) = lines()
    assert (line.packs, line.needed_on, line.order_by) == (1, None, None)


@pytest.mark.parametrize("spoil", ["quarantine", "offcut", "set aside", "past its date", "folded", "downgraded"])
def test_cloth_that_is_not_free_on_a_full_roll_does_not_count_towards_the_minimum(planned, roving, clerk, spoil):
    roll = make_roll(by=clerk, reinforcement=roving, length_mm=40_000)
    assert lines() == []
    if spoil == "quarantine":
        ledger.quarantine(roll=roll, reason="wet", by=clerk, at=NOON, key=new_key())
    elif spoil == "set aside":
        ledger.set_aside(promises=[ledger.Promise(roll, 10_001, "Hull 7")], by=clerk, at=NOON)
    elif spoil == "past its date":
        Roll.objects.filter(pk=roll.pk).update(use_by=day(-1))
    elif spoil == "folded":
        Roll.objects.filter(pk=roll.pk).update(lying=Roll.Lying.FOLDED)
    elif spoil == "downgraded":
        Roll.objects.filter(pk=roll.pk).update(grade=Roll.Grade.NON_STRUCTURAL)
    else:
        ledger.record_cut(roll=roll, length_mm=11_000, by=clerk, at=NOON, key=new_key())
        ledger.record_offcut(parent=roll, width_mm=400, length_mm=11_000, by=clerk, at=NOON, key=new_key())
    assert [line.packs for line in lines()] == [1]


def test_minimum_of_a_cloth_no_longer_in_use_is_not_ordered(planned, roving):
    roving.active = False
    roving.save()
    assert lines() == []


def test_job_short_of_a_cloth_no_longer_in_use_buys_for_the_job_alone(planned, roving):
    roving.active, roving.minimum_mm = False, 60_000
    roving.save()
    planned.short_of(roving)
    assert [line.buy for line in lines()] == ["1 roll of 50.00 m"]


def test_own_lead_time_goes_before_the_suppliers_and_a_past_day_is_late(planned, roving):
    roving.lead_time_days, roving.minimum_mm = 40, 0
    roving.save()
    planned.short_of(roving, needed_on=day(30))
    (line,) = lines()
    assert (line.order_by.day, line.days_late, line.lead_days) == (day(-10), 10, 40)


def test_same_day_delivery_is_a_lead_time_too(planned, roving):
    roving.lead_time_days, roving.minimum_mm = 0, 0
    roving.save()
    planned.short_of(roving, needed_on=day(3))
    assert lines()[0].order_by.day == day(3)


def test_lead_time_that_is_a_slip_is_late_and_breaks_nothing(planned, roving, supplier):
    supplier.lead_time_days = 2_000_000_000
    supplier.save()
    planned.short_of(roving, needed_on=day(30))
    assert lines()[0].days_late == 3_620


def test_material_without_supplier_and_price_says_so(planned):
    planned.short_of(make_reinforcement("mat", price_per_roll=None))
    (line,) = lines()
    assert (line.supplier, line.lead_days, line.order_by, line.cost) == (None, None, None, None)


def test_cloth_that_no_new_roll_can_give_is_named_but_not_bought(planned, roving):
    roving.minimum_mm = 0
    roving.save()
    planned.short_of(roving, rolls=0, length_mm=90_000)
    (line,) = lines()
    assert (line.packs, line.buy, line.order_by) == (0, "nothing: a new roll does not help", None)


def test_resin_short_is_netted_by_date_worked_by_hand(planned, resin, clerk):
    # 20 kg to day 10, 20 kg to day 60. Day 5 takes 12 kg, day 20 takes 15 kg of the second drum,
    # day 40 finds 5 kg of the 30 kg it needs: 25 kg short.
    make_container(by=clerk, chemical=resin, label_date=day(10))
    make_container(by=clerk, chemical=resin, label_date=day(60))
    planned.needs_resin(resin, 12_000, 5, "Deck")
    planned.needs_resin(resin, 15_000, 20, "Hatch")
    planned.needs_resin(resin, 30_000, 40, "Hull 7")
    (line,) = lines()
    assert (line.buy, line.cost, line.needed_on, line.order_by.day) == (
        "1 pack of 25.00 kg", Decimal("95.50"), day(40), day(26),
    )  # fmt: skip
    assert line.reasons == ("Hull 7: 25.00 kg short",)


def test_resin_past_its_date_on_the_day_of_use_is_not_counted(planned, resin, clerk):
    make_container(by=clerk, chemical=resin, label_date=day(39))
    planned.needs_resin(resin, 30_000, 40)
    assert lines()[0].reasons == ("Hull 7: 30.00 kg short",)


def test_resin_for_an_overdue_job_is_needed_today_and_never_from_what_died_since(planned, resin, clerk):
    make_container(by=clerk, chemical=resin, label_date=day(-1))
    planned.needs_resin(resin, 10_000, -5)
    (line,) = lines()
    assert (line.needed_on, line.days_late) == (TODAY, 14)


def test_resin_that_would_die_first_is_a_second_order(planned, resin):
    resin.shelf_life_days = 90
    resin.save()
    planned.needs_resin(resin, 30_000, 20, "Hull 7")
    planned.needs_resin(resin, 10_000, 150, "Hull 8")
    assert [(line.packs, line.needed_on) for line in lines()] == [(2, day(20)), (1, day(150))]


def test_resin_of_unknown_pack_is_a_mass_without_a_cost(planned, supplier):
    planned.needs_resin(make_chemical(price_per_pack=Decimal("90"), supplier=supplier), 30_000, 20)
    assert [(line.buy, line.cost) for line in lines()] == [("30.00 kg; pack size not known", None)]


def test_most_pressing_comes_first(planned, supplier):
    for name, number in (("later", 60), ("late", 3), ("soon", 20)):
        planned.short_of(make_reinforcement(name, supplier=supplier), needed_on=day(number))
    assert [line.item for line in lines()] == ["late", "soon", "later"]


def test_summary_says_what_for_what_and_until_when(planned, roving, supplier):
    roving.minimum_mm = 0
    roving.save()
    planned.short_of(roving, needed_on=day(10))
    assert lines()[0].summary == (
        "woven roving 600: 1 roll of 50.00 m (Hull 7: 3 pieces short; no end is long enough); "
        "order by 2026-02-26, 4 days late"
    )


def sold(supplier, resin, pack_g, price, least=1):
    Offer.objects.create(supplier=supplier, chemical=resin, pack_g=pack_g, least_packs=least, price=Decimal(price))


def test_resin_is_bought_in_the_drums_and_pails_that_cost_least_and_the_draft_says_which(
    planned, resin, supplier, owner
):
    sold(supplier, resin, 225_000, 700)
    planned.needs_resin(resin, 230_000, 20)
    assert [(line.buy, line.cost) for line in lines()] == [
        ("1 pack of 225.00 kg", Decimal(700)), ("1 pack of 25.00 kg", Decimal("95.50")),
    ]  # fmt: skip
    order = write_order(
        supplier=supplier, lines=[(line, line.packs) for line in lines()], expected_on=day(14),
        by=owner, at=NOON, key="draft",
    )  # fmt: skip
    written = sorted((line.pack_g, line.packs, line.price) for line in order.lines.all())
    assert written == [(25_000, 1, Decimal("95.50")), (225_000, 1, Decimal(700))]
    approve(order=order, by=owner, at=NOON)
    assert lines() == []


def test_drum_that_would_leave_more_to_die_than_a_pail_is_not_bought_though_it_is_cheaper(planned, resin, supplier):
    sold(supplier, resin, 225_000, 100)
    planned.needs_resin(resin, 100_000, 20)
    assert [line.buy for line in lines()] == ["4 packs of 25.00 kg"]


def test_drum_of_another_supplier_is_not_mixed_into_the_order(planned, resin):
    sold(make_supplier("Far Resins"), resin, 225_000, 1)
    planned.needs_resin(resin, 230_000, 20)
    assert [line.buy for line in lines()] == ["10 packs of 25.00 kg"]


def test_product_sold_only_as_offered_is_bought_so(planned, supplier):
    gelcoat = make_chemical("gelcoat", supplier=supplier)
    sold(supplier, gelcoat, 20_000, 150)
    planned.needs_resin(gelcoat, 30_000, 20)
    assert [(line.buy, line.cost) for line in lines()] == [("2 packs of 20.00 kg", Decimal(300))]


def test_drum_and_pail_of_one_order_are_both_counted_as_coming(planned, resin, supplier, owner):
    order = new_order(supplier=supplier, expected_on=day(10), by=owner, at=NOON, key="both")
    for pack_g in (225_000, 25_000):
        Ordered.objects.create(order=order, chemical=resin, pack_g=pack_g, packs=1, price=Decimal(9), reason="Hull")
    approve(order=order, by=owner, at=NOON)
    planned.needs_resin(resin, 250_000, 20)
    assert lines() == []
    planned.needs_resin(resin, 1_000, 21, "Deck")
    assert [line.reasons for line in lines()] == [("Deck: 1.00 kg short",)]
