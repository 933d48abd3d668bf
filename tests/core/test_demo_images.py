"""The example pictures and the renderer that made them: papers, truth, sameness."""

import hashlib
import json
import tomllib
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from pytest import approx
from scipy import ndimage

from landmarks.scheme import VIEWS
from tests.rendering import (
    Setup,
    render_living,
    render_outside,
    render_pair,
    specimens,
)
from tests.rendering.camera import Camera, Pose
from tests.rendering.demo import DEMOS
from tests.rendering.scene import Lying, draw
from tests.rendering.surface import Valve
from tests.rendering.trial import trial_outside
from tests.rendering.truth import camera_of
from tests.truths import truth_of

FOLDER = Path(__file__).resolve().parents[2] / "demo_images"
PAPERS = tomllib.loads((FOLDER / "SOURCES.toml").read_text("utf-8"))["picture"]
LISTED = pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper["file"])
WITH_RULER = pytest.mark.parametrize(
    "paper",
    [paper for paper in PAPERS if not paper["view"].startswith("living")],
    ids=lambda paper: paper["file"],
)
LIVING_NAMES = [
    Path(paper["file"]).stem for paper in PAPERS if paper["view"].startswith("living_from")
]
SPANS = (
    ("byssal_end", "ligament_end", "shell_length_mm"),
    ("hinge_byssal", "hinge_ligament", "hinge_line_mm"),
    ("byssal_opening_hinge", "byssal_opening_far", "byssal_opening_length_mm"),
)


def _truth(paper):
    return json.loads((FOLDER / paper["truth"]).read_text("utf-8"))


def _frames(truth):
    return truth.get("frames", [truth])


def _flat(value):
    """Return a point, a series, or a list of outlines as points (n, 2)."""
    if value and isinstance(value[0], list) and value[0] and isinstance(value[0][0], list):
        return [point for outline in value for point in outline]
    return np.reshape(value, (-1, 2))


def _in_the_world(camera, pixel, height):
    level = height + camera.plane_mm
    return np.array([*camera.on_plane(np.array(pixel), level), level])


def test_every_picture_has_papers_and_no_paper_is_without_picture():
    assert {paper["file"] for paper in PAPERS} == {p.name for p in FOLDER.glob("*.jpg")}
    assert [paper["file"] for paper in PAPERS] == [f"{demo.name}.jpg" for demo in DEMOS]
    assert {p.stem for p in (FOLDER / "truth").iterdir()} == {demo.name for demo in DEMOS}


def test_pictures_weigh_little_and_show_every_view():
    assert sum(p.stat().st_size for p in FOLDER.rglob("*") if p.is_file()) <= 14_000_000
    assert max(p.stat().st_size for p in FOLDER.glob("*.jpg")) <= 800_000
    assert len(PAPERS) >= 16
    shown = {frame["view"] for paper in PAPERS for frame in _frames(_truth(paper))}
    assert shown == set(VIEWS) - {"label"}


@LISTED
def test_papers_agree_with_the_file(paper):
    content = (FOLDER / paper["file"]).read_bytes()
    assert hashlib.sha256(content).hexdigest() == paper["sha256"]
    with Image.open(FOLDER / paper["file"]) as picture:
        assert picture.size == (paper["width"], paper["height"])
        assert 1500 <= max(picture.size) <= 2000
    assert paper["licence"].startswith("MIT")
    assert "not a photograph" in paper["note"]
    truth = _truth(paper)
    assert (truth["width_px"], truth["height_px"]) == (paper["width"], paper["height"])
    assert (truth["file"], truth["seed"]) == (paper["file"], paper["seed"])


@LISTED
def test_picture_tells_a_time_without_zone_and_neither_camera_nor_place(paper):
    with Image.open(FOLDER / paper["file"]) as picture:
        exif = picture.getexif()
    details = exif.get_ifd(0x8769)
    assert details[0x9003] == exif[0x0132]
    assert exif[0x0131] == "rendered specimen"
    for make, model, place in [(0x010F, 0x0110, 0x8825)]:
        assert not {make, model, place} & set(exif)
    assert not {0x9010, 0x9011, 0x9012} & set(details)


