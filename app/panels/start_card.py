"""The first start: what is open, the ways on, and the cautions, once and plainly."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from app.panels.strip import Strip
from app.session import Aspect, Session
from app.style.icons import icon_text
from app.style.tokens import ICON
from app.style.widgets import Drawing, Label, button
from landmarks.sentences import say

CAUTIONS = (
    ("list", "start.caution.candidates"),
    ("flag", "start.caution.evidence"),
    ("ruler", "start.caution.length"),
    ("book-open", "start.caution.law"),
    ("hand", "start.caution.living"),
)
"""Icon and words of each caution; their substance is common practice and the CITES
Appendices (family listing, as read in the Appendices of 2012 and the species index of 2017)."""


class StartCard(Strip):
    """Can be put away and is found again in the help menu.

    Signals
    -------
    example_wanted(), pictures_wanted(), collection_wanted()
        The way the person took; the card closes by itself.
    closed()
        As with every strip.
    """

    example_wanted = Signal()
    pictures_wanted = Signal()
    collection_wanted = Signal()

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("graduation-cap", say("start.title"), "", parent)
        self._session = session
        self.words = Label("", "body", "ink2", wrap=True)
        self.example = button(say("start.example"), "primary")
        self.pictures = button(say("start.pictures"))
        self.collection = button(say("start.collection"))
        body = QWidget()
        grid = QGridLayout(body)
        grid.setHorizontalSpacing(32)
        grid.addLayout(self._ways(), 0, 0)
        grid.addLayout(self._cautions(), 0, 1)
        grid.setColumnStretch(0, 4)
        grid.setColumnStretch(1, 6)
        self.set_body(body)
        self.setFocusProxy(self.example)
        session.changed.connect(self._look)
        self._renew()

    def _ways(self) -> QVBoxLayout:
        column = QVBoxLayout()
        column.setSpacing(6)
        column.addWidget(self.words)
        column.addSpacing(6)
        for one, wanted in (
            (self.example, self.example_wanted),
            (self.pictures, self.pictures_wanted),
            (self.collection, self.collection_wanted),
        ):
            one.clicked.connect(self.closed)
            one.clicked.connect(wanted)
            column.addWidget(one)
        column.addStretch(1)
        return column

    def _cautions(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(6)
        grid.setColumnStretch(1, 1)
        edge = float(ICON.row)
        for row, (name, key) in enumerate(CAUTIONS):
            mark = Drawing(icon_text(name), (edge, edge), "ink2")
            grid.addWidget(mark, row, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(Label(say(key), "small", "ink2", wrap=True), row, 1)
        grid.setRowStretch(len(CAUTIONS), 1)
        return grid

    def _look(self, aspects: Aspect) -> None:
        if aspects & Aspect.COLLECTION:
            self._renew()

    def _renew(self) -> None:
        example = self._session.example
        self.set_title(say("start.title.example" if example else "start.title"))
        self.words.setText(say("start.words.example" if example else "start.words"))
