"""The first card of the candidates: the answer, how far it goes, and what it rests on."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.panels import side_words
from app.panels.candidate_rows import FIT_ICON, FIT_INK, Bracketed, Lead, SignLine
from app.panels.fields import titled
from app.panels.side_rows import Row
from app.style import drawings
from app.style.fonts import line_height, scaled
from app.style.tokens import DRAWING, LAYOUT
from app.style.widgets import Chip, FlowLayout, Label, NameLabel, abbreviated
from app.style.widgets.buttons import plain_tip
from app.style.widgets.painted import text_width, write
from landmarks.assessment import Assessment, CharacterRow
from landmarks.identification.answer import Answer, Candidate, Reason
from landmarks.sentences import say, text
from landmarks.sentences.phrases import inside
from landmarks.tables.model import Tables

MOST_CHIPS = 4


class AnswerCard(QWidget):
    """The card of the answer, made anew for every answer; numbers alone move.

    Signals
    -------
    opened(str, str)
        The reasons of a taxon are wanted, at a character or at none.
    wanted(str)
        A character is wanted, to look at it again.
    """

    opened = Signal(str, str)
    wanted = Signal(str)

    def __init__(
        self, assessment: Assessment, tables: Tables, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._answer, self._tables = assessment.answer, tables
        self._living = assessment.circumstances.living
        self._rows = {row.character.key: row for row in assessment.characters}
        self.leads: dict[str, Lead] = {}
        self.chips: list[Chip] = []
        self.lines: list[SignLine] = []
        self.parting: list[Chip] = []
        self.pair: Label | None = None
        self.written: NameLabel | None = None
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.setProperty("ground", "card")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(16, 11, 16, 12)
        self._column.setSpacing(6)
        self._fill()
        self.setAccessibleName(text(self._answer.text))

    def taxa(self) -> tuple[str, ...]:
        """Return the taxa whose names stand in the card."""
        return tuple(self.leads)

    def set_share(self, taxon: str, share: float) -> None:
        """Show another share of a taxon, while it moves."""
        if taxon in self.leads:
            self.leads[taxon].set_share(share)

    def _fill(self) -> None:
        answer = self._answer
        named = [one for one in answer.candidates if one.taxon in answer.taxa]
        if answer.fit.word == "does_not_fit":
            self._no_fit(answer)
            return
        if answer.level == "species" and len(named) == 1:
            self._species(named[0])
        elif answer.level == "group":
            self._group(named)
        else:
            self._genus_or_none(answer)
        self._pair(answer)
        self._cautions(answer)

    # -- the four kinds --------------------------------------------------------------------

    def _species(self, one: Candidate) -> None:
        lead = self._lead(one, large=True)
        authority = self._tables.taxon(one.taxon).authority
        lead.show_lead(one.name, one.stated, authority, self._answer.fit.word)
        self._column.addWidget(lead)
        if self._answer.written.qualifier:
            self._written()
        self._chips(one, one.reasons)

    def _group(self, named: list[Candidate]) -> None:
        pair = len(named) == 2
        key = "two" if pair else "several"
        words = say(f"side.candidates.{key}", n=len(named))
        self._column.addWidget(Label(words, "small_strong", "ink2", wrap=True))
        leads: list[QWidget] = []
        for one in named:
            lead = self._lead(one, large=False)
            lead.show_lead(one.name, one.stated)
            leads.append(lead)
        self._column.addWidget(Bracketed(leads))
        self._written()
        fit = self._answer.fit.word
        said = say(f"side.candidates.{'both' if pair else 'all'}.{fit}")
        self._sign(FIT_ICON[fit], FIT_INK[fit], said, say("side.candidates.cannot_part"))
        if not pair or side_words.leading_pair(self._answer, self._tables) is None:
            self._would_part()
        self._chips(named[0], _common(named))

    def _genus_or_none(self, answer: Answer) -> None:
        genus = answer.level == "genus" and bool(answer.name)
        key = "genus" if genus else "unsettled"
        self._column.addWidget(Label(say(f"side.candidates.{key}"), "small_strong", "ink2"))
        if genus:
            lead = Lead(large=True)
            lead.show_lead(answer.written.verbatim, answer.stated, "", answer.fit.word)
            lead.setEnabled(False)
            self._column.addWidget(lead)
        self._column.addWidget(Label(text(answer.text), "small", "ink2", wrap=True))

    def _no_fit(self, answer: Answer) -> None:
        title = SignLine("triangle-alert", "caution", say("side.candidates.no_fit"))
        self._column.addWidget(title)
        for label in title.findChildren(Label):
            label.set_role("strong")
            label.set_ink("ink")
        share = side_words.one_in(answer.fit.value)
        words = say("side.candidates.one_in", share=share)
        self._column.addWidget(Label(words, "small", "ink2", wrap=True))
        again = [self._rows[key] for key in answer.fit.unusual if key in self._rows]
        if again:
            self._column.addWidget(
                Label(say("side.candidates.again"), "small_strong", "ink2")
            )
        for row in again:
            line = AgainLine(row)
            key = row.character.key
            line.clicked.connect(lambda _=False, key=key: self.wanted.emit(key))
            self._column.addWidget(line)
        self._cautions(answer)

    # -- parts -----------------------------------------------------------------------------

    def _lead(self, one: Candidate, *, large: bool) -> Lead:
        lead = Lead(large=large)
        lead.clicked.connect(lambda _=False, key=one.taxon: self.opened.emit(key, ""))
        self.leads[one.taxon] = lead
        return lead

    def _would_part(self) -> None:
        keys = self._answer.separating[: side_words.MOST_NAMED]
        names = side_words.character_names(keys, self._tables)
        if names:
            key = "would_part" if len(names) == 1 else "would_part_many"
            first = titled(names[0])
            words = say(f"side.candidates.{key}", character=first, characters=names)
            self._column.addWidget(Label(words, "small", "ink2", wrap=True))

    def _written(self) -> None:
        """Say how the answer is written as a name, with the sign of its doubt."""
        verbatim = self._answer.written.verbatim
        if not verbatim:
            return
        row = QHBoxLayout()
        row.setSpacing(6)
        row.addWidget(Label(say("side.candidates.written"), "small", "ink2"))
        self.written = NameLabel(verbatim, "name_list", "ink")
        self.written.setToolTip(
            plain_tip(say("side.candidates.written_tip", name=verbatim))
        )
        row.addWidget(self.written, 1)
        self._column.addLayout(row)

    def _pair(self, answer: Answer) -> None:
        """Have at hand what parts two species that lead and are easily confused."""
        pair = side_words.leading_pair(answer, self._tables)
        if pair is None or not pair.separating:
            return
        names = [self._tables.taxon(one).name for one in pair.taxa]
        first, second = (abbreviated(one) for one in names[:2])
        words = say("side.candidates.pair", first=first, second=second)
        self.pair = Label(words, "small_strong", "ink2", wrap=True)
        self._column.addWidget(self.pair)
        cautions = [text(one) for one in answer.cautions]
        if pair.words and pair.words not in cautions:
            said = Label(pair.words, "small", "ink2", wrap=True)
            said.setToolTip(plain_tip(side_words.pair_source(pair, self._tables)))
            self._column.addWidget(said)
        holder = QWidget()
        flow = FlowLayout(holder)
        for key in pair.separating:
            row = self._rows.get(key)
            if row is None or not row.character.scored or not self._may_look(row):
                continue
            state = side_words.state_words(row) or say("side.characters.not_looked_at")
            name = inside(row.character.name)
            words = say("side.candidates.chip_state", character=name, state=state)
            chip = Chip(words, "neutral", words)
            chip.clicked.connect(lambda _=False, key=key: self.wanted.emit(key))
            flow.addWidget(chip)
            self.parting.append(chip)
        self._column.addWidget(holder)

    def _may_look(self, row: CharacterRow) -> bool:
        """Tell whether a character can be had: of a living animal without handling it.

        A cleaned shell has no mantle to look at.
        """
        views = [self._tables.view(one) for one in row.character.views]
        had = (one.harmless if self._living else not one.living for one in views)
        return bool(row.states) or any(had)

    def _chips(self, one: Candidate, reasons: tuple[Reason, ...]) -> None:
        chosen = side_words.strongest(reasons, MOST_CHIPS)
        if not chosen:
            return
        holder = QWidget()
        flow = FlowLayout(holder)
        for why in chosen:
            sign = "plus" if why.direction == "for" else "minus"
            chip = Chip(side_words.short(why, self._tables), sign, text(why.sentence))  # type: ignore[arg-type]
            chip.clicked.connect(
                lambda _=False, key=why.character: self.opened.emit(one.taxon, key)
            )
            flow.addWidget(chip)
            self.chips.append(chip)
        self._column.addWidget(holder)

    def _cautions(self, answer: Answer) -> None:
        if answer.level in ("species", "group"):
            words = side_words.rests_on(answer, self._tables)
            if words:
                self._sign("triangle-alert", "caution", words)
        for caution in answer.cautions:
            self._sign("triangle-alert", "caution", text(caution))

    def _sign(self, icon: str, ink: str, words: str, rest: str = "") -> None:
        line = SignLine(icon, ink, words, rest)
        self.lines.append(line)
        self._column.addWidget(line)


class AgainLine(Row):
    """A character that is unusual in the best candidate, to be looked at again."""

    def __init__(self, row: CharacterRow, parent: QWidget | None = None) -> None:
        self._row = row
        super().__init__(parent)
        state = side_words.state_words(row)
        name = row.character.name
        self.setAccessibleName(say("side.characters.spoken", name=name, state=state))

    def height_wanted(self) -> int:
        """Return the height of the row; it grows with type."""
        return max(scaled(LAYOUT.character_row), line_height("body") + 8)

    def paint_row(self, painter: QPainter, whole: QRectF) -> None:
        """Draw the state, write name and state."""
        wide, high = (scaled(edge) for edge in DRAWING.row)
        states = self._row.states
        if states:
            drawing = drawings.state_drawing(self._row.character.key, states[0])
            if drawing:
                ratio = self.devicePixelRatioF()
                pixmap = drawings.drawing_pixmap(drawing, wide, high, "ink", ratio)
                painter.drawPixmap(QPointF(0, (whole.height() - high) / 2), pixmap)
        line = whole.adjusted(wide + 12, 0, 0, 0)
        state = side_words.state_words(self._row)
        taken = min(text_width(state, "strong") + 1, line.width() * 0.6)
        right = line.adjusted(line.width() - taken, 0, 0, 0)
        write(painter, right, state, "strong", "ink", Qt.AlignmentFlag.AlignRight)
        write(
            painter, line.adjusted(0, 0, -taken - 10, 0), self._row.character.name, "body"
        )


def _common(named: list[Candidate]) -> tuple[Reason, ...]:
    """Return the reasons of the first candidate that hold for all of them alike."""
    first, *others = named
    alike = tuple(
        why
        for why in first.reasons
        if all(
            any(
                w.character == why.character and w.direction == why.direction
                for w in one.reasons
            )
            for one in others
        )
    )
    return alike or first.reasons
