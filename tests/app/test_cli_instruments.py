"""Ruler, folds and edge trace from the command line: results, refusals, bad input."""

import json

import numpy as np
import pytest
from PIL import Image
from pytest import approx

import landmarks
from app.cli import DONE, FAULTS, WRONG
from landmarks.instruments.fold_agreement import FoldCount
from landmarks.instruments.proposed import TraceProposal
from landmarks.instruments.ruler import RulerFit

WIDTH, HEIGHT, PX_PER_MM = 900, 600, 7.0


@pytest.fixture(scope="module")
def ruler(tmp_path_factory):
    """Return a picture of a ruler from x = 50 on, seven pixels to the millimetre."""
    fine = 10
    x = (np.arange(WIDTH * fine) + 0.5) / fine
    mm = (x - 50) / PX_PER_MM
    tick = abs(mm - np.round(mm)) < 0.12
    row = np.where(tick & (mm > -0.5) & (mm < 115), 40.0, 230.0)
    row = row.reshape(WIDTH, fine).mean(1)
    light = np.full((HEIGHT, WIDTH), 120.0)
    light[250:350] = row
    return _saved(tmp_path_factory, light)


@pytest.fixture(scope="module")
def blank(tmp_path_factory):
    hand = np.random.default_rng(1)
    return _saved(tmp_path_factory, 120 + 8 * hand.standard_normal((HEIGHT, WIDTH)))


@pytest.fixture(scope="module")
def disc(tmp_path_factory):
    across, down = np.meshgrid(np.arange(WIDTH) + 0.5, np.arange(HEIGHT) + 0.5)
    hand = np.random.default_rng(2)
    inside = np.hypot((across - 450) / 300, (down - 300) / 200) < 1
    light = np.where(inside, 215.0, 60.0) + 5 * hand.standard_normal((HEIGHT, WIDTH))
    return _saved(tmp_path_factory, light)


@pytest.fixture(scope="module")
def folded(tmp_path_factory):
    """Return a band of six folds in raking light, and the margin of a shell with six."""
    across = np.arange(WIDTH) + 0.5
    light = 130 + 60 * np.cos((across - 150) / 100 * 2 * np.pi)
    return _saved(tmp_path_factory, np.tile(light, (HEIGHT, 1)))


def _saved(factory, light):
    path = factory.mktemp("pictures") / "picture.png"
    grey = np.clip(light, 0, 255).astype(np.uint8)
    Image.fromarray(np.repeat(grey[..., None], 3, 2)).save(path)
    return path


def rim(n):
    angles = np.linspace(0, 2 * np.pi, n + 1)[:-1]
    return " ".join(
        f"{450 + 300 * np.cos(a):.1f},{300 + 200 * np.sin(a):.1f}" for a in angles
    )


# -- Ruler -----------------------------------------------------------------------------


def test_a_ruler_is_fitted_in_words_and_as_json(run, ruler):
    line = ("--line", "121,300,819,302", "--length-mm", "99.7")
    code, said, _ = run("scale", ruler, *line)
    assert code == DONE
    assert "1 mm" in said
    assert "7.0" in said
    code, said, _ = run("scale", ruler, *line, "--json")
    raw = json.loads(said)
    assert code == DONE
    assert raw["sure"] is True
    assert raw["px_per_mm"] == approx(PX_PER_MM, rel=2e-4)
    # A cheap ruler's own doubt is in it, so that it is no less than a thousandth.
    assert 0.001 <= raw["sigma"] / raw["px_per_mm"] < 0.002
    assert raw["message"]


def test_a_line_may_be_written_as_two_points_and_a_length_with_a_comma(run, ruler):
    code, said, _ = run("scale", ruler, "--line", "121,300 819,302", "--length-mm", "99,7")
    assert code == DONE
    assert "1 mm" in said


