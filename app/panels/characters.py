"""Characters: what was seen, what cannot be seen and why, what nobody has looked at yet."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QPainter, QPen
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.panels import side_words
from app.panels.side_rows import DRAWING_LEFT, EDGE, MoreLine, Row
from app.session import Aspect, Session
from app.style import drawings, palette
from app.style.fonts import line_height, scaled
from app.style.icons import icon_pixmap
from app.style.tokens import DRAWING, ICON, LAYOUT
from app.style.widgets import Section
from app.style.widgets.buttons import plain_tip
from app.style.widgets.painted import lines_high, text_width, write, write_lines
from landmarks.assessment import CharacterRow
from landmarks.sentences import say

_TEXT_LEFT = 81

FEW = 4
"""So many characters are shown where height is very short."""

NOT_HERE = "not_in_these_pictures"
"""Why a character that no picture at hand can show cannot be seen."""


class Characters(Section):
    """The section of characters.

    Signals
    -------
    wanted(str)
        The person wants to score this character.
    """

    wanted = Signal(str)
    CONCERNS = Aspect.SPECIMEN | Aspect.SELECTION | Aspect.GUIDE | Aspect.PICTURE

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(say("side.characters"), parent=parent)
        self._session = session
        self.lines: dict[str, CharacterLine] = {}
        self._current = ""
        self._compact, self._all = 0, False
        body = QWidget()
        self._rows_place = QVBoxLayout(body)
        self._rows_place.setContentsMargins(0, 0, 0, 4)
        self._rows_place.setSpacing(0)
        self._more = MoreLine()
        self._more.clicked.connect(self._turn_all)
        self._rows_place.addWidget(self._more)
        self.set_body(body)
        session.changed.connect(self._changed)
        self.refresh()

    def refresh(self) -> None:
        """Show the characters of the specimen on the bench."""
        rows = self._rows()
        if [row.character.key for row in rows] != list(self.lines):
            self._make_lines(rows)
        telling = self.most_telling()
        for row in rows:
            key = row.character.key
            line = self.lines[key]
            line.show_character(row, telling=key == telling)
            line.set_chosen(key == self._current)
        self._choose_shown(rows)
        self._say_summary(rows)

    def set_compact(self, compact: int) -> None:
        """Show less where height is short: 1 only what was seen, 2 only the first of these."""
        if compact != self._compact:
            self._compact = compact
            self._choose_shown(self._rows())

    def show_all(self, all_of_them: bool) -> None:  # noqa: FBT001 - as Qt's setters
        """Show the characters too that no picture at hand can show."""
        self._all = all_of_them
        self._choose_shown(self._rows())

    def set_current(self, character: str) -> None:
        """Mark the character that is being scored; an empty key marks none."""
        self._current = character
        for key, line in self.lines.items():
            line.set_chosen(key == character)
        self._choose_shown(self._rows())

    def most_telling(self) -> str:
        """Return the scored character that would tell most now, or an empty text."""
        assessment = self._session.assessment
        if assessment is None:
            return ""
        open_ = {
            row.character.key
            for row in assessment.characters
            if not row.looked_at and not row.hidden
        }
        return next(
            (
                one.character
                for one in assessment.answer.look_next
                if one.character in open_
            ),
            "",
        )

    def shown(self) -> tuple[str, ...]:
        """Return the keys of the rows that stand in the list now."""
        return tuple(key for key, line in self.lines.items() if not line.isHidden())

    def _changed(self, aspects: Aspect) -> None:
        if aspects & Aspect.SELECTION:
            self._all = False
        if aspects & self.CONCERNS:
            self.refresh()

    def _rows(self) -> tuple[CharacterRow, ...]:
        """Return the rows, those that the pictures at hand can show first."""
        assessment = self._session.assessment
        if assessment is None:
            return ()
        return tuple(sorted(assessment.characters, key=lambda row: not _can_show(row)))

    def _make_lines(self, rows: tuple[CharacterRow, ...]) -> None:
        for line in self.lines.values():
            self._rows_place.removeWidget(line)
            line.hide()
            line.deleteLater()
        self.lines = {}
        for number, row in enumerate(rows):
            key = row.character.key
            line = CharacterLine()
            line.clicked.connect(lambda _=False, key=key: self.wanted.emit(key))
            self._rows_place.insertWidget(number, line)
            self.lines[key] = line

    def _choose_shown(self, rows: tuple[CharacterRow, ...]) -> None:
        telling, left_out, shown = self.most_telling(), 0, 0
        # Before any view is said, that nothing can be seen would be no news of the animal.
        nothing_shown = self._has_view() and not any(_can_show(row) for row in rows)
        for row in rows:
            key = row.character.key
            answered = bool(row.states) if self._compact else _can_show(row)
            answered = answered and (self._compact < 2 or shown < FEW)
            wanted = answered or key in (telling, self._current) or nothing_shown
            left_out += not wanted
            shown += wanted
            self.lines[key].setVisible(wanted or self._all)
        self._more.setVisible(left_out > 0)
        self._more.say_more(left_out, len(rows), all_shown=self._all)

    def _has_view(self) -> bool:
        specimen = self._session.specimen
        return specimen is None or any(frame.view for frame in specimen.frames)

    def _turn_all(self) -> None:
        self.show_all(not self._all)

    def _say_summary(self, rows: tuple[CharacterRow, ...]) -> None:
        if self._session.specimen is None:
            self.set_summary(say("side.none"))
        elif not rows:
            self.set_summary(say("side.loading_tables"))
        elif not self._has_view():
            self.set_summary(say("side.characters.view_first"))
        else:
            open_ = [row for row in rows if _can_show(row)]
            seen = sum(bool(row.states) for row in open_)
            self.set_summary(say("side.characters.seen", n=seen, all=len(open_)))


class CharacterLine(Row):
    """One character: drawing of its state, name, state."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self._name = self._state = self._drawing = ""
        self._kind = "open"
        self._telling = False
        self._shown: tuple[CharacterRow, bool] | None = None
        super().__init__(parent)

    def show_character(self, row: CharacterRow, *, telling: bool) -> None:
        """Show a character with what was answered."""
        if (row, telling) == self._shown:
            return
        self._shown = row, telling
        self._name, self._telling, self._drawing = row.character.name, telling, ""
        self._state = side_words.state_words(row)
        if row.hidden:
            self._kind = "hidden"
            reason = side_words.word("hidden", row.hidden)
            self._state = say("side.characters.cannot_because", reason=reason)
        elif len(row.states) > 1:
            self._kind = "conflict"
        elif row.states:
            self._kind = "seen"
            self._drawing = drawings.state_drawing(row.character.key, row.states[0])
        else:
            self._kind = "open"
            key = "most_telling" if telling else "not_looked_at"
            self._state = say(f"side.characters.{key}")
        self.setAccessibleName(
            say("side.characters.spoken", name=self._name, state=self._state)
        )
        tip = [f"{row.character.name}: {self._state}.", row.character.definition]
        self.setToolTip(plain_tip("\n".join(line for line in tip if line)))
        self.fit_height()
        self.update()

    def state(self) -> str:
        """Return what the row says of the character."""
        return self._state

    def height_wanted(self) -> int:
        """Return the height of the row; it grows with type, and where the state is long."""
        words = line_height("body")
        if self._is_split():
            words += lines_high(self._state, self._state_style()[0], self._state_room())
        return max(scaled(LAYOUT.character_row), words + 8)

    def paint_row(self, painter: QPainter, whole: QRectF) -> None:
        """Draw the state, write name and state."""
        width, height = (scaled(edge) for edge in DRAWING.row)
        box = QRectF(DRAWING_LEFT, (whole.height() - height) / 2, width, height)
        self._paint_drawing(painter, box)
        line = whole.adjusted(_text_left(), 0, -EDGE, 0)
        role, ink = self._state_style()
        quiet = self._kind in ("hidden", "open") and not self._telling
        name_ink = "ink2" if quiet else "ink"
        if self._is_split():
            top = QRectF(line.left(), 4, line.width(), line_height("body"))
            write(painter, top, self._name, "body", name_ink)
            below = line.adjusted(line.width() - self._state_room(), top.height() + 4, 0, 0)
            if self._kind == "conflict":
                middle = below.top() + line_height("small") / 2
                self.paint_icon(painter, line.left(), middle, "triangle-alert", ink)
            write_lines(painter, below, self._state, role, ink)
            return
        state, name_width = self._state, text_width(self._name, "body")
        room = line.width() - name_width - 12
        if self._kind == "hidden" and text_width(state, role) > room:
            state = say("side.characters.cannot_be_seen")
        taken = min(text_width(state, role) + 1, max(room, line.width() * 0.45))
        right = QRectF(line.right() - taken, line.top(), taken, line.height())
        write(painter, right, state, role, ink, Qt.AlignmentFlag.AlignRight)
        if self._kind == "conflict":
            taken += scaled(14) + 6
            left, middle = line.right() - taken, line.center().y()
            self.paint_icon(painter, left, middle, "triangle-alert", ink)
        words = line.adjusted(0, 0, -taken - 12, 0)
        write(painter, words, self._name, "body", name_ink)

    def _state_style(self) -> tuple[str, str]:
        open_ = ("small_strong", "accent") if self._telling else ("small_italic", "ink2")
        return {
            "seen": ("strong", "ink"),
            "conflict": ("small_strong", "caution"),
            "hidden": ("small_italic", "ink2"),
            "open": open_,
        }[self._kind]

    def _is_split(self) -> bool:
        """Tell whether the state needs a line of its own below the name."""
        role, _ = self._state_style()
        state = self._state
        if self._kind == "hidden":
            state = say("side.characters.cannot_be_seen")
        taken = text_width(state, role) + text_width(self._name, "body") + 14
        taken += scaled(14) + 6 if self._kind == "conflict" else 0
        return taken > self.width() - _text_left() - EDGE

    def _state_room(self) -> float:
        """Return the width of a state that stands below its name."""
        warns = scaled(14) + 5 if self._kind == "conflict" else 0
        return self.width() - _text_left() - EDGE - warns

    def _paint_drawing(self, painter: QPainter, box: QRectF) -> None:
        ratio = self.devicePixelRatioF()
        if self._kind == "open":
            self._paint_ring(painter, box.center())
            return
        if self._drawing:
            pixmap = drawings.drawing_pixmap(
                self._drawing, box.width(), box.height(), "ink", ratio
            )
            painter.drawPixmap(box.topLeft(), pixmap)
            return
        name, ink = {
            "hidden": ("eye-off", "ink2"),
            "conflict": ("split", "caution"),
            "seen": ("check", "accent"),
        }[self._kind]
        edge = scaled(ICON.row)
        corner = box.center() - QPointF(edge / 2, edge / 2)
        painter.drawPixmap(corner.toPoint(), icon_pixmap(name, edge, ink, ratio))

    def _paint_ring(self, painter: QPainter, centre: QPointF) -> None:
        radius = scaled(6)
        pen = QPen(palette.colour("accent" if self._telling else "ink2"), 1.4)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setDashPattern([1.3, 1.6])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(centre, radius, radius)
        if self._telling:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(palette.colour("accent"))
            painter.drawEllipse(centre, radius * 0.38, radius * 0.38)


def _text_left() -> float:
    """Return where the names begin, beside the drawings."""
    return _TEXT_LEFT + scaled(DRAWING.row[0]) - DRAWING.row[0]


def _can_show(row: CharacterRow) -> bool:
    return row.looked_at or row.hidden != NOT_HERE
