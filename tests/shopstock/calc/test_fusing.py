"""Putting estimates together."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopstock.calc.fusing import FusingError, fuse
from shopstock.calc.uncertainty import Estimate

lengths = st.floats(1_000, 100_000)
doubts = st.floats(1, 3_000)
independent = st.lists(st.builds(Estimate, lengths, doubts), min_size=1, max_size=4)
sharing = st.lists(
    st.builds(lambda length, own, label: Estimate(length, own, {"label": label}), lengths, doubts, st.floats(0, 900)),
    min_size=1,
    max_size=4,
)


@given(independent)
def test_independent_estimates_together_are_surer_than_the_best_of_them(estimates):
    assert fuse(estimates).estimate.uncertainty_mm <= min(e.uncertainty_mm for e in estimates) * (1 + 1e-9)


@given(sharing)
def test_estimates_that_share_the_label_lie_between_the_least_and_the_most(estimates):
    found = fuse(estimates)
    together = [estimate.length_mm for estimate in estimates]
    assert min(together) - 1e-6 <= found.estimate.length_mm <= max(together) + 1e-6
    assert found.estimate.uncertainty_mm <= min(e.uncertainty_mm for e in estimates) * (1 + 1e-9)


def test_estimate_resting_on_the_same_evidence_as_a_better_one_is_left_out():
    better, worse = Estimate(35_129, 71, {"label": 202.8}), Estimate(35_400, 56.6, {"label": 317.5})
    assert fuse([worse, better]).weights == (0.0, 1.0)


def test_what_two_estimates_share_stays_in_the_result():
    shared = fuse([Estimate(100, 3, {"label": 10}), Estimate(100, 3, {"label": 10})]).estimate
    assert shared.shared_mm == {"label": pytest.approx(10)}
    assert shared.own_mm == pytest.approx(3 / 2**0.5)


def test_single_estimate_is_itself():
    alone = Estimate(35_000, 200)
    assert (fuse([alone]).estimate, fuse([alone]).agree) == (alone, True)


def test_estimates_that_contradict_each_other_do_not_agree():
    assert not fuse([Estimate(30_000, 1_000), Estimate(36_000, 1_000)]).agree


def test_contradiction_counts_although_one_estimate_is_left_out():
    better, worse = Estimate(30_000, 10, {"label": 100}), Estimate(36_000, 10, {"label": 300})
    found = fuse([better, worse])
    assert (found.weights, found.agree) == ((1.0, 0.0), False)


@pytest.mark.parametrize("estimates", [[], [Estimate(1, 1)] * 6, [Estimate(1, 0), Estimate(2, 0)]])
def test_estimates_that_cannot_be_weighed_are_refused(estimates):
    with pytest.raises(FusingError):
        fuse(estimates)
