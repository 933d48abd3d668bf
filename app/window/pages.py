"""Pages that take the place of the picture while they are open."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QStackedWidget, QWidget


class Pages(QStackedWidget):
    """The page of the picture, and above it at most one other.

    Signals
    -------
    turned()
        Another page is in front.
    """

    turned = Signal()

    def __init__(self, picture: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.addWidget(picture)

    @property
    def page(self) -> QWidget | None:
        """Return the page above that of the picture, or None."""
        return self.currentWidget() if self.currentIndex() > 0 else None

    def open_page(self, page: QWidget) -> None:
        """Show a page in place of the picture, and give it the keyboard."""
        if self.indexOf(page) < 0:
            self.addWidget(page)
        self.setCurrentWidget(page)
        page.setFocus(Qt.FocusReason.OtherFocusReason)
        self.turned.emit()

    def show_picture(self) -> None:
        """Show the picture again; the page stays as it is, behind it."""
        if self.page is not None:
            self.setCurrentIndex(0)
            self.turned.emit()

    def close_page(self, page: QWidget) -> None:
        """Let a page go."""
        in_front = self.currentWidget() is page
        self.removeWidget(page)
        page.hide()
        page.deleteLater()
        if in_front:
            self.setCurrentIndex(0)
            self.turned.emit()
