"""Published agreement figures through our statistics.

Each case names its source and how we came by it: *read*, or *from memory and recomputed*.
"""

from math import sqrt
from statistics import correlation, fmean, stdev

import pytest
from pytest import approx

from landmarks.agreement import (
    Untold,
    alpha,
    cohen,
    cohen_of,
    drift,
    fleiss,
    intraclass,
    limits,
    repeatability,
    wilson,
)

# -- Shrout & Fleiss 1979, Psychological Bulletin 86: 420-428, table 2 --------------------
# Six targets, four judges. Data and results from memory, recomputed; the formulas were read
# in the manual of a statistics package.
JUDGES = [
    (9, 2, 5, 8),
    (6, 1, 3, 2),
    (8, 4, 6, 8),
    (7, 1, 2, 6),
    (10, 5, 6, 9),
    (6, 2, 4, 7),
]


def test_shrout_and_fleiss_mean_squares():
    found = intraclass(JUDGES)
    assert (found.between, found.within, found.readers, found.rest) == approx(
        (11.24, 6.26, 32.49, 1.02), abs=0.005
    )


def test_shrout_and_fleiss_six_forms():
    found = intraclass(JUDGES)
    single = found.one_random, found.two_random, found.two_fixed
    mean = found.mean_one_random, found.mean_two_random, found.mean_two_fixed
    assert single == approx((0.17, 0.29, 0.71), abs=0.005)
    assert mean == approx((0.44, 0.62, 0.91), abs=0.005)


def test_shrout_and_fleiss_intervals():
    """95 % intervals of the six forms as a statistics package prints them for this table.

    From memory of its manual, three places; the formulas are those of the paper's appendix.
    """
    found = intraclass(JUDGES)
    told = {
        "one_random": (-0.133, 0.723),
        "two_random": (0.019, 0.761),
        "two_fixed": (0.342, 0.946),
        "mean_one_random": (-0.884, 0.912),
        "mean_two_random": (0.071, 0.927),
        "mean_two_fixed": (0.676, 0.986),
    }
    for form, interval in told.items():
        assert found.interval(form) == approx(interval, abs=0.0006), form
        low, high = found.interval(form)
        assert low < getattr(found, form) < high
        assert found.interval(form, 0.9).low > low


def test_one_way_of_three_clusters():
    # The manual of the R package superb (read), recomputed.
    rows = [(2, 4, 4, 6), (4, 5, 8, 8), (5, 8, 9, 9)]
    assert intraclass(rows).one_random == approx(0.434343434, abs=1e-9)


# -- Bland & Altman 1986, Lancet 327: 307-310, peak expiratory flow of 17 subjects ----------
# Data and results from memory, recomputed.
LARGE_1 = [
    494,
    395,
    516,
    434,
    476,
    557,
    413,
    442,
    650,
    433,
    417,
    656,
    267,
    478,
    178,
    423,
    427,
]
LARGE_2 = [
    490,
    397,
    512,
    401,
    470,
    611,
    415,
    431,
    638,
    429,
    420,
    633,
    275,
    492,
    165,
    372,
    421,
]
MINI_1 = [
    512,
    430,
    520,
    428,
    500,
    600,
    364,
    380,
    658,
    445,
    432,
    626,
    260,
    477,
    259,
    350,
    451,
]
MINI_2 = [
    525,
    415,
    508,
    444,
    500,
    625,
    460,
    390,
    642,
    432,
    420,
    605,
    227,
    467,
    268,
    370,
    443,
]


def test_bland_and_altman_limits():
    # Large minus mini, the limits at two standard deviations as the paper has them.
    found = limits(MINI_1, LARGE_1, factor=2)
    assert (found.bias, found.sd) == approx((-2.1, 38.8), abs=0.05)
    assert (found.low, found.high) == approx((-79.65, 75.41), abs=0.01)
    assert found.bias_error == approx(9.4, abs=0.05)
    assert correlation(LARGE_1, MINI_1) == approx(0.94, abs=0.005)


def test_limits_at_the_exact_factor_are_narrower():
    assert limits(MINI_1, LARGE_1).high < limits(MINI_1, LARGE_1, factor=2).high


@pytest.mark.parametrize(
    ("first", "second", "tem", "printed"),
    [(LARGE_1, LARGE_2, 15.307, 43.2), (MINI_1, MINI_2, 19.911, 56.4)],
)
def test_bland_and_altman_repeats(first, second, tem, printed):
    # The technical errors are our own figure. The printed coefficients of repeatability are
    # remembered; they use the factor two, so within half of one per cent of ours.
    found = repeatability(first, second)
    assert found.tem == approx(tem, abs=0.001)
    assert 2 * sqrt(2) * found.tem == approx(printed, rel=0.005)


def test_reliability_is_one_less_the_share_of_error():
    found = repeatability(LARGE_1, LARGE_2)
    assert found.reliability == approx(1 - found.tem**2 / stdev(LARGE_1 + LARGE_2) ** 2)
    assert found.relative == approx(found.tem / fmean(LARGE_1 + LARGE_2))


