"""Region, origin and condition of a specimen, set beside the candidates they speak to."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QVBoxLayout, QWidget

from app.panels.fields import ChoiceField, labelled, worded
from app.panels.side_rows import EDGE, INDENT, Row
from app.panels.where_words import (
    condition_button,
    condition_words,
    region_choices,
)
from app.session import Aspect, Session, deeds
from app.style.fonts import line_height, scaled
from app.style.tokens import ICON
from app.style.widgets import FlowLayout, button
from app.style.widgets.painted import lines_high, text_width, write, write_lines
from landmarks.observations import CONDITIONS, ORIGINS, ZONES, Condition
from landmarks.sentences import say
from landmarks.specimen import Where


class Circumstances(QWidget):
    """One line that says what is known besides the characters, and the fields it opens."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._shown: tuple[Condition, ...] | None = None
        self.line = _Line()
        self.line.clicked.connect(self.turn)
        self.region = ChoiceField(say("label.region"))
        self.origin = ChoiceField(say("label.origin"), worded("origin", ORIGINS))
        self.use_region = QCheckBox(say("label.region.use"))
        self.use_region.setAccessibleName(say("label.region.use"))
        kinds = worded("condition", CONDITIONS, say("label.condition.none"))
        self.kind = ChoiceField(say("label.condition"), kinds)
        self.zone = ChoiceField(say("label.condition.zone"), worded("zone", ZONES))
        self.add = button(say("label.condition.add"))
        self.chips = QWidget()
        self._flow = FlowLayout(self.chips, gap=6, line_gap=4)
        self.fields = self._fields()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 4)
        column.setSpacing(2)
        column.addWidget(self.line)
        column.addWidget(self.fields)
        self.fields.hide()
        self.region.chosen.connect(lambda key: self._set(region=key))
        self.origin.chosen.connect(lambda key: self._set(origin=key))
        self.use_region.clicked.connect(lambda on: self._set(use_region=on))
        self.kind.chosen.connect(lambda _: self._renew_add())
        self.add.clicked.connect(self._add_condition)
        session.changed.connect(self._look)
        self._renew_regions()

    def turn(self) -> None:
        """Show the fields, or put them away."""
        opened = self.fields.isHidden()
        self.fields.setVisible(opened)
        self.line.set_open(opened)
        if opened:
            self.region.setFocus(Qt.FocusReason.OtherFocusReason)

    # -- inside ----------------------------------------------------------------------------

    def _fields(self) -> QWidget:
        holder = QWidget()
        column = QVBoxLayout(holder)
        column.setContentsMargins(INDENT, 0, EDGE, 6)
        column.setSpacing(6)
        for left, right in ((self.region, self.origin), (self.kind, self.zone)):
            row = QHBoxLayout()
            row.setSpacing(8)
            row.addWidget(labelled(left), 3)
            row.addWidget(labelled(right), 2)
            if left is self.kind:
                row.addWidget(self.add, 0, Qt.AlignmentFlag.AlignBottom)
            column.addLayout(row)
            if left is self.region:
                column.addWidget(self.use_region)
        column.addWidget(self.chips)
        return holder

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.GUIDE:
            self._renew_regions()
        elif aspects & (Aspect.SELECTION | Aspect.SPECIMEN | Aspect.COLLECTION):
            self._renew()

    def _renew_regions(self) -> None:
        self.region.set_choices(region_choices(self._session))
        self._renew()

    def _renew(self) -> None:
        specimen = self._session.specimen
        self.setEnabled(specimen is not None)
        where = specimen.where if specimen is not None else Where()
        self.region.show_key(where.region)
        self.origin.show_key(where.origin)
        self.use_region.setChecked(where.use_region)
        self.use_region.setEnabled(bool(where.region))
        self._renew_add()
        if where.condition != self._shown:
            self._shown = where.condition
            self._renew_chips(where.condition)
        self.line.show_words(self._words(where))

    def _renew_add(self) -> None:
        for field in (self.zone, self.add):
            field.setEnabled(bool(self.kind.key()))

    def _renew_chips(self, conditions: tuple[Condition, ...]) -> None:
        self._flow.clear()
        self.chips.setVisible(bool(conditions))
        for one in conditions:
            self._flow.addWidget(condition_button(one, self._remove_condition))

    def _words(self, where: Where) -> str:
        guide = self._session.guide
        names = {} if guide is None else {r.key: r.name for r in guide.tables.regions}
        said = [names.get(where.region, where.region)] if where.region else []
        if where.origin != "unknown":
            said.append(dict(worded("origin", ORIGINS)).get(where.origin, where.origin))
        said += [condition_words(one) for one in where.condition]
        return "; ".join(said) or say("side.circumstances.none")

    def _set(self, **values: object) -> None:
        deeds.change_where(self._session, **values)

    def _add_condition(self) -> None:
        if self.kind.key():
            one = Condition(self.kind.key(), self.zone.key())
            deeds.add_condition(self._session, one)
            self.kind.show_key("")
            self._renew_add()

    def _remove_condition(self, one: Condition) -> None:
        deeds.remove_condition(self._session, one)


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
