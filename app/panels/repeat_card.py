"""What stands in place of the list of specimens while a repeat goes on."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.panels.fields import one_line
from app.session import Aspect, Session
from app.style.icons import icon_text
from app.style.tokens import ICON
from app.style.widgets import Bar, Drawing, Label, button
from app.style.widgets.buttons import plain_tip
from landmarks.repeats import BLIND
from landmarks.sentences import say


class RepeatCard(QWidget):
    """Where one stands in the lot, what is hidden and why; next, and stop.

    The list itself would tell which specimen this is, and what was found on it.
    """

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        edge = float(ICON.band)
        self.kind = Label("", "strong", wrap=True)
        self.stands = Label("", "title")
        self.bar = Bar()
        self.person = Label("", "small", "ink2", wrap=True)
        self.next = button(say("repeats.next"), "primary", "arrow-right")
        self.stop = button(say("repeats.stop"))
        self.next.setToolTip(plain_tip(say("repeats.next.tip")))
        self.stop.setToolTip(plain_tip(say("repeats.stop.tip")))
        hidden = Label(say("repeats.hidden.words"), "small", "ink2", wrap=True)
        column = QVBoxLayout(self)
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
        self.next.clicked.connect(session.next_repeat)
        self.stop.clicked.connect(session.stop_repeat)
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
        words = say("repeats.last" if last else "repeats.next")
        self.next.setText(words)
        self.next.setAccessibleName(words)
        self.setAccessibleName(f"{self.kind.text()}, {self.stands.text()}")
