"""How far the camera was from the specimen: what perspective adds to a length rests on it."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.panels.fields import ChoiceField, WordField, labelled
from app.panels.lengths import MM_PER, distance_typed
from app.session import Session
from app.style.follow import follow
from app.style.fonts import scaled
from app.style.widgets import Label
from app.style.widgets.bare import bare_column
from app.style.widgets.beside import Beside
from landmarks.collection import Picture
from landmarks.errors import ScaleError
from landmarks.sentences import Sentence, say, text
from landmarks.sentences.numbers import plain


class CameraRow(QWidget):
    """One row of the scale strip: the distance of the camera, why it is asked, what is wrong."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._picture: Picture | None = None
        self.distance = WordField(say("scale.distance"), say("scale.distance.unknown"))
        self.unit = ChoiceField(say("scale.unit"), [(key, key) for key in MM_PER])
        self.trouble = Label("", "small", "minus", wrap=True)
        why = QVBoxLayout()
        why.setSpacing(2)
        why.addWidget(Label(say("scale.distance.why"), "small", "ink2", wrap=True))
        why.addWidget(self.trouble)
        why.addStretch(1)
        fields = labelled(self.distance), labelled(self.unit)
        bare_column(self).addWidget(Beside(why, *fields, last=True))
        self.distance.edited.connect(self._set_distance)
        self.unit.chosen.connect(lambda _: self._show())
        follow(self._restyle)

    def show_picture(self, picture: Picture | None) -> None:
        """Show what is known of this picture; what is typed from now on belongs to it."""
        self._picture = picture
        self._show()

    def hand_on(self) -> None:
        """Record what was typed and not handed on yet."""
        typed = self.distance.pending()
        if typed is not None:
            self._set_distance(typed)

    def _show(self) -> None:
        picture = self._session.picture
        mm = picture.camera.distance_mm if picture is not None else None
        unit = MM_PER[self.unit.key()]
        self.distance.show_words("" if mm is None else plain(mm / unit))
        self.trouble.hide()

    def _set_distance(self, typed: str) -> None:
        picture = self._picture
        try:
            mm = distance_typed(typed, self.unit.key())
        except ScaleError as fault:
            self.trouble.setText(text(fault.sentence))
            self.trouble.show()
            return
        self.trouble.hide()
        if picture is not None and picture.camera.distance_mm != mm:
            camera = replace(picture.camera, distance_mm=mm)
            self._session.do(
                Sentence("deed.camera_distance"), replace(picture, camera=camera)
            )

    def _restyle(self) -> None:
        self.distance.setFixedWidth(scaled(130))
        self.unit.setFixedWidth(scaled(84))
