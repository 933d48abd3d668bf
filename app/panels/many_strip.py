"""Many specimens at once: what they share, what is to be changed, and one deed for all."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QVBoxLayout,
    QWidget,
)

from app.panels.fields import ChoiceField, Choices, labelled, later, titled, worded
from app.panels.several import SeveralLine
from app.panels.strip import Strip
from app.panels.where_words import condition_words, region_choices
from app.session import Aspect, Session
from app.session.many import Progress, Work, change_many, read_shared
from app.session.values import now
from app.style.icons import icon
from app.style.widgets import FlowLayout, Label, button
from landmarks.many import Edits, Shared
from landmarks.observations import CONDITIONS, ORIGINS, ZONES, Condition
from landmarks.scheme import VIEWS
from landmarks.sentences import Sentence, say

WORDS = ("locality", "collector", "collected", "habitat")
OF_PICTURES = ("creator", "licence", "rights_holder")
SEVERAL = "\0several"
"""The key of the choice that leaves different values as they are."""

READ_PAUSE_MS = 150


class ManyStrip(Strip):
    """One field for everything that can be changed; what differs reads *several*."""

    wide_from = 760

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("layers", say("many.title"), "label", parent)
        self._session = session
        self._shared = Shared()
        self._work: Work | None = None
        self._read_ids: tuple[str, ...] | None = None
        self._held = False
        self._add: list[Condition] = []
        self._remove: list[Condition] = []
        self.words = {key: _line(key) for key in (*WORDS, *OF_PICTURES)}
        self.region = ChoiceField(titled(say("many.field.region")))
        self.origin = ChoiceField(titled(say("many.field.origin")))
        self.view = ChoiceField(say("many.view"))
        self.kind = ChoiceField(
            say("label.condition.kind"), worded("condition", CONDITIONS)
        )
        self.zone = ChoiceField(say("label.condition.zone"), worded("zone", ZONES))
        self.add = button(say("many.condition.add"))
        self.conditions = QWidget()
        self._flow = FlowLayout(self.conditions, gap=6, line_gap=4)
        self.character = ChoiceField(say("many.character"))
        self.state = ChoiceField(say("many.state"))
        self.agree = QCheckBox(say("many.state.agree"))
        self.caution = Label(say("many.state.words"), "small", "caution", wrap=True)
        self.nothing = Label(say("many.none"), "body", "ink2", wrap=True)
        self.choose_all = button(say("many.choose_all"))
        self.change = button("", "primary", "check")
        self.give_up = button(say("many.give_up"))
        self._form = QWidget()
        self._pause = later(READ_PAUSE_MS, self, self._read)
        self._lay_out()
        self._connect()
        self.setFocusProxy(self.region)
        self._offer()
        self._renew()

    def showEvent(self, event: QShowEvent) -> None:
        """Read what the chosen specimens share."""
        super().showEvent(event)
        self._pause.start()

    def edits(self) -> Edits:
        """Return what the person wants to change; what was left alone is not in it."""
        shared = self._shared.words
        asked_words = {key: field.wanted() for key, field in self.words.items()}
        words = {
            key: wanted
            for key, wanted in asked_words.items()
            if wanted is not None and wanted != shared.get(key, "")
        }
        for key, choice in (("region", self.region), ("origin", self.origin)):
            if choice.key() not in (SEVERAL, shared.get(key)):
                words[key] = choice.key()
        view = self.view.key()
        asked = self.agree.isChecked() and bool(self.character.key() and self.state.key())
        return Edits(
            words,
            tuple(self._add),
            tuple(self._remove),
            None if view == SEVERAL or view in self._view_of_all() else view,
            self.character.key() if asked else "",
            self.state.key() if asked else "",
            self._session.person.id,
            now(),
        )

    # -- laid out --------------------------------------------------------------------------

    def _lay_out(self) -> None:
        grid = self._grid = QGridLayout()
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(6)
        shown = (
            self.region, self.origin, self.words["locality"], self.words["collector"],
            self.words["collected"], self.words["habitat"], self.view, self.words["creator"],
            self.words["licence"], self.words["rights_holder"],
        )  # fmt: skip
        self._cells = [labelled(one) for one in shown]
        conditions = QHBoxLayout()
        conditions.setSpacing(8)
        for one in (labelled(self.kind), labelled(self.zone)):
            conditions.addWidget(one, 3)
        conditions.addWidget(self.add, 0, Qt.AlignmentFlag.AlignBottom)
        conditions.addWidget(self.conditions, 3, Qt.AlignmentFlag.AlignBottom)
        states = QHBoxLayout()
        states.setSpacing(8)
        for one in (labelled(self.character), labelled(self.state)):
            states.addWidget(one, 1)
        said = QVBoxLayout()
        said.addWidget(self.caution)
        said.addWidget(self.agree)
        states.addLayout(said, 3)
        form = QVBoxLayout(self._form)
        form.setContentsMargins(0, 0, 0, 0)
        form.setSpacing(8)
        form.addLayout(grid)
        form.addLayout(conditions)
        form.addLayout(states)
        body = QWidget()
        column = QVBoxLayout(body)
        column.setSpacing(6)
        column.addWidget(self.nothing)
        column.addWidget(self._form)
        column.addStretch(1)
        self.arrange(wide=True)
        self.set_body(body)
        # In the head, which never scrolls.
        self.add_to_head(self.choose_all, self.give_up, self.change)

    def arrange(self, *, wide: bool) -> None:
        """Put five fields beside each other, or three."""
        beside = 5 if wide else 3
        for at, cell in enumerate(self._cells):
            self._grid.addWidget(cell, at // beside, at % beside)
        for at in range(5):
            self._grid.setColumnStretch(at, int(at < beside))

    def _connect(self) -> None:
        session = self._session
        for field in self.words.values():
            field.edited.connect(self._enable)
        for choice in (self.region, self.origin, self.view, self.state):
            choice.chosen.connect(lambda _: self._enable())
        self.character.chosen.connect(lambda _: self._offer_states())
        self.agree.clicked.connect(lambda _: self._enable())
        self.add.clicked.connect(self._add_condition)
        self.change.clicked.connect(self._change)
        self.give_up.clicked.connect(self._give_up)
        self.choose_all.clicked.connect(session.chosen.everything)
        session.chosen.changed.connect(self._chosen)
        session.changed.connect(self._look)

    # -- shown -----------------------------------------------------------------------------

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.GUIDE:
            self._offer()
        if aspects & Aspect.PAST and self.isVisible() and self._work is None:
            # A deed, or one taken back, may have changed what they share.
            self._read_ids = None
            self._pause.start()

    def _chosen(self) -> None:
        self._give_up()
        self._read_ids = None
        self._renew()
        if self.isVisible():
            self._pause.start()

    def _offer(self) -> None:
        guide = self._session.guide
        rows = guide.tables.characters if guide is not None else ()
        self._regions = region_choices(self._session)
        states = [(one.key, one.name) for one in rows if one.states]
        self.character.set_choices([("", say("many.no_character")), *states])
        self._offer_states()
        self._show_shared()

    def _offer_states(self) -> None:
        guide, key = self._session.guide, self.character.key()
        row = None if guide is None else guide.tables.characters.get(key)
        states = () if row is None else row.states
        self.state.set_choices([(one.key, one.name) for one in states])
        self.agree.setChecked(False)
        for one in (self.caution, self.agree):
            one.setVisible(bool(states))
        self.state.setEnabled(bool(states))
        self._enable()

    def _read(self) -> None:
        ids = self._session.chosen.ids
        saving = self._work is not None and self._work.saving
        if not self.isVisible() or ids == self._read_ids or saving:
            return
        self._read_ids = ids
        self._forget_edits()

        def read(shared: Shared) -> None:
            self._work = None
            if ids == self._session.chosen.ids:
                self._shared = shared
                self._show_shared()
                self._renew()

        if ids:
            self._work = read_shared(self._session, ids, self._progress("reading"), read)
            self._renew()

    def _forget_edits(self) -> None:
        self._add.clear()
        self._remove.clear()
        self.character.show_key("")
        self._offer_states()

    def _show_shared(self) -> None:
        found = self._shared.words
        for key, field in self.words.items():
            field.show_shared(found.get(key, ""))
        _show_choice(self.region, self._regions, found.get("region", ""))
        _show_choice(self.origin, worded("origin", ORIGINS), found.get("origin", "unknown"))
        views = self._view_of_all()
        one = next(iter(views)) if len(views) == 1 else None
        _show_choice(self.view, worded("view", VIEWS, say("rail.no_view")), one)
        self._show_conditions()
        self._enable()

    def _view_of_all(self) -> set[str]:
        """Return the views that their frames show; without any frame, none is said."""
        return set(self._shared.views) or {""}

    def _show_conditions(self) -> None:
        self._flow.clear()
        shared = self._shared
        for one, n in shared.conditions.items():
            words = condition_words(one)
            if one in self._remove:
                said = say("many.condition.will_go", condition=words)
            elif n == shared.n:
                said = say("many.condition.all", condition=words)
            else:
                said = say("many.condition.of", condition=words, n=n, all=shared.n)
            self._flow.addWidget(self._condition(one, said, self._toggle_removed))
        for one in self._add:
            said = say("many.condition.will", condition=condition_words(one))
            self._flow.addWidget(self._condition(one, said, self._unadd))

    def _condition(
        self, one: Condition, words: str, take: Callable[[Condition], None]
    ) -> QWidget:
        made = button(words)
        made.setIcon(icon("undo-2" if one in self._remove else "x"))
        name = say("many.condition.remove", condition=condition_words(one))
        made.setAccessibleName(words if one in self._remove else name)
        made.clicked.connect(lambda: take(one))
        return made

    def _renew(self) -> None:
        n, busy = len(self._session.chosen), self._work is not None
        self.nothing.setVisible(not n)
        self._form.setVisible(bool(n))
        if busy:
            self.give_up.show()
        # The keyboard goes where something can be done before its place is shut.
        focused = QApplication.focusWidget()
        inside = focused is not None and self._form.isAncestorOf(focused)
        if busy and (inside or focused is self.change):
            self._held = True
            self.give_up.setFocus(Qt.FocusReason.OtherFocusReason)
        self._form.setEnabled(not busy)
        # While it is saved nothing can be given up, and the keyboard has fallen further.
        if not busy:
            held, self._held = self._held, False
            if held and focused is not None and self.isAncestorOf(focused):
                self.region.setFocus(Qt.FocusReason.OtherFocusReason)
        self.give_up.setVisible(busy)
        self.choose_all.setVisible(not n)
        self.change.setVisible(bool(n))
        self.change.setText(say("many.change", n=n))
        self.change.setAccessibleName(self.change.text())
        if not busy:
            title = say("many.n", n=n) if n else say("many.title")
            said = say("many.words")
            if self._shared.pictures and n:
                said = f"{say('many.pictures', n=len(self._shared.pictures))}. {said}"
            self.set_title(title, said)
        self._enable()

    def _enable(self) -> None:
        edits = self.edits()
        wants = edits.touches_specimens or edits.touches_pictures
        self.change.setEnabled(wants and self._work is None)

    # -- done ------------------------------------------------------------------------------

    def _add_condition(self) -> None:
        one = Condition(self.kind.key(), self.zone.key())
        if one in self._remove:
            self._remove.remove(one)
        elif one not in self._add and self._shared.conditions.get(one, 0) < self._shared.n:
            self._add.append(one)
        self._show_conditions()
        self._enable()

    def _toggle_removed(self, one: Condition) -> None:
        if one in self._remove:
            self._remove.remove(one)
        else:
            self._remove.append(one)
        self._show_conditions()
        self._enable()

    def _unadd(self, one: Condition) -> None:
        self._add.remove(one)
        self._show_conditions()
        self._enable()

    def _change(self) -> None:
        session, edits = self._session, self.edits()
        ids = session.chosen.ids

        def done(n: int | None) -> None:
            self._work = None
            if n is not None:
                session.notice(
                    Sentence("many.done" if n else "many.nothing", {"n": n}),
                    "info" if n else "passing",
                )
            self._read_ids = None
            self._renew()
            self._pause.start()

        self._work = change_many(session, ids, edits, self._progress("changing"), done)
        self._renew()

    def _give_up(self) -> None:
        if self._work is not None and not self._work.saving:
            self._work.give_up()
            self._work = None
            self._renew()

    def _progress(self, doing: str) -> Progress:
        def said(done: int, total: int) -> None:
            n = len(self._session.chosen)
            saving = self._work is not None and self._work.saving
            self.give_up.setEnabled(not saving)
            words = say(f"many.{'saving' if saving else doing}", done=done, total=total)
            self.set_title(say("many.n", n=n), words)

        return said


def _line(key: str) -> SeveralLine:
    return SeveralLine(titled(say(f"many.field.{key}")))


def _show_choice(field: QComboBox, choices: Choices, found: str | None) -> None:
    """Offer choices and show the one that all have; several where they differ."""
    assert isinstance(field, ChoiceField)
    several = [(SEVERAL, say("many.leave"))] if found is None else []
    field.set_choices([*several, *choices])
    field.show_key(SEVERAL if found is None else found)
