"""Every view's truth, worked a second way from its own landmarks and from its pixels."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw
from pytest import approx
from shapely import LinearRing, LineString, Point, Polygon

from tests.rendering import render_living, render_outside, render_pair, specimens, truth
from tests.rendering.camera import Camera
from tests.rendering.card import Card
from tests.rendering.pairs import Pair
from tests.rendering.side import render_side
from tests.rendering.surface import Valve
from tests.rendering.truth import camera_of
from tests.rendering.views import Setup
from tests.truths import truth_of

FOLDER = Path(__file__).resolve().parents[2] / "demo_images"
OUTSIDE = [
    "byssal_end", "ligament_end", "umbo", "upper_margin",
    "hinge_byssal", "hinge_ligament", "main_folds", "end_folds",
]  # fmt: skip
KEYS = {
    "outside_of_valve": OUTSIDE,
    "inside_of_valve": OUTSIDE,
    "upper_margin": [
        "byssal_end", "ligament_end", "margin_left", "margin_right", "main_folds", "gap",
    ],
    "hinge_edge": [
        "byssal_end", "ligament_end", "hinge_byssal", "hinge_ligament",
        "byssal_opening_hinge", "byssal_opening_far",
    ],
    "underside": [
        "byssal_end", "ligament_end", "byssal_opening", "byssal_opening_hinge",
        "byssal_opening_far", "opening_width_a", "opening_width_b",
    ],
    "end": ["width_left", "width_right", "umbo", "upper_margin"],
    "living_from_above": [
        "margin_byssal_end", "margin_ligament_end", "main_folds", "inhalant_near",
        "inhalant_far",
    ],
    "living_from_side": ["margin_byssal_end", "margin_ligament_end", "main_folds"],
    "living_inhalant_opening": [
        "inhalant_near", "inhalant_far", "mantle_near", "mantle_far", "opening", "tentacles",
    ],
    "living_mantle_edge": ["edge", "eyes"],
}  # fmt: skip


def _light(name):
    with Image.open(FOLDER / f"{name}.jpg") as picture:
        return np.asarray(picture.convert("L"), float)


def _world(found, key, number=None):
    """Return the points of a landmark in the world (n, 3), in millimetres."""
    marks, heights = (found[part][key] for part in ("landmarks", "landmark_heights_mm"))
    if number is not None:
        marks, heights = marks[number], heights[number]
    camera = camera_of(found)
    return _placed(camera, marks, heights)


def _placed(camera, marks, heights):
    rows = zip(np.reshape(marks, (-1, 2)), np.reshape(heights, -1), strict=True)
    levels = [(at, height + camera.plane_mm) for at, height in rows]
    return np.array([[*camera.on_plane(at, level), level] for at, level in levels])


def _turned_back(found, points):
    """Return world X and Y of a pair as if it had not been turned on the table."""
    turn = np.radians(found["turn_deg"])
    back = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    return points[:, :2] @ back.T


def _tone(name, outline, shrink=1.0):
    """Return the mean light inside an outline, drawn towards its middle by *shrink*."""
    light = _light(name)
    middle = np.mean(outline, axis=0)
    drawn = middle + (np.array(outline) - middle) * shrink
    sheet = Image.new("L", light.shape[::-1], 0)
    ImageDraw.Draw(sheet).polygon([tuple(point) for point in drawn], fill=1)
    return light[np.asarray(sheet) > 0].mean()


@pytest.mark.parametrize("path", sorted((FOLDER / "truth").iterdir()), ids=lambda p: p.stem)
def test_each_view_tells_its_landmarks_under_their_keys(path):
    found = json.loads(path.read_text("utf-8"))
    for frame in found.get("frames", [found]):
        shut = frame["view"] == "underside" and not frame["measures"]["byssal_ratio"]
        expected = KEYS["underside"][:2] if shut else KEYS[frame["view"]]
        assert list(frame["landmarks"]) == expected


# -- Margins of a pair ---------------------------------------------------------------


@pytest.mark.parametrize("name", ["PAIR", "FLUTED", "DEEP_FOLDED", "LOW_FOLDED"])
def test_closed_interlocking_pair_fits_without_gap_and_a_mirrored_copy_does_not(name):
    specimen = getattr(specimens, name)
    closed = Pair.of(specimen)
    measured = closed.measures()
    assert measured["margin_fit"] == 0
    assert (measured["gap_length_share"], measured["gap_area_mm2"]) == (0, 0)
    right, _ = closed.margins(4001)
    copied = truth.margin_fit(right, right * [1.0, 1.0, -1.0])
    assert copied["margin_fit"] == approx(np.sqrt(2), abs=1e-3)
    mirrored = Pair.of(specimens.varied(specimen, {"mirrored": True})).measures()
    assert mirrored["margin_fit"] == approx(np.sqrt(2), abs=1e-3)
    assert mirrored["gap_length_share"] > 0.5
    assert mirrored["gap_area_mm2"] > 10


def test_fit_does_not_see_how_wide_or_how_aslant_a_pair_stands_open():
    right, left = Pair.of(specimens.PAIR).margins(4001)
    apart = left - np.column_stack([0 * left[:, 0], 0 * left[:, 0], 3 + 0.04 * left[:, 0]])
    assert truth.margin_fit(right, apart)["margin_fit"] == 0
    assert truth.gaps(right, apart)[1]["gap_length_share"] == approx(1, abs=0.01)


def test_closed_interlocking_pair_shares_one_margin():
    shape = replace(specimens.PAIR.shape, interlocking=True, fold_narrowness=1.0)
    right, left = Valve(shape, right=True).margin(), Valve(shape, right=False).margin()
    closed = np.linspace(0.0, 1.0, right.shape[0]) < shape.byssal_opening_from
    # The curve that opens at the byssus is smooth, so it starts a thousandth of a mm early.
    assert abs(right - left)[closed].max() < 0.002


@pytest.mark.parametrize("name", ["closed-pair-upper-margin", "gaping-pair-upper-margin"])
def test_margin_fit_and_gaps_follow_from_the_marks_in_the_picture(name):
    found = truth_of(name)
    lines = [
        _turned_back(found, _world(found, key)) for key in ("margin_right", "margin_left")
    ]
    lines = [line[np.argsort(line[:, 0])] for line in lines]
    x = np.linspace(
        max(line[0, 0] for line in lines), min(line[-1, 0] for line in lines), 900
    )
    across = [np.interp(x, *line.T) for line in lines]

    def about_a_line(values):
        slope = np.cov(x, values)[0, 1] / np.var(x, ddof=1)
        return values - values.mean() - slope * (x - x.mean())

    whole, x = x[-1] - x[0], x[18:-18]
    across = [one[18:-18] for one in across]
    swing = np.sqrt(2) * np.sqrt(np.mean([about_a_line(one) ** 2 for one in across]))
    fit = about_a_line(across[0] - across[1]).std() / swing
    measured = found["measures"]
    assert fit == approx(measured["margin_fit"], abs=0.004)
    assert swing == approx(measured["fold_amplitude_mm"], rel=0.01)
    outlines = [
        Polygon(_turned_back(found, _world(found, "gap", number)))
        for number in range(len(found["landmarks"]["gap"]))
    ]
    area = sum(outline.area for outline in outlines)
    assert area == approx(measured["gap_area_mm2"], rel=0.01, abs=1e-9)
    length = sum(outline.bounds[2] - outline.bounds[0] for outline in outlines)
    share = length / whole
    assert share == approx(measured["gap_length_share"], abs=0.01)
    assert bool(outlines) == name.startswith("gaping")


def test_gaps_are_dark_and_margins_are_seams():
    found = truth_of("gaping-pair-upper-margin")
    largest = max(found["landmarks"]["gap"], key=lambda outline: Polygon(outline).area)
    whole = found["frame"]
    light = _light("gaping-pair-upper-margin")
    left, top, wide, tall = (round(one) for one in whole)
    assert _tone("gaping-pair-upper-margin", largest, 0.7) < 0.3 * np.mean(
        light[top : top + tall, left : left + wide]
    )


# -- The byssal opening and the width -------------------------------------------------


def test_byssal_opening_is_as_long_as_wide_and_as_large_as_its_outline():
    found = truth_of("wide-opening-underside")
    measured = found["measures"]
    outline = _turned_back(found, _world(found, "byssal_opening"))
    near, far, first, second = (
        _world(found, key)[0]
        for key in (
            "byssal_opening_hinge",
            "byssal_opening_far",
            "opening_width_a",
            "opening_width_b",
        )
    )
    length = np.linalg.norm(near - far)
    assert length == approx(measured["byssal_opening_length_mm"], abs=0.003)
    assert np.linalg.norm(first - second) == approx(
        measured["byssal_opening_width_mm"], abs=0.02
    )
    # The opening lies level in this view, so its outline in the plane is its outline.
    assert Polygon(outline).area == approx(measured["byssal_opening_area_mm2"], rel=0.01)
    assert measured["byssal_ratio"] == approx(
        length / measured["shell_length_mm"], abs=1e-4
    )
    pixels = found["landmarks"]["byssal_opening"]
    assert _tone("wide-opening-underside", pixels, 0.6) < 40


def test_closed_underside_has_a_true_zero_and_no_opening():
    found = truth_of("closed-underside")
    for key in ("length_mm", "width_mm", "area_mm2"):
        assert found["measures"][f"byssal_opening_{key}"] == 0


def test_width_of_the_end_view_spans_its_two_points():
    found = truth_of("pair-end")
    left, right = (
        _turned_back(found, _world(found, key))[0] for key in ("width_left", "width_right")
    )
    measured = found["measures"]
    assert right[0] - left[0] == approx(measured["shell_width_mm"], abs=0.003)
    assert measured["width_ratio"] == approx(
        measured["shell_width_mm"] / measured["shell_length_mm"], abs=1e-4
    )


@pytest.mark.parametrize("view", ["hinge_edge", "upper_margin", "underside", "end"])
def test_width_is_the_same_from_every_side(view):
    made = render_pair(specimens.PAIR, view, 240, 4)
    assert made.truth["measures"] == Pair.of(specimens.PAIR).measures()
    assert made.truth["view"] == view
    assert list(made.truth["landmarks"]) == KEYS[view]


def test_axis_sizes_are_extents_along_and_square_to_the_hinge():
    valve = Valve(specimens.ELONGATE.shape)
    known = truth.measures(valve)
    first, second = valve.hinge()
    axis = LineString([first[:2], second[:2]])
    turn = np.arctan2(*(second - first)[[1, 0]])
    net = valve.margin()[:, :2]
    c, s = np.cos(-turn), np.sin(-turn)
    level = net @ np.array([[c, -s], [s, c]]).T
    assert np.ptp(level[:, 0]) == approx(known["axis_length_mm"], abs=0.02)
    umbo = valve.umbo()[:2] @ np.array([[c, -s], [s, c]]).T
    assert level[:, 1].max() - umbo[1] == approx(known["axis_height_mm"], abs=0.02)
    assert axis.length == approx(known["hinge_line_mm"], abs=0.01)


# -- Inside, scutes, cards -----------------------------------------------------------


def test_inside_and_outside_of_one_valve_tell_one_truth():
    outside, inside = truth_of("fluted-valve-outside"), truth_of("fluted-valve-inside")
    for key, value in inside["measures"].items():
        assert value == outside["measures"][key], key
    assert outside["part"] == inside["part"]


@pytest.mark.parametrize("side", ["left", "right"])
def test_inside_is_the_mirror_of_the_outside(side):
    first, second = (
        render_outside(specimens.ELONGATE, 240, 2, valve=side, face=face).truth["landmarks"]
        for face in ("outside", "inside")
    )
    ways = [marks["ligament_end"][0] - marks["byssal_end"][0] for marks in (first, second)]
    assert ways[0] * ways[1] < 0


@pytest.mark.parametrize(
    "name", ["fluted-valve-outside", "elongate-valve-outside", "worn-valve-outside"]
)
def test_scutes_of_the_middle_fold_are_spaced_as_their_marks(name):
    found = truth_of(name)
    camera = camera_of(found)
    rows = found["middle_fold_scutes"]
    measured = found["measures"]
    assert len(rows) == measured["scute_count"] > 3
    world = np.array(
        [_placed(camera, [row[k] for k in ("left", "right", "top")], row["heights_mm"])
         for row in rows]
    )  # fmt: skip
    tops = world[:, 2]
    umbo, margin = (_world(found, key)[0] for key in ("umbo", "upper_margin"))
    away = np.hypot(*(tops - umbo)[:, :2].T) / np.hypot(*(margin - umbo)[:2])
    pair = int(np.argmin(abs(away[1:] + away[:-1] - 4 / 3)))
    gap = tops[pair + 1] - tops[pair]
    at = int(np.argmin(abs(away - 2 / 3)))
    width = world[at, 1] - world[at, 0]
    assert np.linalg.norm(gap) == approx(measured["scute_gap_mm"], abs=0.01)
    assert np.linalg.norm(width) == approx(measured["scute_width_mm"], abs=0.01)
    seen = np.hypot(*gap[:2]) / np.hypot(*width[:2])
    assert seen == approx(measured["scute_gap"], rel=1e-3)
    more = found["more_landmarks"]
    assert more["scutes"] == [row["top"] for row in rows]
    assert (more["scute_left"], more["scute_right"]) == (
        rows[at]["left"],
        rows[at]["right"],
    )
    assert any(row["broken"] for row in rows) == (name == "worn-valve-outside") or (
        name == "elongate-valve-outside"
    )


def test_labels_lie_where_the_truth_says_and_some_are_upside_down():
    found = truth_of("drawer-of-six")
    assert len(found["labels"]) == len(found["frames"]) == 6
    turned = [abs(label["turn_deg"]) > 90 for label in found["labels"]]
    assert sum(turned) == 2
    light = _light("drawer-of-six")
    for label in found["labels"]:
        left, top, wide, tall = (round(one) for one in label["frame"])
        inside = light[top + 6 : top + tall - 6, left + 6 : left + wide - 6]
        assert np.percentile(inside, 90) > np.median(light) + 40
        assert label["text"][0] == "Port Maren Museum"
    views = [frame["view"] for frame in found["frames"]]
    assert views.count("inside_of_valve") == 1
    boxes = [
        Polygon([(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
        for x, y, w, h in (one["frame"] for one in found["frames"] + found["labels"])
    ]
    for number, box in enumerate(boxes):
        assert all(not box.intersects(other) for other in boxes[number + 1 :])


def test_a_card_turned_about_lies_on_the_same_ground():
    camera = Camera(400, 300, 2.0)
    upright, turned = (
        Card((3.0, 4.0), ("Port Maren Museum",), turn).truth(camera)
        for turn in (0.0, 180.0)
    )
    assert upright["frame"] == turned["frame"]


# -- Living clams --------------------------------------------------------------------


@pytest.mark.parametrize("name", ["smooth-inhalant-opening", "branched-inhalant-opening"])
def test_inhalant_opening_is_as_marked(name):
    found = truth_of(name)
    marks, measured, scale = found["landmarks"], found["measures"], found["scale"]
    per_mm = scale["px_per_mm"]
    near, far = marks["inhalant_near"], marks["inhalant_far"]
    span = np.hypot(*np.subtract(near, far)) / per_mm
    assert span == approx(measured["inhalant_length_mm"], abs=0.002)
    mantle = np.hypot(*np.subtract(marks["mantle_near"], marks["mantle_far"])) / per_mm
    assert mantle == approx(measured["mantle_span_mm"], abs=0.002)
    assert span / mantle == approx(measured["inhalant_ratio"], abs=1e-4)
    opening = Polygon(marks["opening"])
    assert opening.is_valid
    assert opening.area / per_mm**2 == approx(measured["inhalant_area_mm2"], rel=1e-3)
    for end in (near, far):
        assert opening.exterior.distance(Point(end)) < 0.2 * per_mm
    assert len(marks["tentacles"]) == measured["n_tentacles"]
    smooth = name.startswith("smooth")
    assert (measured["n_tentacles"] == 0) == smooth
    for root in marks["tentacles"]:
        assert opening.exterior.distance(Point(root)) < 1.2 * per_mm
    if smooth:
        # The hole itself is dark, the flesh beside it is not.
        wider = np.array(opening.buffer(3 * per_mm).exterior.coords)
        assert _tone(name, marks["opening"], 0.8) < 0.5 * _tone(name, wider)


def test_eyes_stand_along_the_edge_at_the_said_spacing():
    found = truth_of("mantle-edge-with-eyes")
    marks, measured = found["landmarks"], found["measures"]
    per_mm = found["scale"]["px_per_mm"]
    edge, eyes = LineString(marks["edge"]), np.array(marks["eyes"])
    assert len(eyes) == measured["n_eyes"] > 15
    assert edge.length / per_mm == approx(measured["edge_length_mm"], abs=0.01)
    distances = [edge.distance(Point(eye)) / per_mm for eye in eyes]
    assert min(distances) > 0.8
    assert max(distances) < 3.0
    places = np.array([edge.project(Point(eye)) for eye in eyes])
    assert (np.diff(places) > 0).all() or (np.diff(places) < 0).all()
    light = _light("mantle-edge-with-eyes")
    reach = round(1.2 * per_mm)
    for x, y in eyes:
        window = light[
            max(0, round(y) - reach) : round(y) + reach,
            max(0, round(x) - reach) : round(x) + reach,
        ]
        pupil = light[round(y) - 3 : round(y) + 3, round(x) - 3 : round(x) + 3]
        assert pupil.min() < 0.45 * np.percentile(window, 80)


def test_mantle_edges_are_whole_outlines_without_spikes():
    for animal in (specimens.LIVING, specimens.BRANCHED_OPENING, specimens.SMOOTH_OPENING):
        made = render_living(animal, 200, 3, view="living_mantle_edge", field_mm=200.0)
        ring = LinearRing(made.truth["landmarks"]["edge"])
        assert ring.is_simple
        whole = Polygon(ring)
        scale = made.truth["scale"]["px_per_mm"]
        # What is thinner than a millimetre would be a fold of the outline onto itself.
        assert whole.buffer(-0.5 * scale).buffer(0.5 * scale).area > 0.995 * whole.area


def test_side_view_marks_the_margin_and_repeats():
    first, again = (render_side(specimens.FLUTED, 240, 3) for _ in range(2))
    assert first.picture.tobytes() == again.picture.tobytes()
    marks = first.truth["landmarks"]
    assert list(marks) == KEYS["living_from_side"]
    assert len(marks["main_folds"]) == first.truth["measures"]["main_folds"] == 5
    assert marks["margin_ligament_end"][0] < marks["margin_byssal_end"][0]


def test_burrow_hides_what_lies_beside_the_margin():
    open_, sunk = (
        render_living(specimens.BURROWER, 240, 3, field_mm=118.0, burrow_mm=deep)
        for deep in (0.0, 3.0)
    )
    assert open_.truth["landmarks"] == sunk.truth["landmarks"]
    assert open_.picture.tobytes() != sunk.picture.tobytes()


def test_block_lifts_the_ruler_and_with_it_the_plane():
    made = render_outside(
        specimens.FLUTED, 240, 1, Setup(field_mm=222.0), face="inside", block_mm=40.0
    )
    assert made.truth["scale"]["plane_above_table_mm"] == 41.5
