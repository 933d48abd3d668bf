"""With no reading error, no tempering and normal densities the engine is a textbook naive Bayes.

Numbers of the weather table: from the well-known 14 rows (Quinlan's play-golf data, values
recomputed from the rows). Iris: scikit-learn's GaussianNB and CategoricalNB, run beside it.
Penguins: the 344 rows of palmerpenguins (Horst, Hill & Gorman 2020, CC0; measured by Gorman,
Williams & Fraser 2014, PLoS ONE 9: e90081), kept beside this file; two rows lack all measures,
eleven the sex, so a test of gaps needs none punched. GaussianNB run beside them.
Scores: the Brier and log score examples of scikit-learn's documentation, hand-made ones beside.
"""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from math import log, log2, sqrt
from pathlib import Path
from statistics import mean, pstdev, stdev

import pytest
from pytest import approx

from landmarks.identification import TEXTBOOK, compile_tables, identify_many, weigh
from landmarks.identification.densities import Z95
from landmarks.identification.evidence import gather
from landmarks.identification.looking import prospects
from landmarks.observations import Circumstances, Scored, Taken
from landmarks.simulation import brier, calibration, log_score
from landmarks.tables import check_tables, read_tables
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


# -- penguins, as just another folder of tables ---------------------------------------------

PENGUINS = Path(__file__).with_name("penguins.csv")
MEASURES = ("bill_length_mm", "bill_depth_mm", "flipper_length_mm", "body_mass_g")
UNITS = ("mm", "mm", "mm", "ratio")
SPECIES = ("Adelie", "Chinstrap", "Gentoo")


def penguins():
    """Return the rows as numbers, None where a measure is lacking, and the species."""
    with PENGUINS.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    numbers = [[None if r[m] == "NA" else float(r[m]) for m in MEASURES] for r in rows]
    return numbers, [row["species"] for row in rows], [row["sex"] for row in rows]


def write(folder, name, heading, rows):
    with (folder / name).open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([heading.split(), *rows])


@pytest.fixture(scope="module")
def penguin_tables(tmp_path_factory):
    """Return a folder of tables of penguins: what their rows say, as mean and spread."""
    folder = tmp_path_factory.mktemp("penguins")
    numbers, species, sexes = penguins()
    (folder / "guide.toml").write_text('title = "Penguins"\n', encoding="utf-8")
    taxa = [
        (one.lower(), f"Pygoscelis {one.lower()}", "Pygoscelis", "gorman_2014", "read")
        for one in SPECIES
    ]
    write(folder, "taxa.csv", "key name genus source evidence", taxa)
    views = [("in_hand", "In the hand", "yes", "yes", "yes")]
    write(folder, "views.csv", "key name living harmless shows", views)
    characters = [
        (m, m, f"What is {m}?", m, unit, "in_hand", 1, "yes", "so")
        for m, unit in zip(MEASURES, UNITS, strict=True)
    ] + [("sex", "sex", "Which sex?", "sex", "", "in_hand", 1, "no", "")]
    heading = "key name question definition unit views weight ordered standard"
    write(folder, "characters.csv", heading, characters)
    states = [("sex", key, key, key) for key in ("female", "male")]
    write(folder, "states.csv", "character key name meaning", states)
    cells = []
    for one in SPECIES:
        for i, key in enumerate(MEASURES):
            own = [
                row[i]
                for row, name in zip(numbers, species, strict=True)
                if name == one and row[i] is not None
            ]
            middle, sigma = mean(own), pstdev(own)
            low, high = middle - Z95 * sigma, middle + Z95 * sigma
            row = (one.lower(), key, "", "", low, middle, high, "so", "gorman_2014", "read")
            cells.append(row)
        known = [
            sex
            for sex, name in zip(sexes, species, strict=True)
            if name == one and sex != "NA"
        ]
        for sex in ("female", "male"):
            often_ = known.count(sex) / len(known)
            row = (one.lower(), "sex", sex, often_, "", "", "", "", "gorman_2014", "read")
            cells.append(row)
    heading = "taxon character state frequency low typical high definition source evidence"
    write(folder, "cells.csv", heading, cells)
    source = (
        "gorman_2014",
        "Gorman, Williams & Fraser 2014. PLoS ONE 9: e90081.",
        "data",
        "read",
    )
    write(folder, "sources.csv", "key citation kind how", [source])
    return folder


def test_penguins_are_just_another_folder_of_tables(penguin_tables):
    assert check_tables(penguin_tables) == ()
    tables = read_tables(penguin_tables)
    assert [one.genus for one in tables.taxa] == ["Pygoscelis"] * 3


def test_penguins_by_gaussian_naive_bayes_to_a_billionth_gaps_as_missing(penguin_tables):
    naive_bayes = pytest.importorskip(
        "sklearn.naive_bayes", reason="scikit-learn is not installed"
    )
    guide_ = compile_tables(read_tables(penguin_tables), TEXTBOOK)
    numbers, species, _ = penguins()
    whole = [
        (row, name) for row, name in zip(numbers, species, strict=True) if None not in row
    ]
    assert (len(numbers), len(whole)) == (344, 342)
    model = naive_bayes.GaussianNB(priors=[1 / 3] * 3, var_smoothing=0.0)
    model.fit([row for row, _ in whole], [name for _, name in whole])
    seen = [
        [Taken(m, x, 0.0) for m, x in zip(MEASURES, row, strict=True) if x is not None]
        for row in numbers
    ]
    together = identify_many(guide_, [(one, Circumstances()) for one in seen])
    theirs = iter(model.predict_proba([row for row, _ in whole]))
    for row, own, many in zip(numbers, seen, together, strict=True):
        ours = weigh(guide_, own)
        assert list(many) == approx(list(ours), abs=1e-9)
        if None in row:
            assert ours == approx((1 / 3, 1 / 3, 1 / 3), abs=1e-12)
        else:
            assert ours == approx(tuple(next(theirs)), abs=1e-9)
        # A gap is a term that is dropped: the model of the other columns says the same.
        if None not in row:
            assert weigh(guide_, own[1:3]) == approx(_columns(model, row, (1, 2)), abs=1e-9)


