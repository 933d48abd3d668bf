"""The drawings of the views, and where their landmarks belong."""

from collections.abc import Callable
from typing import Any

import numpy as np

from tests.drawing import animal, pair, valve
from tests.drawing.pen import FINE, MAIN, PART, Points, Sheet, circle, curve, points, turned

Places = dict[str, dict[str, list[list[float]]]]

_VALVE = valve.Valve(depth=6.5, profile=valve.wave)
_RIMS = (0.3, 0.42, 0.54, 0.67, 0.8, 0.93)  # scutes along the middle fold


_EDGE = np.array([13.0, 0.0])


def outside_of_valve(*, small: bool) -> Sheet:
    """Draw a left valve from outside."""
    sheet = Sheet()
    valve.draw_valve(sheet, _VALVE, growth=(0.6,) if small else (0.8, 0.6, 0.4))
    return sheet


def hinge_edge(*, small: bool) -> Sheet:
    """Draw a pair from the hinge."""
    return pair.hinge_edge("large", detail=not small)


def living_from_above(*, small: bool) -> Sheet:
    """Draw the animal from above."""
    del small
    return animal.living_from_above()


def inside_of_valve(*, small: bool) -> Sheet:
    """Draw a valve from inside: hollow, hinge plate below, muscle scar and pallial line."""
    sheet = Sheet()
    sheet.solid(_VALVE.outline(), 0.06, 0)
    hollow = _VALVE.margin(0.86, 12)
    sheet.tint(np.vstack([hollow, points((106, 97), (54, 97))]), 0.14)
    sheet.line(hollow, FINE, 0.5)
    if not small:
        sheet.line(_VALVE.margin(0.68, 20), FINE, 0.4)
        sheet.line(circle(70, 68, 13, 0.85), PART, 0.6)
    for degrees in _VALVE.bounds():
        sheet.line(_VALVE.furrow(float(degrees), 0.88, 1.0), 1.5, 0.75)
    plate = curve((40, 104), (60, 108), (80, 112), (100, 108), (122, 104), (104, 97),
                  (80, 95), (58, 97), closed=True)  # fmt: skip
    sheet.solid(plate, 0.2, PART)
    sheet.line(points((47, 103.5), (70, 106)), FINE, 0.7)
    if not small:
        sheet.solid(
            curve((86, 100), (93, 98.5), (101, 101), (94, 103.5), closed=True), 0, FINE
        )
    outline = _VALVE.outline()
    sheet.line(np.vstack([outline, outline[:1]]), MAIN)
    return sheet


def upper_margin(*, small: bool) -> Sheet:
    """Draw a shut pair from above."""
    del small
    return pair.closure("nearly")


def underside(*, small: bool) -> Sheet:
    """Draw a pair from below: the byssal opening turned towards you."""
    return pair.hinge_edge("very_large", detail=not small)


def end(*, small: bool) -> Sheet:
    """Draw a shut pair from its end: beaks below, the line in which the valves meet."""
    sheet = Sheet()
    side = curve((80, 8), (96, 14), (112, 34), (118, 58), (110, 84), (96, 101), (86, 107),
                 (81, 101), (80, 94))  # fmt: skip
    whole = np.vstack([side, (side * [-1, 1] + [160, 0])[::-1][1:]])
    sheet.solid(whole, 0.06, 0)
    for share in (0.3, 0.62) if small else (0.25, 0.5, 0.75):
        for hand in (-1, 1):
            rib = np.column_stack([80 + hand * share * (side[:, 0] - 80), side[:, 1]])
            sheet.line(rib[6:-24], 1.4, 0.6)
    meets = np.linspace(8, 94, 61)
    waves = 3.0 * np.sin((meets - 8) / 86 * 7 * np.pi) * np.linspace(1, 0.15, 61)
    sheet.line(np.column_stack([80 + waves, meets]), PART)
    sheet.line(whole, MAIN)
    return sheet


def living_from_side(*, small: bool) -> Sheet:
    """Draw a living clam from the side, partly sunk into the rock."""
    del small
    return pair.burrowing("partial")


def living_inhalant_opening(*, small: bool) -> Sheet:
    """Draw the inhalant opening seen close."""
    del small
    return animal.incurrent_margin("small_simple")


def living_mantle_edge(*, small: bool) -> Sheet:
    """Draw the edge of the mantle seen close."""
    del small
    return animal.eyes("dense_row")


# A dot at the very end of a shell needs room beside it.
SHRUNK = 0.88


def landmark_base(view: str) -> Sheet:
    """Draw a view with room for dots round it."""
    sheet = VIEWS[view](small=False)
    sheet.shrink(SHRUNK)
    return sheet


VIEWS: dict[str, Callable[..., Sheet]] = {
    "outside_of_valve": outside_of_valve,
    "inside_of_valve": inside_of_valve,
    "upper_margin": upper_margin,
    "hinge_edge": hinge_edge,
    "underside": underside,
    "end": end,
    "living_from_above": living_from_above,
    "living_from_side": living_from_side,
    "living_inhalant_opening": living_inhalant_opening,
    "living_mantle_edge": living_mantle_edge,
}


