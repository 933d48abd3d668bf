"""The set-up of a picture: carried over from the last one, named, checked by a known shell."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit, QWidget

from app.panels.fields import WordField, labelled, one_line
from app.panels.lengths import mm_typed
from app.session import Aspect, Session, deeds
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.widgets import FlowLayout, Label, button
from app.style.widgets.bare import bare_column, bare_row
from app.style.widgets.beside import Beside
from landmarks.combination import Check
from landmarks.sentences import say, text


class SetupRow(QWidget):
    """One row of the scale strip: the same set-up again, its name, its check shell."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._check: Check | None = None
        self.again = button(say("setup.again"))
        self.name = WordField(say("setup.name"))
        self.known = QLineEdit()
        self.known.setAccessibleName(say("setup.known"))
        self.said = Label("", "small", "ink2", wrap=True)
        self.correct = button(say("setup.correct"))
        fields, first = QWidget(), QWidget()
        row = bare_row(first, 8)
        row.addWidget(self.again, 0, Qt.AlignmentFlag.AlignBottom)
        row.addWidget(labelled(self.name))
        flow = FlowLayout(fields, gap=8)
        flow.addWidget(first)
        flow.addWidget(labelled(self.known))
        column = bare_column(self, 4)
        column.addWidget(fields)
        column.addWidget(Beside(self.said, self.correct))
        self.again.clicked.connect(lambda: deeds.carry_over_scale(session))
        self.name.edited.connect(lambda words: deeds.set_setup(session, words.strip()))
        self.known.textChanged.connect(lambda _: self._show_check())
        self.correct.clicked.connect(self._correct)
        session.changed.connect(self._look)
        follow(self._restyle)
        self._renew()

    def _look(self, aspects: Aspect) -> None:
        if aspects & (Aspect.SELECTION | Aspect.COLLECTION):
            self.known.clear()
        if aspects & ~(Aspect.LIVE | Aspect.MARK | Aspect.TOOL):
            self._renew()

    def _renew(self) -> None:
        picture = self._session.picture
        self.setEnabled(picture is not None)
        self.again.setEnabled(self._session.last_scaled is not None)
        name = picture.camera.setup if picture is not None else ""
        self.name.show_words(one_line(name))
        self._show_check()

    def _show_check(self) -> None:
        known = mm_typed(self.known.text(), "mm")
        self._check = None
        words = ""
        if self.known.text().strip():
            if known is None or known <= 0:
                words = say("setup.not_a_length", found=one_line(self.known.text()))
            else:
                self._check = deeds.check_length(self._session, known)
                words = (
                    say("setup.no_length")
                    if self._check is None
                    else text(self._check.words)
                )
        self.said.setText(words)
        self.said.setVisible(bool(words))
        check = self._check
        self.correct.setVisible(
            check is not None and not check.good and check.factor is not None
        )

    def _correct(self) -> None:
        if self._check is not None and self._check.factor is not None:
            deeds.correct_scale(self._session, self._check.factor)

    def _restyle(self) -> None:
        self.name.setFixedWidth(scaled(120))
        self.known.setFixedWidth(scaled(70))
