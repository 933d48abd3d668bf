"""Which pictures a strip is about to change, looked for anew when that may be others."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QWidget

from app.panels.fields import ChoiceField, labelled
from app.session import Session
from app.session.whose import Pictures, find_pictures
from app.style.widgets import Label
from app.style.widgets.bare import bare_row
from landmarks.sentences import say


class Meant(QWidget):
    """The choice of pictures, and in words how many of them there are.

    Parameters
    ----------
    scopes
        The choices: key and words.
    of
        Returns those of the pictures found that can be changed, and what is said of them.

    Signals
    -------
    changed()
        Others are meant: none while they are looked for, then those that were found.
    """

    changed = Signal()

    def __init__(
        self,
        session: Session,
        scopes: Sequence[tuple[str, str]],
        of: Callable[[Pictures], tuple[Pictures, str]],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._session, self._of = session, of
        self._asked: object = None
        self.pictures: Pictures = ()
        self.scope = ChoiceField(say("rights.scope"), scopes)
        self.scope.setMinimumContentsLength(20)
        self.count = Label("", "small", "ink2", wrap=True)
        row = bare_row(self, 12)
        row.addWidget(labelled(self.scope), 3)
        row.addWidget(self.count, 2, Qt.AlignmentFlag.AlignBottom)
        self.scope.chosen.connect(lambda _: self.look())

    def look(self) -> None:
        """Look for the pictures that are meant; an older search is given up."""
        asked = self._asked = object()
        self.pictures = ()
        self.count.setText(say("rights.counting"))
        self.changed.emit()

        def found(pictures: Pictures) -> None:
            if asked is self._asked:
                self.pictures, words = self._of(pictures)
                self.count.setText(words)
                self.changed.emit()

        find_pictures(self._session, self.scope.key(), found, lambda: asked is self._asked)
