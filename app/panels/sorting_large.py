"""One picture of the sorting table seen large, above the sheet, while its keys go on working."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QImage, QMouseEvent, QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QWidget

from app.background.pictures import PictureLoader
from app.style import palette
from app.style.fonts import line_height, scaled
from app.style.widgets.painted import smooth, write
from landmarks.sentences import Sentence, say, text

if TYPE_CHECKING:
    from app.panels.sorting_sheet import SortingSheet


class LargePicture(QWidget):
    """Shows the picture with the keyboard above the table; a click puts it away.

    Whoever holds the sheet is its parent, and says with ``place`` where it stands.
    """

    def __init__(self, sheet: SortingSheet, loader: PictureLoader) -> None:
        super().__init__(sheet)
        self._sheet, self._loader = sheet, loader
        self._key, self._token, self._fault = "", 0, ""
        self._image = QPixmap()
        self.place: Callable[[], QRect] = sheet.viewport().geometry
        self.setAccessibleName(say("sorting.large"))
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.hide()
        loader.thumbnailed.connect(self._come)
        loader.failed.connect(self._failed)
        sheet.choice.changed.connect(self._look)

    @property
    def is_open(self) -> bool:
        """Return whether a picture is seen large."""
        return not self.isHidden()

    @property
    def shown(self) -> str:
        """Return the picture that is there in full, or ``""``."""
        return "" if self._image.isNull() else self._key

    def turn(self) -> None:
        """See the picture with the keyboard large, or the sheet again."""
        if self.is_open:
            self.hide()
            self._key, self._image = "", QPixmap()
        elif self._sheet.choice.current:
            self.setGeometry(self.place())
            self.show()
            self.raise_()
            self._look()

    def _look(self) -> None:
        key = self._sheet.choice.current
        if self.is_open and not key:
            self.turn()
        elif self.is_open and key != self._key:
            self._key, self._image, self._fault = key, QPixmap(), ""
            room = self._room().size() * self.devicePixelRatioF()
            self._token = self._loader.want_thumbnail(Path(key), room.toSize())
        if self.is_open:
            self.update()

    def _come(self, token: int, image: QImage) -> None:
        if self.is_open and token == self._token:
            self._image = QPixmap.fromImage(image)
            self._image.setDevicePixelRatio(self.devicePixelRatioF())
            self.update()

    def _failed(self, token: int, why: Sentence) -> None:
        if self.is_open and token == self._token:
            self._fault = text(why)
            self.update()

    def _room(self) -> QRectF:
        words = line_height("small_strong") + line_height("small") + scaled(18)
        return QRectF(self.rect()).adjusted(0, 0, 0, -words)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Put it away."""
        event.accept()
        self.turn()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the picture, or its thumbnail until it is there, and what is known of it."""
        painter = smooth(self)
        painter.fillRect(self.rect(), palette.colour("ground"))
        room, image = self._room(), self._image
        soft = image.isNull()
        if soft:
            image = self._sheet.thumbs(self._key) or image
        if not image.isNull():
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, on=soft)
            size = image.deviceIndependentSize()
            if soft or size.width() > room.width() or size.height() > room.height():
                size.scale(room.size(), Qt.AspectRatioMode.KeepAspectRatio)
            where = QRectF(0, 0, size.width(), size.height())
            where.moveCenter(room.center())
            painter.drawPixmap(where, image, QRectF(image.rect()))
        high = line_height("small_strong")
        below = QRectF(16, room.bottom() + scaled(6), self.width() - 32, high)
        write(painter, below, self._fault or self._sheet.spoken(self._key), "small_strong")
        below.translate(0, high)
        below.setHeight(line_height("small"))
        write(painter, below, say("sorting.large.keys"), "small", "ink2")
        painter.end()
