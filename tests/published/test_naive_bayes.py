"""With no reading error, no tempering and normal densities the engine is a textbook naive Bayes.

Numbers of the weather table: from the well-known 14 rows (Quinlan's play-golf data, values
recomputed from the rows). Iris: scikit-learn's GaussianNB and CategoricalNB, run beside it.
"""

from __future__ import annotations

from math import log2, sqrt
from statistics import mean, stdev

import pytest
from pytest import approx

from landmarks.identification import TEXTBOOK, weigh
from landmarks.identification.densities import Z95
from landmarks.identification.evidence import gather
from landmarks.identification.looking import prospects
from landmarks.observations import Circumstances, Scored, Taken
from tests.core.guides import guide, measured, number, often, regions, scored

HEADINGS = ("outlook", "temperature", "humidity", "wind", "play")
WEATHER = [
    dict(zip(HEADINGS, row.split(), strict=True))
    for row in """\
sunny hot high weak no
sunny hot high strong no
overcast hot high weak yes
rain mild high weak yes
rain cool normal weak yes
rain cool normal strong no
overcast cool normal strong yes
sunny mild high weak no
sunny cool normal weak yes
rain mild normal weak yes
sunny mild normal strong yes
overcast mild high strong yes
overcast hot normal weak yes
rain mild high strong no""".splitlines()
]
TEMPERATURES = (85, 80, 83, 70, 68, 65, 64, 72, 69, 75, 75, 72, 81, 71)
HUMIDITIES = (85, 90, 86, 96, 80, 70, 65, 95, 70, 80, 70, 90, 75, 91)
HERE = Circumstances(region="here")


def words(column):
    return sorted({row[column] for row in WEATHER})


def share(column, value, play, smoothing=0):
    own = [row for row in WEATHER if row["play"] == play]
    n = sum(row[column] == value for row in own) + smoothing
    return n / (len(own) + smoothing * len(words(column)))


def days(play):
    return sum(row["play"] == play for row in WEATHER)


def weather(smoothing=0, columns=HEADINGS[:4], more=(), cells=()):
    """Return the table as a guide whose two taxa are yes and no; the prior is their shares."""
    characters = [scored(column, *words(column), ordered=False) for column in columns]
    counts = [
        often(play, column, value, share(column, value, play, smoothing))
        for play in ("yes", "no")
        for column in columns
        for value in words(column)
    ]
    prior = regions(here={play: days(play) / len(WEATHER) for play in ("yes", "no")})
    settings = TEXTBOOK
    return guide(
        "yes no", [*characters, *more], [*counts, *cells], _unfloored(settings), **prior
    )


def _unfloored(settings):
    from dataclasses import replace

    return replace(settings, share_floor=0.0)


def day(**seen):
    return [Scored(column, value) for column, value in seen.items()]


SUNNY = day(outlook="sunny", temperature="cool", humidity="high", wind="strong")


def test_information_gains_of_the_weather_table():
    # Read in several lecture pages, recomputed: .2467 .1518 .0481 .0292 of .940286 bits.
    one = weather()
    evidence = gather(one, [], HERE)
    prior = weigh(one, [], HERE)
    assert -sum(p * log2(p) for p in prior) == approx(0.940286, abs=5e-7)
    gains = {p.character.key: p.bits for p in prospects(one, evidence, prior)}
    assert [gains[key] for key in ("outlook", "humidity", "wind", "temperature")] == approx(
        [0.2467, 0.1518, 0.0481, 0.0292], abs=5e-5
    )
    assert list(gains) == ["outlook", "humidity", "wind", "temperature"]


def test_naive_bayes_of_a_sunny_cool_high_strong_day():
    assert weigh(weather(), SUNNY, HERE) == approx((0.205, 0.795), abs=5e-4)
    by_hand = {
        play: days(play)
        / 14
        * share("outlook", "sunny", play)
        * share("temperature", "cool", play)
        * share("humidity", "high", play)
        * share("wind", "strong", play)
        for play in ("yes", "no")
    }
    assert list(by_hand.values()) == approx([0.00529, 0.02057], abs=5e-6)
    whole = sum(by_hand.values())
    assert weigh(weather(), SUNNY, HERE) == approx(
        tuple(one / whole for one in by_hand.values()), abs=1e-9
    )


def test_laplace_smoothing_of_the_cells_leaves_the_prior_unsmoothed():
    assert weigh(weather(1), SUNNY, HERE) == approx((0.280, 0.720), abs=5e-4)


def test_unknown_outlook_is_dropped():
    assert weigh(weather(), SUNNY[1:], HERE) == approx((0.410, 0.590), abs=5e-4)


