"""Measures: every number with its doubt, or the reason why there is none.

Hovering a row lights its landmarks on the picture, and the reverse; Enter or a click opens a
line to type the value by hand. While a landmark moves, only the texts change.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.panels import measure_words
from app.panels.side_rows import EDGE, INDENT, Row
from app.panels.typing_entry import TypingEntry
from app.session import Aspect, Session
from app.style.fonts import line_height, scaled
from app.style.widgets import Label, Section
from app.style.widgets.buttons import button, plain_tip
from app.style.widgets.painted import lines_high, text_width, write, write_lines
from landmarks.assessment import MeasureRow
from landmarks.measures import MEASURES
from landmarks.sentences import say

_LEAST_DOUBT = 56
_GAP = 9


class Measures(Section):
    """The section of measures."""

    CONCERNS = Aspect.SPECIMEN | Aspect.SELECTION | Aspect.GUIDE | Aspect.PICTURE

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(say("side.measures"), parent=parent)
        self._session = session
        self._columns = _Columns()
        self.lines: dict[str, MeasureLine] = {}
        self._entry: TypingEntry | None = None
        body = QWidget()
        self._rows_place = QVBoxLayout(body)
        self._rows_place.setContentsMargins(0, 0, 0, 6)
        self._rows_place.setSpacing(0)
        self._empty = Label(role="small_italic", ink="ink2", wrap=True)
        self._empty.setContentsMargins(INDENT, 2, EDGE, 2)
        self._add = button(say("side.measures.add"), "link", parent=body)
        self._add.clicked.connect(lambda: self.type_value(""))
        self._add_row = QVBoxLayout()
        self._add_row.setContentsMargins(INDENT, 0, EDGE, 0)
        self._add_row.addWidget(self._add, 0, Qt.AlignmentFlag.AlignLeft)
        self._rows_place.addWidget(self._empty)
        self._rows_place.addLayout(self._add_row)
        self.set_body(body)
        session.changed.connect(self._changed)
        session.lit.connect(self._light)
        self.folded.connect(lambda _: self._say_summary())
        self.refresh()

    def refresh(self) -> None:
        """Show the measures of the specimen on the bench."""
        rows = self._rows()
        keys = [row.key for row in rows]
        if keys != list(self.lines):
            self._make_lines(keys)
        for row, line in self._pairs(rows):
            line.show_measure(row)
        self._columns.fit(self.lines.values(), self.width())
        repeating = self._session.repeat is not None
        ready = self._session.assessment is not None
        hidden = "repeats.measures.hidden" if repeating else "side.measures.none"
        self._empty.setText(say(hidden))
        self._empty.setVisible(ready and not rows)
        self._add.setVisible(ready and not repeating)
        self._say_summary()

    def set_folded(self, folded: bool) -> None:  # noqa: FBT001 - as the section's own
        """Fold or open; the header says more when open."""
        super().set_folded(folded)
        self._say_summary()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Say the rules of counts in one word where it is narrow."""
        super().resizeEvent(event)
        self._columns.fit(self.lines.values(), self.width())

    def type_value(self, key: str) -> None:
        """Open the line to type a measure in, below its row; an empty key asks which."""
        self.close_entry()
        row = next((one for one in self._rows() if one.key == key), None)
        left = [one for one in MEASURES if one not in self.lines]
        if not key and not left:
            return
        entry = TypingEntry(self._session, (key,) if key else tuple(left), row)
        entry.done.connect(self.close_entry)
        line = self.lines.get(key)
        where = (
            self._rows_place.count() if line is None else self._rows_place.indexOf(line) + 1
        )
        self._rows_place.insertWidget(where, entry)
        self._entry = entry
        entry.begin()

    def close_entry(self) -> None:
        """Close the line in which a measure is typed."""
        entry, self._entry = self._entry, None
        if entry is None:
            return
        self._rows_place.removeWidget(entry)
        entry.hide()
        entry.deleteLater()
        line = self.lines.get(entry.measure())
        if line is not None:
            line.setFocus(Qt.FocusReason.OtherFocusReason)

    def entry(self) -> TypingEntry | None:
        """Return the line in which a measure is typed, while it is open."""
        return self._entry

    def _changed(self, aspects: Aspect) -> None:
        if aspects & Aspect.SELECTION:
            self.close_entry()
        if aspects & self.CONCERNS:
            self.refresh()
        elif aspects & Aspect.LIVE:
            self._refresh_live()

    def _refresh_live(self) -> None:
        rows = self._rows()
        if [row.key for row in rows] != list(self.lines):
            self.refresh()
            return
        for row, line in self._pairs(rows):
            line.show_live(row)

    def _rows(self) -> tuple[MeasureRow, ...]:
        if self._session.live is not None:
            return self._session.live.measures
        assessment = self._session.assessment
        return () if assessment is None else assessment.measures

    def _pairs(self, rows: tuple[MeasureRow, ...]) -> list[tuple[MeasureRow, MeasureLine]]:
        return [(row, self.lines[row.key]) for row in rows]

    def _make_lines(self, keys: list[str]) -> None:
        """Have a line for each of these; those that were there before stay."""
        before, self.lines = self.lines, {}
        for key in before.keys() - set(keys):
            line = before.pop(key)
            self._rows_place.removeWidget(line)
            line.hide()
            line.deleteLater()
        for number, key in enumerate(keys):
            line = before.get(key) or self._made(key)
            if self._rows_place.indexOf(line) != number:
                self._rows_place.removeWidget(line)
                self._rows_place.insertWidget(number, line)
            self.lines[key] = line

    def _made(self, key: str) -> MeasureLine:
        line = MeasureLine(key, self._columns)
        line.hovered.connect(lambda here: self._hovered(key, here=here))
        line.clicked.connect(lambda _=False: self.type_value(key))
        return line

    def _hovered(self, key: str, *, here: bool) -> None:
        needs = MEASURES[key].needs if here and key in MEASURES else ()
        self._session.light(needs, key if here else "")

    def _light(self, landmarks: tuple[str, ...], measure: str) -> None:
        for key, line in self.lines.items():
            if measure:
                line.set_lit(key == measure)
            else:
                line.set_lit(
                    bool(landmarks) and bool({*landmarks} & {*MEASURES[key].needs})
                )

    def _say_summary(self) -> None:
        session, rows = self._session, self._rows()
        if session.specimen is None:
            self.set_summary(say("side.none_chosen"))
        elif session.assessment is None:
            self.set_summary(say("side.loading_tables"))
        elif session.repeat is not None:
            self.set_summary(say("repeats.measures.summary"))
        elif not rows:
            self.set_summary(say("side.none"))
        else:
            there = sum(row.value is not None for row in rows)
            lengths = [row for row in rows if row.unit == "mm"]
            if there and lengths and all(row.value is None for row in lengths):
                self.set_summary(say("side.measures.without_scale", n=there))
            else:
                key = "side.measures.some" if self.is_folded() else "side.measures.lights"
                self.set_summary(say(key, n=there, all=len(rows)))


