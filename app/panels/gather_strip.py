"""To which specimen does this picture belong? Moved, set apart, or two specimens made one."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.panels.fields import later, one_line
from app.panels.specimen_rows import name_of, number_of
from app.panels.strip import Strip
from app.session import Aspect, Session, deeds
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.icons import icon
from app.style.widgets import Label, button
from landmarks.sentences import say
from landmarks.storage import Query, Row

MOST = 200
"""So many specimens are offered at a time; more words find the others."""

_PAUSE_MS = 150


class GatherStrip(Strip):
    """A list of specimens to search, and what can be done with the one that is chosen."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("layers", say("gather.title"), "label", parent)
        self._session = session
        self._rows: list[Row] = []
        self._asked: object = None
        self.set_title(say("gather.title"), say("gather.words"))
        self.filter = QLineEdit()
        self.filter.setAccessibleName(say("gather.filter"))
        self.filter.setPlaceholderText(say("gather.filter"))
        self.filter.setClearButtonEnabled(True)
        self.filter.addAction(icon("search"), QLineEdit.ActionPosition.LeadingPosition)
        self.list = QListWidget()
        self.list.setAccessibleName(say("specimens.title"))
        self.list.setUniformItemSizes(True)
        self.move_there = button(say("gather.move"), "primary", "arrow-right")
        self.make_one = button(say("gather.make_one"), "plain", "merge")
        self.alone = button(say("gather.alone"), "plain", "split")
        self._trouble = Label("", "small", "ink2", wrap=True)
        self._pause = later(_PAUSE_MS, self, self._read)
        self._lay_out()
        self.setFocusProxy(self.filter)
        self.filter.textChanged.connect(lambda _: self._pause.start())
        self.filter.returnPressed.connect(self._move)
        self.list.currentRowChanged.connect(lambda _: self._enable())
        self.list.itemActivated.connect(lambda _: self._move())
        self.move_there.clicked.connect(self._move)
        self.make_one.clicked.connect(self._make_one)
        self.alone.clicked.connect(self._alone)
        session.changed.connect(self._look)
        session.chosen.changed.connect(self._enable)
        follow(self._restyle)

    def _lay_out(self) -> None:
        body = QWidget()
        row = QHBoxLayout(body)
        row.setSpacing(16)
        finding = QVBoxLayout()
        finding.setSpacing(6)
        finding.addWidget(self.filter)
        finding.addWidget(self.list, 1)
        doing = QVBoxLayout()
        doing.setSpacing(6)
        for one in (self.move_there, self.make_one, self.alone):
            doing.addWidget(one)
        doing.addWidget(self._trouble)
        doing.addStretch(1)
        row.addLayout(finding, 3)
        row.addLayout(doing, 2)
        self.set_body(body)

    def _restyle(self) -> None:
        self.list.setFixedHeight(scaled(132))

    def showEvent(self, event: QShowEvent) -> None:
        """Read what specimens there are."""
        super().showEvent(event)
        self._read()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Go from the words to the list with the arrow keys."""
        if self.filter.hasFocus() and event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            by = 1 if event.key() == Qt.Key.Key_Down else -1
            at = self.list.currentRow() + by
            if 0 <= at < self.list.count():
                self.list.setCurrentRow(at)
        else:
            super().keyPressEvent(event)

    def chosen(self) -> str:
        """Return the id of the specimen that is chosen in the list, or ``""``."""
        at = self.list.currentRow()
        return self._rows[at].specimen if 0 <= at < len(self._rows) else ""

    def _look(self, aspects: Aspect) -> None:
        if self.isVisible() and aspects & (
            Aspect.ROWS | Aspect.SELECTION | Aspect.COLLECTION | Aspect.NAMES
        ):
            self._read()

    def _read(self) -> None:
        store, asked = self._session.store, object()
        self._asked = asked
        if store is None:
            return
        query = replace(Query(), text=self.filter.text().strip(), limit=MOST)

        def came(rows: tuple[Row, ...]) -> None:
            if asked is self._asked:
                self._show(rows)

        self._session.desk.ask(
            lambda: store.list(query),
            came,
            lambda fault: self._session.notice(fault, "error"),
        )

    def _show(self, rows: tuple[Row, ...]) -> None:
        here, kept = self._session.specimen, self.chosen()
        self._rows = [one for one in rows if here is None or one.specimen != here.id]
        self.list.clear()
        for one in self._rows:
            words = say(
                "gather.row",
                number=number_of(one),
                name=name_of(one, self._session)[0],
                n=one.n_pictures,
            )
            self.list.addItem(QListWidgetItem(one_line(words)))
        ids = [one.specimen for one in self._rows]
        if ids:
            self.list.setCurrentRow(ids.index(kept) if kept in ids else 0)
        self._enable()

    def _enable(self) -> None:
        session = self._session
        specimen, free = session.specimen, session.repeat is None
        chosen = bool(self.chosen()) and specimen is not None and free
        self.move_there.setEnabled(chosen and session.frame is not None)
        n = len(session.chosen)
        self.make_one.setEnabled(chosen or (n > 1 and specimen is not None and free))
        words = say("gather.make_one_of", n=n) if n > 1 else say("gather.make_one")
        self.make_one.setText(words)
        self.make_one.setAccessibleName(words)
        several = specimen is not None and len(specimen.frames) > 1
        self.alone.setEnabled(several and session.frame is not None and free)
        self._trouble.setText("" if self._rows else say("gather.none"))

    def _leave_button(self) -> None:
        """Bring the keyboard back to the list, before it falls to the button below."""
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _move(self) -> None:
        frame = self._session.frame
        if frame is not None and self.move_there.isEnabled():
            self._leave_button()
            deeds.move_frame(self._session, frame.id, self.chosen())

    def _make_one(self) -> None:
        several = self._session.chosen.ids
        self._leave_button()
        deeds.make_one(self._session, several if len(several) > 1 else [self.chosen()])
        if len(several) > 1:
            self._session.chosen.put(())

    def _alone(self) -> None:
        self._leave_button()
        deeds.split_off(self._session)
