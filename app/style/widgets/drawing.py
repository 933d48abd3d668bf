"""A line drawing or an icon, in a colour of the tokens."""

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.style.drawings import drawing_pixmap
from app.style.fonts import scale
from app.style.widgets.painted import Painted, smooth


class Drawing(Painted):
    """SVG text at a fixed size that grows with type; silent if it has no name."""

    def __init__(
        self,
        text: str = "",
        size: tuple[float, float] = (38, 28.5),
        ink: str = "ink",
        name: str = "",
        parent: QWidget | None = None,
    ) -> None:
        self._text, self._size, self._ink = text, size, ink
        super().__init__(parent)
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def set_drawing(
        self, text: str, ink: str | None = None, size: tuple[float, float] | None = None
    ) -> None:
        """Show another drawing, in another ink or size if given."""
        self._text = text
        self._ink = ink or self._ink
        self._size = size or self._size
        self.restyle()

    def drawing(self) -> str:
        """Return the SVG text shown."""
        return self._text

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        width, height = self._size
        return QSize(round(width * scale()), round(height * scale()))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        if not self._text:
            return
        painter = smooth(self)
        width, height = self._size[0] * scale(), self._size[1] * scale()
        ink = self._ink if self.isEnabled() else "ink3"
        ratio = self.devicePixelRatioF()
        pixmap = drawing_pixmap(self._text, width, height, ink, ratio)
        where = QRectF(0, 0, pixmap.width() / ratio, pixmap.height() / ratio)
        where.moveCenter(QRectF(self.rect()).center())
        painter.drawPixmap(where.topLeft(), pixmap)
        painter.end()
