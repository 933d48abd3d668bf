"""A tilted plane put straight by four points of known places around the specimen.

Points are put straight, never the picture: measures read places, and nothing is resampled.
Points around the specimen serve at any tilt; a card beside it is worse than ignoring a few
degrees (ours, from simulated clicks), so what lies far outside the four points is refused.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

from landmarks.geometry import Box, Point, bounds, distance
from landmarks.instruments.refusal import Refused
from landmarks.scale import CLICK_SIGMA_PX, RULER_SIGMA, Scale
from landmarks.sentences import Number, Sentence
from landmarks.straightening import EDGE, FAR, projective, straightening_of
from landmarks.units import Cause, Quantity

if TYPE_CHECKING:
    from landmarks.instruments.pixels import Array


@dataclass(frozen=True, slots=True)
class Plane:
    """Four points on the picture and where they are in the plane.

    Attributes
    ----------
    points
        Clicked corners, in order around the specimen, in pixels.
    places_mm
        The same corners in the plane, in millimetres.
    sigma_px
        Placing doubt of each coordinate of the corners.
    sigma_share
        Doubt of all lengths of the reference together, as a share.
    """

    points: tuple[Point, Point, Point, Point]
    places_mm: tuple[Point, Point, Point, Point]
    sigma_px: float = CLICK_SIGMA_PX
    sigma_share: float = RULER_SIGMA

    def straightened(self, points: Sequence[Point]) -> tuple[Point, ...]:
        """Return points of the picture in the plane, in millimetres."""
        return _mapped(projective(self.points, self.places_mm), points)

    def seen(self, places_mm: Sequence[Point]) -> tuple[Point, ...]:
        """Return where places of the plane are on the picture, in pixels."""
        return _mapped(projective(self.places_mm, self.points), places_mm)

    def length_mm(
        self, first: Point, second: Point, *, picture: str = "", sigma_px: float = 0.0
    ) -> Quantity:
        """Return the distance of two points of the picture in the plane, with its doubt.

        The doubt is of first order: the corners' coordinates by a numerical Jacobian of the
        eight, the points' own where ``sigma_px`` says it, and that of the reference.
        """
        value = self._between(self.points, first, second)
        budget: dict[Cause, float] = {}
        for index, slope in enumerate(self._slopes(first, second)):
            budget[Cause("scale_ends", f"{picture}/{index}")] = slope * self.sigma_px
        for index, slope in enumerate(self._own_slopes(first, second)):
            budget[Cause("placing", f"{picture}/line/{index}")] = slope * sigma_px
        budget[Cause("ruler", picture)] = value * self.sigma_share
        return Quantity(
            value, "mm", {cause: part for cause, part in budget.items() if part}
        )

    def outside(self, points: Sequence[Point]) -> float:
        """Return how far the farthest point lies outside the four, in their widths."""
        here = self.straightened(points)
        frame = bounds(self.places_mm)
        width = max(frame.width, frame.height)
        return max((_beyond(frame, point) for point in here), default=0.0) / width

    def caution(self, points: Sequence[Point]) -> Refused | Sentence | None:
        """Say whether a specimen lies inside the four points: a warning, or a refusal.

        Parameters
        ----------
        points
            Landmarks of the specimen, or the corners of its frame, in pixels.
        """
        over = self.outside(points)
        if over > FAR or not self._before_the_horizon(points):
            return Refused(Sentence("plane.too_far", {"widths": Number(round(over, 1))}))
        if over > EDGE:
            return Sentence("plane.beside", {"share": Number(round(100 * over), unit="%")})
        return None

    def _before_the_horizon(self, points: Sequence[Point]) -> bool:
        matrix = projective(self.points, self.places_mm)
        middle = Point(sum(p.x for p in self.points) / 4, sum(p.y for p in self.points) / 4)
        depth = [_depth(matrix, point) for point in (middle, *points)]
        return all(one * depth[0] > 0 for one in depth)

    def _between(self, corners: Sequence[Point], first: Point, second: Point) -> float:
        return distance(*_mapped(projective(corners, self.places_mm), (first, second)))

    def _slopes(self, first: Point, second: Point) -> list[float]:
        """Return the derivative of a length by the eight coordinates of the corners."""
        slopes = []
        for index in range(8):
            ends = []
            for step in (_STEP_PX, -_STEP_PX):
                moved = [list(corner) for corner in self.points]
                moved[index // 2][index % 2] += step
                ends.append(self._between([Point(*one) for one in moved], first, second))
            slopes.append((ends[0] - ends[1]) / (2 * _STEP_PX))
        return slopes

    def _own_slopes(self, first: Point, second: Point) -> list[float]:
        slopes = []
        for index in range(4):
            ends = []
            for step in (_STEP_PX, -_STEP_PX):
                moved = [list(first), list(second)]
                moved[index // 2][index % 2] += step
                ends.append(self._between(self.points, Point(*moved[0]), Point(*moved[1])))
            slopes.append((ends[0] - ends[1]) / (2 * _STEP_PX))
        return slopes


def plane_of(
    points: Sequence[Point],
    width_mm: float,
    height_mm: float,
    *,
    sigma_px: float = CLICK_SIGMA_PX,
    sigma_share: float = RULER_SIGMA,
) -> Plane | Refused:
    """Return the plane of a rectangle of known sides, such as a tray or a frame.

    Parameters
    ----------
    points
        Its four corners in order around it, in pixels; the first side is ``width_mm`` long.
    """
    w, h = width_mm, height_mm
    if not (w > 0 and h > 0):
        return Refused(Sentence("plane.side_not_positive", {"found": min(w, h)}))
    if len(points) != 4:
        return Refused(Sentence("plane.not_four", {"n": len(points)}))
    refused = corners_refused(points)
    if refused is not None:
        return refused
    a, b, c, d = points
    # The plane is seen from its front, whichever way round the corners were clicked.
    side = 1.0 if _turn(a, b, c) > 0 else -1.0
    places = (Point(0, 0), Point(w, 0), Point(w, side * h), Point(0, side * h))
    return Plane((a, b, c, d), places, sigma_px, sigma_share)


def scale_of(plane: Plane, *, person: str = "", at: str = "") -> Scale:
    """Return the scale of a plane, from its first corner to its last.

    It holds for points that :func:`straight_points` has put straight: these two corners stay
    where they are, and every length in pixels becomes true with this one scale.
    """
    first, last = plane.points[0], plane.points[-1]
    length = distance(plane.places_mm[0], plane.places_mm[-1])
    middle = [Point(p.x, p.y) for p in plane.points]
    diagonal = plane.length_mm(middle[0], middle[2])
    # What the corners leave in doubt of a length across the frame, as that of the two ends.
    corners = sqrt(max(0.0, diagonal.relative**2 - plane.sigma_share**2))
    return Scale(
        "four_points",
        plane.points,
        length,
        plane.sigma_share * length,
        sigma_px=corners * distance(first, last) / sqrt(2),
        person=person,
        at=at,
        extra={
            "plane": {
                "places_mm": [list(place) for place in plane.places_mm],
                "sigma_px": plane.sigma_px,
            }
        },
    )


def plane_from(scale: Scale) -> Plane | None:
    """Return the plane that a scale of four points was made of, or None."""
    facts = scale.extra.get("plane")
    if len(scale.points) != 4 or not isinstance(facts, Mapping):
        return None
    a, b, c, d = scale.points
    places = [Point(float(x), float(y)) for x, y in facts["places_mm"]]
    share = scale.sigma_mm / scale.length_mm
    return Plane(
        (a, b, c, d),
        (places[0], places[1], places[2], places[3]),
        float(facts["sigma_px"]),
        share,
    )


def corners_refused(corners: Sequence[Point]) -> Refused | None:
    """Say why four corners can be no rectangle, whatever its sides are; None where they can."""
    fault = _fault(corners)
    return Refused(Sentence(f"plane.{fault}")) if fault else None


def straight_points(scale: Scale, points: Sequence[Point]) -> tuple[Point, ...]:
    """Return points in pixels as if the plane of a scale had been seen square from above.

    Without four points they stay where they are. The first and last corner keep their place,
    so millimetres per pixel are those of the scale everywhere. Points beyond the horizon of
    the plane have no place in it; :meth:`Plane.caution` tells them.

    Raises
    ------
    ScaleError
        If what the scale keeps of its plane makes none.
    """
    straightening = straightening_of(scale)
    if straightening is None:
        return tuple(points)
    laid = straightening.lay(points)
    return tuple(Point(x, y) for x, y in laid.points.tolist())


_STEP_PX = 0.05


def _fault(points: Sequence[Point]) -> str:
    """Return what is wrong with four corners, or nothing."""
    turns = [_turn(points[i - 1], points[i], points[(i + 1) % 4]) for i in range(4)]
    longest = max(distance(points[i - 1], points[i]) for i in range(4))
    if min(abs(turn) for turn in turns) < 0.02 * longest**2:
        return "in_a_line"
    if not (all(turn > 0 for turn in turns) or all(turn < 0 for turn in turns)):
        return "crossed"
    return ""


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x)


def _beyond(frame: Box, point: Point) -> float:
    across = max(frame.x - point.x, point.x - frame.x - frame.width, 0.0)
    down = max(frame.y - point.y, point.y - frame.y - frame.height, 0.0)
    return max(across, down)


def _depth(matrix: Array, point: Point) -> float:
    return float(matrix[2, 0] * point.x + matrix[2, 1] * point.y + matrix[2, 2])


def _mapped(matrix: Array, points: Sequence[Point]) -> tuple[Point, ...]:
    import numpy as np

    at = np.array([[p.x, p.y, 1.0] for p in points]).reshape(-1, 3) @ matrix.T
    return tuple(Point(float(x / w), float(y / w)) for x, y, w in at.tolist())
