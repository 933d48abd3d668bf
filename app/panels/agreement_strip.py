"""How far repeats agree with the record: a table, two plots, a person's own placing doubt.

The whole collection is read on the worker, a page at a time; what is shown for one person or
another occasion is reckoned from what was read.
"""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QHBoxLayout,
    QVBoxLayout,
    QWidget,
)

from app.panels.agreement_plots import DifferencePlot
from app.panels.agreement_table import AgreementTable, Line, lines_of
from app.panels.fields import ChoiceField, one_line
from app.panels.strip import Strip
from app.session import Aspect, Session, deeds, now
from app.session.repeating import Repeats, ask_in_turns, is_saving, read_repeats
from app.style.follow import follow
from app.style.fonts import line_height, scaled
from app.style.tokens import LAYOUT
from app.style.widgets import FlowLayout, Label, button
from app.style.widgets.beside import Beside
from app.style.widgets.buttons import plain_tip
from landmarks.outputs.agreement import (
    Report,
    agreement_report,
    name_of,
    own_doubt_words,
    readings_of,
    untold_of,
    who_repeated,
)
from landmarks.outputs.differences import MEAN, TIME
from landmarks.own_doubt import OwnDoubt
from landmarks.repeats import BLIND, SECOND, Pair, Repeated, Rescored
from landmarks.sentences import Sentence, say, text

EVERYBODY = ""
_HIGH, _PLOT, _SHARE = 500, 140, 0.45


