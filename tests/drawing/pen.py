"""A sheet of 160 x 120 on which what lies in front hides what lies behind.

Drawings have one colour and no ground of their own, so a nearer shape cannot be painted
over a farther one: the hidden parts are cut away here instead.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from math import cos, pi, sin

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from shapely.affinity import scale
from shapely.geometry.base import BaseGeometry

Points = NDArray[np.float64]

WIDTH, HEIGHT = 160, 120
MAIN, PART, FINE = 2.2, 1.9, 1.2
_TOLERANCE = 0.025  # of a unit: invisible at four times the largest size on screen
_HEAD = (
    f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
    f'width="{WIDTH}" height="{HEIGHT}" fill="none" stroke="currentColor" '
    'stroke-linecap="round" stroke-linejoin="round">'
)


@dataclass
class _Item:
    shape: BaseGeometry
    width: float  # of the line; 0 for a tint
    opacity: float


@dataclass
class Sheet:
    """What has been drawn so far, from back to front."""

    items: list[_Item] = field(default_factory=list)

    def line(self, points: Points, width: float = FINE, opacity: float = 1.0) -> None:
        """Draw a line."""
        if len(points) > 1:
            self.items.append(_Item(shapely.LineString(points), width, opacity))

    def tint(self, points: Points, opacity: float) -> None:
        """Fill an area softly; it hides nothing."""
        self.items.append(_Item(_area(points), 0, opacity))

    def hide(self, points: Points) -> None:
        """Cut away what has been drawn inside an area."""
        area = _area(points)
        inner = area.buffer(-0.2)
        for item in self.items:
            item.shape = item.shape.difference(area if item.width == 0 else inner)

    def keep(self, points: Points, since: int = 0) -> None:
        """Cut away what was drawn outside an area, from an item on."""
        area = _area(points)
        for item in self.items[since:]:
            item.shape = item.shape.intersection(area)

    def solid(
        self,
        points: Points,
        tint: float = 0.06,
        width: float = MAIN,
        opacity: float = 1.0,
    ) -> None:
        """Draw a closed shape that hides what lies behind it."""
        self.hide(points)
        if tint:
            self.tint(points, tint)
        if width:
            self.line(np.vstack([points, points[:1]]), width, opacity)

    def disc(self, x: float, y: float, r: float, opacity: float = 1.0) -> None:
        """Draw a filled disc."""
        self.tint(circle(x, y, r), opacity)

    def ring(
        self, x: float, y: float, r: float, width: float = PART, opacity: float = 1.0
    ) -> None:
        """Draw a circle that hides what lies behind it."""
        self.solid(circle(x, y, r), 0, width, opacity)

    def shrink(self, share: float) -> None:
        """Make all smaller about the middle of the sheet, lines as thick as before."""
        for item in self.items:
            item.shape = scale(item.shape, share, share, origin=(WIDTH / 2, HEIGHT / 2))

    def text(self) -> str:
        """Return the drawing as SVG."""
        out = [_HEAD]
        for item in self.items:
            d = "".join(_path(ring, closed=True) for ring in _rings(item.shape))
            if item.width == 0 and d:
                fill = f'fill="currentColor" fill-opacity="{item.opacity:g}"'
                out.append(f'<path d="{d}" {fill} fill-rule="evenodd" stroke="none"/>')
        styles = {(item.width, item.opacity) for item in self.items if item.width}
        for width, opacity in sorted(styles):
            same = [i.shape for i in self.items if (i.width, i.opacity) == (width, opacity)]
            d = "".join(_path(line, closed=False) for line in _lines(same))
            faint = "" if opacity >= 1 else f' stroke-opacity="{opacity:g}"'
            if d:
                out.append(f'<path d="{d}" stroke-width="{width:g}"{faint}/>')
        return "\n".join([*out, "</svg>", ""])


def circle(x: float, y: float, r: float, squash: float = 1.0, n: int = 40) -> Points:
    """Return a circle, or an ellipse `squash` times as high."""
    t = np.linspace(0, 2 * pi, n, endpoint=False)
    return np.column_stack([x + r * np.cos(t), y + r * squash * np.sin(t)])


def points(*pairs: tuple[float, float]) -> Points:
    """Return corner points as an array."""
    return np.array(pairs, float)


def curve(*pairs: tuple[float, float], closed: bool = False, n: int = 16) -> Points:
    """Return a smooth curve through points, `n` steps from each to the next."""
    knots = np.array(pairs, float)
    if closed:
        knots = np.vstack([knots, knots[:1]])
    chord = np.hypot(*np.diff(knots, axis=0).T) ** 0.5
    at = np.concatenate([[0], np.cumsum(chord)])
    spline = CubicSpline(at, knots, bc_type="periodic" if closed else "natural")
    made = spline(np.linspace(0, at[-1], n * (len(knots) - 1) + 1))
    return np.asarray(made[:-1] if closed else made, float)


def spread(n: int, seed: int, low: float = -1.0, high: float = 1.0) -> Points:
    """Return `n` repeatable irregular numbers."""
    return np.random.default_rng(seed).uniform(low, high, n)


def turned(shape: Points, degrees: float, about: tuple[float, float]) -> Points:
    """Return a shape turned about a point, clockwise on screen."""
    a = degrees * pi / 180
    turn = np.array([[cos(a), sin(a)], [-sin(a), cos(a)]])
    return np.asarray((shape - about) @ turn + about, float)


def between(a: Points, b: Points, share: float) -> Points:
    """Return the line that lies between two lines of as many points."""
    return np.asarray(a + share * (b - a), float)


def _area(points_: Points) -> BaseGeometry:
    return shapely.Polygon(points_).buffer(0)


def _lines(shapes: Iterable[BaseGeometry]) -> Iterable[Points]:
    """Join pieces that meet, or their round ends would show as dots where they overlap."""
    parts = [part for shape in shapes for part in getattr(shape, "geoms", [shape])]
    lines = [part for part in parts if part.geom_type == "LineString" and not part.is_empty]
    merged = shapely.line_merge(shapely.MultiLineString(lines))
    for line in getattr(merged, "geoms", [merged]):
        if line.length > 0.4:
            yield _thinned(line)


def _rings(shape: BaseGeometry) -> Iterable[Points]:
    for part in getattr(shape, "geoms", [shape]):
        if part.geom_type == "Polygon" and part.area > 0.3:
            yield _thinned(part.exterior)
            yield from (_thinned(hole) for hole in part.interiors)


def _thinned(line: BaseGeometry) -> Points:
    return np.asarray(line.simplify(_TOLERANCE).coords, float)


def _path(line: Points, *, closed: bool) -> str:
    """Return path data in short form: each step from the rounded end of the last."""
    if closed or np.allclose(line[0], line[-1]):
        line, end = line[:-1], "z"
    else:
        end = ""
    hundredths = np.rint(line * 100).astype(int)
    first, steps = hundredths[0], np.diff(hundredths, axis=0)
    words = [_short(value) for step in steps if step.any() for value in step]
    joined = "".join(
        word if i == 0 or word.startswith("-") else f" {word}"
        for i, word in enumerate(words)
    )
    return f"M{_short(first[0])} {_short(first[1])}l{joined}{end}" if words else ""


def _short(hundredths: int) -> str:
    text = f"{hundredths / 100:.2f}".rstrip("0").rstrip(".")
    return text.replace("0.", ".", 1) if text.lstrip("-").startswith("0.") else text