@LISTED
def test_landmarks_lie_in_their_frame_and_folds_are_counted(paper):
    truth = _truth(paper)
    for frame in _frames(truth):
        left, top, wide, tall = frame["frame"]
        for key, value in frame["landmarks"].items():
            for x, y in _flat(value):
                assert left <= x <= left + wide, key
                assert top <= y <= top + tall, key
        for key in ("main_folds", "end_folds"):
            if key in frame["landmarks"]:
                assert len(frame["landmarks"][key]) == frame["measures"][key]


@WITH_RULER
def test_measures_follow_from_landmarks_heights_and_camera(paper):
    truth = _truth(paper)
    camera = camera_of(truth)
    for frame in _frames(truth):
        marks, heights, measures = (
            frame[key] for key in ("landmarks", "landmark_heights_mm", "measures")
        )
        placed = {
            key: _in_the_world(camera, marks[key], heights[key])
            for key in marks
            if np.ndim(heights[key]) == 0
        }
        for first, second, key in SPANS:
            if first in placed:
                span = np.linalg.norm(placed[first] - placed[second])
                # Pixels and heights are rounded to a thousandth.
                assert span == approx(measures[key], abs=0.003), key
        length = measures["shell_length_mm"]
        assert measures["hinge_ratio"] == approx(
            measures["hinge_line_mm"] / length, abs=1e-5
        )
        if not {"umbo", "byssal_end"} <= set(placed):
            continue
        along = (placed["ligament_end"] - placed["byssal_end"]) / length
        hinge = placed["hinge_ligament"] - placed["hinge_byssal"]
        # The valve lies level, so the plane in which it meets the other one is the table's.
        turned = np.arctan2(*along[1::-1]) - np.arctan2(*hinge[1::-1])
        angle = abs(np.degrees((turned + np.pi) % (2 * np.pi) - np.pi))
        assert angle == approx(measures["hinge_angle_deg"], abs=0.01)
        from_end = placed["umbo"] - placed["byssal_end"]
        assert from_end @ along / length == approx(measures["umbo_position"], abs=1e-4)
        across = np.cross([0.0, 0.0, 1.0], along)
        across /= np.linalg.norm(across)
        rise = abs((placed["upper_margin"] - placed["umbo"]) @ across)
        assert rise == approx(measures["shell_height_mm"], abs=0.003)
        assert measures["height_ratio"] == approx(rise / length, abs=1e-4)


@WITH_RULER
def test_plain_pixels_differ_from_the_truth_by_no_more_than_height_and_tilt_explain(paper):
    truth = _truth(paper)
    scale = truth["scale"]
    if not scale.get("camera_distance_mm"):
        pytest.skip("a living animal without scale: see the test of its openings")
    tilt = np.radians(np.hypot(*scale["tilt_deg"]))
    reach = np.hypot(truth["width_px"], truth["height_px"]) / 2 / scale["px_per_mm"]
    by_tilt = reach * np.sin(tilt) / scale["camera_distance_mm"] * 2 + 1 - np.cos(tilt)
    (x0, y0), (x1, y1) = truth["ruler"]["ends"]
    ruler_mm = np.hypot(x1 - x0, y1 - y0) / scale["px_per_mm"]
    assert ruler_mm == approx(truth["ruler"]["length_mm"], rel=by_tilt + 1e-5)
    for frame in _frames(truth):
        marks, heights = frame["landmarks"], frame["landmark_heights_mm"]
        for first, second, key in SPANS:
            if first not in marks:
                continue
            span = np.hypot(*np.subtract(marks[first], marks[second])) / scale["px_per_mm"]
            distance = scale["camera_distance_mm"]
            low, high = sorted((heights[first], heights[second]))
            worth = max(abs(low / (distance - low)), abs(high / (distance - high)))
            # Two ends at unlike heights also shift against each other, and lean.
            uneven = (high - low) * (reach / distance + 0.5) / frame["measures"][key]
            assert span == approx(
                frame["measures"][key], rel=worth + by_tilt + uneven + 1e-4
            ), key


