"""The marks that do not zoom, drawn once and kept as small pictures.

Every mark carries a dark and a light ring, so that one of them stands out on any pixel;
its shape tells the class. Five hundred marks that each draw one kept picture cost a quarter
of five hundred drawn ellipses.
"""

from __future__ import annotations

from functools import lru_cache
from math import ceil
from typing import Literal

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QCursor, QFontMetricsF, QPainter, QPen, QPixmap, QPolygonF

from app.style import fonts, palette
from app.style.tokens import MARKS
from app.style.widgets.plate import paint_ground
from landmarks.outputs.marks import SQUARE_SHARE, number_size

State = Literal["", "hovered", "selected", "hovered selected"]

PLATE_PADDING = 7.0
LOZENGE_HALO = 8.0
"""How far the halo of a lozenge reaches beyond it; its selected ring half as far."""


@lru_cache(maxsize=256)
def dot(state: State, ratio: float) -> QPixmap:
    """Return a placed landmark."""
    pixmap, painter = _sheet(MARKS.hovered_halo + 1.5, ratio)
    if "hovered" in state:
        _halo_round(painter)
    if "selected" in state:
        for width, colour in _dark_light(MARKS.selected_dark, MARKS.selected_light):
            _ring(painter, MARKS.selected_ring, width, colour)
    for radius, colour in (
        (MARKS.point_dark, MARKS.dark),
        (MARKS.point_light, MARKS.light),
        (MARKS.point_core, MARKS.landmark),
    ):
        _disc(painter, radius, QColor(colour))
    painter.end()
    return pixmap


@lru_cache(maxsize=8)
def again(ratio: float) -> QPixmap:
    """Return a point that was placed again: an open ring with a stalk."""
    start, end = MARKS.blind_stalk
    pixmap, painter = _sheet(end + MARKS.blind_dark, ratio)
    for width, colour in (
        (MARKS.blind_dark, MARKS.dark),
        (MARKS.blind_light, MARKS.light),
        (MARKS.blind_hue, MARKS.landmark),
    ):
        _ring(painter, MARKS.blind_ring, width, colour)
        if colour != MARKS.landmark:
            pen = QPen(QColor(colour), width)
            pen.setCapStyle(Qt.PenCapStyle.FlatCap)
            painter.setPen(pen)
            # The dark edge goes round the end of the stalk as well.
            reach = end + (width - MARKS.blind_light) / 2
            painter.drawLine(QPointF(0, -start), QPointF(0, -reach))
    painter.end()
    return pixmap


@lru_cache(maxsize=1024)
def lozenge(number: str, state: State, ratio: float, *, square: bool = False) -> QPixmap:
    """Return one of a series, with its number, or small without one."""
    half = MARKS.lozenge_numbered if number else MARKS.lozenge_small
    shape = _square if square else _diamond
    pixmap, painter = _sheet(half + LOZENGE_HALO + 3, ratio)
    if "hovered" in state:
        painter.setPen(QPen(QColor(MARKS.dark), MARKS.hovered_ring))
        painter.setBrush(palette.faint(MARKS.light, MARKS.hovered_alpha))
        painter.drawPolygon(shape(half + LOZENGE_HALO))
    if "selected" in state:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for width, colour in _dark_light(MARKS.selected_dark, MARKS.selected_light):
            painter.setPen(_mitred(colour, width))
            painter.drawPolygon(shape(half + LOZENGE_HALO - 2.5))
    painter.setBrush(QColor(MARKS.series_fill if number else MARKS.series))
    painter.setPen(_mitred(MARKS.dark, MARKS.lozenge_light + 2.4))
    painter.drawPolygon(shape(half))
    painter.setPen(_mitred(MARKS.light, MARKS.lozenge_light))
    painter.drawPolygon(shape(half))
    if number:
        font = fonts.font("plate")
        font.setPixelSize(number_size(number))
        painter.setFont(font)
        painter.setPen(QColor(MARKS.plate_ink))
        painter.drawText(
            QRectF(-half, -half, 2 * half, 2 * half),
            Qt.AlignmentFlag.AlignCenter,
            number,
        )
    painter.end()
    return pixmap


