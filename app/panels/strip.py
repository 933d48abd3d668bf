"""The frame of every strip under the picture, and how places speak to the hint line."""

from itertools import pairwise

from PySide6.QtCore import QEvent, QObject, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.panels.strip_head import StripHead
from app.style.fonts import scaled
from app.style.icons import icon_text
from app.style.tokens import ICON, LAYOUT
from app.style.widgets import Drawing, Label, icon_button
from app.style.widgets.bare import bare_area, bare_column
from landmarks.sentences import say

CONTEXT = "hintContext"
"""The property by which a place tells the hint line which keys help in it."""

_SIDES, _ABOVE_AND_BELOW = 26, 22

RING = 3
"""Room for the ring of the focus at the left of what stands in a strip."""


_BY_TAB = Qt.FocusPolicy.TabFocus
_LEAST_BODY = 16
_LEAST_HIGH, _MOST_OF_WINDOW = 120, 0.45
"""Where type is large for the window, a strip takes this share of its height at most."""


class Strip(QWidget):
    """A strip under the picture: icon, title, one sentence, a body that scrolls if it must.

    Signals
    -------
    closed()
        The person is done with it: by the button, or by Esc.
    """

    closed = Signal()

    body_edges = (RING, 4, 6, 4)
    """Left, above, right and below the body: at the left stands the ring of the focus."""

    wide_from = 0
    """From this width on, in pixels at the usual size of type, the strip is wide."""

    def __init__(
        self, icon: str, title: str, context: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setProperty("ground", "sheet")
        self.setProperty(CONTEXT, context)
        self.setAccessibleName(title)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        edge = float(ICON.notice)
        self._wide: bool | None = None
        self._title = Label(title, "strong")
        self._close = icon_button("x", say("strip.close"), self)
        self._close.clicked.connect(self.closed)
        sign = Drawing(icon_text(icon), (edge, edge), "ink2")
        # With a parent from the first: shown without one it would be a window.
        sentence = Label("", "small", "ink2", wrap=True, parent=self)
        self._head = StripHead(sign, self._title, sentence, self._close)
        # As far from the scroll bar as the body is.
        self._head.words_below.setContentsMargins(RING, 0, Strip.body_edges[2], 0)
        self._body: QWidget | None = None
        self._area = QScrollArea()
        bare_area(self._area)
        # Of itself an area takes the room of its scroll bars, which one line does not need.
        self._area.setMinimumHeight(_LEAST_BODY)
        column = QVBoxLayout(self)
        column.setContentsMargins(16 - RING, 8, _SIDES - 16, 8)
        self._head.setContentsMargins(RING, 0, 0, 0)
        column.setSpacing(_ABOVE_AND_BELOW - 16)
        column.addLayout(self._head)
        column.addWidget(self._area, 1)

    def set_body(self, body: QWidget) -> None:
        """Put the body below the head."""
        self._body, scrolled = body, QWidget()
        column = bare_column(scrolled, 0)
        column.addLayout(self._head.words_below)
        column.addWidget(body, 1)
        self._area.setWidget(scrolled)
        inside = body.layout()
        if inside is not None:
            inside.setContentsMargins(*self.body_edges)
        # The area lets its widget fill the ground, which is the strip's own.
        scrolled.setAutoFillBackground(False)
        for one in (scrolled, body):
            one.installEventFilter(self)
        # The close button comes last for the keyboard, after the fields.
        QTimer.singleShot(0, self, self._order)

    def add_to_head(self, *widgets: QWidget) -> None:
        """Put widgets into the head, which never scrolls, before the closing button."""
        self._head.add(*widgets)

    def arrange(self, *, wide: bool) -> None:
        """Lay the body out for the width there is; strips that have two ways override it."""

    def set_title(self, title: str, sentence: str = "") -> None:
        """Say what the strip is about, and one sentence more."""
        self._title.setText(title)
        self._head.say(sentence)

    def hasHeightForWidth(self) -> bool:
        """Say no: a box above would ask the layout, which knows nothing of the body."""
        return False

    def height_at(self, width: int) -> int:
        """Return the height of the body at a width, up to the height of a strip."""
        body = self._area.widget()
        if body is None:
            return scaled(_LEAST_HIGH)
        room = width - _SIDES + RING
        high = body.heightForWidth(room) if body.hasHeightForWidth() else -1
        if high < 0:
            high = body.sizeHint().height()
        high = max(high, _LEAST_BODY)
        head = self._head.heightForWidth(room)
        return min(head + high + _ABOVE_AND_BELOW, self.most_high())

    def most_high(self) -> int:
        """Return the height it never exceeds, so that the picture keeps its room."""
        share = round(self.window().height() * _MOST_OF_WINDOW)
        return min(scaled(LAYOUT.strip_characters), max(scaled(_LEAST_HIGH), share))

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        # Before it was ever laid out it has a width that means nothing.
        width = scaled(480) if self._wide is None else self.width()
        return QSize(scaled(480), self.height_at(width))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(320), min(self.sizeHint().height(), scaled(_LEAST_HIGH)))

    def event(self, event: QEvent) -> bool:
        """Lay the head out anew where something in it has come, gone or other words."""
        if event.type() == QEvent.Type.LayoutRequest:
            self._fit_head()
        return super().event(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Ask for another height where the body has other contents."""
        if event.type() == QEvent.Type.LayoutRequest:
            self._leave_room()
            self.updateGeometry()
        return super().eventFilter(watched, event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Ask for another height where the width has changed."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            wide = event.size().width() >= scaled(self.wide_from)
            if wide is not self._wide:
                self._wide = wide
                self.arrange(wide=wide)
            self._fit_head()
            self.updateGeometry()

    def showEvent(self, event: QShowEvent) -> None:
        """Scroll to what has the focus, which need not stand at the top."""
        super().showEvent(event)
        QTimer.singleShot(0, self, self._show_focus)

    def _show_focus(self) -> None:
        body, focused = self._body, QApplication.focusWidget()
        if body is not None and focused is not None and body.isAncestorOf(focused):
            self._area.ensureWidgetVisible(focused)

    def _fit_head(self) -> None:
        if self._head.fit(self.width() - _SIDES):
            self.updateGeometry()

    def _order(self) -> None:
        order = [] if self._body is None else [self._body]
        order += [one for one in self._head.ways if one.focusPolicy() & _BY_TAB]
        for first, second in pairwise(order):
            QWidget.setTabOrder(first, second)

    def _leave_room(self) -> None:
        """Let no button be made so narrow that its words are cut."""
        for made in self.findChildren(QPushButton) if self._body is not None else ():
            made.setMinimumWidth(made.sizeHint().width())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Close with Esc, wherever the focus is within the strip."""
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
            return
        super().keyPressEvent(event)


def on_ground(widget: QWidget) -> None:
    """Let a widget fill its own ground with that of the window."""
    widget.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
    widget.setProperty("ground", "ground")
