"""The command about repeats: the same figures as the core, in words and as JSON."""

import json

import pytest
from pytest import approx

from app.cli import DONE, WRONG, main
from landmarks.collection import Person
from landmarks.repeats import BLIND, measures_repeated, own_doubt, scores_repeated
from landmarks.storage import open_sqlite
from tests.app.repeated import ABOUT, ANN, example, fill, shells

BEN = Person("ben", "Ben Sound")


@pytest.fixture
def drawer(tmp_path):
    path = tmp_path / "drawer.hingeline"
    store = open_sqlite(path, create=True, about=ABOUT)
    fill(store, shells(40, repeated=range(0, 40, 2)), people=(ANN, BEN))
    store.close()
    return path


@pytest.fixture
def expected():
    _, _, picture = example()
    repeated = shells(40, repeated=range(0, 40, 2))
    return repeated, {picture.id: picture}


def test_json_has_every_figure_of_the_core(drawer, expected, capsys):
    specimens, pictures = expected
    assert main(["repeats", str(drawer), "--json", "--person", "Ann Terrace"]) == DONE
    said = json.loads(capsys.readouterr().out)
    rows = {row["key"]: row for row in said["measures"]}
    for one in measures_repeated(specimens, pictures, BLIND, ANN.id):
        row = rows.pop(one.key)
        assert row["n"] == len(one.pairs) == 20
        assert row["repeatability"]["tem"] == approx(one.repeatability.tem)
        assert row["limits"]["low"] == approx(one.limits.low)
        assert [pair["second"] for pair in row["pairs"]] == approx(
            [pair.second for pair in one.pairs]
        )
    assert rows == {}
    (score,) = scores_repeated(specimens)
    (row,) = said["characters"]
    assert (row["key"], row["n"]) == (score.key, 20)
    assert row["same"] == sum(a == b for a, b in score.pairs)
    own = own_doubt(specimens, ANN.id)
    assert said["own_doubt_px"]["sigma"] == approx(own.sigma)


def test_a_figure_that_cannot_be_told_has_its_reason_in_its_place(drawer, capsys):
    main(["repeats", str(drawer), "--json"])
    rows = {row["key"]: row for row in json.loads(capsys.readouterr().out)["measures"]}
    assert rows["main_folds"]["intraclass"] == {
        "untold": "All are alike, so agreement beyond chance cannot be told."
    }
    assert rows["shell_length"]["intraclass"]["interval"][0] < 1


def test_the_table_has_a_line_for_each_and_reasons_below(drawer, capsys):
    assert main(["repeats", str(drawer), "--person", "ann"]) == DONE
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "20 repeated specimens of 40."
    (length,) = (line for line in lines if line.lstrip().startswith("Shell length"))
    assert " 20 " in length
    assert " mm" in length
    assert any("Main folds: ICC: All are alike" in line for line in lines)
    assert any(line.startswith("Own placing doubt: ") for line in lines)
    assert any("Fold strength" in line and "same in" in line for line in lines)


def test_another_occasion_or_person_is_another_table(drawer, capsys):
    main(["repeats", str(drawer), "--occasion", "second_observer"])
    nobody = capsys.readouterr().out
    assert nobody.startswith("Nothing was repeated yet")
    main(["repeats", str(drawer), "--person", "ben"])
    assert capsys.readouterr().out == nobody


def test_a_person_nobody_knows_is_refused_and_the_known_ones_are_named(drawer, capsys):
    assert main(["repeats", str(drawer), "--person", "Cora"]) == WRONG
    said = capsys.readouterr().err
    assert "Cora" in said
    assert "Ann Terrace and Ben Sound" in said
