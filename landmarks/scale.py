"""The scale of a picture, the plane it holds in, and what the camera adds to the doubt.

One picture has one scale: millimetres per pixel in one reference plane. No scale is no
obstacle: ratios, counts and scores work without one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import asin, cos, exp, expm1, hypot, isfinite, log, sin, sqrt
from typing import Any

from landmarks.errors import ScaleError
from landmarks.geometry import Point, distance
from landmarks.units import Cause, Quantity, linear, over, times, uncertain

METHODS = ("two_points", "ruler", "density", "four_points", "carried_over")

CLICK_SIGMA_PX = 1.5
"""A careful click at 100 % zoom, per coordinate (common practice, no source)."""

RULER_SIGMA = 0.001
"""Doubt of a cheap ruler as a share of its length (common practice, no source)."""

TILT_SIGMA = 0.026
"""A hand-held camera is off the normal by about 1.5 degrees each way, in radians
(common practice, no source); with this and the doubts of distance below, stated intervals
held the truth of invented shells as often as they said (``tests/benchmarks/lengths.py``)."""

DRIFT_SHOWN = 0.01
"""A scale that changes along a ruler by more than this share tells that the camera leans."""

FIELD_DISTANCE = 1.3
"""Distance of an unknown camera, in long sides of its picture, as often less as more: about
a 47 mm lens on a 36 x 24 mm frame (common practice, no source)."""

FIELD_DISTANCE_SIGMA = 0.4
"""Doubt of the logarithm of that distance: 28 to 70 mm lenses, some cropping."""

DISTANCE_SIGMA = 0.05
"""Doubt of a camera distance that a person typed, as a share (common practice, no source)."""

SET_UP_SIGMA = 0.005
"""What a scale loses when it is carried over to the next picture of the same set-up, as a
share: focus breathes, the camera is touched (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Scale:
    """How many millimetres a pixel is worth.

    Attributes
    ----------
    method
        One of :data:`METHODS`.
    points
        The two ends on the picture, in pixels.
    length_mm, sigma_mm
        The true distance between them and its standard uncertainty (the ruler's own).
    sigma_px
        Placing doubt of each coordinate of the two ends.
    person, at
        Who set it and when (UTC).
    origin
        Id of the picture on which it was set, where it was carried over: the points stand on
        that picture, and so does their doubt.
    """

    method: str
    points: tuple[Point, ...]
    length_mm: float
    sigma_mm: float
    sigma_px: float = CLICK_SIGMA_PX
    person: str = ""
    at: str = ""
    origin: str = ""
    extra: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Setting:
    """What measuring needs to know of a picture besides the landmarks.

    Attributes
    ----------
    picture
        Its id: doubts of one picture are shared by all that is measured on it.
    width, height
        Upright size in pixels.
    scale
        Or None.
    camera_distance_mm
        Lens to reference plane, or None where nobody knows.
    focal_35mm
        Focal length as on a 36 x 24 mm frame, or None.
    setup
        Name of the set-up where the camera stood still between pictures: their tilt and
        distance are one and the same doubt. Empty where each picture stands for itself.
    """

    picture: str
    width: int
    height: int
    scale: Scale | None = None
    camera_distance_mm: float | None = None
    focal_35mm: float | None = None
    setup: str = ""


def two_points(
    first: Point,
    second: Point,
    length_mm: float,
    *,
    size: tuple[int, int],
    sigma_mm: float | None = None,
    person: str = "",
    at: str = "",
) -> Scale:
    """Return the scale given by two points on the picture and the length between them.

    Parameters
    ----------
    size
        Upright width and height of the picture, in pixels.
    sigma_mm
        Doubt of the length; a cheap ruler's where it is not told.

    Raises
    ------
    ScaleError
        If both ends are the same, outside the picture, or the length is not positive.
    """
    if not (isfinite(length_mm) and length_mm > 0):
        raise ScaleError("scale.length_not_positive", found=length_mm)
    for point in (first, second):
        if not (0 <= point.x <= size[0] and 0 <= point.y <= size[1]):
            raise ScaleError(
                "scale.outside",
                x=point.x,
                y=point.y,
                width=size[0],
                height=size[1],
            )
    if distance(first, second) < 1:
        raise ScaleError("scale.same_point", x=round(first.x), y=round(first.y))
    if sigma_mm is None:
        sigma_mm = RULER_SIGMA * length_mm
    if not (isfinite(sigma_mm) and 0 <= sigma_mm < length_mm):
        raise ScaleError("scale.sigma_not_possible", found=sigma_mm)
    return Scale("two_points", (first, second), length_mm, sigma_mm, person=person, at=at)


def carried_over(scale: Scale, origin: str, *, person: str = "", at: str = "") -> Scale:
    """Return the scale of one picture for the next picture of the same set-up.

    Parameters
    ----------
    origin
        Id of the picture that has this scale; carried on once more, the first one counts.
    """
    first = scale.origin or origin
    return replace(scale, method="carried_over", origin=first, person=person, at=at)


def corrected(scale: Scale, factor: Quantity) -> Scale:
    """Return the scale times a factor that a check shell of known length gave.

    The doubt of the factor takes the place of the ruler's own: what the ruler got wrong, the
    check shell put right.
    """
    length = scale.length_mm * factor.value
    return replace(scale, length_mm=length, sigma_mm=factor.relative * length)


def mm_per_px(scale: Scale, picture: str) -> Quantity:
    """Return millimetres per pixel with its doubt: the ends as placed, the ruler itself.

    A scale that was carried over shares both with the picture it came from, so that two such
    pictures are no surer than one, and adds what happened to the set-up in between.
    """
    first, second = scale.points[0], scale.points[-1]
    along = distance(first, second)
    source = scale.origin or picture
    # Both coordinates of both ends move the distance only along the line: sqrt(2) sigma.
    span = uncertain(along, scale.sigma_px * 2**0.5, "px", Cause("scale_ends", source))
    bar = uncertain(scale.length_mm, scale.sigma_mm, "mm", Cause("ruler", source))
    found = over(bar, span, "mm/px")
    if scale.origin in ("", picture):
        return found
    moved = uncertain(1.0, SET_UP_SIGMA, "", Cause("set_up", picture))
    return times(found, moved, "mm/px")


def camera_distance_px(setting: Setting) -> Quantity:
    """Return the distance of the lens from the reference plane, in pixels of that plane.

    Typed where the person knows it (and the picture has a scale); else from the focal length
    in the file; else what cameras usually do, with a wide doubt.
    """
    cause = Cause("camera_distance", setting.setup or setting.picture)
    if setting.camera_distance_mm is not None and setting.scale is not None:
        value = setting.camera_distance_mm / mm_per_px(setting.scale, setting.picture).value
        return uncertain(value, DISTANCE_SIGMA * value, "px", cause)
    longer = max(setting.width, setting.height)
    if setting.focal_35mm is not None:
        value = longer * setting.focal_35mm / 36.0
        return uncertain(value, 0.2 * value, "px", cause)
    # Lengths depend on one over the distance, whose mean and spread these are: so wide a
    # doubt of the distance itself would be told a fifth too small to first order.
    squared = FIELD_DISTANCE_SIGMA**2
    value = longer * FIELD_DISTANCE * exp(-squared / 2)
    return uncertain(value, sqrt(expm1(squared)) * value, "px", cause)


def tilt_shifts(
    setting: Setting, camera_px: float, arm: tuple[Any, Any], off: tuple[Any, Any]
) -> dict[Cause, tuple[Any, Any]]:
    """Return by how many pixels a tilt of the camera may have moved points, by cause.

    A camera in the hand leans a little, nobody knows where to: pixels on one side of the
    reference are larger than on the other. A ruler along which the scale drifts tells of more.
    What was measured is not put straight by it, since it shows the lean along one line alone:
    the lean joins the doubt, and so does that lengths across the ruler are not shortened as
    its own are. Whoever wants less of it sets four points around the specimen.

    Parameters
    ----------
    arm, off
        x and y of the points from the middle of the picture and from the reference, in
        pixels: numbers, or arrays of one shape.
    """
    of = setting.setup or setting.picture
    shifts = {}
    for axis, lever in zip("xy", off, strict=True):
        larger = lever * TILT_SIGMA / camera_px
        shifts[Cause("tilt", f"{of}/{axis}")] = (arm[0] * larger, arm[1] * larger)
    lean, (x, y) = _lean(setting.scale, camera_px)
    if lean:
        larger = (off[0] * x + off[1] * y) * sin(lean) / camera_px
        shifts[Cause("tilt", f"{of}/ruler")] = (arm[0] * larger, arm[1] * larger)
        longer = (off[1] * x - off[0] * y) * (1 - cos(lean))
        shifts[Cause("tilt", f"{of}/across")] = (-longer * y, longer * x)
    return shifts


def _lean(scale: Scale | None, camera_px: float) -> tuple[float, tuple[float, float]]:
    """Return by how much a fitted ruler says that the camera leans, in radians, and where to.

    A plane that leans by t along a line is seen with a scale that changes by 2 sin t / D for
    every pixel, at a camera distance of D pixels [derived].
    """
    along, down = (0.0, 0.0) if scale is None else _drift_per_px(scale)
    drift = hypot(along, down)
    if not drift:
        return 0.0, (0.0, 0.0)
    return asin(min(1.0, drift * camera_px / 2)), (along / drift, down / drift)


def _drift_per_px(scale: Scale) -> tuple[float, float]:
    """Return by what share the scale of a fitted ruler changes a pixel, along x and y."""
    told = scale.extra.get("ruler")
    if not isinstance(told, Mapping):
        return 0.0, 0.0
    try:
        first, last = told["px_per_mm_ends"]
        (x1, y1), (x2, y2) = told["line"]
        drift, length = log(last / first), hypot(x2 - x1, y2 - y1)
        if abs(drift) < DRIFT_SHOWN or not length:
            return 0.0, 0.0
        return drift * (x2 - x1) / length**2, drift * (y2 - y1) / length**2
    except (KeyError, TypeError, ValueError, ArithmeticError):
        # A stranger's file may tell anything.
        return 0.0, 0.0


def perspective(
    point: Point,
    setting: Setting,
    height_px: Quantity,
    reference: Point,
    camera: Quantity | None = None,
) -> tuple[Quantity, Quantity]:
    """Return where a point would stand in the reference plane, as two coordinates in pixels.

    A point ``h`` above the plane is seen away from the middle of the picture by the factor
    ``D / (D - h)``; an unknown tilt of the camera makes pixels on one side of the reference
    (the middle of the scale) larger than on the other. First order in h / D and in the tilt.

    Parameters
    ----------
    height_px
        Typical height of the landmark above the reference plane, with its doubt, in pixels.
    reference
        Where the scale holds exactly.
    camera
        What :func:`camera_distance_px` says, where it is known already.
    """
    camera = camera or camera_distance_px(setting)
    share = over(height_px, camera)
    middle = Point(setting.width / 2, setting.height / 2)
    arm = point.x - middle.x, point.y - middle.y
    off = point.x - reference.x, point.y - reference.y
    shifts = tilt_shifts(setting, camera.value, arm, off)
    coordinates = []
    for axis, here in enumerate(point):
        tilts = (
            (moved[axis], uncertain(0.0, 1.0, "", cause)) for cause, moved in shifts.items()
        )
        value = here - arm[axis] * share.value
        coordinates.append(linear(value, "px", ((-arm[axis], share), *tilts)))
    return coordinates[0], coordinates[1]
