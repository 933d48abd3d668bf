"""The landmarks of one frame, laid into the reference plane with all their doubts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from landmarks.errors import ScaleError
from landmarks.geometry import Point, distance
from landmarks.measures.margins import Margins, margins
from landmarks.measures.straight import StraightPlane
from landmarks.measures.traces import Lie, Trace, trace_of
from landmarks.placing import Placing
from landmarks.scale import (
    Setting,
    camera_distance_px,
    mm_per_px,
    perspective,
    tilt_shifts,
)
from landmarks.scheme import Landmark, View
from landmarks.straightening import straightening_of
from landmarks.units import (
    Cause,
    Quantity,
    hypotenuse,
    linear,
    minus,
    over,
    plus,
    times,
    uncertain,
)

Spot = tuple[Quantity, Quantity]
_Placed = tuple[str, int, Point]

_SAMPLED = 9
"""So many points of a long line say how large it is and where its middle lies."""


@dataclass(frozen=True)
class Plane:
    """Placed landmarks as pairs of doubtful coordinates, in pixels of the reference plane.

    Where four points have given the scale, that is the plane put straight: everything placed
    is taken there first, with the doubt that the four points leave.

    Attributes
    ----------
    placings
        Those that have points, by landmark.
    part
        Which part of the animal is seen (words of :mod:`landmarks.scheme`), or empty.
    body
        What has the heights: two pictures of the same side of one shell share them.
    pose
        Which picture of it this is: how it lies and leans is its own.
    """

    setting: Setting
    view: View
    placings: Mapping[str, Placing]
    part: str = ""
    body: str = ""
    pose: str = ""
    _traces: dict[str, Trace] = field(default_factory=dict, init=False, compare=False)
    _margins: list[Margins] = field(default_factory=list, init=False, compare=False)
    _spots: dict[tuple[str, int], Spot] = field(
        default_factory=dict, init=False, compare=False
    )

    @cached_property
    def straight(self) -> StraightPlane | None:
        """Return the plane of four points with all placings in it, or None without four.

        Also None where the four make no plane: :attr:`faulty` tells.
        """
        try:
            straightening = straightening_of(self.setting.scale)
        except ScaleError:
            return None
        if straightening is None:
            return None
        points = {key: one.points for key, one in self.placings.items()}
        return StraightPlane(self.setting, straightening, points)

    @cached_property
    def faulty(self) -> bool:
        """Return whether the scale is of four points that make no plane."""
        try:
            straightening_of(self.setting.scale)
        except ScaleError:
            return True
        return False

    def outside(self, landmarks: Iterable[str]) -> float:
        """Return how far landmarks lie outside the four points, in their widths.

        0 where there are none; infinite at the horizon of the plane and beyond.
        """
        straight = self.straight
        if straight is None:
            return 0.0
        placed = (key for key in landmarks if key in self.placings)
        return max((straight.outside(key) for key in placed), default=0.0)

    @cached_property
    def mm_per_px(self) -> Quantity | None:
        """Return the scale of the picture, or None."""
        scale = self.setting.scale
        if self.straight is not None:
            return self.straight.mm_per_px
        return None if scale is None else mm_per_px(scale, self.setting.picture)

    @cached_property
    def camera(self) -> Quantity:
        """Return the distance of the lens from the plane, in pixels of the plane."""
        if self.straight is not None:
            return self.straight.camera_distance
        return camera_distance_px(self.setting)

    @cached_property
    def size(self) -> float:
        """Return the greatest distance between landmarks: what heights are shares of."""
        (_, _, a), (_, _, b) = self._farthest
        return distance(a, b)

    @cached_property
    def centre(self) -> Point:
        """Return the middle of the landmarks: about it the specimen leans."""
        points = [point for _, _, point in self._sampled]
        n = max(1, len(points))
        return Point(sum(p.x for p in points) / n, sum(p.y for p in points) / n)

    @cached_property
    def reference(self) -> Point:
        """Return where the scale holds exactly: the middle of the ruler."""
        scale = self.setting.scale
        if scale is None:
            return self.centre
        (ax, ay), (bx, by) = scale.points[0], scale.points[-1]
        return Point((ax + bx) / 2, (ay + by) / 2)

    @cached_property
    def _sampled(self) -> list[_Placed]:
        """Return points enough to tell the size; the order of placing plays no part."""
        found = []
        for key in sorted(self.placings):
            straight = self.straight
            points = self.placings[key].points if straight is None else straight.points(key)
            found += [(key, index, points[index]) for index in _sample(len(points))]
        return found

    @cached_property
    def _farthest(self) -> tuple[_Placed, _Placed]:
        """Return the two points that lie farthest apart.

        Where a line begins on a landmark, the landmark is taken, as others rest on it too.
        """
        placed = self._sampled
        pairs = ((a, b) for i, a in enumerate(placed) for b in placed[:i])
        nothing = ("", 0, Point(0.0, 0.0))

        def worth(pair: tuple[_Placed, _Placed]) -> tuple[float, int]:
            alone = sum(len(self.placings[one[0]].points) == 1 for one in pair)
            return round(distance(pair[0][2], pair[1][2]), 6), alone

        return max(pairs, key=worth, default=(nothing, nothing))

    @cached_property
    def _size_doubts(self) -> Mapping[Cause, float]:
        """Return by how much the size is off for the clicks it is taken from, by cause."""
        if self.straight is not None or not self.size:
            return {}
        doubts = {}
        for (key, index, here), (_, _, there) in (self._farthest, self._farthest[::-1]):
            one = self.placings[key]
            for axis, way in (("x", here.x - there.x), ("y", here.y - there.y)):
                cause = Cause("placing", f"{one.id}/{index}/{axis}")
                doubts[cause] = one.doubt_px * way / self.size
        return doubts

    def spots(self, landmark: str) -> tuple[Spot, ...]:
        """Return every point of a placed landmark, its placing doubt and height included."""
        placing = self.placings[landmark]
        return tuple(
            self._spot(placing, index, point) for index, point in enumerate(placing.points)
        )

    def spot(self, landmark: str) -> Spot:
        """Return the single point of a placed landmark."""
        placing = self.placings[landmark]
        return self._spot(placing, 0, placing.points[0])

    def trace(self, landmark: str) -> Trace:
        """Return a series, path or outline as one thing; asked again, the same one."""
        found = self._traces.get(landmark)
        if found is None:
            placing = self.placings[landmark]
            row = self._row(landmark)
            found = self._traces[landmark] = trace_of(
                self._lie(landmark),
                kind=row.kind,
                placing=placing.id,
                doubt_px=placing.doubt_px,
                height=row.height * self.size,
                raised=self.raised(landmark),
                leaning=self.leaning,
                camera=self.camera,
                centre=self.centre,
            )
        return found

    def margins(self, start: Spot, end: Spot) -> Margins:
        """Return both margins over the shell length; asked again, the same ones.

        Raises
        ------
        ZeroDivisionError
            As :func:`landmarks.measures.margins.margins`.
        """
        if not self._margins:
            at, to = ((one[0].value, one[1].value) for one in (start, end))
            left, right = self.trace("margin_left"), self.trace("margin_right")
            self._margins.append(margins(left, right, at, to, turned(start, end)))
        return self._margins[0]

    def raised(self, landmark: str) -> Mapping[Cause, float]:
        """Return by how much the height of a landmark may be off, in pixels, by cause.

        Heights are shares of the size, and so are off with the clicks it is taken from.
        """
        row = self._row(landmark)
        own = Cause("height", f"{self.body}/{landmark}")
        lie = Cause("pose", f"{self.pose}/lie")
        doubts = {
            own: self.size * row.height_sigma,
            lie: self.size * self.view.lie_sigma,
        }
        doubts.update((cause, row.height * off) for cause, off in self._size_doubts.items())
        return {cause: sigma for cause, sigma in doubts.items() if sigma}

    @property
    def leaning(self) -> tuple[tuple[Cause, float], ...]:
        """Return the causes of a lean, along x and along y, each with its doubt in radians."""
        sigma = self.view.lean_sigma
        return tuple((Cause("pose", f"{self.pose}/{axis}"), sigma) for axis in "xy")

    def in_mm(self, value: Quantity, power: int = 1, unit: str = "mm") -> Quantity:
        """Return pixels to a power as millimetres to it; the picture must have a scale."""
        scale = self.mm_per_px
        if scale is None:
            raise ValueError("the picture has no scale")
        for _ in range(abs(power)):
            value = times(value, scale, unit) if power > 0 else over(value, scale, unit)
        return value

    def _row(self, landmark: str) -> Landmark:
        found = self.view.landmark(landmark)
        return found or Landmark(landmark, "", height_sigma=0.1)

    def _lie(self, landmark: str) -> Lie:
        """Return where the points of a landmark lie in the plane, before their height."""
        import numpy as np

        if self.straight is not None:
            return self.straight.lie(landmark)
        at = np.array(self.placings[landmark].points, float).reshape(-1, 2)
        middle = Point(self.setting.width / 2, self.setting.height / 2)
        arm, off = (at - middle).T, (at - self.reference).T
        shifts = tilt_shifts(
            self.setting, self.camera.value, (arm[0], arm[1]), (off[0], off[1])
        )
        tilts = {cause: np.column_stack(moved) for cause, moved in shifts.items()}
        return Lie(at, middle, tilts)

    def _spot(self, placing: Placing, index: int, point: Point) -> Spot:
        known = self._spots.get((placing.landmark, index))
        if known is None:
            known = self._laid(placing, index, point)
            self._spots[placing.landmark, index] = known
        return known

    def _laid(self, placing: Placing, index: int, point: Point) -> Spot:
        if self.straight is not None:
            point = self.straight.points(placing.landmark)[index]
            height = self._height(placing.landmark, point)
            own = placing.doubt_px, placing.id
            return self.straight.spot(placing.landmark, index, height, *own)
        height = self._height(placing.landmark, point)
        moved = perspective(point, self.setting, height, self.reference, self.camera)
        # A click on what stands above the plane is brought down to it with its doubt.
        doubt = placing.doubt_px * (1 - height.value / self.camera.value)
        made = [
            plus(
                coordinate,
                uncertain(
                    0.0, doubt, "px", Cause("placing", f"{placing.id}/{index}/{axis}")
                ),
            )
            for coordinate, axis in zip(moved, "xy", strict=True)
        ]
        return made[0], made[1]

    def _height(self, landmark: str, point: Point) -> Quantity:
        budget = dict(self.raised(landmark))
        arm = (point.x - self.centre.x, point.y - self.centre.y)
        for (cause, sigma), lever in zip(self.leaning, arm, strict=True):
            if sigma * lever:
                budget[cause] = sigma * lever
        return Quantity(self.size * self._row(landmark).height, "px", budget)


def between(a: Spot, b: Spot) -> Quantity:
    """Return the distance of two spots, in pixels of the plane."""
    return hypotenuse(minus(b[0], a[0]), minus(b[1], a[1]))


def turned(origin: Spot, end: Spot) -> Quantity:
    """Return 0 with the doubt of the direction of an axis, in radians."""
    x, y = minus(end[0], origin[0]), minus(end[1], origin[1])
    square = x.value**2 + y.value**2
    return linear(0.0, "", ((-y.value / square, x), (x.value / square, y)))


def along(origin: Spot, end: Spot, spot: Spot) -> Quantity:
    """Return how far along the axis origin -> end a spot lies, in pixels."""
    return over(_dot(origin, end, spot), between(origin, end), "px")


def across(origin: Spot, end: Spot, foot: Spot, top: Spot) -> Quantity:
    """Return the distance from foot to top measured square to the axis, in pixels."""
    axis = (minus(end[0], origin[0]), minus(end[1], origin[1]))
    arm = (minus(top[0], foot[0]), minus(top[1], foot[1]))
    return unsigned(over(_cross(axis, arm), hypotenuse(*axis), "px"))


def beside(origin: Spot, end: Spot, foot: Spot, top: Spot) -> Quantity:
    """Return the distance from foot to top measured along the axis, in pixels."""
    axis = (minus(end[0], origin[0]), minus(end[1], origin[1]))
    arm = (minus(top[0], foot[0]), minus(top[1], foot[1]))
    dot = plus(times(axis[0], arm[0], "px²"), times(axis[1], arm[1], "px²"))
    return unsigned(over(dot, hypotenuse(*axis), "px"))


def angle(a: Spot, b: Spot, c: Spot, d: Spot) -> Quantity:
    """Return the angle between the lines a-b and c-d, 0 to 90 degrees.

    Raises
    ------
    ZeroDivisionError
        If one of the lines is a point.
    """
    from math import atan2, degrees

    first = (minus(b[0], a[0]), minus(b[1], a[1]))
    second = (minus(d[0], c[0]), minus(d[1], c[1]))
    # Lines have no direction: the nearer of the two ways between them counts.
    sine = _cross(first, second)
    cosine = plus(times(first[0], second[0], "px²"), times(first[1], second[1], "px²"))
    square = sine.value**2 + cosine.value**2
    turn = degrees(1 / square)
    if cosine.value < 0:
        sine, cosine = (
            linear(-sine.value, "px²", ((-1, sine),)),
            linear(-cosine.value, "px²", ((-1, cosine),)),
        )
    slopes = ((cosine.value * turn, sine), (-sine.value * turn, cosine))
    return unsigned(linear(degrees(atan2(sine.value, cosine.value)), "°", slopes))


def unsigned(value: Quantity) -> Quantity:
    """Return a quantity without its sign."""
    return value if value.value >= 0 else linear(-value.value, value.unit, ((-1.0, value),))


def _cross(first: Spot, second: Spot) -> Quantity:
    return minus(times(first[0], second[1], "px²"), times(first[1], second[0], "px²"))


def _dot(origin: Spot, end: Spot, spot: Spot) -> Quantity:
    axis = (minus(end[0], origin[0]), minus(end[1], origin[1]))
    arm = (minus(spot[0], origin[0]), minus(spot[1], origin[1]))
    return plus(times(axis[0], arm[0], "px²"), times(axis[1], arm[1], "px²"))


def _sample(n: int) -> Sequence[int]:
    if n <= _SAMPLED:
        return range(n)
    step = (n - 1) / (_SAMPLED - 1)
    return [round(step * i) for i in range(_SAMPLED)]
