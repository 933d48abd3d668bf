"""Who made the pictures and under which licence: for one, for a specimen, for all listed."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from app.panels.fields import labelled, one_line, open_choice, worded
from app.panels.meant import Meant
from app.panels.strip import Strip
from app.session import Aspect, Session
from app.session.whose import LISTED, PICTURE, SPECIMEN, Pictures
from app.style.widgets import Label, button
from landmarks import intake
from landmarks.collection import Rights
from landmarks.sentences import say

FIELDS = ("creator", "licence", "rights_holder", "credit")
SCOPES = (PICTURE, SPECIMEN, LISTED)
LICENCES = (
    "https://creativecommons.org/publicdomain/zero/1.0/",
    "https://creativecommons.org/licenses/by/4.0/",
    "https://creativecommons.org/licenses/by-nc/4.0/",
    "https://creativecommons.org/licenses/by-sa/4.0/",
)
"""Addresses of licences as open data carry them; any other words can be typed."""


class RightsStrip(Strip):
    """Four fields; empty ones leave what is there, and how many pictures change is said."""

    wide_from = 720

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("user", say("rights.title"), "label", parent)
        self._session = session
        self.set_title(say("rights.title"), say("rights.words"))
        self.fields: dict[str, QLineEdit | QComboBox] = {}
        for key in FIELDS:
            field = _licences() if key == "licence" else QLineEdit()
            field.setAccessibleName(say(f"rights.{key}"))
            self.fields[key] = field
        self.meant = Meant(session, worded("rights.scope", SCOPES), _told)
        self.there = Label("", "small", "ink2", wrap=True)
        self.give = button(say("rights.give"), "primary", "check")
        self._lay_out()
        self.setFocusProxy(self.fields["creator"])
        self.meant.changed.connect(self._enable)
        self.give.clicked.connect(self._give)
        for field in self.fields.values():
            line = field.lineEdit() if isinstance(field, QComboBox) else field
            if line is not None:
                line.textChanged.connect(lambda _: self._enable())
                line.returnPressed.connect(self._give)
        session.changed.connect(self._look)

    def _lay_out(self) -> None:
        body = QWidget()
        column = QVBoxLayout(body)
        column.setSpacing(6)
        grid = self._grid = QGridLayout()
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(6)
        self._holders = [labelled(self.fields[key]) for key in FIELDS]
        self.arrange(wide=True)
        column.addLayout(grid)
        column.addWidget(self.there)
        column.addWidget(self.meant)
        column.addStretch(1)
        self.set_body(body)
        # In the head, which never scrolls.
        self.add_to_head(self.give)

    def arrange(self, *, wide: bool) -> None:
        """Put the fields in one line, or in two."""
        across = 4 if wide else 2
        for at, holder in enumerate(self._holders):
            self._grid.removeWidget(holder)
            self._grid.addWidget(holder, at // across, at % across)

    def showEvent(self, event: QShowEvent) -> None:
        """Show what is recorded, and count."""
        super().showEvent(event)
        self._look_for()

    def _look(self, aspects: Aspect) -> None:
        told = Aspect.SELECTION | Aspect.PICTURE | Aspect.COLLECTION | Aspect.ROWS
        if aspects & told and self.isVisible():
            self._look_for()

    def _look_for(self) -> None:
        """Find the pictures that are meant, and say how many they are."""
        picture = self._session.picture
        here = [
            say("rights.one", field=say(f"rights.{key}"), words=words)
            for key in FIELDS
            if picture is not None and (words := one_line(getattr(picture.rights, key)))
        ]
        self.there.setText(
            say("rights.there", words=" · ".join(here)) if here else say("rights.nothing")
        )
        self.meant.look()

    def _typed(self) -> dict[str, str]:
        words = {
            key: (one.currentText() if isinstance(one, QComboBox) else one.text()).strip()
            for key, one in self.fields.items()
        }
        return {key: one for key, one in words.items() if one}

    def _enable(self) -> None:
        free = self._session.repeat is None
        self.give.setEnabled(bool(self.meant.pictures) and bool(self._typed()) and free)

    def _give(self) -> None:
        if not self.give.isEnabled():
            return
        deed = intake.give_rights(self.meant.pictures, **self._typed())
        if deed.changes:
            self._session.do(deed.sentence, *deed.changes)
        # Whoever goes on gives other pictures their own, and begins at the first field.
        self.setFocus(Qt.FocusReason.OtherFocusReason)
        self._look_for()


def _told(pictures: Pictures) -> tuple[Pictures, str]:
    """Return the pictures, and how many there are and how many have something already."""
    n = sum(one.rights != Rights() for one in pictures)
    return pictures, say("rights.count", n=len(pictures), told=n)


def _licences() -> QComboBox:
    made = open_choice(12)
    made.addItems(LICENCES)
    made.setCurrentIndex(-1)
    made.setEditText("")
    return made