@lru_cache(maxsize=64)
def corner(number: int, state: State, ratio: float) -> QPixmap:
    """Return a corner of a plane: a square with its number."""
    half = MARKS.corner_half
    pixmap, painter = _sheet(half + LOZENGE_HALO + 3, ratio)
    square = QRectF(-half, -half, 2 * half, 2 * half)
    if "hovered" in state:
        painter.setPen(QPen(QColor(MARKS.dark), MARKS.hovered_ring))
        painter.setBrush(palette.faint(MARKS.light, MARKS.hovered_alpha))
        painter.drawRect(square.adjusted(-6, -6, 6, 6))
    if "selected" in state:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for width, colour in _dark_light(MARKS.selected_dark, MARKS.selected_light):
            painter.setPen(_mitred(colour, width))
            painter.drawRect(square.adjusted(-4, -4, 4, 4))
    painter.setBrush(QColor(MARKS.plate))
    for width, colour in ((MARKS.lozenge_light + 2.4, MARKS.dark),
                          (MARKS.lozenge_light, MARKS.scale)):  # fmt: skip
        painter.setPen(_mitred(colour, width))
        painter.drawRect(square)
    font = fonts.font("plate")
    font.setPixelSize(12)
    painter.setFont(font)
    painter.setPen(QColor(MARKS.plate_ink))
    painter.drawText(square, Qt.AlignmentFlag.AlignCenter, str(number))
    painter.end()
    return pixmap


@lru_cache(maxsize=512)
def plate(words: str, ratio: float, letter: str = "") -> QPixmap:
    """Return a label: dark plate, light words, the letter before them in the landmark's hue."""
    font = fonts.font("plate")
    metrics = QFontMetricsF(font)
    lead = metrics.horizontalAdvance(letter) + 6 if letter else 0.0
    height = max(float(MARKS.plate_height), metrics.height() + 3)
    width = ceil(lead + metrics.horizontalAdvance(words) + 2 * PLATE_PADDING)
    pixmap = _clear(width, height, ratio)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    paint_ground(painter, QRectF(0, 0, width, height))
    painter.setFont(font)
    flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
    room = QRectF(PLATE_PADDING, -0.5, width, height)
    if letter:
        painter.setPen(QColor(MARKS.landmark))
        painter.drawText(room, flags, letter)
    painter.setPen(QColor(MARKS.plate_ink))
    painter.drawText(room.translated(lead, 0), flags, words)
    painter.end()
    return pixmap


def paint_target(painter: QPainter, gap: float, reach: float, ring: float) -> None:
    """Draw an open target around the origin; the pixel in its middle stays free."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for width, colour in _dark_light(MARKS.next_dark, MARKS.next_light):
        pen = QPen(QColor(colour), width)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        painter.setPen(pen)
        if ring:
            painter.drawEllipse(QPointF(0, 0), ring, ring)
        for x, y in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            painter.drawLine(QPointF(x * gap, y * gap), QPointF(x * reach, y * reach))


@lru_cache(maxsize=8)
def target_cursor(ratio: float) -> QCursor:
    """Return the pointer while armed: the mark of the next landmark."""
    inner, outer = MARKS.next_arm
    pixmap, painter = _sheet(outer + 3, ratio)
    paint_target(painter, inner, outer, MARKS.next_ring)
    painter.end()
    middle = int(pixmap.width() / ratio) // 2
    return QCursor(pixmap, middle, middle)


def forget() -> None:
    """Draw everything anew: type sizes have changed."""
    for kept in (dot, again, lozenge, corner, plate, target_cursor):
        kept.cache_clear()


def case(colour: str = MARKS.dark) -> QColor:
    """Return the colour of the case of lines."""
    return palette.faint(colour, MARKS.case_alpha)


def _sheet(reach: float, ratio: float) -> tuple[QPixmap, QPainter]:
    """Return a clear sheet with the origin in its middle, and a painter on it."""
    side = 2 * ceil(reach) + 1
    pixmap = _clear(side, side, ratio)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(side / 2, side / 2)
    return pixmap, painter


def _clear(width: float, height: float, ratio: float) -> QPixmap:
    pixmap = QPixmap(ceil(width * ratio), ceil(height * ratio))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    return pixmap


def _halo_round(painter: QPainter) -> None:
    painter.setPen(QPen(QColor(MARKS.dark), MARKS.hovered_ring))
    painter.setBrush(palette.faint(MARKS.light, MARKS.hovered_alpha))
    painter.drawEllipse(QPointF(0, 0), MARKS.hovered_halo, MARKS.hovered_halo)


def _dark_light(dark: float, light: float) -> tuple[tuple[float, str], tuple[float, str]]:
    return (dark, MARKS.dark), (light, MARKS.light)


def _ring(painter: QPainter, radius: float, width: float, colour: str) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(colour), width))
    painter.drawEllipse(QPointF(0, 0), radius, radius)


def _disc(painter: QPainter, radius: float, colour: QColor) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    painter.drawEllipse(QPointF(0, 0), radius, radius)


def _diamond(half: float) -> QPolygonF:
    return QPolygonF(
        [QPointF(0, -half), QPointF(half, 0), QPointF(0, half), QPointF(-half, 0)]
    )


def _square(half: float) -> QPolygonF:
    h = half * SQUARE_SHARE
    return QPolygonF([QPointF(-h, -h), QPointF(h, -h), QPointF(h, h), QPointF(-h, h)])


def _mitred(colour: str, width: float) -> QPen:
    pen = QPen(QColor(colour), width)
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    return pen
