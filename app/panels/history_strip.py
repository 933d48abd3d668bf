"""The history: every deed, by whom and when, what it changed, and the way back."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.panels.fields import ChoiceField, one_line, titled
from app.panels.hints import clock, day
from app.panels.strip import Strip
from app.session import Aspect, Session, past
from app.session.past import PAGE, Step
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.widgets import Label, button
from app.style.widgets.painted import plain_tip
from landmarks.changes import Document
from landmarks.sentences import say, text

SPECIMEN, PICTURE, COLLECTION = "specimen", "picture", "collection"
_DONE = 2
"""The column of what was done."""
_LEAST_HIGH = 96
_HIGH = 210


class HistoryStrip(Strip):
    """A list of deeds, newest first; each opens to what was there before and after."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("history", say("past.title"), "label", parent)
        self._session = session
        self._steps: list[Step] = []
        self._asked: object = None
        self.set_title(say("past.title"), say("past.words"))
        self.whose = ChoiceField(
            say("past.whose"),
            [(key, say(f"past.whose.{key}")) for key in (SPECIMEN, PICTURE, COLLECTION)],
        )
        self.list = QTreeWidget()
        self.list.setAccessibleName(say("past.title"))
        self.list.setHeaderLabels(
            [say(f"past.column.{one}") for one in ("at", "who", "deed")]
        )
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.list.setUniformRowHeights(True)
        self.list.setAlternatingRowColors(False)
        self.bring_back = button(say("past.bring_back"), "primary", "rotate-ccw")
        self.take_back = button(say("past.take_back"), "plain", "undo-2")
        self.more = button(say("past.more"), "link")
        self.more.hide()
        self.nothing = Label("", "body", "ink2", wrap=True)
        self._lay_out()
        self.setFocusProxy(self.list)
        self.whose.chosen.connect(lambda _: self._read())
        self.list.currentItemChanged.connect(lambda *_: self._enable())
        self.bring_back.clicked.connect(self._bring_back)
        self.take_back.clicked.connect(self._take_back)
        self.more.clicked.connect(self._read_more)
        session.changed.connect(self._look)
        follow(self._restyle)

    def showEvent(self, event: QShowEvent) -> None:
        """Read what happened since it was last open."""
        super().showEvent(event)
        self._read()

    def step(self) -> Step | None:
        """Return the deed that is chosen, or of which a change is chosen."""
        item = self.list.currentItem()
        if item is None:
            return None
        top = item.parent() or item
        return self._steps[self.list.indexOfTopLevelItem(top)]

    # -- laid out --------------------------------------------------------------------------

    def _lay_out(self) -> None:
        body = QWidget()
        column = QVBoxLayout(body)
        column.setSpacing(6)
        column.addWidget(self.list)
        column.addWidget(self.nothing)
        column.addWidget(self.more, 0, Qt.AlignmentFlag.AlignLeft)
        self.set_body(body)
        # In the head, which never scrolls.
        self.add_to_head(self.whose, self.take_back, self.bring_back)

    def _restyle(self) -> None:
        # Lower where the strip is low, so that the list scrolls and the strip need not.
        self.list.setMinimumHeight(scaled(_LEAST_HIGH))
        self.list.setMaximumHeight(scaled(_HIGH))
        self.whose.setFixedWidth(scaled(150))
        head = self.list.header()
        head.setStretchLastSection(True)
        head.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        for at, width in enumerate((190, 150)):
            head.resizeSection(at, scaled(width))

    # -- shown -----------------------------------------------------------------------------

    def _look(self, aspects: Aspect) -> None:
        told = Aspect.SELECTION | Aspect.COLLECTION | Aspect.SAVING | Aspect.NAMES
        if aspects & told and self.isVisible():
            saving = self._session.saving.state == "saving"
            if not (aspects & Aspect.SAVING and saving):
                self._read()

    def _document(self) -> Document | None:
        """Return whose history is shown; None: that of the whole collection."""
        whose = self.whose.key()
        specimen, picture = self._session.specimen, self._session.picture
        if whose == PICTURE and picture is not None:
            return Document("picture", picture.id)
        if whose == COLLECTION or specimen is None:
            return None
        return Document("specimen", specimen.id)

    def _read(self) -> None:
        if self._session.names_hidden:
            # What was done would tell the names.
            self._steps = []
            self.more.hide()
            self._show(say("past.names_hidden"))
            return
        if self.whose.key() == PICTURE and self._session.picture is None:
            self._steps = []
            self.more.hide()
            self._show(say("past.nothing"))
            return
        self._ask(None)

    def _read_more(self) -> None:
        if self._steps:
            self._ask(self._steps[-1].past.sequence)

    def _ask(self, before: int | None) -> None:
        asked = self._asked = object()

        def came(steps: tuple[Step, ...]) -> None:
            if asked is self._asked:
                chosen, newest = self.step(), self._steps[0] if self._steps else None
                here = None if chosen is newest else chosen
                kept = self._steps if before is not None else []
                self._steps = [*kept, *steps]
                self.more.setVisible(len(steps) == PAGE)
                self._show(say("past.nothing"), here)

        past.read_past(self._session, self._document(), came, before=before)

    def _show(self, empty: str, here: Step | None = None) -> None:
        """Show the steps; an earlier one that was chosen stays so, wherever it is now."""
        place = 0 if here is None else here.past.sequence
        found = [at for at, one in enumerate(self._steps) if one.past.sequence == place]
        self.list.clear()
        for one in self._steps:
            item = _item(one)
            changes = item.takeChildren()
            self.list.addTopLevelItem(item)
            for change in changes:
                item.addChild(change)
                # Only what stands in a tree already can span its columns.
                change.setFirstColumnSpanned(True)
        self.list.setVisible(bool(self._steps))
        self.nothing.setText(empty)
        self.nothing.setVisible(not self._steps)
        if self._steps:
            top = self.list.topLevelItem(found[0] if found else 0)
            if top is not None:
                self.list.setCurrentItem(top)
        self._enable()

    def _enable(self) -> None:
        step = self.step() if self._steps else None
        newest = step is not None and step is self._steps[0]
        self.bring_back.setEnabled(
            step is not None and not newest and self._document() is not None
        )
        self.take_back.setEnabled(step is not None)

    # -- done ------------------------------------------------------------------------------

    def _bring_back(self) -> None:
        step, document = self.step(), self._document()
        if step is not None and document is not None:
            # The button is shut when it is done, and would hand the keyboard to the closing.
            self.list.setFocus(Qt.FocusReason.OtherFocusReason)
            past.bring_back(self._session, document, step)

    def _take_back(self) -> None:
        step = self.step()
        if step is not None:
            self.list.setFocus(Qt.FocusReason.OtherFocusReason)
            past.take_back(self._session, step)


def _item(step: Step) -> QTreeWidgetItem:
    row = step.row
    deed = titled(one_line(text(row.deed)))
    if row.n_documents > len({one.document for one in row.changes}):
        deed = say("past.and_others", deed=deed, n=row.n_documents)
    item = QTreeWidgetItem([f"{day(row.at)}  {clock(row.at)}", _who(step), deed])
    item.setToolTip(_DONE, plain_tip(deed))
    for one in row.changes:
        values = {
            "what": titled(one_line(text(one.what))),
            "before": one_line(text(one.before)),
            "after": one_line(text(one.after)),
        }
        words = say("past.change", **values)
        child = QTreeWidgetItem([words])
        child.setToolTip(0, plain_tip(words))
        item.addChild(child)
        child.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
    return item


def _who(step: Step) -> str:
    """Return the name of a person; an id would tell nobody anything."""
    person = step.past.change_set.person
    if not person:
        return ""
    return say("past.unnamed") if step.row.who == person else one_line(step.row.who)
