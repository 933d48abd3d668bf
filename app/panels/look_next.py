"""Look next: the character or view that would tell most, and can be had without harm."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from app.panels import side_words
from app.panels.side_rows import INDENT
from app.session import Aspect, Session, deeds
from app.style import drawings, focus, palette
from app.style.fonts import font, line_height, scale, scaled
from app.style.tokens import DRAWING, RADIUS
from app.style.widgets import Has, Label, Section, abbreviated
from app.style.widgets.beads import BEAD_STEP, paint_beads
from app.style.widgets.painted import PaintedButton, rounded, smooth, text_width, write
from landmarks.characters import Character
from landmarks.identification.answer import Suggestion
from landmarks.measures import MEASURES
from landmarks.sentences import say
from landmarks.sentences.phrases import inside
from landmarks.specimen import Frame

_OUTSIDE = 12
_INSIDE = 12
_N_BEADS = 10
_BEAD_RADIUS = 3.0
_RIGHT = 8
_NARROW = 250


class LookNext(Section):
    """The section that says what to look at next.

    Signals
    -------
    wanted(str)
        The person wants to score this character; the frame that shows it is chosen already.
    """

    wanted = Signal(str)
    CONCERNS = Aspect.SPECIMEN | Aspect.SELECTION | Aspect.GUIDE | Aspect.NAMES

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(say("side.look_next"), parent=parent)
        self._session = session
        self.card = SuggestionCard()
        self.card.clicked.connect(self.take)
        self._nothing = Label(role="small", ink="ink2", wrap=True)
        self._nothing.setContentsMargins(INDENT, 2, 16, 4)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 12)
        column.setSpacing(0)
        cards = QVBoxLayout()
        cards.setContentsMargins(_OUTSIDE, 0, _OUTSIDE, 0)
        cards.addWidget(self.card)
        column.addLayout(cards)
        column.addWidget(self._nothing)
        self.set_body(body)
        session.changed.connect(self._changed)
        self.folded.connect(lambda _: self._say_summary())
        self.refresh()

    def refresh(self) -> None:
        """Show the most telling suggestion for the specimen on the bench."""
        one = self.suggestion()
        self.card.setVisible(one is not None)
        self._nothing.setVisible(one is None and self._session.assessment is not None)
        if one is not None:
            self._show(one)
        elif self._session.assessment is not None:
            self._nothing.setText(say(f"side.look_next.{self._why_nothing()}"))
        self._say_summary()

    def set_folded(self, folded: bool) -> None:  # noqa: FBT001 - as the section's own
        """Fold or open; folded the header names the character."""
        super().set_folded(folded)
        self._say_summary()

    def suggestion(self) -> Suggestion | None:
        """Return the most telling suggestion, or None."""
        assessment = self._session.assessment
        if assessment is None or not assessment.answer.look_next:
            return None
        return assessment.answer.look_next[0]

    def take(self) -> None:
        """Go to the picture that shows the character, and to the character."""
        one, session = self.suggestion(), self._session
        if one is None:
            return
        frame = self._frame(one)
        if frame is not None and session.frame is not None and frame.id != session.frame.id:
            session.choose_frame(frame.id)
        row = self._character(one)
        if row is not None and row.scored:
            self.wanted.emit(one.character)
        elif frame is not None and one.character in MEASURES:
            deeds.arm(session, self._lacking(one.character, frame))

    def _changed(self, aspects: Aspect) -> None:
        if aspects & self.CONCERNS:
            self.refresh()

    def _show(self, one: Suggestion) -> None:
        row = self._character(one)
        name = row.name if row is not None else one.character.replace("_", " ")
        drawing = ""
        if row is not None and row.scored:
            # The last state is the one in which there is something to see.
            drawing = drawings.state_drawing(row.key, row.states[-1].key)
        drawing = drawing or drawings.view_drawing(one.view)
        lines = [self._where_words(one)]
        assessment = self._session.assessment
        ordered = assessment is not None and not side_words.equally_open(assessment.answer)
        if ordered and self._are_open(one.pair) and not self._session.names_hidden:
            names = [abbreviated(self._session.names.get(key, key)) for key in one.pair]
            lines.append(say("side.look_next.pair", first=names[0], second=names[1]))
        if assessment is not None and assessment.circumstances.living:
            lines.append(say("side.look_next.living"))
        self.card.show_card(name, lines, side_words.tenths(one.settles), drawing)

    def _are_open(self, pair: tuple[str, str]) -> bool:
        """Tell whether neither of two candidates is ruled out: else they are parted already."""
        assessment = self._session.assessment
        if assessment is None or not all(pair):
            return False
        open_ = {it.taxon for it in assessment.answer.candidates if not it.ruled_out_by}
        return open_.issuperset(pair)

    def _where_words(self, one: Suggestion) -> str:
        session, view = self._session, side_words.word("view", one.view)
        frame = self._frame(one)
        if frame is None or session.specimen is None:
            return say("side.look_next.take", view=view)
        if session.frame is not None and frame.id == session.frame.id:
            return say("side.look_next.this_picture", view=view)
        number = session.specimen.frames.index(frame) + 1
        return say("side.look_next.picture_n", n=number, view=view)

    def _frame(self, one: Suggestion) -> Frame | None:
        """Return the frame that shows it: the one on the bench if it can, or the first."""
        session = self._session
        if not one.at_hand or session.specimen is None:
            return None
        if session.frame is not None and session.frame.view == one.view:
            return session.frame
        return next((f for f in session.specimen.frames if f.view == one.view), None)

    def _character(self, one: Suggestion) -> Character | None:
        guide = self._session.guide
        return None if guide is None else guide.tables.characters.get(one.character)

    def _lacking(self, measure: str, frame: Frame) -> str | None:
        placed = (
            {}
            if self._session.specimen is None
            else self._session.specimen.placed(frame.id)
        )
        return next((key for key in MEASURES[measure].needs if key not in placed), None)

    def _why_nothing(self) -> str:
        assessment = self._session.assessment
        if assessment is None or not assessment.seen:
            return "first"
        return "nothing_living" if assessment.circumstances.living else "nothing_words"

    def _say_summary(self) -> None:
        one = self.suggestion()
        if self._session.specimen is None:
            self.set_summary(say("side.choose_specimen"))
        elif self._session.assessment is None:
            self.set_summary(say("side.loading_tables"))
        elif one is None:
            self.set_summary(say("side.look_next.nothing"))
        elif self.is_folded():
            row = self._character(one)
            name = row.name if row is not None else one.character.replace("_", " ")
            self.set_summary(inside(name))
        else:
            self.set_summary(
                say(
                    "side.look_next.most_telling"
                    if one.at_hand
                    else "side.look_next.further"
                )
            )


class SuggestionCard(PaintedButton):
    """The card: drawing, character, where it can be seen, ten beads."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self._title = self._drawing = self._settles = ""
        self._lines: list[str] = []
        self._n = 0
        super().__init__(parent)
        self.setAccessibleName(say("side.look_next"))
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def show_card(self, title: str, lines: list[str], n: int, drawing: str) -> None:
        """Show a suggestion that settles the question in n of 10."""
        self._title, self._lines, self._n, self._drawing = title, lines, n, drawing
        key = "settles" if n else "narrows"
        self._settles = say(f"side.look_next.{key}", n=n)
        self.setAccessibleName(title)
        self.setAccessibleDescription("; ".join([*lines, self._settles]))
        self.restyle()

    def lines(self) -> tuple[str, ...]:
        """Return what the card says below its title, without the beads."""
        return tuple(self._lines)

    def hasHeightForWidth(self) -> bool:
        """Say that the height follows from the width."""
        return True

    def heightForWidth(self, width: int) -> int:
        """Return the height of the card at a width."""
        room = width - self._text_left(width) - _RIGHT
        lines = sum(self._line_height(line, room) for line in self._lines)
        beads = line_height("caption") * (1 if self._beside(room) else 2)
        text = line_height("strong") + lines + 4 + beads + 20
        return max(text, scaled(DRAWING.card[1]) + 20)

    def sizeHint(self) -> QSize:
        """Return the size it would like."""
        return QSize(scaled(360), self.heightForWidth(scaled(360)))

    def minimumSizeHint(self) -> QSize:
        """Return the least size in which it can be read."""
        return QSize(scaled(140), scaled(DRAWING.card[1]) + 20)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint it in the colours on screen."""
        painter = smooth(self)
        whole = QRectF(self.rect())
        edge = "accent" if self.underMouse() else "accent_line"
        rounded(painter, whole, RADIUS.card, "accent_soft", edge)
        width, height = (scaled(one) for one in DRAWING.card)
        if self._drawing and whole.width() >= scaled(_NARROW):
            pixmap = drawings.drawing_pixmap(
                self._drawing, width, height, "accent", self.devicePixelRatioF()
            )
            painter.drawPixmap(QPointF(_INSIDE, (whole.height() - height) / 2), pixmap)
        left, top = self._text_left(whole.width()), 9.0
        room = whole.width() - left - _RIGHT
        title = QRectF(left, top, room, line_height("strong"))
        write(painter, title, self._title, "strong")
        top += line_height("strong") + 1
        painter.setFont(font("small"))
        painter.setPen(palette.colour("ink2"))
        for line in self._lines:
            high = self._line_height(line, room)
            painter.drawText(QRectF(left, top, room, high), Qt.TextFlag.TextWordWrap, line)
            top += high
        top += 3
        beads: list[Has] = ["full"] * self._n
        beads += ["none"] * (_N_BEADS - self._n)
        high = line_height("caption")
        paint_beads(painter, QPointF(left, top + high / 2), beads, _BEAD_RADIUS)
        if self._beside(room):
            words = QRectF(left + _beads_width(), top, room - _beads_width(), high)
        else:
            words = QRectF(left, top + high, room, high)
        write(painter, words, self._settles, "caption", "ink2")
        if self.hasFocus():
            focus.paint_ring(painter, whole, RADIUS.card)
        painter.end()

    def _beside(self, room: float) -> bool:
        """Tell whether the words have room beside the beads."""
        return _beads_width() + text_width(self._settles, "caption") <= room

    def _text_left(self, width: float) -> float:
        """Return where the words begin; without the drawing where that leaves no room."""
        if width < scaled(_NARROW):
            return _INSIDE
        return _INSIDE + scaled(DRAWING.card[0]) + 10

    def _line_height(self, line: str, room: float) -> int:
        metrics = QFontMetricsF(font("small"))
        box = QRectF(0, 0, max(room, 40), 10_000)
        return round(metrics.boundingRect(box, Qt.TextFlag.TextWordWrap, line).height())


def _beads_width() -> float:
    return scale() * _BEAD_RADIUS * (BEAD_STEP * (_N_BEADS - 1) + 2) + 9
