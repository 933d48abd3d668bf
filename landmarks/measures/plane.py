"""The landmarks of one frame, laid into the reference plane with all their doubts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from landmarks.geometry import Point, span
from landmarks.placing import Placing
from landmarks.scale import Setting, mm_per_px, perspective
from landmarks.scheme import View
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


@dataclass(frozen=True)
class Plane:
    """Placed landmarks as pairs of doubtful coordinates, in pixels of the reference plane."""

    setting: Setting
    view: View
    placings: Mapping[str, Placing]

    @cached_property
    def mm_per_px(self) -> Quantity | None:
        """Return the scale of the picture, or None."""
        scale = self.setting.scale
        return None if scale is None else mm_per_px(scale, self.setting.picture)

    @cached_property
    def _size(self) -> float:
        points = [p for one in self.placings.values() for p in one.points]
        return span(points[:40])

    @cached_property
    def _reference(self) -> Point:
        scale = self.setting.scale
        if scale is not None:
            (ax, ay), (bx, by) = scale.points[0], scale.points[-1]
            return Point((ax + bx) / 2, (ay + by) / 2)
        points = [p for one in self.placings.values() for p in one.points]
        n = max(1, len(points))
        return Point(sum(p.x for p in points) / n, sum(p.y for p in points) / n)

    def spots(self, landmark: str) -> tuple[Spot, ...]:
        """Return every point of a placed landmark, its placing doubt and height included."""
        placing = self.placings[landmark]
        row = self.view.landmark(landmark)
        height = uncertain(
            self._size * (row.height if row else 0.0),
            self._size * (row.height_sigma if row else 0.1),
            "px",
            Cause("height", f"{placing.frame}/{landmark}"),
        )
        return tuple(
            self._spot(placing, index, point, height)
            for index, point in enumerate(placing.points)
        )

    def spot(self, landmark: str) -> Spot:
        """Return the single point of a placed landmark."""
        return self.spots(landmark)[0]

    def _spot(self, placing: Placing, index: int, point: Point, height: Quantity) -> Spot:
        moved = perspective(point, self.setting, height, self._reference)
        doubt = placing.doubt_px
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

    def in_mm(self, length: Quantity) -> Quantity:
        """Return a length in millimetres; the picture must have a scale."""
        scale = self.mm_per_px
        if scale is None:
            raise ValueError("the picture has no scale")
        return times(length, scale, "mm")


def between(a: Spot, b: Spot) -> Quantity:
    """Return the distance of two spots, in pixels of the plane."""
    return hypotenuse(minus(b[0], a[0]), minus(b[1], a[1]))


def along(origin: Spot, end: Spot, spot: Spot) -> Quantity:
    """Return how far along the axis origin -> end a spot lies, in pixels."""
    return over(_dot(origin, end, spot), between(origin, end), "px")


def across(origin: Spot, end: Spot, foot: Spot, top: Spot) -> Quantity:
    """Return the distance from foot to top measured square to the axis, in pixels."""
    axis = (minus(end[0], origin[0]), minus(end[1], origin[1]))
    arm = (minus(top[0], foot[0]), minus(top[1], foot[1]))
    cross = minus(times(axis[0], arm[1], "px²"), times(axis[1], arm[0], "px²"))
    length = over(cross, hypotenuse(*axis), "px")
    return length if length.value >= 0 else linear(-length.value, "px", ((-1.0, length),))


def _dot(origin: Spot, end: Spot, spot: Spot) -> Quantity:
    axis = (minus(end[0], origin[0]), minus(end[1], origin[1]))
    arm = (minus(spot[0], origin[0]), minus(spot[1], origin[1]))
    return plus(times(axis[0], arm[0], "px²"), times(axis[1], arm[1], "px²"))
