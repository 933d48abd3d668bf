"""The frame of every instrument's strip: what it found, and the buttons that settle it."""

from collections.abc import Iterable

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QBoxLayout,
    QHBoxLayout,
    QLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.panels.strip import RING, Strip
from app.session import Aspect, Instrument, Session
from app.session.at_work import take_back
from app.style.fonts import line_height, scaled
from app.style.widgets import FlowLayout, Label, button
from landmarks.sentences import say

_LEAST_WORDS = 150
"""Words beside buttons that would have less than this, at the usual type, go above them."""


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
    narrow_lines = 3
    """So many lines what an instrument says may take where the strip is narrow."""

    def __init__(self, session: Session, key: str, icon: str, title: str) -> None:
        super().__init__(icon, title, key)
        self._session, self._key = session, key
        self._between = "\n"
        self.state = Label("", "small", "ink2", wrap=True)
        self.accept = button(say("instrument.accept"), "primary")
        self.accept.setToolTip(say("instrument.accept.tip"))
        self.back = button(say("instrument.back"))
        self.back.setToolTip(say("instrument.back.tip"))
        self.accept.clicked.connect(self._accept)
        self.back.clicked.connect(self._step_back)
        self._buttons = QHBoxLayout()
        self._buttons.setSpacing(8)
        for one in (self.back, self.accept):
            self._buttons.addWidget(one, 0, Qt.AlignmentFlag.AlignTop)
            # A click leaves the keyboard with the picture.
            one.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._row.setSpacing(8)
        self._row.addWidget(self.state, 1)
        self._row.addLayout(self._buttons)
        self._body = QWidget()
        self._column = QVBoxLayout(self._body)
        self._column.setSpacing(6)
        self._column.addLayout(self._row)
        self.set_body(self._body)
        session.changed.connect(self._look)

    def instrument(self) -> Instrument | None:
        """Return the instrument at work where it is of this strip's kind."""
        at_work = self._session.instrument
        return at_work if at_work is not None and at_work.key == self._key else None

    def add_button(self, made: QPushButton) -> QPushButton:
        """Put a button before those that every instrument has."""
        made.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        at = self._buttons.count() - 2
        self._buttons.insertWidget(at, made, 0, Qt.AlignmentFlag.AlignTop)
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

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put the buttons below the words where they would leave these no room."""
        super().resizeEvent(event)
        left = event.size().width() - self._buttons.sizeHint().width()
        ways = QBoxLayout.Direction
        below = left < scaled(_LEAST_WORDS)
        self._row.setDirection(ways.TopToBottom if below else ways.LeftToRight)

    def arrange(self, *, wide: bool) -> None:
        """Keep the room that the words may take, so that the picture stands still."""
        align = Qt.AlignmentFlag
        self.state.setAlignment(
            align.AlignLeft | (align.AlignVCenter if wide else align.AlignTop)
        )
        # The first of several lines stands beside the words of the buttons.
        above = (
            0 if wide else max(0, self.accept.sizeHint().height() - line_height("small"))
        )
        n_lines = 1 if wide else self.narrow_lines
        self.state.setContentsMargins(0, above // 2, 0, 0)
        self.state.setMinimumHeight(n_lines * (line_height("small") + 1) + above // 2)
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
        if aspects & (Aspect.WORK | Aspect.MARK) and self.instrument() is not None:
            self.renew()

    def _accept(self) -> None:
        at_work = self.instrument()
        if at_work is not None:
            at_work.accept()

    def _step_back(self) -> None:
        if self.instrument() is not None:
            take_back(self._session)


def left_words(instrument: Instrument | None) -> str:
    """Return what is said of an instrument that goes on with what was left half done."""
    goes_on = instrument is not None and instrument.goes_on
    return say("instrument.goes_on") if goes_on else ""
