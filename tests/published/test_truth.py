"""Every example picture, its exact landmarks placed: every measure near the exact truth.

The truth beside a picture comes from the shell that was rendered, not from the picture: it
passes through camera, heights and our arithmetic before it is found again.
"""

import numpy as np
import pytest

from landmarks.demo import FOLDER
from landmarks.geometry import Point
from landmarks.measures import MEASURES, Measured, measure
from landmarks.placing import Placing
from landmarks.scale import Setting, two_points
from landmarks.scheme import VIEWS
from tests.rendering.camera import Camera
from tests.truths import frames_of

NAMES = [path.stem for path in sorted((FOLDER / "truth").glob("*.json"))]
WITHIN = 3.0

KNOWN_AS = {
    "shell_length": "shell_length_mm",
    "shell_height": "shell_height_mm",
    "shell_width": "shell_width_mm",
    "hinge_line": "hinge_line_mm",
    "scute_count": "scutes_on_middle_fold",
    "scute_gap": "scute_gap_ratio",
    "scute_growth": "scute_spacing_growth",
    "byssal_opening_length": "byssal_opening_length_mm",
    "byssal_opening_width": "byssal_opening_width_mm",
    "byssal_opening_area": "byssal_opening_area_mm2",
    "inhalant_length": "inhalant_length_mm",
    "mantle_span": "mantle_span_mm",
    "inhalant_area": "inhalant_area_mm2",
    "tentacle_count": "n_tentacles",
    "visible_margin_length": "visible_margin_length_mm",
}
"""Our keys and the renderer's, where both mean the same and the words or units differ."""


def setting_of(raw, told):
    """Return the picture as measured by its ruler, or by the truth where it has none."""
    size = (raw["width_px"], raw["height_px"])
    if raw.get("ruler"):
        first, second = (Point(*end) for end in raw["ruler"]["ends"])
        scale = two_points(first, second, raw["ruler"]["length_mm"], size=size)
    else:
        first, second = Point(200, size[1] / 2), Point(size[0] - 200, size[1] / 2)
        length = (second.x - first.x) / raw["scale"]["px_per_mm"]
        scale = two_points(first, second, length, size=size)
    distance = raw["scale"].get("camera_distance_mm") if told else None
    return Setting("p", *size, scale, distance)


def exact_marks(view, frame):
    """Return the true landmarks as a person would place them who never errs."""
    for row in view.landmarks:
        at = frame["landmarks"].get(row.key)
        if at:
            points = at if isinstance(at[0], list) else [at]
            yield Placing(row.key, "f", row.key, tuple(Point(*p) for p in points))
        elif row.may_be_none == "closed" and not frame["measures"].get(
            "byssal_opening_length_mm", 1
        ):
            yield Placing(row.key, "f", row.key, reason="closed")


def known(raw, frame, view):
    """Return the true measures by our keys, with those that follow from others."""
    told = frame["measures"]
    found = {key: told[key] for key in MEASURES if key in told}
    found |= {ours: told[theirs] for ours, theirs in KNOWN_AS.items() if theirs in told}
    if view.key in ("outside_of_valve", "inside_of_valve"):
        found |= _along_the_hinge(raw, frame)
    return found


def _along_the_hinge(raw, frame):
    """Return sizes along the hinge, from landmarks put back into the world by the camera.

    The angle between the lines is taken in the plane of the ruler, as a picture shows it.
    """
    scale = raw["scale"]
    camera = Camera(
        raw["width_px"], raw["height_px"], scale["px_per_mm"], scale["camera_distance_mm"],
        scale["plane_above_table_mm"], tuple(scale["tilt_deg"]),
    )  # fmt: skip
    at = {
        key: camera.on_plane(
            np.array(frame["landmarks"][key]),
            frame["landmark_heights_mm"][key] + camera.plane_mm,
        )
        for key in (
            "byssal_end", "ligament_end", "umbo", "upper_margin", "hinge_byssal",
            "hinge_ligament",
        )
    }  # fmt: skip
    hinge = at["hinge_ligament"] - at["hinge_byssal"]
    hinge /= np.linalg.norm(hinge)
    length = at["ligament_end"] - at["byssal_end"]
    rise = at["upper_margin"] - at["umbo"]
    cosine = abs(hinge @ length) / np.linalg.norm(length)
    return {
        "length_along_hinge": abs(hinge @ length),
        "height_across_hinge": abs(hinge[0] * rise[1] - hinge[1] * rise[0]),
        "hinge_angle": np.degrees(np.arccos(min(1.0, cosine))),
    }


@pytest.mark.parametrize("told", [True, False], ids=["distance told", "distance unknown"])
@pytest.mark.parametrize("name", NAMES)
def test_every_measure_lies_within_three_doubts_of_the_truth(name, told):
    raw, frames = frames_of(name)
    compared = 0
    for frame in frames:
        view = VIEWS[frame.get("view", raw["view"])]
        true = known(raw, frame, view)
        part = frame.get("part", "")
        for one in measure(
            setting_of(raw, told), view, exact_marks(view, frame), "f", part=part
        ):
            if not isinstance(one, Measured) or one.key not in true:
                continue
            compared += 1
            off = abs(one.value.value - true[one.key])
            assert off <= max(WITHIN * one.value.sigma, 1e-9), (one.key, one.value, true)
    assert compared


def test_every_measure_but_those_that_only_we_define_is_compared_somewhere():
    seen = set()
    for name in NAMES:
        raw, frames = frames_of(name)
        for frame in frames:
            view = VIEWS[frame.get("view", raw["view"])]
            found = measure(setting_of(raw, True), view, exact_marks(view, frame), "f")
            keys = {one.key for one in found if isinstance(one, Measured)}
            seen |= keys & known(raw, frame, view).keys()
    always = {
        "shell_length", "shell_height", "height_ratio", "hinge_line", "hinge_ratio",
        "hinge_angle", "length_along_hinge", "height_across_hinge", "umbo_position",
        "main_folds", "end_folds", "byssal_opening_length", "byssal_ratio",
    }  # fmt: skip
    assert always <= seen


def test_a_closed_interlocking_pair_fits_and_a_gaping_one_that_meets_fold_to_fold_does_not():
    pairs = {}
    for name in NAMES:
        raw, (frame, *_) = frames_of(name)
        if raw["view"] != "upper_margin":
            continue
        view = VIEWS["upper_margin"]
        found = measure(setting_of(raw, True), view, exact_marks(view, frame), "f")
        pairs[name] = {one.key: one for one in found if isinstance(one, Measured)}
    assert pairs
    for found in pairs.values():
        fit, gap = found["margin_fit"], found["gap_length_share"].value.value
        if gap < 0.01:
            assert fit.value.value <= fit.floor
        else:
            assert fit.value.value > 10 * fit.floor
