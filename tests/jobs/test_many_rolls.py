"""Work that takes more new rolls than a store ever bought at once: counted to the last one."""

from shopstock import demand
from shopstock.to_order import order_lines
from tests.factories import TODAY, make_reinforcement
from tests.jobs.factories import simple_job


def thirty_metres(owner, count: int, **ply):
    """Pieces of which a roll of 50 m gives one."""
    kind = make_reinforcement(width_mm=1250, roll_length_mm=50_000)
    size = {"length_mm": 30_000, "width_mm": 1_200, "may_turn": False}
    return simple_job(by=owner, reinforcement=kind, count=count, **size, **ply)


def test_each_of_sixty_long_pieces_gets_its_roll(owner):
    thirty_metres(owner, 60)
    (use,) = demand.cloth_uses(TODAY)
    assert (use.new_rolls, use.new_mm, use.missing) == (60, 1_800_000, 0)


def test_as_many_rolls_are_bought_as_the_pieces_take(owner):
    thirty_metres(owner, 60)
    (short,) = demand.cloth_shortages(TODAY)
    assert (short.rolls, short.length_mm, short.pieces) == (60, 1_800_000, 60)
    assert [line.packs for line in order_lines(TODAY)] == [60]


def test_quoted_job_of_sixty_rolls_is_quoted_in_full(owner):
    type(thirty_metres(owner, 60)).objects.update(chance_percent=50)
    (use,) = demand.quoted_cloth(TODAY)
    assert (use.new_rolls, use.missing) == (60, 0)
