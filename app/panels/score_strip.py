"""Scoring a character from drawings of its states: one key chooses and goes on."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QHelpEvent, QKeyEvent, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QSizePolicy,
    QToolTip,
    QVBoxLayout,
    QWidget,
)

from app.panels.score_head import ScoreHead
from app.panels.score_order import characters_to_score, next_open
from app.panels.score_tiles import REASONS, reason_tiles, state_tiles
from app.panels.tile_grid import TileGrid
from app.session import Aspect, Session, deeds
from app.style import palette
from app.style.fonts import scaled
from app.style.tokens import LAYOUT
from app.style.widgets import Tile
from app.style.widgets.buttons import plain_tip
from app.style.widgets.painted import smooth
from landmarks.assessment import CharacterRow
from landmarks.sentences import say

_NARROW = 600


class ScoreStrip(QWidget):
    """The strip under the picture, for one character at a time.

    The window may forward keys to :meth:`press`; it answers whether the key meant something.

    Signals
    -------
    closed()
        The person is done scoring: by the button, or by Esc.
    shown(str)
        This character is at work now.
    """

    closed = Signal()
    shown = Signal(str)

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self.character = ""
        self._asks_why = False
        self.tiles: list[Tile] = []
        self._grid = TileGrid()
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setProperty("ground", "sheet")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.head = ScoreHead()
        self._lay_out()
        self.head.unsure.clicked.connect(self._unsure_clicked)
        self.head.skip.clicked.connect(self.skip)
        self.head.clear.clicked.connect(self.clear)
        self.head.close_button.clicked.connect(self.leave)
        session.changed.connect(self._changed)

    # -- what can be done ------------------------------------------------------------------

    def show_character(self, character: str) -> None:
        """Show a character; an empty or unknown key shows the first not looked at."""
        keys = [row.character.key for row in self._rows()]
        if character not in keys:
            shown = characters_to_score(self._rows(), self.character)
            character = next_open(self._rows(), "") or next(iter(shown or keys), "")
        self.character, self._asks_why = character, False
        row = self._row()
        seen = row.observation if row is not None else None
        self.head.unsure.setChecked(seen is not None and not seen.sure)
        self._fill()
        self.shown.emit(character)

    def choose(self, number: int) -> None:
        """Choose the state with this key (1 for the first) and go on."""
        row = self._row()
        if row is None or not 1 <= number <= len(row.character.states):
            return
        state = row.character.states[number - 1].key
        sure = not self.head.unsure.isChecked()
        here = self.character
        if not _says(row, state, sure=sure):
            deeds.score(self._session, here, state, sure=sure)
        self._go_on(here)

    def cannot_be_seen(self, reason: str = "") -> None:
        """Say that it cannot be seen; without a reason, ask for one with one more key."""
        if not self.character:
            return
        if not reason:
            self._asks_why = True
            self._fill()
            return
        here = self.character
        deeds.cannot_be_seen(self._session, here, reason)
        self._go_on(here)

    def turn_unsure(self) -> None:
        """Mark what is chosen next as unsure, or no longer; an answer that stands changes."""
        self.head.unsure.setChecked(not self.head.unsure.isChecked())
        self._unsure_clicked()

    def skip(self) -> None:
        """Go on to the next character not looked at, without an answer."""
        self.show_character(next_open(self._rows(), self.character) or self.character)

    def clear(self) -> None:
        """Take the answer back: the character is not looked at yet."""
        row = self._row()
        if row is not None and row.looked_at:
            deeds.unsee(self._session, self.character)
            self.show_character(self.character)

    def explain(self) -> None:
        """Say how to judge the character where there is no room to say it always, or no more."""
        self.head.turn_full()

    def step(self, by: int) -> None:
        """Go to the character before or after, looked at or not."""
        keys = characters_to_score(self._rows(), self.character)
        if self.character in keys:
            self.show_character(keys[(keys.index(self.character) + by) % len(keys)])

    def leave(self) -> None:
        """Close the strip."""
        self._asks_why = False
        self.closed.emit()

    def press(self, event: QKeyEvent) -> bool:
        """Do what a key means here; return whether it means anything."""
        plain = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        if plain & ~Qt.KeyboardModifier.ShiftModifier or not self.character:
            return False
        key, typed = event.key(), event.text()
        if len(typed) == 1 and typed in "0123456789":
            self._digit(int(typed))
        elif key == Qt.Key.Key_Escape:
            self._step_back()
        elif self._asks_why and key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.cannot_be_seen(REASONS[0])
        elif key == Qt.Key.Key_U:
            self.turn_unsure()
        elif key == Qt.Key.Key_H:
            self.explain()
        elif key == Qt.Key.Key_N:
            self.skip()
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.clear()
        elif key in (Qt.Key.Key_Right, Qt.Key.Key_Down):
            self.step(1)
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Up):
            self.step(-1)
        else:
            return False
        return True

    def lie_flat(self, *, flat: bool) -> None:
        """Lay the tiles flat where there is little height, or let them stand."""
        self._grid.lie_flat(flat=flat)
        self.updateGeometry()

    def question(self) -> str:
        """Return the question that stands in the strip."""
        return self.head.title.text()

    def line(self) -> str:
        """Return the line below the question."""
        return self.head.line.text()

    def asks_why(self) -> bool:
        """Tell whether it waits for the reason why the character cannot be seen."""
        return self._asks_why

    # -- Qt --------------------------------------------------------------------------------

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        usual = 0 if self._grid.is_flat else scaled(LAYOUT.strip_characters)
        return QSize(scaled(700), max(usual, self._least_height()))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which everything can be seen."""
        return QSize(scaled(440), self._least_height())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let the keys of the strip work while it has the focus."""
        if not self.press(event):
            super().keyPressEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Let the keys of the strip work while one of its buttons has the focus."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
            if enter and isinstance(watched, QAbstractButton):
                watched.click()
                return True
            return self.press(event)
        if event.type() in (QEvent.Type.Enter, QEvent.Type.Leave):
            self._suppose(watched, enters=event.type() == QEvent.Type.Enter)
            return False
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            return self._explain(watched, event)
        return False

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Say less in the head where it is narrow, so that the drawings keep their room."""
        super().resizeEvent(event)
        self.head.set_narrow(narrow=event.size().width() < scaled(_NARROW))

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show that keys work here."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Show that keys no longer work here."""
        super().focusOutEvent(event)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the edge against the picture; accent while keys work here."""
        super().paintEvent(event)
        painter = smooth(self)
        focused = self.hasFocus()
        high = 2 if focused else 1
        edge = QRectF(0, 0, self.width(), high)
        painter.fillRect(edge, palette.colour("accent" if focused else "line"))
        painter.end()

    def _suppose(self, watched: QObject, *, enters: bool) -> None:
        """Show what would follow from the state under the pointer, unless names are hidden."""
        row = self._row()
        if row is None or self._asks_why or self._session.names_hidden:
            return
        number = next((i for i, tile in enumerate(self.tiles) if tile is watched), None)
        states = row.character.states
        if enters and number is not None and number < len(states):
            key = row.character.key
            self._session.preview(deeds.supposed(self._session, key, states[number].key))
        else:
            self._session.preview(None)

    def _explain(self, watched: QObject, event: QHelpEvent) -> bool:
        """Show in full what a state means, since its line in the tile may be cut."""
        if not isinstance(watched, Tile):
            return False
        words = watched.accessibleDescription()
        QToolTip.showText(event.globalPos(), plain_tip(words), watched)
        return True

    # -- inside ----------------------------------------------------------------------------

    def _least_height(self) -> int:
        layout = self.layout()
        return 0 if layout is None else layout.minimumHeightForWidth(self.width())

    def _lay_out(self) -> None:
        for made in self.head.buttons():
            made.installEventFilter(self)
        column = QVBoxLayout(self)
        column.setContentsMargins(18, 10, 14, 8)
        column.setSpacing(8)
        column.addWidget(self.head)
        column.addWidget(self._grid, 1)

    def _changed(self, aspects: Aspect) -> None:
        if aspects & Aspect.SELECTION and self.character and self.isVisible():
            self.show_character(self.character)
        elif aspects & (Aspect.SPECIMEN | Aspect.GUIDE) and self.character:
            self._fill()

    def _rows(self) -> tuple[CharacterRow, ...]:
        assessment = self._session.assessment
        return () if assessment is None else assessment.characters

    def _row(self) -> CharacterRow | None:
        return next((r for r in self._rows() if r.character.key == self.character), None)

    def _go_on(self, here: str) -> None:
        """Show the next character not looked at; where there is none, stay and say so."""
        following = next_open(self._rows(), here)
        self.show_character(following or here)
        if not following:
            self.head.line.setText(say("side.strip.all_done"))
        self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _digit(self, number: int) -> None:
        if self._asks_why:
            if number < len(REASONS):
                self.cannot_be_seen(REASONS[number])
        elif number:
            self.choose(number)
        else:
            self.cannot_be_seen()

    def _step_back(self) -> None:
        if self._asks_why:
            self._asks_why = False
            self._fill()
        else:
            self.leave()

    def _unsure_clicked(self) -> None:
        """Mark an answer that stands as unsure, or sure again."""
        row = self._row()
        if row is not None and row.observation is not None and row.observation.state:
            sure = not self.head.unsure.isChecked()
            deeds.score(self._session, self.character, row.observation.state, sure=sure)

    # -- what is shown ---------------------------------------------------------------------

    def _fill(self) -> None:
        row = self._row()
        focused = any(tile.hasFocus() for tile in self.tiles)
        self.tiles = []
        if row is None:
            self._grid.set_tiles(())
            self.head.say("", say("side.loading_tables"))
            return
        self._say(row)
        if self._asks_why:
            self.tiles = reason_tiles(row, self.cannot_be_seen)
        else:
            self.tiles = state_tiles(row, self.choose, self.cannot_be_seen)
        for tile in self.tiles:
            tile.installEventFilter(self)
        self.head.clear.setEnabled(row.looked_at)
        self.head.skip.setEnabled(bool(next_open(self._rows(), self.character)))
        self._grid.set_tiles(self.tiles)
        if focused:
            self.setFocus(Qt.FocusReason.OtherFocusReason)

    def _say(self, row: CharacterRow) -> None:
        character, keys = row.character, characters_to_score(self._rows(), self.character)
        if self._asks_why:
            title = say("side.strip.why")
            line = say("side.strip.why_line", name=character.name)
        else:
            title = character.question or character.name
            line = say(
                "side.strip.line",
                name=character.name,
                n=keys.index(character.key) + 1,
                all=len(keys),
                definition=character.definition,
            )
            if row.hidden == "need_unmet":
                line = say("side.strip.unmet")
        place = say("side.strip.place", n=keys.index(character.key) + 1, all=len(keys))
        self.head.say(title, line, "" if self._asks_why else place)
        self.setAccessibleName(title)
        self.setAccessibleDescription(line)


def _says(row: CharacterRow, state: str, *, sure: bool) -> bool:
    """Tell whether the answer that stands is this one already."""
    seen = row.observation
    return (
        seen is not None
        and seen.state == state
        and seen.sure == sure
        and len(row.states) == 1
    )
