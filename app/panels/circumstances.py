"""Region, origin and condition of a specimen, set beside the candidates they speak to."""

from __future__ import annotations

from functools import cached_property

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.panels.fields import labelled, worded
from app.panels.side_rows import EDGE, INDENT, Row
from app.panels.where_fields import WhereFields
from app.panels.where_words import condition_words
from app.session import Aspect, Session
from app.style.fonts import line_height, scaled
from app.style.tokens import ICON
from app.style.widgets.painted import lines_high, text_width, write, write_lines
from landmarks.observations import ORIGINS
from landmarks.sentences import say
from landmarks.specimen import Where


class Circumstances(QWidget):
    """One line that says what is known besides the characters, and the fields it opens.

    The fields are made when they are first opened: most specimens come with all they say.
    """

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.line = _Line()
        self.line.clicked.connect(self.turn)
        self._made = False
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 4)
        self._column.setSpacing(2)
        self._column.addWidget(self.line)
        session.changed.connect(self._look)
        self._renew()

    @cached_property
    def where(self) -> WhereFields:
        """Return the fields."""
        self._made = True
        kind, none = say("label.condition"), say("label.condition.none")
        made = WhereFields(self._session, kind, no_kind=none)
        made.show(self._known())
        return made

    @cached_property
    def fields(self) -> QWidget:
        """Return what holds the fields below the line, hidden at first."""
        made = self._laid_out()
        made.hide()
        self._column.addWidget(made)
        return made

    def turn(self) -> None:
        """Show the fields, or put them away."""
        opened = self.fields.isHidden()
        self.fields.setVisible(opened)
        self.line.set_open(opened)
        if opened:
            self.where.region.setFocus(Qt.FocusReason.OtherFocusReason)

    # -- inside ----------------------------------------------------------------------------

    def _laid_out(self) -> QWidget:
        holder = QWidget()
        column = QVBoxLayout(holder)
        column.setContentsMargins(INDENT, 0, EDGE, 6)
        column.setSpacing(6)
        where = self.where
        for left, right in ((where.region, where.origin), (where.kind, where.zone)):
            row = QHBoxLayout()
            row.setSpacing(8)
            row.addWidget(labelled(left), 3)
            row.addWidget(labelled(right), 2)
            if left is where.kind:
                row.addWidget(where.add, 0, Qt.AlignmentFlag.AlignBottom)
            column.addLayout(row)
            if left is where.region:
                column.addWidget(where.use_region)
        column.addWidget(where.conditions)
        return holder

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.GUIDE and self._made:
            self.where.offer_regions()
        if aspects & (
            Aspect.GUIDE | Aspect.SELECTION | Aspect.SPECIMEN | Aspect.COLLECTION
        ):
            self._renew()

    def _renew(self) -> None:
        self.setEnabled(self._session.specimen is not None)
        if self._made:
            self.where.show(self._known())
        self.line.show_words(self._words(self._known()))

    def _known(self) -> Where:
        specimen = self._session.specimen
        return Where() if specimen is None else specimen.where

    def _words(self, where: Where) -> str:
        guide = self._session.guide
        names = {} if guide is None else {r.key: r.name for r in guide.tables.regions}
        said = [names.get(where.region, where.region)] if where.region else []
        if where.origin != "unknown":
            said.append(dict(worded("origin", ORIGINS)).get(where.origin, where.origin))
        said += [condition_words(one) for one in where.condition]
        return "; ".join(said) or say("side.circumstances.none")


class _Line(Row):
    """What is known, and at its right that it can be set here."""

    def __init__(self) -> None:
        self._words, self._deed = "", say("side.circumstances.set")
        super().__init__()
        self.setToolTip(say("side.circumstances.tip"))

    def show_words(self, words: str) -> None:
        self._words = words
        self.setAccessibleName(say("side.circumstances.spoken", words=words))
        self.fit_height()
        self.update()

    def set_open(self, opened: bool) -> None:  # noqa: FBT001 - as Qt's setters
        self._deed = say(f"side.circumstances.{'done' if opened else 'set'}")
        self.update()

    def words(self) -> str:
        """Return what the line says."""
        return self._words

    def height_wanted(self) -> int:
        """Return the height of the line; it grows with type."""
        room = self.width() - self._words_left() - EDGE - self._deed_width() - 10
        return max(scaled(24), lines_high(self._words, "small", room) + 6)

    def paint_row(self, painter: QPainter, whole: QRectF) -> None:
        """Write what is known, and the deed at the right."""
        high = line_height("small")
        self.paint_icon(painter, INSIDE, 3 + high / 2, "map-pin", "ink2")
        line = whole.adjusted(self._words_left(), 3, -EDGE, 0)
        taken = self._deed_width()
        deed = QRectF(line.right() - taken, line.top(), taken, high)
        write(
            painter, deed, self._deed, "small_strong", "accent", Qt.AlignmentFlag.AlignRight
        )
        room = line.adjusted(0, 0, -taken - 10, 0)
        write_lines(painter, room, self._words, "small", "ink2")

    def _words_left(self) -> float:
        return max(INSIDE + scaled(ICON.inline) + 5, INDENT)

    def _deed_width(self) -> float:
        return text_width(self._deed, "small_strong") + 1


INSIDE = 16
"""Between the edge of the side and the icon, which stands under the chevron of the title."""
