from datetime import date

import pytest

from shopstock.calc.issue_order import Need, Short
from shopstock.calc.order_lines import PacksToBuy, RollsToBuy, packs_to_buy, rolls_to_buy, whole

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