def test_ten_penguins_are_taken_for_another_with_the_shares_of_the_sample(penguin_tables):
    # The errors of Gaussian naive Bayes on the 342 rows it was made from, recomputed: 10.
    numbers, species, _ = penguins()
    n = {one: species.count(one) for one in SPECIES}
    guide_ = compile_tables(read_tables(penguin_tables), TEXTBOOK)
    wrong = 0
    for row, name in zip(numbers, species, strict=True):
        if None in row:
            continue
        found = weigh(
            guide_, [Taken(m, x, 0.0) for m, x in zip(MEASURES, row, strict=True)]
        )
        weights = [p * n[one] for p, one in zip(found, SPECIES, strict=True)]
        wrong += SPECIES[weights.index(max(weights))] != name
    assert wrong == 10


def test_penguin_is_named_by_the_command_line(penguin_tables, tmp_path, capsys):
    from app.cli import main

    record = {
        "format": 1,
        "observations": {
            "bill_length_mm": {"value": 49.5, "unit": "mm"},
            "flipper_length_mm": {"value": 221, "unit": "mm"},
            "bill_depth_mm": {"value": 15.0, "unit": "mm"},
            "sex": "male",
        },
    }
    path = tmp_path / "penguin.json"
    path.write_text(json.dumps(record), encoding="utf-8")
    assert main(["identify", str(path), "--tables", str(penguin_tables), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["candidates"][0]["taxon"] == "gentoo"
    assert said["candidates"][0]["probability"] > 0.9
    assert {one["character"] for one in said["look_next"]} <= {"body_mass_g"}


def _columns(model, row, columns):
    logs = [
        sum(
            -0.5 * log(2 * 3.141592653589793 * model.var_[t][i])
            - (row[i] - model.theta_[t][i]) ** 2 / (2 * model.var_[t][i])
            for i in columns
        )
        for t in range(3)
    ]
    weights = [2.718281828459045 ** (one - max(logs)) for one in logs]
    return tuple(one / sum(weights) for one in weights)


# -- scores ---------------------------------------------------------------------------------


def test_brier_scores_of_the_documentation_of_a_library():
    # scikit-learn's brier_score_loss: .0375 for one class, in the sum form twice that; three
    # classes .1467 (printed .146), which is the mean of the sum form.
    two = [(0.9, 0.1), (0.1, 0.9), (0.2, 0.8), (0.7, 0.3)]
    assert brier(two, [0, 1, 1, 0]) == approx(0.075, abs=1e-12)
    three = [(0.8, 0.1, 0.1), (0.2, 0.7, 0.1), (0.2, 0.2, 0.6)]
    assert brier(three, [0, 1, 2]) == approx(0.1467, abs=5e-5)


def test_brier_and_log_score_of_one_case_by_hand():
    assert brier([(0.7, 0.2, 0.1)], [0]) == approx(0.14, abs=1e-12)
    assert log_score([(0.7, 0.2, 0.1)], [0]) == approx(0.35667, abs=5e-6)
    assert log_score([(0.7, 0.2, 0.1)], [0]) / log(2) == approx(0.51457, abs=5e-6)


def test_log_loss_of_the_documentation_of_a_library():
    # scikit-learn's log_loss: .21616.
    rows = [(0.1, 0.9), (0.9, 0.1), (0.8, 0.2), (0.35, 0.65)]
    assert log_score(rows, [1, 0, 0, 1]) == approx(0.21616, abs=5e-6)


def test_entropy_of_three_shares_is_what_looking_at_the_answer_is_worth():
    # -(.7 log2 .7 + .2 log2 .2 + .1 log2 .1) = 1.15678 bits, by hand.
    shares = {"a": 0.7, "b": 0.2, "c": 0.1}
    cells = [
        often(f"t_{taxon}", "name", state, float(taxon == state))
        for taxon in shares
        for state in shares
    ]
    one = guide(
        "t_a t_b t_c",
        [scored("name", *shares, ordered=False)],
        cells,
        _unfloored(TEXTBOOK),
        **regions(here={f"t_{key}": share for key, share in shares.items()}),
    )
    (looking,) = prospects(one, gather(one, [], HERE), weigh(one, [], HERE))
    assert looking.bits == approx(1.15678, abs=5e-6)


def test_calibration_of_the_iris_model_beside_the_library(iris):
    calibrated = pytest.importorskip(
        "sklearn.calibration", reason="scikit-learn is not installed"
    )
    from sklearn.naive_bayes import GaussianNB

    model = GaussianNB().fit(iris.data, iris.target)
    stated = model.predict_proba(iris.data)[:, 1]
    right = iris.target == 1
    true, said = calibrated.calibration_curve(right, stated, n_bins=10)
    ours = calibration(list(map(float, stated)), list(map(bool, right))).bins
    assert [one.true for one in ours] == approx(list(true), abs=1e-12)
    assert [one.stated for one in ours] == approx(list(said), abs=1e-12)