@WITH_RULER
def test_graduation_in_the_picture_lies_where_the_truth_says(paper):
    truth = _truth(paper)
    with Image.open(FOLDER / paper["file"]) as picture:
        light = np.asarray(picture.convert("L"), float)
    zero, last = np.array(truth["ruler"]["ends"])
    n = truth["ruler"]["length_mm"]
    along = (last - zero) / n
    down = np.array([-along[1], along[0]])

    def tone(at_mm):
        spots = zero + np.outer(at_mm, along) + 1.8 * down
        return ndimage.map_coordinates(
            light, [spots[:, 1] - 0.5, spots[:, 0] - 0.5], order=1
        )

    shifts = np.linspace(-0.5, 0.5, 41)
    marks = np.arange(2, n - 1)
    contrast = [tone(marks + shift).mean() for shift in shifts]
    middle = np.median(contrast)
    best = shifts[np.argmax(np.abs(np.array(contrast) - middle))]
    # A tenth of a graduation would be three quarters of a pixel at most.
    assert abs(best) <= 0.08


@pytest.mark.parametrize("name", LIVING_NAMES)
def test_living_lengths_are_as_said(name):
    truth = truth_of(name)
    marks, measures = truth["landmarks"], truth["measures"]
    camera = truth["scale"].get("camera_distance_mm")
    for first, second, key in (
        ("inhalant_near", "inhalant_far", "inhalant_length_mm"),
        ("margin_byssal_end", "margin_ligament_end", "visible_margin_length_mm"),
    ):
        if first not in marks:
            continue
        ends = np.array([marks[first], marks[second]])
        if camera:
            heights = truth["landmark_heights_mm"]
            lens = camera_of(truth)
            ends = [
                _in_the_world(lens, marks[end], heights[end]) for end in (first, second)
            ]
            span = np.linalg.norm(np.subtract(*ends))
        else:
            span = np.hypot(*(ends[0] - ends[1])) / truth["scale"]["px_per_mm"]
        assert span == approx(measures[key], abs=0.002)
    if "eyes" in truth:
        assert len(truth["eyes"]) == measures["n_eyes"]


def test_same_seed_gives_the_same_bytes_and_another_seed_does_not():
    first, again, other = (
        render_outside(specimens.FLUTED, 320, seed) for seed in (5, 5, 6)
    )
    assert first.picture.dtype == np.uint8
    assert first.picture.shape == (213, 320, 3)
    assert first.picture.tobytes() == again.picture.tobytes()
    assert first.truth == again.truth
    assert first.picture.tobytes() != other.picture.tobytes()


@pytest.mark.parametrize("render", [render_pair, render_living])
def test_other_views_render_small_and_repeat(render):
    what = specimens.PAIR if render is render_pair else specimens.LIVING
    first, again = (render(what, width_px=240, seed=4) for _ in range(2))
    assert first.picture.tobytes() == again.picture.tobytes()
    assert first.picture.std() > 10


@pytest.mark.parametrize("side", ["left", "right"])
def test_ligament_end_is_at_your_left_in_a_left_valve(side):
    truth = render_outside(specimens.ELONGATE, 300, 2, valve=side).truth
    marks = truth["landmarks"]
    assert (marks["ligament_end"][0] < marks["byssal_end"][0]) == (side == "left")
    assert marks["upper_margin"][1] < marks["umbo"][1]


def test_truth_does_not_depend_on_the_size_of_the_picture():
    small, large = (
        render_outside(specimens.DEEP_FOLDED, width, 3).truth for width in (240, 480)
    )
    assert small["measures"] == large["measures"]
    for key in ("byssal_end", "umbo", "hinge_ligament"):
        doubled = 2 * np.array(small["landmarks"][key])
        assert doubled == approx(np.array(large["landmarks"][key]), abs=0.01)