class AgreementStrip(Strip):
    """Rows of measures and characters; the chosen measure is plotted, pair by pair.

    Signals
    -------
    repeats_wanted()
        A repeat is to be chosen.
    """

    repeats_wanted = Signal()
    wide_from = 780

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("repeat-2", say("agreement.title"), "label", parent)
        self._session = session
        self._read: Repeats | None = None
        self._report: Report | None = None
        self._asked, self._pair = 0, -1
        self._lines: tuple[Line, ...] = ()
        self._offered = self._waits = False
        self.set_title(say("agreement.title"), say("agreement.words"))
        choices = [(one, say(f"agreement.occasion.{one}")) for one in (BLIND, SECOND)]
        self.occasion = ChoiceField(say("repeats.occasion"), choices)
        everybody = [(EVERYBODY, say("agreement.everybody"))]
        self.whose = ChoiceField(say("agreement.whose"), everybody)
        self.whose.show_key(EVERYBODY)
        self.said = Label("", "small", "ink2", wrap=True)
        self.own = Label("", "small", wrap=True)
        self.reasons = Label("", "small", "ink2", wrap=True)
        self.pair = Label("", "small", wrap=True)
        self.table = AgreementTable()
        self.plots = DifferencePlot(MEAN), DifferencePlot(TIME)
        self.before = button(say("agreement.previous_pair"))
        self.after = button(say("agreement.next_pair"))
        self.both = button(say("agreement.show_both"), icon_name="layers")
        self.both.setToolTip(plain_tip(say("agreement.show_both.tip")))
        self.repeats = button(say("agreement.begin"))
        self.use_own = button(say("agreement.own.use"))
        self.use_own.setToolTip(plain_tip(say("agreement.own.use.tip")))
        self._lay_out()
        # The table may still have nothing to show.
        self.setFocusProxy(self.occasion)
        self._connect()
        follow(self._restyle)
        self._show()

    def report(self) -> Report | None:
        """Return what is shown; None while the collection is being read."""
        return self._report

    def row(self) -> Repeated | Rescored | None:
        """Return the row that is chosen, or None."""
        rows, at = self._rows(), self.table.currentRow()
        return rows[at] if 0 <= at < len(rows) else None

    def chosen_pair(self) -> Pair | None:
        """Return the pair of readings that is chosen, or None."""
        row = self.row()
        if not isinstance(row, Repeated) or not 0 <= self._pair < len(row.pairs):
            return None
        return row.pairs[self._pair]

    def show_occasion(self, occasion: str) -> None:
        """Show how far the repeats of this occasion agree."""
        if occasion != self.occasion.key():
            self.occasion.show_key(occasion)
            self._choose_occasion()

    def showEvent(self, event: QShowEvent) -> None:
        """Read the collection anew: meanwhile more may have been repeated."""
        super().showEvent(event)
        self._read_again()

    def arrange(self, *, wide: bool) -> None:
        """Put the chosen pair beside the plots where there is room, else below them."""
        ways = QBoxLayout.Direction
        self._below.setDirection(ways.LeftToRight if wide else ways.TopToBottom)

    # -- inside ----------------------------------------------------------------------------

    def _lay_out(self) -> None:
        fields = FlowLayout(gap=10)
        for one in (self.occasion, self.whose, self.repeats):
            fields.addWidget(one)
        plots = QHBoxLayout()
        plots.setSpacing(8)
        for plot in self.plots:
            plots.addWidget(plot, 1)
        steps = QHBoxLayout()
        steps.setSpacing(8)
        for made in (self.before, self.after):
            steps.addWidget(made)
        steps.addStretch(1)
        beside = QVBoxLayout()
        beside.setSpacing(6)
        beside.addWidget(self.pair)
        beside.addLayout(steps)
        beside.addWidget(self.both, 0, Qt.AlignmentFlag.AlignLeft)
        beside.addWidget(self.reasons)
        beside.addStretch(1)
        self._below = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._below.setSpacing(12)
        self._below.addLayout(plots, 3)
        self._below.addLayout(beside, 2)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setSpacing(6)
        column.addLayout(fields)
        column.addWidget(self.said)
        column.addWidget(Beside(self.own, self.use_own))
        column.addWidget(self.table, 1)
        column.addLayout(self._below)
        self.set_body(body)

    def height_at(self, width: int) -> int:
        """Return the height it would like: a report is read, and may take more room."""
        if not self._rows():
            return super().height_at(width)
        share = round(_SHARE * self.window().height())
        return min(scaled(_HIGH), max(share, scaled(LAYOUT.strip_characters)))

    def _connect(self) -> None:
        self.occasion.chosen.connect(lambda _: self._choose_occasion())
        self.whose.chosen.connect(lambda _: self._reckon())
        self.table.currentCellChanged.connect(lambda *_: self._choose_row())
        for one in self.plots:
            one.chosen.connect(self._choose_pair)
        self.before.clicked.connect(lambda: self._step_pair(-1))
        self.after.clicked.connect(lambda: self._step_pair(1))
        self.both.clicked.connect(self._show_both)
        self.repeats.clicked.connect(self.repeats_wanted)
        self.use_own.clicked.connect(self._use_own)
        self._session.changed.connect(self._look)

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION:
            self._read = self._report = None
            self._offered = False
            self._read_again()
        elif aspects & Aspect.GUIDE and self._read is not None:
            self._reckon()
        if aspects & Aspect.SAVING and self._waits and not is_saving(self._session):
            self._read_again()
        if aspects & Aspect.PAST:
            self._show_own()
        if aspects & (Aspect.SELECTION | Aspect.SPECIMEN):
            self._show_pair()

    def _read_again(self) -> None:
        store = self._session.store
        self._asked += 1
        # What was done last is still on its way to the collection.
        self._waits = self.isVisible() and is_saving(self._session)
        if store is None or not self.isVisible() or self._waits:
            self._show()
            return
        asked = self._asked

        def came(read: Repeats) -> None:
            self._read = read
            self._offer_people(read)
            self._reckon()

        def failed(sentence: Sentence) -> None:
            self._session.notice(sentence, "error")

        ask_in_turns(self._session.desk, read_repeats(store), came, failed,
                     lambda: asked == self._asked)  # fmt: skip
        self._show()

    def _offer_people(self, read: Repeats) -> None:
        unnamed = say("repeats.observer.unnamed")
        repeating = who_repeated(read.specimens, self.occasion.key())
        people = [(one.id, one_line(one.name) or unnamed) for one in read.people]
        choices = [one for one in people if one[0] in repeating]
        if self.whose.key() not in repeating:
            self.whose.show_key(EVERYBODY)
        self.whose.set_choices([(EVERYBODY, say("agreement.everybody")), *choices])
        if not self._offered and self._session.person.id in repeating:
            # Who works here looks first at what was repeated here.
            self.whose.show_key(self._session.person.id)
        self._offered = True

    def _choose_occasion(self) -> None:
        """Offer those who repeated on this occasion: another one may have been chosen."""
        if self._read is not None:
            self._offer_people(self._read)
        self._reckon()

    def _reckon(self) -> None:
        """Reckon what is chosen now from what was read, on the worker."""
        read, guide = self._read, self._session.guide
        if read is None or guide is None:
            self._show()
            return
        self._asked += 1
        asked, occasion = self._asked, self.occasion.key()
        characters, person = guide.tables.characters, self.whose.key() or None

        def reckon() -> tuple[Report, tuple[Line, ...]]:
            report = agreement_report(
                read.specimens, read.pictures, characters, occasion, person
            )
            return report, lines_of(report)

        def came(answer: tuple[Report, tuple[Line, ...]]) -> None:
            if asked == self._asked:
                self._report, self._lines = answer
                self._show()

        self._session.desk.ask(
            reckon,
            came,
            lambda sentence: self._session.notice(sentence, "error"),
        )

    def _rows(self) -> tuple[Repeated | Rescored, ...]:
        report = self._report
        return () if report is None else (*report.measures, *report.characters)

    def _show(self) -> None:
        report, read, rows = self._report, self._read, self._rows()
        if report is None or read is None:
            self.said.setText(say("agreement.reading"))
        elif not rows:
            self.said.setText(say("agreement.none"))
        else:
            n = report.n_specimens
            self.said.setText(say("agreement.of", n=n, all=read.n_specimens))
        self.table.setVisible(bool(rows))
        self.updateGeometry()
        if report is not None:
            self.table.show_lines(self._lines)
        self._show_own()
        self._choose_row()

    def _show_own(self) -> None:
        """Say a person's own placing doubt; who works here may let it speak, or not."""
        session, report = self._session, self._report
        said = () if report is None else own_doubt_words(report)
        if report is not None and not said and self._rows() and report.occasion == BLIND:
            said = (Sentence("agreement.own.whose"),)
        found = None if report is None or report.own is None else report.own
        mine = self.whose.key() == session.person.id and isinstance(found, OwnDoubt)
        used = session.doubts.get(session.person.id)
        if used is not None and self.whose.key() == session.person.id:
            said = (*said, Sentence("agreement.own.in_use", {"at": used.at[:10]}))
        # What each landmark says is too much for a line.
        each = [text(one) for one in said if one.key == "agreement.own.landmarks"]
        self.own.setToolTip(plain_tip("\n".join(each)))
        self.own.setAccessibleDescription(" ".join(each))
        short = (one for one in said if one.key != "agreement.own.landmarks")
        self.own.setText(" ".join(text(one) for one in short))
        self.own.setVisible(bool(said))
        self.use_own.setVisible(mine or used is not None)
        words = say("agreement.own.usual_again" if self._is_used() else "agreement.own.use")
        self.use_own.setText(words)
        self.use_own.setAccessibleName(words)

    def _is_used(self) -> bool:
        """Return whether the own doubt that is used is the one that the repeats tell now."""
        used = self._session.doubts.get(self._session.person.id)
        found = None if self._report is None else self._report.own
        if used is None or not isinstance(found, OwnDoubt):
            return used is not None
        return (used.sigma, used.n) == (found.sigma, found.n)

    def _use_own(self) -> None:
        found = None if self._report is None else self._report.own
        if self._is_used() or not isinstance(found, OwnDoubt):
            deeds.use_own_doubt(self._session, None)
        else:
            deeds.use_own_doubt(self._session, replace(found, at=now()))

    def _choose_row(self) -> None:
        row, report = self.row(), self._report
        measure = row if isinstance(row, Repeated) else None
        self._pair = 0 if measure is not None and measure.pairs else -1
        name = name_of(report, row) if report is not None and row is not None else ""
        for one in self.plots:
            one.setVisible(measure is not None)
            one.show_measure(measure, name, self._pair)
        reasons = () if row is None else untold_of(row)
        self.reasons.setText(" ".join(text(one) for one in reasons))
        self.reasons.setVisible(bool(reasons))
        self._show_pair()

    def _choose_pair(self, at: int) -> None:
        self._pair = at
        for one in self.plots:
            one.choose(at)
        self._show_pair()

    def _step_pair(self, by: int) -> None:
        row = self.row()
        if isinstance(row, Repeated):
            self._choose_pair(min(max(self._pair + by, 0), len(row.pairs) - 1))

    def _show_pair(self) -> None:
        row, pair = self.row(), self.chosen_pair()
        for made in (self.before, self.after, self.both, self.pair):
            made.setVisible(pair is not None)
        if pair is None or not isinstance(row, Repeated):
            return
        n = len(row.pairs)
        first, second = readings_of(row, pair)
        self.pair.setText(
            say(
                "agreement.pair.choose", n=self._pair + 1, all=n, first=first, second=second
            )
        )
        self.before.setEnabled(self._pair > 0)
        self.after.setEnabled(self._pair + 1 < n)
        alone = self._both_are_shown(pair)
        words = say("agreement.show_alone" if alone else "agreement.show_both")
        self.both.setText(words)
        self.both.setAccessibleName(words)

    def _show_both(self) -> None:
        pair, report = self.chosen_pair(), self._report
        if pair is not None and self._both_are_shown(pair):
            self._session.veil.show_beside(None)
        elif pair is not None and report is not None:
            self._session.veil.show_both(
                pair.specimen, pair.frame, report.occasion, pair.person
            )

    def _both_are_shown(self, pair: Pair) -> bool:
        session = self._session
        if session.veil.beside is None or session.specimen is None or session.frame is None:
            return False
        return (session.specimen.id, session.frame.id) == (pair.specimen, pair.frame)

    def _restyle(self) -> None:
        self.table.setFixedHeight(6 * max(24, line_height("body") + 6) + 6)
        for one in self.plots:
            one.setMinimumHeight(scaled(_PLOT))
        self.occasion.setMinimumWidth(scaled(150))
        self.whose.setMinimumWidth(scaled(130))
