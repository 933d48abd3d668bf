"""What stands in place of the list of specimens while a repeat goes on."""

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QFontMetrics, QResizeEvent
from PySide6.QtWidgets import (
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.panels.fields import one_line
from app.session import Aspect, Session
from app.style.icons import icon_text
from app.style.tokens import ICON
from app.style.widgets import Bar, Drawing, Label, button
from app.style.widgets.bare import bare_area
from app.style.widgets.buttons import plain_tip
from landmarks.repeats import BLIND
from landmarks.sentences import say


class RepeatCard(QScrollArea):
    """Where one stands in the lot, what is hidden and why; next, and stop.

    The list itself would tell which specimen this is, and what was found on it.
    """

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        bare_area(self)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        edge = float(ICON.band)
        self.kind = Label("", "strong", wrap=True)
        self.stands = Label("", "title", wrap=True)
        self.bar = Bar()
        self.person = Label("", "small", "ink2", wrap=True)
        self.next = shortened(button("", "primary", "arrow-right"))
        self.stop = shortened(button(""))
        hidden = Label(say("repeats.hidden.words"), "small", "ink2", wrap=True)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(16, 8, 16, 16)
        column.setSpacing(8)
        mark = Drawing(icon_text("repeat-2"), (edge, edge), "accent")
        column.addWidget(mark, 0, Qt.AlignmentFlag.AlignLeft)
        for one in (self.kind, self.stands, self.bar, self.person):
            column.addWidget(one)
        column.addSpacing(4)
        for made in (self.next, self.stop):
            # A click leaves the keyboard with the picture.
            made.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            column.addWidget(made)
        column.addSpacing(4)
        column.addWidget(hidden)
        column.addStretch(1)
        self.setWidget(inside)
        inside.setAutoFillBackground(False)
        self.next.clicked.connect(session.veil.next)
        self.stop.clicked.connect(session.veil.stop)
        session.changed.connect(self._look)
        self._renew()

    def _look(self, aspects: Aspect) -> None:
        if aspects & (Aspect.ROWS | Aspect.SELECTION):
            self._renew()

    def _renew(self) -> None:
        repeat = self._session.repeat
        if repeat is None:
            return
        blind = repeat.occasion == BLIND
        second = f"repeats.going_on.{repeat.occasion}"
        self.kind.setText(say("repeats.going_on" if blind else second))
        self.stands.setText(repeat.called)
        self.bar.set_share((repeat.at + 1) / len(repeat.lot))
        name = one_line(repeat.person.name) or say("repeats.observer.unnamed")
        self.person.setText(say("repeats.by", person=name))
        self.person.setVisible(not blind)
        last = repeat.at + 1 == len(repeat.lot)
        self._say_ways("repeats.last" if last else "repeats.next")
        self.setAccessibleName(f"{self.kind.text()}, {self.stands.text()}")

    def minimumSizeHint(self) -> QSize:
        """Return the least size: it scrolls, so that large type widens no panel."""
        return QSize(0, 0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Shorten the words of the buttons where there is too little room."""
        super().resizeEvent(event)
        self._renew()

    def _say_ways(self, on: str) -> None:
        room = self.viewport().width() - 32
        show_words(self.next, say(on), room, say("repeats.next.tip"))
        show_words(self.stop, say("repeats.stop"), room, say("repeats.stop.tip"))


def shortened(made: QPushButton) -> QPushButton:
    """Return a button that asks for no width of its own; :func:`show_words` fills it."""
    made.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
    return made


def show_words(made: QPushButton, words: str, room: int, tip: str = "") -> None:
    """Show words on a button, shortened to a room; in full they are spoken and a tool tip."""
    taken = 32 + (made.iconSize().width() + 4 if not made.icon().isNull() else 0)
    fits = QFontMetrics(made.font())
    shown = fits.elidedText(words, Qt.TextElideMode.ElideRight, max(room - taken, 1))
    made.setText(shown.replace("&", "&&"))
    made.setAccessibleName(words)
    full = words if shown != words else ""
    made.setToolTip(plain_tip("\n".join(one for one in (full, tip) if one)))
