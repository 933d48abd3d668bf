"""Landmarks on a plane that four points put straight, with the doubt the four points leave.

Nothing of the tilt of the camera is left to chance here: the four points tell it. What they
do not tell is the height of a landmark above the plane, which counts as everywhere.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from landmarks.geometry import Point
from landmarks.measures.traces import Lie
from landmarks.scale import SET_UP_SIGMA, Scale, Setting, camera_distance_px
from landmarks.straightening import Camera, Laid, Straightening
from landmarks.units import Cause, Quantity, exact, linear, over, times, uncertain

_ROUNDS = 4


@dataclass(frozen=True)
class StraightPlane:
    """Placed landmarks in the straightened plane.

    Attributes
    ----------
    placed
        Points of the picture by landmark.
    """

    setting: Setting
    straightening: Straightening
    placed: Mapping[str, Sequence[Point]]

    @cached_property
    def mm_per_px(self) -> Quantity:
        """Return millimetres per pixel of the plane: only the reference itself is in doubt.

        What the clicks on the corners leave in doubt is in the places of the landmarks.
        """
        scale = self._scale
        share = scale.sigma_mm / scale.length_mm
        reference = uncertain(1.0, share, "", Cause("ruler", self._source))
        found = times(exact(self.straightening.mm_per_px, "mm/px"), reference, "mm/px")
        if scale.origin in ("", self.setting.picture):
            return found
        moved = uncertain(1.0, SET_UP_SIGMA, "", Cause("set_up", self.setting.picture))
        return times(found, moved, "mm/px")

    @cached_property
    def camera_distance(self) -> Quantity:
        """Return the height of the lens above the plane, in pixels of the plane."""
        told = camera_distance_px(self.setting)
        height = self._camera.height
        return linear(height, "px", ((height / told.value, told),))

    def outside(self, landmark: str) -> float:
        """Return how far the farthest point of a landmark lies outside the four points."""
        return float(self._laid[landmark].outside.max())

    def points(self, landmark: str) -> Sequence[Point]:
        """Return the points of a landmark in the plane; none of one beyond its horizon."""
        return self._points.get(landmark, ())

    def lie(self, landmark: str) -> Lie:
        """Return the points of a landmark with all doubts about the plane."""
        laid, camera = self._laid[landmark], self._camera
        sigma = self.straightening.sigma_px
        shifts = {
            cause: shift * sigma
            for cause, shift in zip(self._corner_causes, laid.shifts, strict=True)
        }
        told = self.camera_distance
        foot = {
            cause: Point(
                camera.by_focal.x * part / told.value, camera.by_focal.y * part / told.value
            )
            for cause, part in told.budget.items()
        }
        return Lie(laid.points, camera.foot, shifts, laid.slopes, foot)

    def spot(
        self, landmark: str, index: int, height: Quantity, doubt_px: float, placing: str
    ) -> tuple[Quantity, Quantity]:
        """Return one point with all its doubts, its height above the plane allowed for."""
        laid, camera, told = self._laid[landmark], self._camera, self.camera_distance
        share = over(height, told)
        focal = linear(0.0, "", ((1 / told.value, told),))
        sigma = self.straightening.sigma_px
        made = []
        for axis in (0, 1):
            here = float(laid.points[index, axis])
            budget = {
                cause: float(shift) * sigma
                for cause, shift in zip(
                    self._corner_causes, laid.shifts[:, index, axis], strict=True
                )
            }
            for along, name in enumerate("xy"):
                cause = Cause("placing", f"{placing}/{index}/{name}")
                budget[cause] = float(laid.slopes[index, axis, along]) * doubt_px
            arm = here - camera.foot[axis]
            terms = (
                (1 - share.value, Quantity(here, "px", budget)),
                (-arm, share),
                (share.value * camera.by_focal[axis], focal),
            )
            made.append(linear(here - arm * share.value, "px", terms))
        return made[0], made[1]

    @cached_property
    def _scale(self) -> Scale:
        scale = self.setting.scale
        if scale is None:
            raise ValueError("a plane is a scale")
        return scale

    @property
    def _source(self) -> str:
        return self._scale.origin or self.setting.picture

    @cached_property
    def _corner_causes(self) -> tuple[Cause, ...]:
        return tuple(Cause("scale_ends", f"{self._source}/{k}") for k in range(8))

    @cached_property
    def _camera(self) -> Camera:
        """Return where the lens is; a distance that was told tells the focal length."""
        setting = self.setting
        centre = Point(setting.width / 2, setting.height / 2)
        focal = told = camera_distance_px(setting).value
        if setting.camera_distance_mm is None:
            return self.straightening.camera(focal, centre)
        wanted = setting.camera_distance_mm / self.straightening.mm_per_px
        for _ in range(_ROUNDS):
            found = self.straightening.camera(focal, centre)
            focal = min(max(focal * wanted / found.distance, told / 20), told * 20)
        found = self.straightening.camera(focal, centre)
        return found._replace(height=found.height * wanted / found.distance)

    @cached_property
    def _laid(self) -> Mapping[str, Laid]:
        every = [point for points in self.placed.values() for point in points]
        laid = self.straightening.lay(every)
        found, first = {}, 0
        for key, points in self.placed.items():
            found[key] = laid.part(slice(first, first + len(points)))
            first += len(points)
        return found

    @cached_property
    def _points(self) -> Mapping[str, Sequence[Point]]:
        return {
            key: [Point(x, y) for x, y in laid.points.tolist()]
            for key, laid in self._laid.items()
            if self.outside(key) < float("inf")
        }
