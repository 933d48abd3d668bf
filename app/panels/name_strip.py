"""Giving a name: how far it goes, which taxa, how sure, by whom."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.panels.fields import ChoiceField, labelled, one_line, titled
from app.panels.hints import day
from app.panels.naming_parts import Proposal, WordRow
from app.panels.strip import Strip
from app.panels.taxon_list import GENUS, ONE, SEVERAL, TaxonList
from app.session import Aspect, Session, deeds
from app.style.fonts import font
from app.style.widgets import FlowLayout, Label, NameLabel, button
from app.style.widgets.buttons import plain_tip
from landmarks.identification.written import read_name
from landmarks.observations import Hidden
from landmarks.progress import name_words
from landmarks.sentences import say, text
from landmarks.specimen import LEVELS, Determination

QUALIFIERS = {
    "species": ("", "cf.", "aff.", "sp. inc.", "?"),
    "genus": ("", "indet.", "stet.", "sp."),
}
"""How doubt is written. A picture without a kept specimen takes *sp. inc.*; *cf.* and *aff.*
compare a physical specimen. A genus is *indet.* if nothing that can be seen tells more,
*stet.* if it is left there on purpose, *sp.* if it is no known species for now (Horton et al.
2021 and Sigovini, Keppel & Tagliapietra 2016, both through the diagrams of a data manual)."""

MODES = {"species": ONE, "genus": GENUS, "group": SEVERAL, "hybrid": SEVERAL}
"""Which levels name taxa of the guide, and how many of them."""

QUALIFIED = tuple(QUALIFIERS)
N_LEADING = 3
N_EARLIER = 3


class NameStrip(Strip):
    """The name of the specimen on the bench.

    Signals
    -------
    named()
        A name was given.
    closed()
        As with every strip.
    """

    named = Signal()
    wide_from = 620

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("tag", say("naming.title"), "name", parent)
        self._session = session
        self._leading: object = None
        self._specimen = ""
        levels = [(key, titled(say(f"level.{key}"))) for key in LEVELS]
        self.levels = ChoiceField(say("naming.level"), levels)
        self.levels.chosen.connect(lambda _: self._level_changed())
        self.leading = QWidget()
        self._leading_flow = FlowLayout(self.leading, gap=6, line_gap=6)
        self.leading_label = Label(say("naming.leading"), "caption", "ink2")
        self.taxa = TaxonList()
        self.taxa.changed.connect(self._renew_answer)
        self.taxa.entered.connect(self.give_name)
        self.free = QLineEdit()
        self.free.setAccessibleName(say("naming.free"))
        self.free.setPlaceholderText(say("naming.free.example"))
        self.free.textChanged.connect(lambda _: self._renew_answer())
        self.proposal = Proposal()
        self.proposal.clicked.connect(self.take_proposal)
        self.qualifiers = WordRow(_signs("species"), say("naming.qualifier"))
        self.qualifiers.chosen.connect(lambda _: self._renew_answer())
        self.determiner = QLineEdit()
        self.determiner.setAccessibleName(say("naming.determiner"))
        self.independent = QCheckBox(say("naming.independent"))
        self.remarks = QLineEdit()
        self.remarks.setAccessibleName(say("naming.remarks"))
        self.answer = NameLabel(role="name_top")
        self.lacking = Label("", "body", "ink2")
        self.trouble = Label("", "small", "minus", wrap=True)
        self.give = button(say("naming.give"), "primary")
        self.give.clicked.connect(self.give_name)
        self.earlier = Label("", "small", "ink2", wrap=True)
        for field in (self.free, self.determiner, self.remarks):
            field.returnPressed.connect(self.give_name)
        self._lay_out()
        self.add_to_head(self.lacking, self.answer, self.give)
        self.setFocusProxy(self.taxa.search)
        session.changed.connect(self._look)
        self._renew_taxa()
        self._renew_specimen()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Give the name with Enter, wherever the focus is but on a button of its own."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            focused = self.focusWidget()
            if isinstance(focused, QPushButton):
                focused.click()
            elif focused is not self.taxa.search:
                self.give_name()
            return
        super().keyPressEvent(event)

    def choose_taxon(self, key: str) -> None:
        """Choose one taxon for the name: of the species, or one more of a group."""
        if self.levels.key() not in MODES:
            self.show_level("species")
        self.taxa.pick(key)

    def picked(self) -> tuple[str, ...]:
        """Return the keys of the taxa that are chosen; a genus is its own key."""
        return self.taxa.picked() if self.levels.key() in MODES else ()

    def show_level(self, level: str) -> None:
        """Go as far as this level, as if the person had chosen it."""
        self.levels.show_key(level)
        self._level_changed()

    def take_proposal(self) -> None:
        """Fill in the name that the candidates propose; it is given by the person only."""
        found = self._session.assessment
        if found is None or not found.answer.written.verbatim:
            return
        answer = found.answer
        between = answer.text.key == "answer.between"
        self.show_level("hybrid" if between else answer.level)
        self.taxa.clear()
        for key in (answer.name,) if answer.level == "genus" else answer.taxa:
            self.choose_taxon(key)
        sign = read_name(answer.written.verbatim).sign if len(answer.taxa) == 1 else ""
        sign = "indet." if answer.level == "genus" else sign
        self.qualifiers.show_key(sign)
        self._renew_answer()

    def give_name(self) -> None:
        """Record the determination; what it lacks is said in place."""
        lacks = self._lacks()
        if lacks:
            self.trouble.setText(lacks)
            self.trouble.show()
            return
        one = self._determination()
        deeds.determine(
            self._session,
            one.level,
            one.taxa,
            name=one.name,
            qualifier=one.qualifier,
            determiner=self.determiner.text().strip(),
            independent=self.independent.isChecked(),
            remarks=self.remarks.text().strip(),
        )
        self.remarks.clear()
        self.named.emit()

    # -- laid out --------------------------------------------------------------------------

    def _lay_out(self) -> None:
        body = QWidget()
        self._grid = QGridLayout(body)
        self._grid.setHorizontalSpacing(20)
        self._blocks = [_block(made) for made in (self._what(), self._which(), self._how())]
        self.arrange(wide=True)
        self.set_body(body)

    def arrange(self, *, wide: bool) -> None:
        """Put what is filled in already below, where three columns have no room."""
        what, which, how = self._blocks
        for block in self._blocks:
            self._grid.removeWidget(block)
        self._grid.addWidget(what, 0, 0)
        self._grid.addWidget(which, 0, 1)
        self._grid.addWidget(how, *((0, 2) if wide else (1, 0, 1, 2)))
        for column, stretch in enumerate((4, 5, 6) if wide else (4, 5, 0)):
            self._grid.setColumnStretch(column, stretch)

    def _what(self) -> QVBoxLayout:
        column = _column()
        column.addWidget(labelled(self.levels))
        column.addSpacing(6)
        column.addWidget(self.leading_label)
        column.addWidget(Label(say("naming.caution"), "caption", "ink2", wrap=True))
        column.addWidget(self.proposal)
        column.addWidget(self.leading)
        column.addStretch(1)
        return column

    def _which(self) -> QVBoxLayout:
        column = _column()
        column.addWidget(Label(say("naming.taxa"), "caption", "ink2"))
        column.addWidget(self.taxa, 1)
        column.addWidget(self.free)
        column.addStretch(0)
        return column

    def _how(self) -> QVBoxLayout:
        column = _column()
        column.addWidget(Label(say("naming.qualifier"), "caption", "ink2"))
        column.addWidget(self.qualifiers)
        self.signs = Label(say("naming.qualifier.when"), "caption", "ink2", wrap=True)
        column.addWidget(self.signs)
        people = QHBoxLayout()
        people.setSpacing(8)
        people.addWidget(labelled(self.determiner))
        people.addWidget(labelled(self.remarks), 1)
        column.addLayout(people)
        column.addWidget(self.independent)
        column.addWidget(self.trouble)
        column.addWidget(self.earlier)
        column.addStretch(1)
        return column

    # -- shown -----------------------------------------------------------------------------

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.GUIDE:
            self._renew_taxa()
        if aspects & Aspect.NAMES and self._session.names_hidden:
            self.independent.setChecked(True)
        if aspects & (
            Aspect.SELECTION
            | Aspect.SPECIMEN
            | Aspect.NAMES
            | Aspect.GUIDE
            | Aspect.COLLECTION
        ):
            self._renew_specimen()

    def _renew_taxa(self) -> None:
        guide = self._session.guide
        self.taxa.set_taxa(guide.tables.taxa if guide is not None else ())
        self._level_changed()

    def _level_changed(self) -> None:
        level = self.levels.key()
        self.taxa.setVisible(level in MODES)
        if level in MODES:
            self.taxa.set_mode(MODES[level])
        self.free.setVisible(level == "free_text")
        self.qualifiers.setEnabled(level in QUALIFIED)
        self.qualifiers.set_words(_signs(level))
        genus = level == "genus"
        self.signs.setText(
            say("side.name.signs_genus") if genus else say("naming.qualifier.when")
        )
        self._renew_answer()

    def _renew_specimen(self) -> None:
        session = self._session
        specimen = session.specimen
        self.setEnabled(specimen is not None)
        self._renew_leading()
        if specimen is None:
            self.earlier.hide()
            return
        if specimen.id != self._specimen:
            self._specimen = specimen.id
            self._start_with(specimen.determination)
        earlier = reversed(specimen.determinations)
        lines = [self._line(one) for one in earlier][:N_EARLIER]
        self.earlier.setText("\n".join([say("naming.earlier"), *lines]))
        self.earlier.setVisible(bool(lines) and not session.names_hidden)
        self._renew_answer()

    def _line(self, one: Determination) -> str:
        name = text(name_words(one, self._session.names))
        key = "naming.earlier.by" if one.determiner else "naming.earlier.line"
        by = one_line(one.determiner)
        return say(key, name=one_line(name), date=day(one.at), determiner=by)

    def _start_with(self, last: Determination | None) -> None:
        """Fill in what a further name starts from: the last one, or nothing."""
        hidden = self._session.names_hidden
        level = last.level if last is not None and not hidden else "species"
        self.show_level(level if level in LEVELS else "species")
        self.taxa.clear()
        if last is not None and not hidden:
            for key in (last.name,) if last.level == "genus" else last.taxa:
                self.choose_taxon(key)
        self.free.setText(last.name if last is not None and not hidden else "")
        self.qualifiers.show_key(last.qualifier if last is not None and not hidden else "")
        self.independent.setChecked(hidden)
        self.determiner.setText(self._session.person.name)
        self.remarks.clear()

    def _renew_leading(self) -> None:
        session = self._session
        found = session.assessment
        names: tuple[tuple[str, str], ...] = ()
        # Before anything is seen all species are equally open: none of them leads.
        speaks = found is not None and not all(isinstance(it, Hidden) for it in found.seen)
        if found is not None and speaks and not session.names_hidden:
            best = found.answer.candidates[:N_LEADING]
            names = tuple((one.taxon, one.name) for one in best if not one.ruled_out_by)
        self.leading.setVisible(bool(names))
        self.leading_label.setVisible(bool(names))
        written = found.answer.written.verbatim if found is not None and names else ""
        self.proposal.setVisible(bool(written))
        self.proposal.show_name(written)
        self.proposal.setAccessibleName(say("naming.take", name=written))
        self.proposal.setToolTip(
            plain_tip(say("side.candidates.take_written", name=written))
        )
        if names == self._leading:
            return
        self._leading = names
        self._leading_flow.clear()
        for key, name in names:
            made = button(name)
            made.setFont(font("name_list"))
            made.setStyleSheet("padding: 3px 10px;")
            made.setAccessibleName(say("naming.take", name=name))
            made.clicked.connect(lambda _=False, it=key: self.choose_taxon(it))
            self._leading_flow.addWidget(made)

    def _renew_answer(self) -> None:
        self.trouble.hide()
        lacks = self._lacks()
        one = self._determination()
        self.lacking.setText(lacks)
        self.lacking.setVisible(bool(lacks))
        self.answer.setVisible(not lacks)
        if lacks:
            self.answer.set_words("")
        elif one.level in ("not_a_giant_clam", "unresolved"):
            self.answer.set_words(titled(text(name_words(one, self._session.names))), "ink")
        else:
            self.answer.set_name(
                one_line(text(name_words(one, self._session.names))), "ink"
            )
        self.give.setEnabled(not lacks)

    def _lacks(self) -> str:
        level, taxa = self.levels.key(), self.picked()
        if level in QUALIFIED and not taxa:
            return say("naming.lacks.one")
        if MODES.get(level) == SEVERAL and len(taxa) < 2:
            return say("naming.lacks.two")
        if level == "free_text" and not self.free.text().strip():
            return say("naming.lacks.words")
        return ""

    def _determination(self) -> Determination:
        level, picked = self.levels.key(), self.picked()
        # A genus is no taxon of the tables: its word is the name.
        taxa = () if level == "genus" else picked
        name = "".join(picked) if level == "genus" else ""
        return Determination(
            "",
            level,
            taxa,
            name=self.free.text().strip() if level == "free_text" else name,
            qualifier=self.qualifiers.key() if level in QUALIFIED else "",
        )


def _signs(level: str) -> list[tuple[str, str]]:
    """Return the signs of doubt that a level takes, with their words."""
    return [(key, key or say("naming.no_qualifier")) for key in QUALIFIERS.get(level, ())]


def _block(column: QVBoxLayout) -> QWidget:
    holder = QWidget()
    holder.setLayout(column)
    return holder


def _column() -> QVBoxLayout:
    column = QVBoxLayout()
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(4)
    return column