@dataclass
class _Columns:
    """How wide the column of doubts is, for all rows alike, and whether words are short."""

    doubt: float = 0.0
    short: bool = False

    def fit(self, lines: Iterable[MeasureLine], width: int) -> None:
        """Give the names what the numbers leave, with the rules of counts short if need be."""
        before = self.doubt, self.short
        lines = tuple(lines)
        rows = [line for line in lines if line.value]
        name = max(
            (text_width(measure_words.measure_name(r.key), "body") for r in rows), default=0
        )
        value = max((text_width(r.value, "strong") for r in rows), default=0)
        for self.short in (False, True):
            doubts = [text_width(r.said_doubt(), "small") for r in rows]
            self.doubt = max(scaled(_LEAST_DOUBT), max(doubts, default=0) + 1)
            if INDENT + name + 12 + value + _GAP + self.doubt + EDGE <= width:
                break
        moved = (self.doubt, self.short) != before
        for line in lines:
            line.fit_height()
            if moved:
                line.update()


class MeasureLine(Row):
    """One measure: name, value, doubt; or what it needs."""

    def __init__(self, key: str, columns: _Columns, parent: QWidget | None = None) -> None:
        self.key, self._columns = key, columns
        self.value = self.doubt = self.missing = self.how = self.caution = ""
        self.doubtful = self.is_count = False
        super().__init__(parent)

    def show_measure(self, row: MeasureRow) -> None:
        """Show a measure in full."""
        before, self.caution = self.caution, measure_words.caution(row)
        if self.caution != before:
            self.update()
        self.show_live(row)
        self.setToolTip(plain_tip(measure_words.measure_tip(row)))
        name = measure_words.measure_name(self.key)
        if row.value is None:
            spoken = say("side.measures.spoken_missing", name=name, missing=self.missing)
        else:
            spoken = say(
                "side.measures.spoken", name=name, value=self.value, doubt=self.doubt
            )
        self.setAccessibleName(spoken.strip())
        self.setAccessibleDescription(self.caution)

    def said_doubt(self) -> str:
        """Return what stands behind the value; the rule of a count may be short."""
        if self._columns.short and self.is_count:
            return say("side.measures.counted")
        return self.doubt

    def show_live(self, row: MeasureRow) -> None:
        """Show the numbers of a measure while they move."""
        value, before = row.value, self._painted()
        self.is_count = row.unit == "count"
        self.how = measure_words.how(row)
        self.doubtful = measure_words.is_cautioned(row)
        if value is None or row.lost_in_noise:
            self.value = self.doubt = ""
            self.missing = measure_words.no_value(row)
            self.doubtful = False
        else:
            self.value = measure_words.figure(value, at_least=row.at_least)
            self.doubt = measure_words.doubt(self.key, value)
            self.missing = ""
        if self._painted() != before:
            self.update()

    def _painted(self) -> tuple[str | bool, ...]:
        words = self.value, self.doubt, self.missing, self.how
        return *words, self.doubtful, self.is_count

    def height_wanted(self) -> int:
        """Return the height of the row: what has no room beside the name stands below it."""
        high = super().height_wanted()
        if self._is_split():
            high += self._name_high() - line_height("body") + self._below_high() + 2
        return high + self._caution_high()

    def paint_row(self, painter: QPainter, whole: QRectF) -> None:
        """Write name, value and doubt."""
        line = whole.adjusted(INDENT, 0, -EDGE, 0)
        line.setHeight(line.height() - self._caution_high())
        name = measure_words.measure_name(self.key)
        if self._is_split():
            top = line.adjusted(0, 2, 0, 0)
            write_lines(painter, top, name, "body", "ink2" if self.missing else "ink")
            below = line.adjusted(0, 2 + self._name_high(), 0, -2)
            if self.missing:
                write_lines(painter, below, self.missing, "small_italic", "ink2")
            else:
                self._paint_value(painter, below, "")
        elif self.missing:
            self._paint_missing(painter, line, name)
        else:
            self._paint_value(painter, line, name)
        if self.caution:
            middle = line.bottom() + line_height("small") / 2 - 1
            left = self.paint_icon(
                painter, line.left(), middle, "triangle-alert", "caution"
            )
            room = QRectF(left, line.bottom() - 1, line.right() - left, whole.height())
            write_lines(painter, room, self.caution, "small", "caution")

    def _room(self) -> float:
        return float(self.width() - INDENT - EDGE)

    def _is_split(self) -> bool:
        """Tell whether the value, or what it lacks, has no room beside the name."""
        name = text_width(measure_words.measure_name(self.key), "body") + 12
        if self.missing:
            return name + text_width(self.missing, "small_italic") > self._room()
        value = text_width(self.value, "strong") + _GAP + self._columns.doubt
        warns = scaled(14) + 5 if self.doubtful else 0
        return name + value + warns > self._room()

    def _name_high(self) -> int:
        return lines_high(measure_words.measure_name(self.key), "body", self._room())

    def _below_high(self) -> int:
        if self.missing:
            return lines_high(self.missing, "small_italic", self._room())
        return line_height("body")

    def _caution_high(self) -> int:
        if not self.caution:
            return 0
        return lines_high(self.caution, "small", self._room() - scaled(14) - 5) + 2

    def _paint_missing(self, painter: QPainter, line: QRectF, name: str) -> None:
        right = Qt.AlignmentFlag.AlignRight
        write(painter, line, self.missing, "small_italic", "ink2", right)
        write(painter, line, name, "body", "ink2")

    def _paint_value(self, painter: QPainter, line: QRectF, name: str) -> None:
        wide = self._columns.doubt
        doubt = QRectF(line.right() - wide, line.top(), wide, line.height())
        write(painter, doubt, self.said_doubt(), "small", "ink2")
        value_width = text_width(self.value, "strong")
        right = doubt.left() - _GAP
        value = QRectF(right - value_width, line.top(), value_width + 1, line.height())
        write(painter, value, self.value, "strong")
        free = value.left() - 12
        if self.doubtful:
            free -= scaled(14) + 5
            middle = line.center().y()
            self.paint_icon(painter, free + 12 - 2, middle, "triangle-alert", "caution")
        words = QRectF(line.left(), line.top(), free - line.left(), line.height())
        write(painter, words, name, "body")
        beside = words.adjusted(text_width(name, "body") + 8, 0, 0, 0)
        if self.how and beside.width() > text_width(self.how, "small"):
            write(painter, beside, self.how, "small", "ink2")