@pytest.mark.parametrize("name", ["FLUTED", "ELONGATE", "DEEP_FOLDED", "BLOTCHED"])
def test_silhouette_reaches_the_landmarks_and_no_farther(name):
    valve = Valve(getattr(specimens, name).shape)
    camera = Camera(900, 700, 4.0, distance_mm=1e7)
    pose = Pose(np.eye(3), np.array([0.0, -40.0, 30.0]))
    seen = draw(camera, (Lying(valve, pose),), 1).specimen > 0
    rows, columns = np.nonzero(seen)
    pixels = np.column_stack([columns, rows]) + 0.5
    byssal, ligament = (camera.project(pose.place(end))[0] for end in valve.length_ends())
    umbo, top = (
        camera.project(pose.place(p))[0] for p in (valve.umbo(), valve.upper_margin())
    )
    along = (ligament - byssal) / np.linalg.norm(ligament - byssal)
    up = np.array([along[1], -along[0]])
    reach = pixels @ up
    # One pixel for the raster, and half a millimetre for growth lines away from the margin.
    assert reach.max() == approx(top @ up, abs=3.0)
    assert reach.min() == approx(umbo @ up, abs=3.0)
    for end, way in ((byssal, -along), (ligament, along)):
        beside = pixels[abs((pixels - end) @ up) < 4]
        assert (beside @ way).max() == approx(end @ way, abs=3.0)


def test_margin_points_are_never_farther_apart_than_the_shell_is_long():
    for name in ("FLUTED", "ELONGATE", "DEEP_FOLDED", "BLOTCHED", "LOW_FOLDED"):
        margin = Valve(getattr(specimens, name).shape).margin(1201)
        gaps = np.linalg.norm(margin[:, None] - margin[None], axis=2)
        length = getattr(specimens, name).shape.length_mm
        assert gaps[:600, 600:].max() == approx(length, abs=0.01)


def test_folds_are_tops_of_the_margin_in_order():
    valve = Valve(specimens.BLOTCHED.shape)
    main, ends = valve.fold_tops()
    assert (main.size, ends.size) == (9, 2)
    for place in np.concatenate([main, ends]):
        around = valve.fold(place + np.array([-0.008, 0.0, 0.008]))
        assert around[1] > max(around[0], around[2])
    assert all(first < second for first, second in pairwise(main))


def test_ruler_may_be_left_out():
    made = render_outside(specimens.LOW_FOLDED, 240, 1, Setup(no_ruler=True))
    assert "ruler" not in made.truth


@pytest.mark.parametrize("seed", range(12))
def test_trial_is_a_true_projection_and_repeats(seed):
    trial, again = trial_outside(seed), trial_outside(seed)
    assert trial.ruler_ends.tobytes() == again.ruler_ends.tobytes()
    (x0, y0), (x1, y1) = trial.ruler_ends
    rough = np.hypot(x1 - x0, y1 - y0) / trial.ruler_length_mm
    # Whoever knows tilt, distance and heights gets the very length back: scale by search.
    lengths = []
    for px_per_mm in rough * np.linspace(0.96, 1.04, 81):
        camera = Camera(
            trial.width_px,
            trial.height_px,
            px_per_mm,
            trial.camera_distance_mm,
            0.0,
            trial.tilt_deg,
        )
        ruler = np.subtract(*(camera.on_plane(end, 0.0) for end in trial.ruler_ends))
        ends = [
            _in_the_world(camera, trial.landmarks[key], trial.heights_mm[key])
            for key in ("byssal_end", "ligament_end")
        ]
        lengths.append((np.linalg.norm(ruler), np.linalg.norm(np.subtract(*ends))))
    rulers, shells = np.array(lengths)[::-1].T
    found = np.interp(trial.ruler_length_mm, rulers, shells)
    assert found == approx(trial.measures["shell_length_mm"], rel=2e-4)


def test_trials_differ_in_all_that_matters():
    trials = [trial_outside(seed) for seed in range(60)]
    lengths = [trial.measures["shell_length_mm"] for trial in trials]
    assert min(lengths) < 90 < 250 < max(lengths)
    assert {trial.part for trial in trials} == {"left_valve", "right_valve"}
    assert np.std([trial.camera_distance_mm for trial in trials]) > 200
    tilts = np.array([trial.tilt_deg for trial in trials])
    assert tilts.std() == approx(1.5, rel=0.25)
    for trial in trials:
        heights = [trial.heights_mm[key] for key in ("byssal_end", "ligament_end")]
        assert max(abs(np.array(heights))) < 0.15 * trial.measures["shell_length_mm"]
