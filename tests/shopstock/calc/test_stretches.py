"""Clean stretches of a roll and strips cut from them in order."""

from itertools import combinations_with_replacement

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopstock.calc.stretches import (
    FaultError,
    clean_stretches,
    longest_clean_stretch,
    merged_fault_length,
    place_each,
)


@pytest.mark.parametrize(
    ("faults", "clean"),
    [
        ([], [(0, 10000)]),
        ([(2000, 2500)], [(0, 7500), (8000, 10000)]),
        ([(0, 500)], [(0, 9500)]),
        ([(9500, 10000)], [(500, 10000)]),
        ([(9500, 12000)], [(500, 10000)]),
        ([(11000, 12000)], [(0, 10000)]),
        ([(2000, 2500), (2400, 3000)], [(0, 7000), (8000, 10000)]),
        ([(5000, 5000)], [(0, 5000), (5000, 10000)]),
        ([(0, 10000)], []),
    ],
)
def test_clean_stretches_lie_between_faults_from_the_free_end(faults, clean):
    assert clean_stretches(10000, faults) == clean


def test_fault_keeps_its_place_on_the_roll_when_the_free_end_is_cut():
    assert clean_stretches(9000, [(2000, 2500)]) == [(0, 6500), (7000, 9000)]


def test_overlapping_faults_are_counted_once():
    assert merged_fault_length(10000, [(2000, 2500), (2400, 3000)]) == 1000


def test_longest_piece_is_the_longest_stretch():
    assert longest_clean_stretch(10000, [(2000, 2500)]) == 7500


def test_empty_roll_has_no_piece():
    assert longest_clean_stretch(0, []) == 0


@pytest.mark.parametrize("fault", [(3000, 2000), (-1, 100)])
def test_fault_that_makes_no_sense_is_refused(fault):
    with pytest.raises(FaultError):
        clean_stretches(10000, [fault])


def test_strip_never_lies_across_a_splice():
    halves = [(0, 5000), (5000, 10000)]
    assert place_each([(4000, halves), (4000, halves)]) == [0, 5000]


def test_strips_that_do_not_fit_in_order_are_refused():
    stretches = [(0, 7500), (8000, 13000)]
    assert place_each([(length, stretches) for length in (4000, 5000, 500)]) is None


faults = st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)).map(sorted).map(tuple), max_size=4)


@given(st.integers(0, 50), faults)
def test_clean_and_faulty_lengths_make_up_the_roll(length, faults):
    clean = sum(end - start for start, end in clean_stretches(length, faults))
    assert clean + merged_fault_length(length, faults) == length


@given(st.integers(0, 50), faults)
def test_no_clean_millimetre_lies_in_a_fault(length, faults):
    for start, end in clean_stretches(length, faults):
        for at in range(start, end):
            from_core = length - at - 1
            assert not any(low <= from_core < high for low, high in faults)


@given(st.integers(1, 12), faults, st.lists(st.integers(1, 5), max_size=3))
def test_fitting_in_order_agrees_with_trying_every_place(length, faults, strips):
    stretches = clean_stretches(length, faults)
    fits = place_each((strip, stretches) for strip in strips) is not None
    assert fits == _some_way_fits(length, strips, stretches)


def _some_way_fits(length, strips, stretches):
    def inside(start, strip):
        return any(low <= start and start + strip <= high for low, high in stretches)

    return any(
        all(inside(start, strip) for start, strip in zip(starts, strips, strict=True))
        and all(a + strip <= b for a, strip, b in zip(starts, strips, starts[1:], strict=False))
        for starts in combinations_with_replacement(range(length + 1), len(strips))
    )
