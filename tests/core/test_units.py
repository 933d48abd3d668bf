"""Quantities carry their doubt by cause, to first order, with every correlation."""

from math import cos, hypot, inf, sin, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from landmarks.units import (
    Cause,
    Quantity,
    correlated,
    correlation,
    covariance,
    exact,
    hypotenuse,
    linear,
    minus,
    over,
    plus,
    scaled,
    times,
    uncertain,
)

EXACT = 1e-12  # Rounding of a few floating-point steps, as a share.

numbers = st.floats(-1e3, 1e3).filter(lambda x: abs(x) > 1e-3)
doubts = st.just(0.0) | st.floats(1e-6, 10)
parts = doubts | doubts.map(lambda part: -part)
causes = st.sampled_from([Cause("ruler", "a"), Cause("ruler", "b"), Cause("placing", "a")])


@st.composite
def quantities(draw, unit="mm"):
    budget = draw(st.dictionaries(causes, parts, max_size=3))
    return Quantity(draw(numbers), unit, budget)


# -- Laws ------------------------------------------------------------------------------


@given(quantities())
def test_a_quantity_less_itself_is_exactly_nothing(a):
    gone = minus(a, a)
    assert gone.value == 0
    assert gone.sigma == 0


@given(quantities())
def test_a_quantity_over_itself_is_exactly_one(a):
    one = over(a, a)
    assert one.value == 1
    assert one.sigma == approx(0, abs=EXACT * a.relative)


@given(quantities(), quantities())
def test_adding_and_taking_away_again_gives_the_same_quantity(a, b):
    back = minus(plus(a, b), b)
    assert back.value == approx(a.value, abs=1e-9)
    for cause in a.budget.keys() | b.budget.keys():
        assert back.budget.get(cause, 0) == approx(a.budget.get(cause, 0), abs=1e-9)


@given(quantities(), quantities())
def test_order_does_not_matter_to_sums_and_products(a, b):
    assert plus(a, b) == plus(b, a)
    assert times(a, b, "mm²") == times(b, a, "mm²")


@given(quantities(), quantities())
def test_variance_of_a_sum_is_that_of_the_parts_and_twice_their_covariance(a, b):
    both = plus(a, b).sigma ** 2
    assert both == approx(a.sigma**2 + b.sigma**2 + 2 * covariance(a, b), abs=1e-8)


@given(quantities(), quantities())
def test_correlation_lies_between_minus_one_and_one(a, b):
    assert -1 - EXACT <= correlation(a, b) <= 1 + EXACT
    assert correlation(a, b) == approx(correlation(b, a), abs=EXACT)


@given(quantities(), numbers)
def test_a_factor_changes_no_correlation_but_its_sign(a, factor):
    made = scaled(a, factor)
    assert made.sigma == approx(abs(factor) * a.sigma, rel=1e-9)
    if a.sigma:
        assert correlation(a, made) == approx(1 if factor > 0 else -1, abs=1e-9)


@given(quantities())
def test_kinds_of_causes_make_up_the_whole_doubt(a):
    kinds = a.by_kind().values()
    assert sqrt(sum(part * part for part in kinds)) == approx(a.sigma, abs=1e-9)


@given(numbers, numbers, doubts, doubts)
def test_products_and_quotients_have_the_slopes_of_a_small_step(x, y, u, v):
    a, b = uncertain(x, u, "mm", Cause("a")), uncertain(y, v, "mm", Cause("b"))
    step = 1e-4  # of each value: the second order is then below a millionth
    for made, at in (
        (times(a, b, "mm²"), lambda x, y: x * y),
        (over(a, b), lambda x, y: x / y),
        (hypotenuse(a, b), hypot),
    ):
        by_a = (at(x * (1 + step), y) - at(x * (1 - step), y)) / (2 * step * x)
        by_b = (at(x, y * (1 + step)) - at(x, y * (1 - step))) / (2 * step * y)
        # Next to a thousand, a thousandth leaves the difference a millionth of rounding.
        assert made.budget.get(Cause("a"), 0) == approx(u * by_a, rel=1e-5, abs=1e-5 * u)
        assert made.budget.get(Cause("b"), 0) == approx(v * by_b, rel=1e-5, abs=1e-5 * v)


@given(st.lists(st.lists(st.floats(-3, 3), min_size=3, max_size=3), min_size=3, max_size=3))
def test_a_covariance_matrix_is_given_back_as_it_was(rows):
    matrix = np.array(rows) @ np.array(rows).T + np.eye(3)
    made = correlated([1, 2, 3], matrix.tolist(), ["V", "mA", "rad"], "readings")
    for i in range(3):
        for j in range(3):
            assert covariance(made[i], made[j]) == approx(matrix[i, j], abs=1e-9)


# -- Cases -----------------------------------------------------------------------------


def test_independent_doubts_add_as_squares():
    a = uncertain(10, 3, "mm", Cause("a"))
    b = uncertain(20, 4, "mm", Cause("b"))
    assert plus(a, b).sigma == 5
    assert minus(a, b).sigma == 5


def test_a_shared_doubt_adds_in_full_and_cancels_in_full():
    a = uncertain(10, 3, "mm", Cause("ruler"))
    b = uncertain(20, 4, "mm", Cause("ruler"))
    assert plus(a, b).sigma == 7
    assert minus(b, a).sigma == 1
    assert correlation(a, b) == 1


def test_a_quantity_without_doubt_stays_without():
    assert exact(3, "mm").sigma == 0
    assert uncertain(3, 0, "mm", Cause("a")).budget == {}
    assert correlation(exact(3), uncertain(3, 1, "", Cause("a"))) == 0


def test_a_true_zero_has_no_relative_doubt_but_a_doubtful_zero_has_all():
    assert exact(0.0).relative == 0
    assert uncertain(0.0, 1.0, "mm", Cause("a")).relative == inf


def test_units_that_differ_are_never_added():
    with pytest.raises(ValueError, match=r"'mm'.*'px'"):
        plus(exact(1, "mm"), exact(1, "px"))


def test_dividing_by_zero_is_an_error_and_no_number():
    with pytest.raises(ZeroDivisionError):
        over(exact(1), exact(0))


def test_at_the_zero_vector_the_doubt_of_both_legs_is_kept():
    legs = [uncertain(0, 3, "px", Cause("a")), uncertain(0, 4, "px", Cause("b"))]
    assert hypotenuse(*legs).sigma == 5


def test_a_slope_of_nothing_brings_no_cause():
    a = uncertain(2, 1, "mm", Cause("a"))
    assert linear(5, "mm", ((0.0, a),)).budget == {}


def test_first_order_agrees_with_a_simulation_of_correlated_numbers():
    """One per cent of 200,000 draws is six of their standard errors: enough room."""
    turn = uncertain(0.7, 0.01, "rad", Cause("turn"))
    length = uncertain(100, 0.5, "mm", Cause("length"))
    x = linear(100 * cos(0.7), "mm", ((cos(0.7), length), (-100 * sin(0.7), turn)))
    y = linear(100 * sin(0.7), "mm", ((sin(0.7), length), (100 * cos(0.7), turn)))
    draw = np.random.default_rng(1)
    angles, lengths = draw.normal(0.7, 0.01, 200_000), draw.normal(100, 0.5, 200_000)
    simulated = np.array([lengths * np.cos(angles), lengths * np.sin(angles)])
    assert x.sigma == approx(simulated[0].std(), rel=0.01)
    assert y.sigma == approx(simulated[1].std(), rel=0.01)
    assert correlation(x, y) == approx(np.corrcoef(simulated)[0, 1], abs=0.01)
