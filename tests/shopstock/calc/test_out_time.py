from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopstock.calc.out_time import OutTimeError, Spell, hours_out, inherited, out_time

START = datetime(2026, 1, 1, tzinfo=UTC)


def at(hours: float) -> datetime:
    return START + timedelta(hours=hours)


def test_spell_that_lasts_counts_up_to_now():
    found = out_time([Spell(at(0), at(100)), Spell(at(200))], 500, at(250))
    assert (found.used_h, found.left_h, found.is_out) == (150, 350, True)
    assert found.ends_on(at(250)) == at(600).date()


def test_frozen_roll_with_time_left_has_no_day_on_which_it_ends():
    assert out_time([Spell(at(0), at(100))], 500, at(250)).ends_on(at(250)) is None


def test_roll_out_of_time_ended_before_today():
    assert out_time([Spell(at(0), at(500))], 500, at(600)).ends_on(at(600)) < at(600).date()


def test_spell_that_ends_before_it_begins_is_refused():
    with pytest.raises(OutTimeError, match="back before it went out|came back before"):
        hours_out([Spell(at(5), at(4))], at(9))


@given(st.lists(st.integers(0, 200), min_size=1, max_size=6), st.integers(0, 2000))
def test_offcut_takes_over_exactly_what_its_roll_had_used_at_that_moment(lengths, cut_h):
    spells, start = [], 0
    for length in lengths:
        spells.append(Spell(at(start), at(start + length)))
        start += length + 24
    assert hours_out(inherited(spells, at(cut_h)), at(cut_h)) == hours_out(spells, at(cut_h))
