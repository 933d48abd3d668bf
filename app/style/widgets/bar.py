"""A share as a bar; its number always stands beside it, in another widget."""

from typing import Literal

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.style.widgets.painted import Painted, rounded, smooth


class Bar(Painted):
    """A share from 0 to 1 on a sunken track, 8 or 6 px thick.

    `width` fixes the length; without it the bar takes the room there is.
    """

    def __init__(
        self,
        share: float = 0.0,
        thickness: Literal[6, 8] = 8,
        width: int | None = None,
        parent: QWidget | None = None,
    ) -> None:
        self._share, self._thickness, self._length = 0.0, thickness, width
        super().__init__(parent)
        policy = QSizePolicy.Policy
        across = policy.Expanding if width is None else policy.Fixed
        self.setSizePolicy(across, policy.Fixed)
        self.set_share(share)

    def set_share(self, share: float) -> None:
        """Show a share; values outside 0 to 1 are drawn at the nearer end."""
        share = min(max(share, 0.0), 1.0)
        if share != self._share:
            self._share = share
            self.update()

    def share(self) -> float:
        """Return the share shown."""
        return self._share

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        return QSize(self._length or 76, self._thickness)

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(self._length or 24, self._thickness)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        track = QRectF(self.rect())
        track.setHeight(self._thickness)
        track.moveCenter(QRectF(self.rect()).center())
        radius = track.height() / 2
        rounded(painter, track, radius, "sunken")
        if self._share > 0:
            # However small, a share shows at least the round end of the bar.
            track.setWidth(max(track.height(), track.width() * self._share))
            rounded(painter, track, radius, "accent")
        painter.end()