def test_numeric_weather_with_the_sample_standard_deviation():
    # .208/.792 with n - 1; older editions of the textbook print .209/.791.
    found = {"temperature": TEMPERATURES, "humidity": HUMIDITIES}
    characters = [measured(key, "count") for key in found]
    cells = [
        normal(play, key, mean(own), stdev(own))
        for key, column in found.items()
        for play in ("yes", "no")
        for own in [[x for x, r in zip(column, WEATHER, strict=True) if r["play"] == play]]
    ]
    one = weather(columns=("outlook", "wind"), more=characters, cells=cells)
    seen = [
        *day(outlook="sunny", wind="strong"),
        Taken("temperature", 66, 0.0),
        Taken("humidity", 90, 0.0),
    ]
    assert weigh(one, seen, HERE) == approx((0.208, 0.792), abs=5e-4)


def test_height_weight_and_foot_of_eight_people():
    # The encyclopaedia's example: joint densities 6.197e-9 and 5.378e-4 at equal priors.
    people = {
        "male": [(6, 180, 12), (5.92, 190, 11), (5.58, 170, 12), (5.92, 165, 10)],
        "female": [(5, 100, 6), (5.5, 150, 8), (5.42, 130, 7), (5.75, 150, 9)],
    }
    keys = ("height", "weight", "foot")
    cells = [
        normal(sex, key, mean(column), stdev(column))
        for sex, rows in people.items()
        for key, column in zip(keys, zip(*rows, strict=True), strict=True)
    ]
    one = guide("male female", [measured(key) for key in keys], cells, TEXTBOOK)
    test = [Taken(key, x, 0.0) for key, x in zip(keys, (6, 130, 8), strict=True)]
    male, female = weigh(one, test)
    assert male / female == approx(6.197e-9 / 5.378e-4, rel=3e-4)


def normal(taxon, key, middle, sigma):
    return number(taxon, key, middle - Z95 * sigma, middle, middle + Z95 * sigma)


@pytest.fixture(scope="module")
def iris():
    datasets = pytest.importorskip(
        "sklearn.datasets", reason="scikit-learn is not installed"
    )
    return datasets.load_iris()


def test_iris_by_gaussian_naive_bayes_to_a_billionth(iris):
    from sklearn.naive_bayes import GaussianNB

    model = GaussianNB(priors=[1 / 3] * 3).fit(iris.data, iris.target)
    names = [f"c{i}" for i in range(4)]
    cells = [
        normal(f"t_{t}", name, model.theta_[t][i], sqrt(model.var_[t][i]))
        for t in range(3)
        for i, name in enumerate(names)
    ]
    one = guide("t_0 t_1 t_2", [measured(name, "mm") for name in names], cells, TEXTBOOK)
    expected = model.predict_proba(iris.data)
    wrong = 0
    for row, theirs, true in zip(iris.data, expected, iris.target, strict=True):
        seen = [Taken(name, float(x), 0.0) for name, x in zip(names, row, strict=True)]
        ours = weigh(one, seen)
        assert ours == approx(tuple(theirs), abs=1e-9)
        wrong += ours.index(max(ours)) != true
        # A gap is a term that is dropped.
        assert weigh(one, seen[:2]) == approx(_partly(model, row, 2), abs=1e-9)
    assert wrong == 6  # errors on the data it was fitted to


def _partly(model, row, n):
    """Return what the model says of the first few columns alone."""
    from math import exp, log, pi

    logs = [
        sum(
            -0.5 * log(2 * pi * model.var_[t][i])
            - (row[i] - model.theta_[t][i]) ** 2 / (2 * model.var_[t][i])
            for i in range(n)
        )
        for t in range(3)
    ]
    weights = [exp(one - max(logs)) for one in logs]
    return tuple(one / sum(weights) for one in weights)


def test_iris_in_classes_by_categorical_naive_bayes_to_a_billionth(iris):
    import numpy as np
    from sklearn.naive_bayes import CategoricalNB

    edges = [np.quantile(iris.data[:, i], [0.25, 0.5, 0.75]) for i in range(4)]
    classes = np.stack([np.digitize(iris.data[:, i], edges[i]) for i in range(4)], axis=1)
    model = CategoricalNB(alpha=1.0, min_categories=4).fit(classes, iris.target)
    names = [f"c{i}" for i in range(4)]
    states = ("lowest", "low", "high", "highest")
    cells = [
        often(f"t_{t}", name, state, float(np.exp(model.feature_log_prob_[i][t][k])))
        for t in range(3)
        for i, name in enumerate(names)
        for k, state in enumerate(states)
    ]
    one = guide("t_0 t_1 t_2", [scored(name, *states) for name in names], cells, TEXTBOOK)
    for row, theirs in zip(classes, model.predict_proba(classes), strict=True):
        seen = [Scored(name, states[k]) for name, k in zip(names, row, strict=True)]
        assert weigh(one, seen) == approx(tuple(theirs), abs=1e-9)
