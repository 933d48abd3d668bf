"""The right side: Measures, Characters, Candidates, Look next, always in sight.

It scrolls as one; where height is short, sections fold in a fixed order, and what a person
folded or opened stays so. From a wide window on it has two columns: what was seen, and what
follows.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QFrame,
    QLayout,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.panels.candidates import Candidates
from app.panels.characters import Characters
from app.panels.look_next import LookNext
from app.panels.measures import Measures
from app.panels.side_rows import EDGE, Divider
from app.session import Aspect, Session
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.tokens import LAYOUT
from app.style.widgets import Label, Section
from app.style.widgets.bare import bare_column, bare_row
from landmarks.sentences import say


class Side(QWidget):
    """The four sections and the line that stays.

    Signals
    -------
    wanted(str)
        The person wants to score this character.
    """

    wanted = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setProperty("ground", "sheet")
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        self.measures = Measures(session)
        self.characters = Characters(session)
        self.candidates = Candidates(session)
        self.look_next = LookNext(session)
        self._by_hand: dict[Section, bool] = {}
        self._columns = 0
        self._watched: QWidget | None = None
        self._make_area()
        for section in self.sections():
            section.folded.connect(
                lambda folded, one=section: self._fold_by_hand(one, folded)
            )
        self.characters.wanted.connect(self.wanted)
        self.candidates.wanted.connect(self.wanted)
        self.look_next.wanted.connect(self.wanted)
        self.set_columns(1)
        session.changed.connect(self._changed)
        follow(self._restyle)
        self._changed(Aspect.SELECTION)

    def sections(self) -> tuple[Section, ...]:
        """Return the four sections, in their order."""
        return self.measures, self.characters, self.candidates, self.look_next

    def columns(self) -> int:
        """Return how many columns there are: one or two."""
        return self._columns

    def set_columns(self, columns: int) -> None:
        """Stand in one column, or in two: what was seen, and what follows."""
        if columns == self._columns:
            return
        self._columns = columns
        self._between.setVisible(columns == 2)
        target = self._second if columns == 2 else self._first
        for widget in (self._rule_middle, self.candidates, self._rule_last, self.look_next):
            target.insertWidget(target.count() - 1, widget)
        self._rule_middle.setVisible(columns == 1)
        self._second_holder.setVisible(columns == 2)
        self._restyle()
        self.fit_height()

    def set_scoring(self, character: str) -> None:
        """Mark the character at work in the list; an empty key ends that."""
        self.characters.set_current(character)

    def fit_height(self) -> None:
        """Fold what need not be open where height is short, and open what has room."""
        room = self._area.viewport().height()
        if room <= 1:
            return
        self._open_all()
        seen, follows = self._first_holder, self._second_holder
        if self._columns == 1:
            follows = seen
        # The tail of the candidates says least, so it gives way before the measures do.
        steps: tuple[tuple[QWidget, Callable[[], None]], ...] = (
            (follows, lambda: self.candidates.set_compact(1)),
            (seen, lambda: self._fold(self.measures)),
            (seen, lambda: self.characters.set_compact(1)),
            (follows, lambda: self.candidates.set_compact(2)),
            (seen, lambda: self.characters.set_compact(2)),
        )
        fitting: set[QWidget] = set()
        for column, step in steps:
            if column in fitting:
                continue
            if self._height_wanted(column) > room:
                step()
            else:
                fitting.add(column)

    def fit_window(self, width: int) -> None:
        """Choose one column or two by the width of the window."""
        self.set_columns(2 if width >= LAYOUT.side_two_columns_from else 1)

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        if self._columns == 2:
            return QSize(sum(LAYOUT.side_two_columns), 700)
        narrow = self.window().width() <= _NARROW_WINDOW
        return QSize(LAYOUT.side_two_columns[0] if narrow else LAYOUT.side[1], 700)

    def showEvent(self, event: QShowEvent) -> None:
        """Follow the width of the window it stands in."""
        super().showEvent(event)
        window = self.window()
        if window is not self._watched and window is not self:
            if self._watched is not None:
                self._watched.removeEventFilter(self)
            window.installEventFilter(self)
            self._watched = window
            self.fit_window(window.width())
        self._fit_soon()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fold by height."""
        super().resizeEvent(event)
        if event.size().height() != event.oldSize().height():
            self.fit_height()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """See the window change its width."""
        if watched is self._watched and isinstance(event, QResizeEvent):
            self.fit_window(event.size().width())
        return False

    # -- inside ----------------------------------------------------------------------------

    def _make_area(self) -> None:
        inner = QWidget()
        inner.setProperty("ground", "sheet")
        inner.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        row = bare_row(inner, 0)
        self._rule_first, self._rule_middle, self._rule_last = (
            Divider(),
            Divider(),
            Divider(),
        )
        self._first_holder, self._first = _column()
        self._second_holder, self._second = _column()
        for widget in (self.measures, self._rule_first, self.characters):
            self._first.insertWidget(self._first.count() - 1, widget)
        self._between = Divider(upright=True)
        row.addWidget(self._first_holder, LAYOUT.side_two_columns[0])
        row.addWidget(self._between)
        row.addWidget(self._second_holder, LAYOUT.side_two_columns[1])
        self._inner = inner
        self._area = QScrollArea()
        self._area.setWidgetResizable(True)
        self._area.setFrameShape(QFrame.Shape.NoFrame)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._area.setWidget(inner)
        last = Label(say("side.last_line"), "small", "ink2", wrap=True)
        last.setContentsMargins(EDGE, 6, EDGE, 8)
        column = bare_column(self, 0)
        column.addWidget(self._area, 1)
        column.addWidget(Divider())
        column.addWidget(last)

    def _changed(self, aspects: Aspect) -> None:
        if aspects & (Aspect.SELECTION | Aspect.GUIDE):
            for section in self.sections():
                if self._session.specimen is None:
                    section.set_folded(True)
                    section.header().setEnabled(False)
                else:
                    section.header().setEnabled(True)
            if self._session.specimen is not None:
                self._fit_soon()

    def _fit_soon(self) -> None:
        # Parts made a moment ago take no room in a layout until the event loop has shown them.
        QTimer.singleShot(0, self, self.fit_height)

    def _open_all(self) -> None:
        self.characters.set_compact(0)
        self.candidates.set_compact(0)
        for section in self.sections():
            section.set_folded(self._by_hand.get(section, self._session.specimen is None))

    def _fold(self, section: Section) -> None:
        section.set_folded(self._by_hand.get(section, True))

    def _fold_by_hand(self, section: Section, folded: bool) -> None:  # noqa: FBT001
        if not self._session.names_hidden:
            self._by_hand[section] = folded

    def _height_wanted(self, column: QWidget) -> int:
        """Return how high a column would be, as folded now."""
        return _height_at(column, column.width() if self._columns == 2 else self._room())

    def _room(self) -> int:
        return self._area.viewport().width()

    def _restyle(self) -> None:
        least, _, most = LAYOUT.side
        if self._columns == 2:
            first, second = LAYOUT.side_two_columns
            least, most = first + second, first + second + 200
        self.setMinimumWidth(max(least, scaled(_LEAST_WORDS * self._columns)))
        self.setMaximumWidth(max(most, scaled(most)))
        self.updateGeometry()


_NARROW_WINDOW = 1280
_LEAST_WORDS = 220
"""Width of a column that words in large type need at least, in pixels at the usual size."""


def _height_at(holder: QWidget, width: int) -> int:
    """Return how high a column is at a width, with what was hidden or shown a moment ago."""
    for widget in holder.findChildren(QWidget):
        widget.updateGeometry()
    for inner in holder.findChildren(QLayout):
        inner.invalidate()
    layout = holder.layout()
    if layout is None:
        return 0
    return layout.totalHeightForWidth(width) if layout.hasHeightForWidth() else 0


def _column() -> tuple[QWidget, QVBoxLayout]:
    """Return a column that keeps its sections together at its top."""
    holder = QWidget()
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 2, 0, 0)
    column.setSpacing(3)
    column.addStretch(1)
    return holder, column
