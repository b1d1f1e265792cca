"""Which width to buy: planned work cut from new rolls of each size alone."""

from decimal import Decimal

import pytest

from shopstock import demand
from shopstock.demand import SizeAsSold
from tests.factories import TODAY, make_reinforcement, make_roll
from tests.jobs.factories import confirmed, simple_job


@pytest.fixture
def kind(db):
    return make_reinforcement(width_mm=1250, roll_length_mm=50_000)


def tried(kind, *widths_mm, length_mm=50_000, prices=()):
    return demand.try_sizes(kind.pk, [SizeAsSold(width, length_mm, prices) for width in widths_mm], TODAY)


def test_panels_of_a_wide_ply_by_width_of_roll_as_the_rules_of_overlaps_have_it(kind, owner):
    """Width 3.00 m with 50 mm overlaps: 4, 3, 3, 3 panels of 1.00, 1.25, 1.27, 1.50 m by a class society's rule of
    seams (n = ceil((B − o)/(b − o))), and 2 of 1.55 m.
    """
    simple_job(by=owner, reinforcement=kind, length_mm=10_000, width_mm=3_000, may_seam=True, overlap_mm=50)
    found = tried(kind, 1000, 1250, 1270, 1500, 1550)
    assert [row.panels for row in found] == [4, 3, 3, 3, 2]
    assert [row.length_mm for row in found] == [40_000, 30_000, 30_000, 30_000, 20_000]
    assert [row.rolls for row in found] == [1, 1, 1, 1, 1]


def test_waste_is_what_is_cut_and_not_laid_worked_by_hand(kind, owner):
    # two pieces of 0.60 m side by side in 5 m of 1.25 m: 6.25 m² cut, 6.00 m² laid; in 1.50 m 7.50 m²; alone in 1.00 m
    simple_job(by=owner, reinforcement=kind, length_mm=5_000, width_mm=600, count=2, may_turn=False, may_seam=False)
    assert [(row.length_mm, row.waste_percent) for row in tried(kind, 1000, 1250, 1500)] == [
        (10_000, Decimal("40.0")), (5_000, Decimal("4.0")), (5_000, Decimal("20.0")),
    ]  # fmt: skip


def test_rolls_are_whole_and_cost_what_so_many_cost(kind, owner):
    simple_job(by=owner, reinforcement=kind, length_mm=30_000, width_mm=1_200, count=3, may_seam=False)
    prices = ((1, Decimal(100)), (3, Decimal(80)))
    (row,) = tried(kind, 1250, prices=prices)
    assert (row.rolls, row.cost) == (3, Decimal(240))
    (longer,) = tried(kind, 1250, length_mm=60_000, prices=prices)
    assert (longer.rolls, longer.cost) == (2, Decimal(200))


@pytest.mark.parametrize(("width_mm", "length_mm"), [(900, 50_000), (1250, 20_000)])
def test_size_that_cannot_give_a_piece_says_why_and_costs_nothing(kind, owner, width_mm, length_mm):
    simple_job(by=owner, reinforcement=kind, length_mm=30_000, width_mm=1_200, may_seam=False, may_turn=False)
    (row,) = tried(kind, width_mm, length_mm=length_mm, prices=((1, Decimal(9)),))
    assert row.problem
    assert (row.panels, row.cost) == (0, None)


def test_what_is_set_aside_already_is_not_bought_again(kind, owner):
    make_roll(by=owner, reinforcement=kind)
    confirmed(simple_job(by=owner, reinforcement=kind, length_mm=10_000, width_mm=1_200), owner)
    (row,) = tried(kind, 1250)
    assert row.problem == "no planned job wants any of it now"


def test_pieces_that_fill_less_than_half_of_their_rolls_get_all_they_need(kind, owner):
    # 26 m by 0.70 m: one to a roll of 50 m by 1.25 m
    simple_job(by=owner, reinforcement=kind, length_mm=26_000, width_mm=700, count=20, may_seam=False, may_turn=False)
    (row,) = tried(kind, 1250)
    assert (row.problem, row.rolls, row.length_mm) == ("", 20, 520_000)
