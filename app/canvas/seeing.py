"""The canvas that shows the picture adjusted, and the original while a key is held.

Only what is seen is adjusted: the loupe shows pixels of the picture itself, and every
instrument reads them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, QSize, Qt, QTimer
from PySide6.QtGui import QFocusEvent, QImage, QKeyEvent, QPainter, QPixmap
from PySide6.QtWidgets import QWidget

from app.background.desk import Desk
from app.canvas import sprites
from app.canvas.adjusting import Adjusted, AdjustedItem, adjust, sample_of
from app.canvas.view import PictureCanvas
from app.session.deeds.seeing import HOLD
from landmarks.instruments.seeing import Seeing
from landmarks.sentences import Sentence, say, text

if TYPE_CHECKING:
    from numpy import uint8
    from numpy.typing import NDArray

MARGIN_SHARE = 0.05
"""So much more than what is in view is adjusted on every side."""

SOON_MS = 60
"""While the view moves, what has come into it is adjusted no oftener than this."""

_BADGE_AT = 12


class SeeingCanvas(PictureCanvas):
    """A picture canvas that can show its picture adjusted; nothing is measured there."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self._how = Seeing()
        self._adjusted: Adjusted | None = None
        self._over: AdjustedItem | None = None
        self._held = False
        self._asking = self._again = False
        self._serial = 0
        self._copies: tuple[QImage, ...] = ()
        self._sample: NDArray[uint8] | None = None
        super().__init__(parent)
        self._eye = Desk(self)
        self._soon = QTimer(self, singleShot=True, interval=SOON_MS)
        self._soon.timeout.connect(self._ask)
        self._over = AdjustedItem()
        self.scene().addItem(self._over)

    # -- what is shown -----------------------------------------------------------------------

    def see(self, how: Seeing) -> None:
        """Show the picture so from now on."""
        if how == self._how:
            return
        self._how = how
        self._serial += 1
        if not how.adjusted:
            self._held = False
            self._show_copy(None)
        self._ask()
        self.viewport().update()
        words = text(self.badge) if how.adjusted else ""
        description = say("canvas.description")
        self.setAccessibleDescription(f"{description} {words}".strip())

    @property
    def badge(self) -> Sentence:
        """Return what the badge says."""
        if self._held:
            return Sentence("seeing.badge.held")
        return Sentence("seeing.badge", {"how": how_sentences(self._how)})

    @property
    def shows_adjusted(self) -> bool:
        """Return whether an adjusted copy is on the screen."""
        return self._adjusted is not None and not self._held

    @property
    def holds_original(self) -> bool:
        """Return whether the original is shown in place of the adjusted view."""
        return self._held

    def hold_original(self, held: bool) -> None:  # noqa: FBT001 - the state itself
        """Show the original, or the adjusted view again."""
        held = held and self._how.adjusted
        if held != self._held:
            self._held = held
            if self._over is not None:
                self._over.setVisible(not held)
            self.viewport().update()

    def stop_seeing(self) -> None:
        """Stop the worker."""
        self._how = Seeing()
        self._eye.close()

    # -- what it follows ---------------------------------------------------------------------

    def begin_picture(self, size: QSize, levels: Sequence[QImage] = ()) -> None:
        """Show another picture; nothing of the one before stays over it."""
        self._serial += 1
        self._copies, self._sample = tuple(levels), None
        self._held = False
        self._show_copy(None)
        super().begin_picture(size, levels)

    def set_levels(self, levels: Sequence[QImage]) -> None:
        """Adjust better copies of the same picture."""
        super().set_levels(levels)
        self._serial += 1
        self._copies, self._sample = tuple(levels), None
        self._ask()

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        """Keep the badge in its corner, and adjust what has come into view."""
        super().scrollContentsBy(dx, dy)
        if self._how.adjusted:
            rect = self._badge_rect()
            self.viewport().update(rect)
            self.viewport().update(rect.translated(dx, dy))
            self._follow()

    def _view_changed(self) -> None:
        super()._view_changed()
        self._follow()

    def drawForeground(self, painter: QPainter, rect: QRectF | QRect) -> None:
        """Draw the badge over the picture."""
        super().drawForeground(painter, rect)
        if not self._how.adjusted or self._size.isEmpty():
            return
        painter.save()
        painter.resetTransform()
        painter.drawPixmap(QPointF(_BADGE_AT, _BADGE_AT), self._badge_plate())
        painter.restore()

    # -- keys --------------------------------------------------------------------------------

    def event(self, event: QEvent) -> bool:
        """Keep the held key for the picture: it has a beginning and an end."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            plain = event.modifiers() == Qt.KeyboardModifier.NoModifier
            if event.key() == HOLD and plain and self._how.adjusted:
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Show the original while its key is held."""
        if event.key() == HOLD and self._how.adjusted:
            if not event.isAutoRepeat():
                self.hold_original(True)  # noqa: FBT003 - the state itself
            return
        super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Show the adjusted view again."""
        if event.key() == HOLD and self._held:
            if not event.isAutoRepeat():
                self.hold_original(False)  # noqa: FBT003 - the state itself
            return
        super().keyReleaseEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Forget a held key."""
        self.hold_original(False)  # noqa: FBT003 - the state itself
        super().focusOutEvent(event)

    # -- inside ------------------------------------------------------------------------------

    def _badge_plate(self) -> QPixmap:
        return sprites.plate(text(self.badge), self.devicePixelRatioF())

    def _badge_rect(self) -> QRect:
        size = self._badge_plate().deviceIndependentSize()
        return QRectF(QPointF(_BADGE_AT, _BADGE_AT), size).toAlignedRect()

    def _frame(self) -> QRectF:
        return QRectF(0, 0, self._size.width(), self._size.height())

    def _device_zoom(self) -> float:
        return self.zoom * self.devicePixelRatioF()

    def _in_view(self, margin: float) -> QRectF:
        """Return what is in view with so many logical pixels more on every side."""
        view = self.viewport().rect()
        more = round(margin)
        return self.mapToScene(view.adjusted(-more, -more, more, more)).boundingRect()

    def _follow(self) -> None:
        """Ask anew where the copy does not cover what is in view, or not at this zoom."""
        if not self._how.adjusted or self._soon.isActive():
            return
        copy, needed = self._adjusted, self._in_view(0) & self._frame()
        zoom = self._device_zoom()
        if copy is None or not copy.part.contains(needed) or copy.zoom != zoom:
            self._soon.start()

    def _ask(self) -> None:
        if not self._how.adjusted or not self._copies or self._size.isEmpty():
            return
        if self._asking:
            self._again = True
            return
        self._asking = True
        serial, levels, how = self._serial, self._copies, self._how
        frame, zoom, sample = self._frame(), self._device_zoom(), self._sample
        view = self.viewport().size()
        part = self._in_view(MARGIN_SHARE * max(view.width(), view.height()))

        def question() -> tuple[Adjusted, NDArray[uint8]]:
            whole = sample_of(levels) if sample is None else sample
            return adjust(levels, frame, part, zoom, how, whole), whole

        self._eye.ask(question, lambda made: self._take(serial, *made), self._not_made)

    def _take(self, serial: int, copy: Adjusted, sample: NDArray[uint8]) -> None:
        self._asking = False
        if serial == self._serial and self._how.adjusted:
            self._sample = sample
            self._show_copy(copy)
        again, self._again = self._again, False
        if again or serial != self._serial:
            self._ask()

    def _not_made(self, _: Sentence) -> None:
        self._asking = self._again = False

    def _show_copy(self, copy: Adjusted | None) -> None:
        self._adjusted = copy
        if self._over is not None:
            self._over.show_copy(copy, self._frame())
            self._over.setVisible(not self._held)


def how_sentences(how: Seeing) -> tuple[Sentence, ...]:
    """Return in words what is adjusted."""
    keys = []
    if how.local_contrast:
        keys.append("local_contrast")
    if how.underwater:
        keys.append("underwater")
    if how.brightness:
        keys.append("brighter" if how.brightness > 0 else "darker")
    return tuple(Sentence(f"seeing.how.{key}") for key in keys)