# -- Kappa of two -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("table", "kappa"),
    [
        # Well-known worked examples, from memory, recomputed.
        ([[20, 5], [10, 15]], 0.4),
        ([[45, 15], [25, 15]], 0.1304),
        ([[25, 35], [5, 35]], 0.2593),
    ],
)
def test_kappa_of_two_by_two(table, kappa):
    assert cohen(table).value == approx(kappa, abs=5e-5)


# The test of the Python package statsmodels against a print-out of another package (read).
PRINT_OUT = [[0, 4, 1], [0, 8, 0], [0, 1, 5]]


def test_kappa_with_its_error():
    found = cohen(PRINT_OUT)
    assert (found.value, found.error) == approx((0.4842, 0.1380), abs=5e-5)
    assert (found.low, found.high) == approx((0.2137, 0.7547), abs=1e-4)


def test_linear_kappa_with_its_error():
    found = cohen(PRINT_OUT, "linear")
    assert (found.value, found.error) == approx((0.4701, 0.1457), abs=5e-5)


def test_quadratic_kappa_is_the_intraclass_correlation_of_large_samples():
    # Fleiss & Cohen 1973 (from memory): equal up to terms of one over n.
    table = [[500, 40, 3], [55, 700, 60], [2, 71, 569]]
    rows = [
        (i, j) for i, row in enumerate(table) for j, n in enumerate(row) for _ in range(n)
    ]
    assert cohen(table, "quadratic").value == approx(intraclass(rows).two_random, abs=1e-3)


def test_kappa_of_labels():
    # The docstring of cohen_kappa_score in scikit-learn (read).
    first = ["negative", "positive", "negative", "neutral", "positive"]
    second = ["negative", "positive", "negative", "neutral", "negative"]
    assert cohen_of(first, second).value == approx(0.6875)


# -- Kappa of many ------------------------------------------------------------------------


def test_fleiss_kappa_of_fourteen_readers():
    # A well-known worked example: data and result were read; where, was not noted.
    counts = [
        (0, 0, 0, 0, 14), (0, 2, 6, 4, 2), (0, 0, 3, 5, 6), (0, 3, 9, 2, 0), (2, 2, 8, 1, 1),
        (7, 7, 0, 0, 0), (3, 2, 6, 3, 0), (2, 5, 3, 2, 2), (6, 5, 2, 1, 0), (0, 2, 2, 3, 7),
    ]  # fmt: skip
    assert fleiss(counts) == approx(0.210, abs=0.0005)


# -- Krippendorff's alpha -----------------------------------------------------------------
# Krippendorff 2011: four readers, twelve things, gaps. From memory, recomputed with a package.
GAPS = [
    [1, 2, 3, 3, 2, 1, 4, 1, 2, None, None, None],
    [1, 2, 3, 3, 2, 2, 4, 1, 2, 5, None, 3],
    [None, 3, 3, 3, 2, 3, 4, 2, 2, 5, 1, None],
    [1, 2, 3, 3, 2, 4, 4, 1, 2, 5, 1, None],
]


@pytest.mark.parametrize(
    ("metric", "value"),
    [("nominal", 0.743), ("ordinal", 0.815), ("interval", 0.849), ("ratio", 0.797)],
)
def test_krippendorff_alpha_with_gaps(metric, value):
    assert alpha(GAPS, metric) == approx(value, abs=0.0005)


# -- Shares -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("found", "of", "low", "high"),
    [
        # Newcombe 1998, Statistics in Medicine 17: 857-872, table I. From memory, recomputed.
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilson_interval(found, of, low, high):
    assert wilson(found, of) == approx((low, high), abs=5e-5)


def test_wilson_refuses_what_is_no_share():
    with pytest.raises(ValueError, match="no share"):
        wilson(3, 2)


# -- What cannot be told ------------------------------------------------------------------


@pytest.mark.parametrize(
    "found",
    [
        repeatability([1.0], [1.0]),
        limits([1.0, 2.0], [1.0, 2.0]),
        intraclass([(1.0, 2.0)]),
        intraclass([(2.0, 2.0), (2.0, 2.0)]),
        cohen([[5, 0], [0, 0]]),
        cohen([[5]]),
        cohen_of([], []),
        fleiss([(3, 0), (3, 0)]),
        alpha([[1.0, None], [None, 2.0]]),
        alpha([[1.0, 1.0], [1.0, 1.0]]),
        drift([1.0, 1.0, 1.0, 1.0], [0.1, 0.2, 0.1, 0.3]),
        drift([1.0], [0.1]),
    ],
)
def test_what_data_do_not_tell_is_said_and_never_a_number(found):
    assert isinstance(found, Untold)
    assert str(found.why)


def test_drift_is_the_slope_of_the_differences():
    times = [0.0, 1.0, 2.0, 3.0, 4.0]
    found = drift(times, [0.1, 0.3, 0.5, 0.7, 0.9])
    assert found.slope == approx(0.2)
    assert found.seen
    assert not drift(times, [0.1, -0.1, 0.0, 0.1, -0.1]).seen
