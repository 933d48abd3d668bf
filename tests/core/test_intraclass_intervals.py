"""Intervals of intraclass correlation: quantiles beside another library, truth held."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx
from scipy.stats import f as f_of_scipy

from landmarks.agreement import intraclass
from landmarks.agreement.quantiles import f_quantile

freedom = st.floats(0.5, 2000)


@given(st.sampled_from((0.005, 0.025, 0.05, 0.5, 0.95, 0.975, 0.995)), freedom, freedom)
def test_quantiles_are_those_of_another_library(share, above, below):
    """Beside scipy.stats.f, whose own inversion is good to about 1e-8 here."""
    theirs = f_of_scipy.ppf(share, above, below)
    # Nearly all of a distribution of half a degree lies where a double has few digits left.
    ours = f_quantile(share, above, below)
    assert f_of_scipy.cdf(ours, above, below) == approx(share, rel=1e-6)
    assert ours == approx(theirs, rel=1e-5)


def test_there_is_no_quantile_outside_a_distribution():
    for share, above, below in ((0.0, 3, 3), (1.0, 3, 3), (0.5, 0, 3), (0.5, 3, -1)):
        with pytest.raises(ValueError, match="no quantile"):
            f_quantile(share, above, below)


@pytest.mark.parametrize(
    ("form", "bias_sd", "true"),
    [("one_random", 0.0, 0.8), ("two_random", 0.5, 4 / 5.25), ("two_fixed", 0.5, 0.8)],
)
def test_ninety_five_of_a_hundred_intervals_hold_the_truth(form, bias_sd, true):
    """Readings drawn from the model of each form: things of sd 2, readers, errors of sd 1."""
    hand = np.random.default_rng(79)
    n, k, held = 15, 4, 0
    for _ in range(800):
        rows = (
            2.0 * hand.standard_normal((n, 1))
            + bias_sd * hand.standard_normal((1, k))
            + hand.standard_normal((n, k))
        )
        low, high = intraclass(rows.tolist()).interval(form)
        held += low <= true <= high
    # 800 draws know a share of 95 % to 0.8 %; that of ICC(2,1) is an approximation.
    assert 0.925 <= held / 800 <= 0.975


def test_readings_without_any_error_leave_no_doubt():
    found = intraclass([(1.0, 1.0), (2.0, 2.0), (5.0, 5.0)])
    for form in ("one_random", "two_random", "two_fixed", "mean_two_random"):
        assert found.interval(form) == (1.0, 1.0)


def test_a_form_that_is_none_is_refused():
    found = intraclass([(1.0, 1.5), (2.0, 2.0), (5.0, 5.5)])
    with pytest.raises(ValueError, match="no form"):
        found.interval("three_fixed")
