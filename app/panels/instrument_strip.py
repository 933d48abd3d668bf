"""The frame of every instrument's strip: what it found, and the buttons that settle it."""

from collections.abc import Iterable

from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QAbstractButton, QLayout, QPushButton, QVBoxLayout, QWidget

from app.panels.strip import RING, Strip
from app.session import Aspect, Instrument, Session
from app.session.at_work import take_back
from app.style.widgets import FlowLayout, Label, button
from landmarks.sentences import say


class InstrumentStrip(Strip):
    """A strip that shows the instrument at work, whichever of its kind that is.

    Parameters
    ----------
    key
        The key of the instrument; nothing is shown of any other.
    title
        What the instrument is called, in words.
    """

    body_edges = (RING, 2, 6, 2)
    wide_from = 720

    def __init__(self, session: Session, key: str, icon: str, title: str) -> None:
        super().__init__(icon, title, key)
        self._session, self._key = session, key
        self._held: Instrument | None = None
        self._between = "\n"
        self.state = _Words("", "small", "ink2", wrap=True)
        self.accept = button(say("instrument.accept"), "primary")
        self.accept.setToolTip(say("instrument.accept.tip"))
        self.back = button(say("instrument.back"))
        self.back.setToolTip(say("instrument.back.tip"))
        self.accept.clicked.connect(self._accept)
        self.back.clicked.connect(self._step_back)
        for one in (self.back, self.accept):
            # A click leaves the keyboard with the picture.
            one.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        # In the head they take no room from the words, and never scroll.
        self.add_to_head(self.back, self.accept)
        self._body = QWidget()
        self._column = QVBoxLayout(self._body)
        self._column.setSpacing(6)
        self._column.addWidget(self.state)
        self.set_body(self._body)
        session.changed.connect(self._look)

    def instrument(self) -> Instrument | None:
        """Return the instrument at work where it is of this strip's kind."""
        at_work = self._session.instrument
        return at_work if at_work is not None and at_work.key == self._key else None

    def add_button(self, made: QPushButton) -> QPushButton:
        """Put a button before those that every instrument has."""
        made.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._head.add(made, first=True)
        return made

    def add_links(self, *made: QAbstractButton) -> None:
        """Put further ways below, as many in a line as there is room for."""
        ways = FlowLayout(gap=16, line_gap=2)
        for one in made:
            one.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            ways.addWidget(one)
        self.add_below(ways)

    def add_below(self, widget: QWidget | QLayout) -> None:
        """Put something below the line of words and buttons."""
        if isinstance(widget, QLayout):
            self._column.addLayout(widget)
        else:
            self._column.addWidget(widget)

    def arrange(self, *, wide: bool) -> None:
        """Put measures beside each other where there is room."""
        between = "   " if wide else "\n"
        if between != self._between:
            self._between = between
            self.renew()

    def side_by_side(self, told: Iterable[str]) -> str:
        """Return measures in words, each on a line of its own where the strip is narrow."""
        return self._between.join(told)

    def renew(self) -> None:
        """Show what the instrument at work has found; each kind overrides it."""

    def _look(self, aspects: Aspect) -> None:
        at_work = self.instrument()
        if aspects & (Aspect.WORK | Aspect.MARK) and at_work is not None:
            if at_work is not self._held:
                self._held = at_work
                self.state.forget()
            self.renew()

    def _accept(self) -> None:
        at_work = self.instrument()
        if at_work is not None:
            at_work.accept()

    def _step_back(self) -> None:
        if self.instrument() is not None:
            take_back(self._session)


class _Words(Label):
    """Words that keep the room they once took, so that the picture above stands still."""

    _most: dict[int, int] | None = None

    def heightForWidth(self, width: int) -> int:
        if self._most is None:
            self._most = {}
        high = max(super().heightForWidth(width), self._most.get(width, 0))
        self._most[width] = high
        return high

    def forget(self) -> None:
        """Take as much room as the words of now need, as for other work or type."""
        self._most = None
        self.updateGeometry()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self.forget()


def left_words(instrument: Instrument | None) -> str:
    """Return what is said of an instrument that goes on with what was left half done."""
    goes_on = instrument is not None and instrument.goes_on
    return say("instrument.goes_on") if goes_on else ""
