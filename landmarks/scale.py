"""The scale of a picture, the plane it holds in, and what the camera adds to the doubt.

One picture has one scale: millimetres per pixel in one reference plane. No scale is no
obstacle: ratios, counts and scores work without one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import exp, expm1, isfinite, sqrt

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


def tilt_causes(setting: Setting) -> tuple[Cause, Cause]:
    """Return the causes of doubt that a tilt of the camera makes, along x and along y."""
    of = setting.setup or setting.picture
    return Cause("tilt", f"{of}/x"), Cause("tilt", f"{of}/y")


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
    tilts = [uncertain(0.0, TILT_SIGMA, "rad", cause) for cause in tilt_causes(setting)]
    lever = ((point.x - reference.x) / camera.value, (point.y - reference.y) / camera.value)
    coordinates = []
    for here, centre in ((point.x, middle.x), (point.y, middle.y)):
        arm = here - centre
        coordinates.append(
            linear(
                here - arm * share.value,
                "px",
                ((-arm, share), (arm * lever[0], tilts[0]), (arm * lever[1], tilts[1])),
            )
        )
    return coordinates[0], coordinates[1]
