"""A layout that fills lines from the left and wraps, for chips."""

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget


class FlowLayout(QLayout):
    """Items side by side, wrapped to as many lines as the width asks for."""

    def __init__(
        self, parent: QWidget | None = None, gap: int = 6, line_gap: int = 4
    ) -> None:
        self._items: list[QLayoutItem] = []
        self._gap, self._line_gap, self._needed = gap, line_gap, 0
        super().__init__()
        if parent is not None:
            parent.setLayout(self)
        self.setContentsMargins(0, 0, 0, 0)

    def addItem(self, item: QLayoutItem) -> None:
        """Take an item into the layout."""
        self._items.append(item)

    def count(self) -> int:
        """Return how many items there are."""
        return len(self._items)

    # Qt asks for items beyond the end and expects nothing.
    def itemAt(self, index: int) -> QLayoutItem | None:
        """Return an item, or nothing beyond the end."""
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        """Take an item out, or nothing beyond the end."""
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def clear(self) -> None:
        """Take all items out and let their widgets go."""
        while (item := self.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()

    def invalidate(self) -> None:
        """Forget the height of the lines, because an item changed."""
        self._needed = 0
        super().invalidate()

    def expandingDirections(self) -> Qt.Orientation:
        """Say that the layout takes no more than it needs."""
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        """Say that the height follows from the width."""
        return True

    def heightForWidth(self, width: int) -> int:
        """Return the height of the lines at a width."""
        return self._arrange(QRect(0, 0, width, 0), move=False)

    def setGeometry(self, rect: QRect) -> None:
        """Lay the items out in a rectangle."""
        super().setGeometry(rect)
        needed = self._arrange(rect, move=True)
        # Boxes above that never ask for a height at a width still leave room for all.
        if needed != self._needed:
            self._needed = needed
            parent = self.parentWidget()
            if parent is not None:
                parent.updateGeometry()

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        return self.minimumSize()

    def minimumSize(self) -> QSize:
        """Return the size of the largest item."""
        size = QSize()
        for item in self._items:
            size = size.expandedTo(item.minimumSize())
        margins = self.contentsMargins()
        extra = QSize(margins.left() + margins.right(), margins.top() + margins.bottom())
        return (size + extra).expandedTo(QSize(0, self._needed))

    def _arrange(self, rect: QRect, *, move: bool) -> int:
        inner = rect.marginsRemoved(self.contentsMargins())
        x, y, tallest = inner.left(), inner.top(), 0
        for item in self._items:
            if item.isEmpty():
                continue
            hint = item.sizeHint()
            width = min(hint.width(), max(inner.width(), item.minimumSize().width()))
            if x > inner.left() and x + width > inner.right() + 1:
                x, y, tallest = inner.left(), y + tallest + self._line_gap, 0
            high = item.heightForWidth(width) if item.hasHeightForWidth() else hint.height()
            if move:
                item.setGeometry(QRect(x, y, width, high))
            x += width + self._gap
            tallest = max(tallest, high)
        return y + tallest - rect.top() + self.contentsMargins().bottom()
