"""The one door between Qt's points and rectangles and ours."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF

from landmarks.geometry import Box, Point


def to_point(place: QPointF) -> Point:
    """Return a place of the scene as a point of the upright picture."""
    return Point(place.x(), place.y())


def to_place(point: Point) -> QPointF:
    """Return a point of the upright picture as a place of the scene."""
    return QPointF(point.x, point.y)


def to_rect(box: Box) -> QRectF:
    """Return a box as a rectangle of the scene."""
    return QRectF(box.x, box.y, box.width, box.height)


def inside(point: Point, width: float, height: float) -> Point:
    """Return the point, or the nearest one on the border of the picture."""
    return Point(min(max(point.x, 0.0), width), min(max(point.y, 0.0), height))
