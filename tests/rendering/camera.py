"""A pin-hole camera above a plane, and where a shell lies under it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.floating]


@dataclass(frozen=True, slots=True)
class Camera:
    """A camera looking down on the table.

    World: X right, Y away (up in the picture), Z up, millimetres, the table at Z = 0.
    Picture: continuous pixels, origin at the outer top-left corner, y down, pixel centres
    at +0.5.  *distance_mm* is measured from the lens to the plane Z = *plane_mm* along the
    optical axis; *px_per_mm* holds in that plane on the axis.
    """

    width_px: int
    height_px: int
    px_per_mm: float
    distance_mm: float = 900.0
    plane_mm: float = 0.0
    tilt_deg: tuple[float, float] = (0.0, 0.0)

    def project(self, points: Points) -> tuple[Points, Points]:
        """Return picture positions (..., 2) and distances from the lens along its axis."""
        seen = (np.asarray(points) - [0.0, 0.0, self.plane_mm]) @ self._axes().T
        depth = self.distance_mm - seen[..., 2]
        zoom = self.px_per_mm * self.distance_mm / depth
        x = self.width_px / 2 + seen[..., 0] * zoom
        y = self.height_px / 2 - seen[..., 1] * zoom
        return np.stack([x, y], -1), depth

    def on_plane(self, pixels: Points, plane_mm: float) -> Points:
        """Return X, Y (..., 2) where sight lines meet the plane Z = *plane_mm*."""
        pixels = np.asarray(pixels, float)
        focal = self.px_per_mm * self.distance_mm
        rays = (
            np.stack(
                [
                    (pixels[..., 0] - self.width_px / 2) / focal,
                    (self.height_px / 2 - pixels[..., 1]) / focal,
                    np.full(pixels.shape[:-1], -1.0),
                ],
                -1,
            )
            @ self._axes()
        )
        lens = self._axes().T @ np.array([0.0, 0.0, self.distance_mm]) + [
            0.0,
            0.0,
            self.plane_mm,
        ]
        reach = (plane_mm - lens[2]) / rays[..., 2]
        return lens[:2] + rays[..., :2] * reach[..., None]

    def larger(self, factor: float) -> "Camera":
        """Return the same view with *factor* times as many pixels."""
        return Camera(
            round(self.width_px * factor),
            round(self.height_px * factor),
            self.px_per_mm * factor,
            self.distance_mm,
            self.plane_mm,
            self.tilt_deg,
        )

    def _axes(self) -> Points:
        """Return the camera's own axes as rows: right, up, towards the lens."""
        about_x, about_y = np.radians(self.tilt_deg)
        return turn_x(about_x) @ turn_y(about_y)


@dataclass(frozen=True, slots=True)
class Pose:
    """How a shell lies: a turn (3, 3), then a shift (3,), from its frame to the world."""

    turn: Points
    shift: Points

    def place(self, points: Points) -> Points:
        """Return points of the shell's frame in the world."""
        return points @ self.turn.T + self.shift


def turn_x(angle: float) -> Points:
    """Return the turn by *angle* radians about the first axis."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])


def turn_y(angle: float) -> Points:
    """Return the turn by *angle* radians about the second axis."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])


def turn_z(angle: float) -> Points:
    """Return the turn by *angle* radians about the third axis."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