def test_a_plain_body_is_refused_and_the_two_ends_are_given(run, blank):
    line = ("--line", "100,300,800,300", "--length-mm", "100")
    code, said, _ = run("scale", blank, *line, "--json")
    raw = json.loads(said)
    assert code == FAULTS
    assert raw["sure"] is False
    assert raw["px_per_mm"] == approx(7.0)
    assert "two ends count" in raw["message"]
    code, said, _ = run("scale", blank, *line)
    assert code == FAULTS
    assert "from the two ends" in said


@pytest.mark.parametrize(
    ("line", "length", "words"),
    [
        ("1,2,3", "10", "“1,2,3” is no line"),
        ("a,b,c,d", "10", "“a,b,c,d” is no line"),
        ("nan,1,2,3", "10", "is no line"),
        ("10,10,5000,10", "10", "5000"),
        ("10,10,10,10", "10", ""),
        ("10,10,500,10", "0", ""),
        ("10,10,500,10", "-3", ""),
        ("10,10,500,10", "nan", "“nan” is not a length"),
        ("10,10,500,10", "ten", "“ten” is not a length"),
    ],
)
def test_bad_numbers_are_one_sentence(run, ruler, line, length, words):
    code, said, complaint = run(
        "scale", ruler, f"--line={line}", f"--length-mm={length}", "--json"
    )
    assert code == WRONG
    assert said == ""
    assert complaint.count("\n") == 1
    assert words in complaint


# -- Folds -----------------------------------------------------------------------------


def margin(n_folds=6, n=200):
    at = np.linspace(0, 1, n)
    height = 80 * np.sin(np.pi * at) ** 0.5 + 12 * abs(np.sin(np.pi * n_folds * at))
    return " ".join(
        f"{100 + 700 * a:.1f},{400 - h:.1f}" for a, h in zip(at, height, strict=True)
    )


def test_folds_are_counted_along_a_path(run, folded):
    code, said, _ = run("folds", folded, "--path", "100,300 700,300", "--json")
    raw = json.loads(said)
    assert code == DONE
    assert raw["main_folds"] == 6
    assert raw["sure"] is False  # one way alone never is
    assert raw["margin"] is None
    assert [round(one["point"][0] / 10) * 10 for one in raw["folds"]] == [
        150, 250, 350, 450, 550, 650,
    ]  # fmt: skip
    code, said, _ = run("folds", folded, "--path", "100,300 700,300")
    assert code == DONE
    assert said.count("main fold") == 6


def test_margin_and_path_are_both_told(run, folded):
    code, said, _ = run(
        "folds", folded, "--path", "100,300 700,300", "--margin", margin(), "--json"
    )
    raw = json.loads(said)
    assert code == DONE
    assert raw["transect"]["main_folds"] == 6
    assert raw["margin"] is not None
    assert "Margin" in raw["message"]


def test_a_margin_of_too_few_points_is_said_and_the_path_still_counts(run, folded):
    code, said, _ = run(
        "folds", folded, "--path", "100,300 700,300", "--margin", "1,1 50,50", "--json"
    )
    raw = json.loads(said)
    assert code == DONE
    assert raw["main_folds"] == 6
    assert "2 points, too few" in raw["message"]


def test_no_folds_is_an_answer(run, folded):
    code, said, _ = run("folds", folded, "--path", "100,300 120,300", "--json")
    raw = json.loads(said)
    assert code == FAULTS
    assert raw["main_folds"] is None
    assert raw["message"]


# -- Edge trace --------------------------------------------------------------------------


def test_an_edge_is_followed_round(run, disc):
    code, said, _ = run("trace", disc, "--points", rim(6), "--closed", "--json")
    raw = json.loads(said)
    assert code == DONE
    assert raw["settled"] is True
    assert raw["sure"] is False  # nobody has looked at it
    assert "look at it" in raw["message"]
    assert raw["closed"] is True
    assert raw["area_px"] == approx(np.pi * 300 * 200, rel=0.005)
    off = [
        abs(np.hypot((x - 450) / 300, (y - 300) / 200) - 1) * 240 for x, y in raw["points"]
    ]
    assert np.sqrt(np.mean(np.square(off))) < raw["sigma"] < 2.5