def places() -> Places:
    """Return where the dots of the landmarks of each view belong."""
    margin = _VALVE.margin()
    tops = _VALVE.fold_tops()
    highest = margin[np.argmin(margin[:, 1])]
    left, right = margin[np.argmin(margin[:, 0])], margin[np.argmax(margin[:, 0])]
    hinge = _VALVE.at(np.array([169.0, 11.0]), _VALVE.reach(np.array([169.0, 11.0])))
    _, opening_far, opening_hinge = pair.OPENING["large"]
    half, under_far, under_hinge = pair.OPENING["very_large"]
    middle = (under_far + under_hinge) / 2
    above, below = pair.margins("nearly")
    scute = np.array([80.0, 110 - 2 / 3 * (110 - highest[1])])
    rims = [np.array([80.0, 110 - share * (110 - highest[1])]) for share in _RIMS]
    rim = animal.rim()
    eyes = animal.eye_places()
    edge = animal.mantle_edge()
    found: dict[str, dict[str, Any]] = {
        "outside_of_valve": {
            "byssal_end": [right],
            "ligament_end": [left],
            "umbo": [np.array([80.0, 113.0])],
            "upper_margin": [highest],
            "hinge_ligament": [hinge[0]],
            "hinge_byssal": [hinge[1]],
            "main_folds": tops[1:-1],
            "end_folds": [tops[0], tops[-1]],
            "upper_margin_line": _some(
                margin[np.argmin(margin[:, 0]) : np.argmax(margin[:, 0]) + 1], 9
            ),
            "valve_outline": [*_some(margin, 9), np.array([80.0, 113.0])],
            "scutes": rims,
            "scute_left": [scute - _EDGE],
            "scute_right": [scute + _EDGE],
        },
        "inside_of_valve": {
            "byssal_end": [left],
            "ligament_end": [right],
            "umbo": [[80, 113]],
            "upper_margin": [highest],
            "hinge_ligament": [[122, 104]],
            "hinge_byssal": [[40, 104]],
            "main_folds": tops[1:-1],
            "end_folds": [tops[0], tops[-1]],
            "valve_outline": [*_some(margin, 9), np.array([80.0, 113.0])],
        },
        "upper_margin": {
            "byssal_end": [[7, 60]],
            "ligament_end": [[153, 60]],
            "margin_left": _some(above, 9),
            "margin_right": _some(below, 9),
            "main_folds": _some(above[40:-40], 5),
        },
        "underside": {
            "byssal_end": [[7, 60]],
            "ligament_end": [[153, 60]],
            "byssal_opening_hinge": [[under_hinge, 60]],
            "byssal_opening_far": [[under_far, 60]],
            "opening_width_a": [[middle, 60 - half]],
            "opening_width_b": [[middle, 60 + half]],
            "byssal_opening": [
                [middle + (under_hinge - middle) * np.cos(t), 60 + half * np.sin(t)]
                for t in np.linspace(0, 2 * np.pi, 9)[:-1]
            ],
        },
        "end": {
            "width_left": [[42.0, 58]],
            "width_right": [[118.0, 58]],
            "umbo": [[80, 103]],
            "upper_margin": [[80, 8]],
        },
        "living_from_side": {
            "margin_byssal_end": [[126, 58]],
            "margin_ligament_end": [[34, 58]],
            "main_folds": [[62, 44], [80, 42], [98, 44], [47, 49], [113, 49]],
        },
        "living_inhalant_opening": {
            "inhalant_near": [[132, 60]],
            "inhalant_far": [[28, 60]],
            "mantle_near": [[150, 60]],
            "mantle_far": [[10, 60]],
            "opening": _some(rim, 10),
            "tentacles": [
                60 + 0.86 * (np.array([x, y]) - 60) * [1, 1] + [2.8, 0]
                for x, y in _some(rim, 12)
            ],
        },
        "living_mantle_edge": {"edge": _some(edge, 9), "eyes": eyes},
        "hinge_edge": {
            "byssal_end": [[7, 60]],
            "ligament_end": [[153, 60]],
            "hinge_byssal": [[93, 60]],
            "hinge_ligament": [[143, 60]],
            "byssal_opening_hinge": [[opening_hinge, 60]],
            "byssal_opening_far": [[opening_far, 60]],
        },
        "living_from_above": {
            "margin_byssal_end": [[9, 60]],
            "margin_ligament_end": [[151, 60]],
            "main_folds": _tops(animal.shell_margin()),
            "inhalant_near": [[animal.INHALANT[1], 60]],
            "inhalant_far": [[animal.INHALANT[0], 60]],
            "mantle_near": [[141, 60]],
            "mantle_far": [[19, 60]],
        },
    }
    return {
        view: {name: _rounded(*dots) for name, dots in marks.items()}
        for view, marks in found.items()
    }


def _some(line: Points, n: int) -> list[Points]:
    """Return so many points of a line, spread evenly."""
    return [line[round(i)] for i in np.linspace(0, len(line) - 1, n)]


def _tops(margin: Points) -> list[Points]:
    """Return where folds stand out farthest, on both sides of the animal."""
    up = np.abs(margin[:, 1] - 60)
    peak = (up > np.roll(up, 1)) & (up >= np.roll(up, -1)) & (up > 15)
    return [np.asarray(point, float) for point in margin[peak]]


def scale() -> Sheet:
    """Draw a ruler with its graduation."""
    sheet = Sheet()
    ruler = points((10, 44), (150, 44), (150, 82), (10, 82))
    sheet.solid(_tilted(ruler), 0.06, MAIN)
    for i in range(25):
        x = 20 + i * 5
        long = 18 if i % 5 == 0 else 10
        sheet.line(
            _tilted(points((x, 44), (x, 44 + long))), 1.7 if i % 5 == 0 else FINE, 0.8
        )
    return sheet


def _tilted(shape: Points) -> Points:
    return turned(shape, -12, (80, 62))


def _rounded(*found: Any) -> list[list[float]]:
    """Return places as in the shrunk drawing."""
    middle = np.array([80.0, 60.0])
    shrunk = [middle + SHRUNK * (np.asarray(dot, float) - middle) for dot in found]
    return [[round(float(x), 1), round(float(y), 1)] for x, y in shrunk]
