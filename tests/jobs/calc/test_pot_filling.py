import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.calc.pot_filling import Pot, Share, fill_pots


def test_pots_are_filled_in_the_order_of_laying():
    assert fill_pots([(1, 100.0), (2, 50.0)], 2) == [
        Pot(75, (Share(1, 75),)),
        Pot(75, (Share(1, 25), Share(2, 50))),
    ]


def test_25_pots_of_the_worked_job_hold_1452_g_each():
    assert {pot.mass_g for pot in fill_pots([(1, 36_300.0)], 25)} == {1452}


def test_no_pot_is_refused():
    with pytest.raises(ValueError, match="at least one pot"):
        fill_pots([(1, 100.0)], 0)


@given(st.lists(st.floats(0, 50_000), min_size=1, max_size=8), st.integers(1, 30))
def test_grams_of_pots_and_of_plies_add_up(masses, count):
    wanted = list(enumerate(masses))
    pots = fill_pots(wanted, count)
    assert sum(pot.mass_g for pot in pots) == round(sum(masses))
    assert all(pot.mass_g == sum(share.mass_g for share in pot.shares) for pot in pots)
    given_to = [sum(s.mass_g for pot in pots for s in pot.shares if s.key == key) for key, _ in wanted]
    assert all(abs(got - mass) <= 1 for got, (_, mass) in zip(given_to, wanted, strict=True))
    assert max((pot.mass_g for pot in pots), default=0) - min((pot.mass_g for pot in pots), default=0) <= 1