def test_an_open_line_has_no_area_and_is_printed_as_points(run, disc):
    words = " ".join(rim(8).split()[:3])
    code, said, _ = run("trace", disc, "--points", words, "--json")
    raw = json.loads(said)
    assert code == DONE
    assert raw["area_px"] is None
    assert raw["closed"] is False
    code, said, _ = run("trace", disc, "--points", words)
    assert code == DONE
    assert len(said.splitlines()[1].split()) == len(raw["points"])


def test_where_both_sides_look_alike_there_is_no_edge(run, blank):
    code, said, _ = run("trace", blank, "--points", rim(8), "--closed", "--json")
    raw = json.loads(said)
    assert code == FAULTS
    assert raw["sure"] is False
    assert raw["settled"] is False
    assert raw["points"] == []
    assert "look alike" in raw["message"]


@pytest.mark.parametrize("words", ["10,10", "10,10 10,10"])
def test_too_few_points_are_an_answer(run, disc, words):
    code, said, _ = run("trace", disc, "--points", words, "--json")
    assert code == FAULTS
    assert "too few" in json.loads(said)["message"]


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        ("10,10 2000,10", "x 2000, y 10 lies outside the picture (900 × 600 px): count"),
        ("10;10 20;20", "“10;10” are no points"),
        ("", "are no points"),
        ("10,10,10 3,4", "“10,10,10” are no points"),
        ("inf,3 4,5", "“inf,3” are no points"),
    ],
)
def test_points_that_are_none_or_outside_are_one_sentence(run, disc, words, complaint):
    for command, option in (("trace", "--points"), ("folds", "--path")):
        code, said, found = run(command, disc, f"{option}={words}", "--json")
        assert code == WRONG
        assert said == ""
        assert complaint in found
        assert found.count("\n") == 1


@pytest.mark.parametrize(
    "words",
    [
        ("scale", "--line=1,1,90,1", "--length-mm=10"),
        ("folds", "--path=1,1 90,1"),
        ("trace", "--points=1,1 90,1"),
    ],
)
def test_a_picture_that_is_none_is_one_sentence(run, tmp_path, words):
    path = tmp_path / "notes.jpg"
    path.write_text("no picture at all")
    code, _, complaint = run(words[0], path, *words[1:])
    assert code == WRONG
    assert "notes.jpg" in complaint
    code, _, complaint = run(words[0], tmp_path / "gone.jpg", *words[1:])
    assert code == WRONG
    assert "gone.jpg" in complaint


# -- The same in a program ---------------------------------------------------------------


def test_the_same_functions_are_at_the_front_door(ruler, disc, folded):
    window = landmarks.read_window(ruler)
    ends = landmarks.Point(121, 300), landmarks.Point(819, 302)
    fit = landmarks.fit_ruler(window, *ends, 99.7)
    assert isinstance(fit, RulerFit)
    across = landmarks.folds_of_transect(
        landmarks.read_window(folded),
        [landmarks.Point(100, 300), landmarks.Point(700, 300)],
    )
    count = landmarks.count_folds(None, across)
    assert isinstance(count, FoldCount)
    clicks = [landmarks.Point(*map(float, word.split(","))) for word in rim(6).split()]
    found = landmarks.propose_trace(landmarks.Crops(disc), clicks, closed=True)
    assert isinstance(found, TraceProposal)
    corners = [landmarks.Point(*at) for at in ((0, 0), (200, 0), (200, 100), (0, 100))]
    plane = landmarks.plane_of(corners, 40.0, 20.0)
    assert landmarks.straight_points(landmarks.plane_scale(plane), corners)[2] == approx(
        (200, 100)
    )
