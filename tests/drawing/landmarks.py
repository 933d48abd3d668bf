"""The drawings of the three views, and where their landmarks belong."""

from collections.abc import Callable
from typing import Any

import numpy as np

from tests.drawing import animal, pair, valve
from tests.drawing.pen import FINE, MAIN, Points, Sheet, points, turned

Places = dict[str, dict[str, list[list[float]]]]

_VALVE = valve.Valve(depth=6.5, profile=valve.wave)


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


# A dot at the very end of a shell needs room beside it.
SHRUNK = 0.88


def landmark_base(view: str) -> Sheet:
    """Draw a view with room for dots round it."""
    sheet = VIEWS[view](small=False)
    sheet.shrink(SHRUNK)
    return sheet


VIEWS: dict[str, Callable[..., Sheet]] = {
    "outside_of_valve": outside_of_valve,
    "hinge_edge": hinge_edge,
    "living_from_above": living_from_above,
}


def places() -> Places:
    """Return where the dots of the landmarks of each view belong."""
    margin = _VALVE.margin()
    tops = _VALVE.fold_tops()
    highest = margin[np.argmin(margin[:, 1])]
    left, right = margin[np.argmin(margin[:, 0])], margin[np.argmax(margin[:, 0])]
    hinge = _VALVE.at(np.array([169.0, 11.0]), _VALVE.reach(np.array([169.0, 11.0])))
    _, opening_far, opening_hinge = pair.OPENING["large"]
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
        },
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
        },
    }
    return {
        view: {name: _rounded(*dots) for name, dots in marks.items()}
        for view, marks in found.items()
    }


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
