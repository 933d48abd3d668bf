"""Candidates: one list, with what is for and against each; an answer no larger than honest.

While a landmark moves, numbers and bars move and the order stays; it is put right on release.
"""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.panels import side_words
from app.panels.answer_card import AnswerCard
from app.panels.candidate_rows import TEXT, CandidateRow
from app.panels.circumstances import Circumstances
from app.panels.fields import later
from app.panels.reasons import Reasons
from app.panels.side_rows import INDENT, MoreLine
from app.session import Aspect, Session, deeds
from app.style.announcing import announce
from app.style.follow import follow
from app.style.fonts import font, scaled
from app.style.widgets import Label, Section
from app.style.widgets.bare import bare_column
from app.style.widgets.buttons import button, plain_tip
from app.style.widgets.painted import text_width
from landmarks.assessment import Assessment
from landmarks.identification.answer import Candidate
from landmarks.sentences import say

COMPACT = 3
"""So many candidates are shown where height is short, those in the card included."""

TOLD_AFTER_MS = 300
"""A screen reader is told an answer that has stood for so long."""

_TITLE_ROOM = 150
"""Width that the title of the section takes of its header, in logical pixels."""


class Candidates(Section):
    """The section of candidates.

    Signals
    -------
    wanted(str)
        A character is wanted, to look at it again.
    """

    wanted = Signal(str)
    CONCERNS = Aspect.SPECIMEN | Aspect.SELECTION | Aspect.GUIDE | Aspect.NAMES

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(say("side.candidates"), parent=parent)
        self._session = session
        self.card: AnswerCard | None = None
        self.rows: list[CandidateRow] = []
        self._others: tuple[Candidate, ...] = ()
        self._compact, self._all = 0, False
        self._open_before = True
        self._said = ""
        self._pause = later(TOLD_AFTER_MS, self, self._tell_reader)
        self._opened: tuple[str, str] | None = None
        self.region = _region_button(self)
        self.region.clicked.connect(self.turn_region)
        self._list, self.reasons = QWidget(), Reasons()
        self._make_list()
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 6)
        column.setSpacing(0)
        column.addWidget(self._list)
        column.addWidget(self.reasons)
        self.reasons.hide()
        self.reasons.closed.connect(self.close_reasons)
        self.set_body(body)
        self.folded.connect(self._keep_shut)
        session.changed.connect(self._changed)
        follow(self._restyle)
        self.refresh()

    def refresh(self) -> None:
        """Show the candidates of the specimen on the bench, in their order."""
        assessment, guide = self._session.assessment, self._session.guide
        self._drop_card()
        self._others = ()
        if assessment is not None and guide is not None:
            self._show(assessment)
        self._show_words(assessment)
        self._show_rows()
        self._show_reasons()
        self._say_summary()
        self._announce(assessment)

    def set_compact(self, compact: int) -> None:
        """Show less where height is short: 1 the first three, 2 one besides the card."""
        if compact != self._compact:
            self._compact = compact
            self._show_rows()

    def open_reasons(self, taxon: str, character: str = "") -> None:
        """Open the reasons of a candidate in place of the list."""
        self._opened = (taxon, character)
        self._show_reasons()
        if not character:
            self.reasons.back.setFocus(Qt.FocusReason.OtherFocusReason)

    def close_reasons(self) -> None:
        """Go back to the list."""
        taxon = self._opened[0] if self._opened is not None else ""
        self._opened = None
        self._show_reasons()
        for one, row in zip(self._others, self.rows, strict=False):
            if one.taxon == taxon:
                row.setFocus(Qt.FocusReason.OtherFocusReason)
        if self.card is not None and taxon in self.card.leads:
            self.card.leads[taxon].setFocus(Qt.FocusReason.OtherFocusReason)

    def turn_region(self) -> None:
        """Let the region speak, or leave it out."""
        specimen = self._session.specimen
        if specimen is not None:
            where = specimen.where
            deeds.set_where(self._session, replace(where, use_region=not where.use_region))

    def set_folded(self, folded: bool) -> None:  # noqa: FBT001 - as the section's own
        """Fold or open; hidden names stay shut."""
        super().set_folded(folded or self._session.names_hidden)
        self._say_summary()

    def order(self) -> tuple[str, ...]:
        """Return the taxa in the order in which they stand on screen."""
        head = () if self.card is None else self.card.taxa()
        return (*head, *(one.taxon for one in self._others))

    def _restyle(self) -> None:
        self.region.setFont(font("small"))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Say less in the header where it is narrow."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._say_summary()

    # -- inside ----------------------------------------------------------------------------

    def _make_list(self) -> None:
        self.circumstances = Circumstances(self._session)
        column = bare_column(self._list, 0)
        column.addWidget(self.circumstances)
        self._card_place = QVBoxLayout()
        self._card_place.setContentsMargins(12, 0, 12, 4)
        self._words = Label(role="small", ink="ink2", wrap=True)
        self._words.setContentsMargins(INDENT, 2, 16, 4)
        self._row_place = QVBoxLayout()
        self._row_place.setSpacing(0)
        self._more = MoreLine(TEXT)
        self._more.clicked.connect(self._turn_all)
        column.addLayout(self._card_place)
        column.addWidget(self._words)
        column.addLayout(self._row_place)
        column.addWidget(self._more)

    def _changed(self, aspects: Aspect) -> None:
        if aspects & Aspect.SELECTION:
            self._opened, self._all = None, False
        if aspects & Aspect.NAMES:
            self._hide_names()
        if aspects & self.CONCERNS or (
            aspects & Aspect.LIVE and self._session.live is None
        ):
            self.refresh()
        elif aspects & Aspect.LIVE:
            self._move_numbers()

    def _move_numbers(self) -> None:
        live, assessment = self._session.live, self._session.assessment
        if live is None or assessment is None or self._session.names_hidden:
            return
        for taxon, probability in live.probabilities.items():
            if self.card is not None:
                share = side_words.stated(probability, assessment.answer)
                self.card.set_share(taxon, share)
        for one, row in zip(self._others, self.rows, strict=False):
            probability = live.probabilities.get(one.taxon, one.probability)
            row.set_share(side_words.stated(probability, assessment.answer))
        self._say_supposed()

    def _say_supposed(self) -> None:
        """Say in the header that the numbers are those of a state only supposed."""
        live, guide = self._session.live, self._session.guide
        if live is None or guide is None or self.is_folded():
            return
        words = side_words.supposed(self._session.specimen, live.specimen, guide.tables)
        if words:
            self.region.setVisible(False)
            self.set_summary(words, ink="accent")

    def _show(self, assessment: Assessment) -> None:
        guide = self._session.guide
        if guide is None or side_words.equally_open(assessment.answer):
            return
        self.card = AnswerCard(assessment, guide.tables)
        self.card.opened.connect(self.open_reasons)
        self.card.wanted.connect(self.wanted)
        self._card_place.addWidget(self.card)
        head = self.card.taxa()
        self._others = tuple(
            one for one in assessment.answer.candidates if one.taxon not in head
        )

    def _drop_card(self) -> None:
        if self.card is not None:
            self._card_place.removeWidget(self.card)
            self.card.hide()
            self.card.deleteLater()
            self.card = None

    def _show_words(self, assessment: Assessment | None) -> None:
        self._words.setVisible(assessment is not None and self.card is None)
        self._words.setText(say("side.candidates.open_words"))

    def _show_rows(self) -> None:
        guide = self._session.guide
        tables = None if guide is None else guide.tables
        while len(self.rows) < len(self._others):
            row = CandidateRow()
            number = len(self.rows)
            row.clicked.connect(
                lambda _=False, n=number: self.open_reasons(self._others[n].taxon)
            )
            self._row_place.addWidget(row)
            self.rows.append(row)
        every = len(self._others)
        few = max(1, COMPACT - len(self.order()) + every) if self._compact < 2 else 1
        foldable = self._compact > 0 and every > few + 1
        most = few if foldable and not self._all else every
        for number, row in enumerate(self.rows):
            row.setVisible(number < most)
            if number < len(self._others):
                one = self._others[number]
                row.last = number == most - 1
                row.show_candidate(
                    one.name,
                    one.stated,
                    side_words.leading_reason(one, tables),
                    ruled_out=bool(one.ruled_out_by),
                    instead=self._instead(one),
                )
        self._more.setVisible(foldable)
        self._more.say_more(every - most, len(self.order()), all_shown=self._all)

    def _instead(self, one: Candidate) -> str:
        """Return what the best candidate says in place of a number when it does not fit."""
        assessment = self._session.assessment
        if assessment is None or assessment.answer.fit.word != "does_not_fit":
            return ""
        answer = assessment.answer
        if one.taxon != answer.candidates[0].taxon:
            return ""
        fit = say(f"fit.{answer.fit.word}")
        return say("side.candidates.best_of", n=len(answer.candidates), fit=fit)

    def _show_reasons(self) -> None:
        assessment, guide = self._session.assessment, self._session.guide
        one: Candidate | None = None
        if self._opened is not None and assessment is not None:
            taxon = self._opened[0]
            one = next((c for c in assessment.answer.candidates if c.taxon == taxon), None)
        if one is not None and guide is not None and self._opened is not None:
            self.reasons.show_candidate(one, guide.tables, self._opened[1])
        self.reasons.setVisible(one is not None)
        self._list.setVisible(one is None)

    def _announce(self, assessment: Assessment | None) -> None:
        """Tell a screen reader the answer once, when it is another; never while it moves."""
        words = "" if assessment is None else self._answer_words(assessment)
        if words != self._said:
            self._said = words
            self._pause.start()

    def _tell_reader(self) -> None:
        if self._said and self.isVisible() and not self._session.names_hidden:
            announce(self, self._said)

    def _turn_all(self) -> None:
        self._all = not self._all
        self._show_rows()

    def _hide_names(self) -> None:
        """Fold shut while names are hidden, and open again as it was."""
        if self._session.names_hidden:
            self._open_before = not self.is_folded()
            self._opened = None
            self.set_folded(True)
        else:
            self.set_folded(not self._open_before)

    def _keep_shut(self, folded: bool) -> None:  # noqa: FBT001 - a signal's own
        if not folded and self._session.names_hidden:
            self.set_folded(True)
        self._say_summary()

    def _say_summary(self) -> None:
        session, assessment = self._session, self._session.assessment
        self.region.setVisible(False)
        if session.names_hidden:
            # In a blind repeat no key shows them.
            forced = "" if session.repeat is None else "_for"
            self.set_summary(say(f"side.candidates.names_hidden{forced}"))
        elif session.specimen is None:
            self.set_summary(say("side.choose_specimen"))
        elif assessment is None or session.guide is None:
            self.set_summary(say("side.loading_tables"))
        elif self.is_folded():
            self.set_summary(self._answer_words(assessment))
        else:
            self._say_region(assessment)

    def _answer_words(self, assessment: Assessment) -> str:
        answer = assessment.answer
        if side_words.equally_open(answer):
            return say("side.candidates.open", n=len(answer.candidates))
        return side_words.answer_words(answer)

    def _say_region(self, assessment: Assessment) -> None:
        session, answer = self._session, assessment.answer
        if session.specimen is None or session.guide is None:
            return
        where, n = session.specimen.where, len(answer.candidates)
        if side_words.equally_open(answer):
            self.set_summary(say("side.candidates.open", n=n))
            return
        species = say("side.candidates.n", n=n)
        if not where.region:
            self.set_summary(say("side.candidates.region_none", species=species))
            return
        if where.origin in side_words.REGIONLESS:
            self.set_summary(say("side.candidates.region_silent", species=species))
            return
        if where.region not in session.guide.priors:
            words = say(
                "side.candidates.region_unknown", species=species, region=where.region
            )
            self.set_summary(words)
            return
        on = "on" if where.use_region else "off"
        words = say(f"side.candidates.region_{on}", species=species)
        names = {one.key: one.name for one in session.guide.tables.regions}
        region = names.get(where.region, where.region)
        self.set_summary("")
        narrow = text_width(words, "small") > self.width() - scaled(_TITLE_ROOM)
        self.region.setText(say(f"side.candidates.only_{on}") if narrow else words)
        self.region.setAccessibleName(words)
        self.region.setToolTip(
            plain_tip(say(f"side.candidates.region_tip_{on}", region=region))
        )
        self.region.setVisible(True)


def _region_button(section: Section) -> QPushButton:
    """Return the button in the header that lets the region speak or not."""
    made = button("", "link")
    made.setVisible(False)
    row = QHBoxLayout(section.header())
    row.setContentsMargins(0, 0, 16, 0)
    row.addStretch(1)
    row.addWidget(made)
    return made
