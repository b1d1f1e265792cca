"""Jobs that may come: counted with their chance, and rolls or packs for them picked by what being wrong costs."""

from decimal import Decimal

import pytest
from django.urls import reverse

from shopstock.demand import ClothUse, ResinNeed
from shopstock.models import Shop
from shopstock.to_order import order_lines
from shopstock.to_order_cloth import cloth_may_come
from shopstock.to_order_resin import resin_may_come
from tests.factories import (
    TODAY,
    make_chemical,
    make_container,
    make_reinforcement,
    make_roll,
    make_supplier,
    make_sure,
)
from tests.shopstock.demand_source import day

QUOTES = (("Skiff 20", 20_000, 80), ("Skiff 21", 35_000, 50), ("Skiff 22", 50_000, 30))  # maths of quoted jobs, O19


@pytest.fixture
def supplier(db):
    return make_supplier(lead_time_days=14)


@pytest.fixture
def roving(supplier):
    """A metre costs 6.00."""
    return make_reinforcement("roving", supplier=supplier, roll_length_mm=50_000, price_per_roll=Decimal("300"))


@pytest.fixture
def costs(db):
    """A metre short costs 6.00, one too many a sixth of it: 1.00."""
    shop = Shop.current()
    shop.short_percent, shop.keeping_percent = 100, Decimal("16.7")
    shop.save()


def quote(planned, kind, quotes=QUOTES):
    for number, (name, mm, chance) in enumerate(quotes):
        planned.uses.append(ClothUse(kind.pk, day(30 + number), name, number + 1, new_mm=mm, chance_percent=chance))


def test_rolls_for_quoted_jobs_are_bought_with_the_reason_and_the_money_beside(planned, roving, costs):
    quote(planned, roving)
    (line,) = order_lines(TODAY)
    assert (line.packs, line.needed_on, line.order_by.day) == (2, day(30), day(16))
    # 291.00 for none and 55.70 for two rolls at 6.00 and 1.00 a metre; here 1.002 for one too many
    assert line.reasons == (
        "May come: Skiff 20 (80 %), Skiff 21 (50 %), Skiff 22 (30 %). "
        "Having 2 rolls for them costs least on average, 55.80 EUR; none for them 291.00 EUR",
    )


def test_what_planned_jobs_leave_on_the_racks_serves_quoted_jobs_first(planned, roving, costs, clerk):
    make_sure(make_roll(by=clerk, reinforcement=roving, length_mm=45_000))
    planned.uses.append(ClothUse(roving.pk, day(9), "Firm", 9, here_mm=10_000))
    quote(planned, roving)
    found = cloth_may_come(roving, TODAY, None)
    assert (found.left, found.mean) == (35_000, 48_500)
    assert [line.packs for line in order_lines(TODAY)] == [1]


def test_enough_on_the_racks_orders_nothing_for_quoted_jobs(planned, roving, costs, clerk):
    for _ in range(3):
        make_sure(make_roll(by=clerk, reinforcement=roving, length_mm=50_000))
    quote(planned, roving)
    assert order_lines(TODAY) == []


def test_unlikely_job_alone_is_not_bought_for(planned, roving, costs):
    quote(planned, roving, [("Far off", 50_000, 10)])
    assert order_lines(TODAY) == []


def test_number_is_picked_without_a_price_too_but_no_money_is_shown(planned, roving, costs):
    roving.price_per_roll = None
    roving.save()
    quote(planned, roving)
    (line,) = order_lines(TODAY)
    assert (line.packs, line.cost) == (2, None)
    assert line.reasons[0].endswith("2 rolls for them costs least on average")


def test_roll_bought_for_a_planned_job_gives_what_it_has_over(planned, roving, costs):
    planned.short_of(roving, rolls=1, length_mm=10_000, needed_on=day(20))
    planned.uses.append(ClothUse(roving.pk, day(20), "Hull 7", 1, new_mm=10_000, new_rolls=1))
    quote(planned, roving, [("Skiff 23", 40_000, 90)])
    (line,) = order_lines(TODAY)
    assert (line.packs, len(line.reasons)) == (1, 1)


def test_more_quotes_than_can_be_put_together_say_so(planned, roving):
    quote(planned, roving, [(f"Skiff {number}", 1_000, 50) for number in range(17)])
    assert "17 quoted jobs of one material" in cloth_may_come(roving, TODAY, None).problem


def test_packs_of_resin_for_quoted_jobs_count_what_is_in_date_then(planned, supplier, clerk):
    resin = make_chemical(supplier=supplier, pack_g=25_000, price_per_pack=Decimal("100"), shelf_life_days=400)
    make_container(by=clerk, chemical=resin, mass_g=20_000, label_date=day(60))
    make_container(by=clerk, chemical=resin, mass_g=20_000, label_date=day(10))  # dead by then
    planned.quoted.append(ResinNeed(resin.pk, 40_000, day(30), "Skiff 20", 70))
    assert (resin_may_come(resin, TODAY).left, [line.packs for line in order_lines(TODAY)]) == (20_000, [1])


def test_resin_that_dies_within_a_year_is_bought_for_likely_jobs_only(planned, supplier):
    resin = make_chemical(supplier=supplier, pack_g=25_000, price_per_pack=Decimal("100"), shelf_life_days=180)
    planned.quoted.append(ResinNeed(resin.pk, 20_000, day(30), "Skiff 20", 40))
    assert order_lines(TODAY) == []
    planned.quoted[0] = ResinNeed(resin.pk, 25_000, day(30), "Skiff 20", 60)
    assert [line.packs for line in order_lines(TODAY)] == [1]


def test_nothing_is_bought_for_a_quote_that_no_order_could_serve_in_time(planned, roving, costs):
    planned.uses.append(ClothUse(roving.pk, day(13), "Soon", 1, new_mm=40_000, chance_percent=90))
    assert (order_lines(TODAY), cloth_may_come(roving, TODAY, None).too_soon[0].job) == ([], "Soon")
    planned.uses.append(ClothUse(roving.pk, day(14), "In time", 2, new_mm=40_000, chance_percent=90))
    assert [line.packs for line in order_lines(TODAY)] == [1]


@pytest.mark.parametrize(("short", "says"), [("-1", "Enter 0 or more."), ("6", "2 rolls at these costs")])
def test_other_costs_are_tried_on_the_page_and_wrong_ones_said_at_their_field(
    client, owner, planned, roving, costs, short, says
):
    quote(planned, roving)
    client.force_login(owner)
    shown = client.get(reverse("cloth-outlook", args=[roving.pk]), {"short": short, "over": "1"}).content.decode()
    assert (says in shown, "Say what a roll holds" in shown) == (True, False)
