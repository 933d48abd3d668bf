"""What the frame on the bench shows, and what its picture file says of itself."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QBoxLayout, QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from app.panels.fields import ChoiceField, labelled, one_line, titled, worded
from app.panels.strip import Strip
from app.session import Aspect, Session, deeds
from app.style.widgets import Label, button
from landmarks.collection import Picture
from landmarks.scheme import MANTLES, PARTS, VALVES, VIEWS
from landmarks.sentences import say, word
from landmarks.sentences.numbers import plain
from landmarks.sides import valve_of
from landmarks.specimen import Frame

FACTS = ("file", "size", "captured", "camera")


class PictureStrip(Strip):
    """View, part, state and region of the frame; size, time and camera of the picture."""

    wide_from = 640

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__("image", say("shows.title"), "label", parent)
        self._session = session
        self.set_title(say("shows.title"), say("shows.words"))
        not_said = say("shows.not_said")
        self.view = ChoiceField(
            say("shows.view"), worded("view", VIEWS, say("rail.no_view"))
        )
        self.part = ChoiceField(say("shows.part"), worded("part", PARTS, not_said))
        self.mantle = ChoiceField(say("shows.mantle"), worded("mantle", MANTLES, not_said))
        self.valves = ChoiceField(say("shows.valves"), worded("valves", VALVES, not_said))
        self._found = ""
        self.by_landmarks = button("", "link")
        self.by_landmarks.clicked.connect(self._take_valve)
        self.region = Label("", "body", wrap=True)
        self.whole = button(say("shows.region.remove"))
        self.facts = {key: Label("", "small", wrap=True) for key in FACTS}
        for key, label in self.facts.items():
            label.setAccessibleName(say(f"shows.{key}"))
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._lay_out()
        self.setFocusProxy(self.view)
        self.view.chosen.connect(self._if_said)
        self.part.chosen.connect(lambda key: deeds.set_part(session, key))
        self.mantle.chosen.connect(lambda key: deeds.set_state(session, mantle=key))
        self.valves.chosen.connect(lambda key: deeds.set_state(session, valves=key))
        self.whole.clicked.connect(lambda: deeds.set_region(session, None))
        session.changed.connect(self._look)
        self._renew()

    def _lay_out(self) -> None:
        body = QWidget()
        self._row = row = QBoxLayout(QBoxLayout.Direction.LeftToRight, body)
        row.setSpacing(28)
        shown = QGridLayout()
        shown.setHorizontalSpacing(12)
        shown.setVerticalSpacing(8)
        for at, field in enumerate((self.view, self.part, self.mantle, self.valves)):
            shown.addWidget(labelled(field), at // 2, at % 2)
        shown.addWidget(self.by_landmarks, 3, 1)
        region = QVBoxLayout()
        region.setSpacing(2)
        region.addWidget(Label(say("shows.region"), "caption", "ink2"))
        line = QHBoxLayout()
        line.addWidget(self.region, 1)
        line.addWidget(self.whole)
        region.addLayout(line)
        shown.addLayout(region, 2, 0, 2, 1)
        shown.setRowStretch(4, 1)
        facts = QGridLayout()
        facts.setHorizontalSpacing(14)
        facts.setVerticalSpacing(6)
        facts.setColumnStretch(1, 1)
        for at, (key, label) in enumerate(self.facts.items()):
            name = Label(say(f"shows.{key}"), "small", "ink2")
            facts.addWidget(name, at, 0, Qt.AlignmentFlag.AlignTop)
            facts.addWidget(label, at, 1, Qt.AlignmentFlag.AlignTop)
        facts.setRowStretch(len(FACTS), 1)
        row.addLayout(shown, 5)
        row.addLayout(facts, 4)
        self.set_body(body)

    def arrange(self, *, wide: bool) -> None:
        """Put what the file says beside the fields, or below them."""
        ways = QBoxLayout.Direction
        self._row.setDirection(ways.LeftToRight if wide else ways.TopToBottom)

    def _look(self, aspects: Aspect) -> None:
        if aspects & (
            Aspect.SELECTION | Aspect.SPECIMEN | Aspect.PICTURE | Aspect.COLLECTION
        ):
            self._renew()

    def _renew(self) -> None:
        frame, picture = self._session.frame, self._session.picture
        self.setEnabled(frame is not None)
        self.view.show_key(frame.view if frame is not None else "")
        self.part.show_key(frame.part if frame is not None else "")
        self._show_valve(frame)
        self.mantle.show_key(frame.mantle if frame is not None else "")
        self.valves.show_key(frame.valves if frame is not None else "")
        box = frame.region if frame is not None else None
        self.whole.setVisible(box is not None)
        if box is None:
            self.region.setText(titled(say("shows.region.whole")))
        else:
            sides = {
                name: round(getattr(box, name)) for name in ("x", "y", "width", "height")
            }
            self.region.setText(say("shows.region.box", **sides))
        for key, words in facts_of(picture).items():
            self.facts[key].setText(words)

    def _show_valve(self, frame: Frame | None) -> None:
        """Offer the valve that the landmarks tell, where another one or none is recorded."""
        specimen = self._session.specimen
        found = None
        if frame is not None and specimen is not None:
            found = valve_of(specimen.placed(frame.id), frame.view)
        known = frame is not None and frame.part == found
        self.by_landmarks.setVisible(found is not None and not known)
        if found is not None:
            self._found = found
            self.by_landmarks.setText(say("shows.by_landmarks", valve=word("part", found)))

    def _take_valve(self) -> None:
        deeds.set_part(self._session, self._found)

    def _if_said(self, view: str) -> None:
        if view:
            deeds.set_view(self._session, view)
        else:
            self._renew()


def facts_of(picture: Picture | None) -> dict[str, str]:
    """Return what the file of a picture says, in words; the time exactly as it stands there."""
    if picture is None:
        return dict.fromkeys(FACTS, "")
    file = picture.file
    words = say("shows.captured.none")
    if file.captured:
        key = "shows.captured.zone" if file.zone else "shows.captured.no_zone"
        words = say(key, captured=one_line(file.captured), zone=one_line(file.zone))
    width, height = picture.size
    return {
        "file": one_line(picture.path),
        "size": say("shows.size.px", width=width, height=height,
                    megapixels=plain(width * height / 1e6, 1)),
        "captured": words,
        "camera": one_line(file.camera) or say("shows.camera.none"),
    }  # fmt: skip
