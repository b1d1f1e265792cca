from datetime import date
from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shopstock.calc.issue_order import Need, Short
from shopstock.calc.order_lines import (
    PackSize,
    PacksToBuy,
    RollsToBuy,
    cheapest_packs,
    packs_to_buy,
    rolls_to_buy,
    whole,
)

MARCH, DECEMBER = date(2026, 3, 1), date(2026, 12, 1)


@pytest.mark.parametrize(("quantity", "lots"), [(0, 0), (1, 1), (50, 1), (51, 2)])
def test_whole_lots_cover_the_quantity(quantity, lots):
    assert whole(quantity, 50) == lots


def buy(**figures) -> RollsToBuy:
    values = {"job_rolls": 0, "job_short_mm": 0, "free_mm": 0, "minimum_mm": 0, "roll_length_mm": 50_000}
    return rolls_to_buy(**(values | figures))


def test_rolls_of_the_worked_example():
    assert buy(job_rolls=1, job_short_mm=41_000, free_mm=12_000, minimum_mm=30_000) == RollsToBuy(1, 1)


def test_what_bought_rolls_have_over_counts_towards_the_minimum():
    assert buy(job_rolls=1, job_short_mm=10_000, free_mm=0, minimum_mm=40_000) == RollsToBuy(1, 0)


def test_rolls_are_not_bought_at_the_minimum_and_are_one_millimetre_below():
    assert buy(free_mm=30_000, minimum_mm=30_000).rolls == 0
    assert buy(free_mm=29_999, minimum_mm=30_000).rolls == 1


def short(mass_g: int, day: date, job: str) -> Short:
    return Short(mass_g, Need(99_000, day, job))


def test_packs_of_the_worked_example_are_two_orders():
    needs = [short(10_000, DECEMBER, "Deck 2"), short(30_000, MARCH, "Hull 7")]
    assert packs_to_buy(needs, pack_g=25_000, shelf_life_days=180) == [
        PacksToBuy(30_000, 2, MARCH, ("Hull 7",)),
        PacksToBuy(10_000, 1, DECEMBER, ("Deck 2",)),
    ]


def test_packs_of_one_order_serve_what_falls_inside_their_life():
    needs = [short(10_000, date(2026, 8, 28), "Deck 2"), short(12_000, MARCH, "Hull 7"), short(1, MARCH, "Hull 7")]
    assert packs_to_buy(needs, pack_g=25_000, shelf_life_days=180) == [
        PacksToBuy(22_001, 1, MARCH, ("Hull 7", "Deck 2"))
    ]


def test_packs_of_unknown_size_and_life_are_one_mass():
    needs = [short(10_000, DECEMBER, "Deck 2"), short(30_000, MARCH, "Hull 7")]
    assert packs_to_buy(needs, pack_g=None, shelf_life_days=None) == [
        PacksToBuy(40_000, None, MARCH, ("Hull 7", "Deck 2"))
    ]


def test_nothing_short_is_nothing_to_buy():
    assert packs_to_buy([], pack_g=25_000, shelf_life_days=180) == []


DRUM, PAIL = PackSize(225_000, ((1, Decimal(700)),)), PackSize(25_000, ((1, Decimal(95)),))


@pytest.mark.parametrize(
    ("needed_kg", "sizes", "packs"),
    [
        (230, [PAIL, DRUM], {225_000: 1, 25_000: 1}),
        (200, [PAIL, DRUM], {25_000: 8}),  # a drum is cheaper, and leaves what dies
        (225, [PAIL, DRUM], {225_000: 1}),
        (1, [PAIL], {25_000: 1}),
        (100, [PAIL, PackSize(50_000, ((1, Decimal(190)),))], {50_000: 2}),  # equal in money: fewer to carry
        (100, [PackSize(25_000, ((1, Decimal(95)), (4, Decimal(80)))), PackSize(50_000, ((1, Decimal(170)),))],
         {25_000: 4}),
    ],
)  # fmt: skip
def test_drums_and_pails_cover_the_need_for_the_least_money(needed_kg, sizes, packs):
    assert cheapest_packs(needed_kg * 1000, sizes) == packs


@settings(max_examples=60, deadline=None)
@given(
    needed=st.integers(1, 90),
    contents=st.lists(st.integers(1, 40), min_size=1, max_size=3, unique=True),
    prices=st.lists(st.integers(0, 60), min_size=3, max_size=3),
)
def test_packs_are_the_cheapest_of_all_ways_that_bring_no_more_than_the_smallest_pack_would(needed, contents, prices):
    sizes = [PackSize(content, ((1, Decimal(price)),)) for content, price in zip(contents, prices, strict=False)]
    most = -(-needed // min(contents)) * min(contents)
    found = cheapest_packs(needed, sizes)
    ways = [
        sum((size.cost(count) for size, count in zip(sizes, counts, strict=True)), Decimal(0))
        for counts in product(*(range(most // size.content_g + 1) for size in sizes))
        if needed <= sum(size.content_g * count for size, count in zip(sizes, counts, strict=True)) <= most
    ]
    assert needed <= sum(content * count for content, count in found.items()) <= most
    assert sum(size.cost(found.get(size.content_g, 0)) for size in sizes) == min(ways)
