"""Landmark frames of invented shells, as they would look in a picture."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from hypothesis import strategies as st

from landmarks.geometry import Point, turned
from landmarks.measures import Measured, Missing, measure
from landmarks.placing import Placing
from landmarks.scale import Scale, Setting
from landmarks.scheme import VIEWS, View

SIZE = (1800, 1200)
MIDDLE = Point(900, 600)
RULER_START, RULER_END = Point(400, 1100), Point(1400, 1100)
PX_PER_MM = 8.0
OUTSIDE = VIEWS["outside_of_valve"]
HINGE_EDGE = VIEWS["hinge_edge"]

VALVE: Mapping[str, tuple[Point, ...]] = {
    "byssal_end": (Point(1470, 470),),
    "ligament_end": (Point(330, 450),),
    "umbo": (Point(880, 890),),
    "upper_margin": (Point(910, 100),),
    "hinge_byssal": (Point(1160, 820),),
    "hinge_ligament": (Point(600, 815),),
    "main_folds": tuple(Point(x, 300) for x in (340, 570, 910, 1240, 1460)),
    "end_folds": (Point(390, 705), Point(1420, 680)),
}
"""Outside of a left valve, about 143 mm long at eight pixels to the millimetre."""

PAIR: Mapping[str, tuple[Point, ...]] = {
    "byssal_end": (Point(300, 370),),
    "ligament_end": (Point(1500, 465),),
    "hinge_byssal": (Point(750, 415),),
    "hinge_ligament": (Point(1380, 450),),
    "byssal_opening_hinge": (Point(740, 416),),
    "byssal_opening_far": (Point(430, 425),),
}
"""The hinge edge of a closed pair."""


def ruler(start: Point = RULER_START, end: Point = RULER_END, **kinds: object) -> Scale:
    """Return a ruler below the shell, eight pixels to the millimetre where it is untouched."""
    length_mm = ((end.x - start.x) ** 2 + (end.y - start.y) ** 2) ** 0.5 / PX_PER_MM
    made = Scale("two_points", (start, end), length_mm, 0.001 * length_mm)
    return replace(made, **kinds)


def setting(**kinds: object) -> Setting:
    """Return a picture with a ruler, its camera 900 mm away, unless told otherwise."""
    return replace(Setting("p", *SIZE, scale=ruler(), camera_distance_mm=900.0), **kinds)


def placings(
    points: Mapping[str, tuple[Point, ...]] = VALVE, frame: str = "f", **kinds: object
) -> list[Placing]:
    """Return one placing for each landmark, named like the landmark."""
    return [Placing(key, frame, key, tuple(at), **kinds) for key, at in points.items()]


def in_plane(view: View) -> View:
    """Return the view as if every landmark lay exactly at the height of the ruler."""
    return replace(
        view,
        landmarks=tuple(
            replace(one, height=0.0, height_sigma=0.0) for one in view.landmarks
        ),
        lie_sigma=0.0,
        lean_sigma=0.0,
    )


def measures(
    where: Setting,
    points: Mapping[str, tuple[Point, ...]] = VALVE,
    view: View = OUTSIDE,
    **kinds: object,
) -> dict[str, Measured | Missing]:
    """Return the measures of a frame by their keys."""
    return {one.key: one for one in measure(where, view, placings(points, **kinds), "f")}


def values(found: Mapping[str, Measured | Missing]) -> dict[str, float]:
    """Return the bare numbers of what could be measured."""
    return {key: one.value.value for key, one in found.items() if isinstance(one, Measured)}


def moved(
    points: Mapping[str, tuple[Point, ...]],
    landmark: str,
    dx: float,
    dy: float,
    index: int = 0,
) -> dict[str, tuple[Point, ...]]:
    """Return the landmarks with one point moved."""
    at = list(points[landmark])
    at[index] = Point(at[index].x + dx, at[index].y + dy)
    return {**points, landmark: tuple(at)}


def turned_by(
    points: Mapping[str, tuple[Point, ...]], radians: float
) -> dict[str, tuple[Point, ...]]:
    """Return the landmarks turned about the middle of the picture."""
    return {key: turned(at, radians, MIDDLE) for key, at in points.items()}


def _near(point: Point, reach: float) -> st.SearchStrategy[tuple[Point, ...]]:
    offset = st.floats(-reach, reach)
    return st.builds(lambda x, y: (Point(point.x + x, point.y + y),), offset, offset)


valves: st.SearchStrategy[Mapping[str, tuple[Point, ...]]] = st.fixed_dictionaries(
    {key: _near(at[0], 40) if len(at) == 1 else st.just(at) for key, at in VALVE.items()}
)
"""Valves of many shapes, all well inside the picture."""

turns = st.floats(-3.1416, 3.1416)
