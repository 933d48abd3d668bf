"""The canvas that fetches the picture of the session: small first, whole, or why not."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QSize, Signal
from PySide6.QtGui import QImage

from app.background.damaged import what_is_left
from app.background.desk import Desk
from app.background.pictures import PictureLoader
from app.canvas.seeing import SeeingCanvas
from app.canvas.waiting import WaitingNote
from app.session import Session
from landmarks.collection import Picture
from landmarks.picture import hash_file
from landmarks.sentences import Sentence


class LoadedCanvas(SeeingCanvas):
    """A picture canvas that shows the picture of the frame on the bench.

    ``pictured`` tells that the picture is there, small or whole; ``unread``, that the whole
    one will not come.
    """

    pictured = Signal()
    unread = Signal()

    def __init__(self, session: Session, loader: PictureLoader) -> None:
        super().__init__()
        self._session, self._loader = session, loader
        self._checker = Desk(self)
        self._note = WaitingNote(self)
        self._levels: tuple[QImage, ...] = ()
        self._shown: tuple[str, str, str] = ("", "", "")
        self._token = 0
        self._coming = False
        self.has_picture = False
        loader.previewed.connect(self._previewed)
        loader.levels.connect(self._levelled)
        loader.levels.connect(self._look_ahead)
        loader.waiting.connect(self._wait)
        loader.failed.connect(self._failed)

    @property
    def levels(self) -> tuple[QImage, ...]:
        """Return the picture as it was read, largest copy first; none until it is whole."""
        return self._levels

    @property
    def is_coming(self) -> bool:
        """Return whether the whole picture is still on its way."""
        return self._coming and self._token != 0

    def put_away(self) -> None:
        """Stop looking into files."""
        self._checker.close()
        self.stop_seeing()

    def show_picture(self) -> None:
        """Show the picture of the frame on the bench, or say why there is none."""
        picture, frame = self._session.picture, self._session.frame
        if picture is None or frame is None:
            self._shown = ("", "", "")
            self._token, self._levels = 0, ()
            self._loader.release()
            self.clear_picture(self._why_empty())
            return
        allowed = self._session.places.may_open(picture)
        shown = (frame.id, picture.id, picture.path if allowed else "")
        if self._shown == shown:
            return
        same_picture = self._shown[1:] == shown[1:]
        self._shown = shown
        if not same_picture:
            (self._open if allowed else self._refuse)(picture)
        self.fit(frame.region)

    def begin_picture(self, size: QSize, levels: Sequence[QImage] = ()) -> None:
        """Show another picture: nothing is waited for yet."""
        self._note.hide()
        super().begin_picture(size, levels)

    # -- asked for -------------------------------------------------------------------------

    def _open(self, picture: Picture) -> None:
        path = self._session.places.file_of(picture)
        self.has_picture, self._levels = False, ()
        self.begin_picture(QSize(*picture.size))
        self._coming = True
        self._token = self._loader.load(
            path, self.viewport().size() * self.devicePixelRatio()
        )
        self._check(self._token, path, picture.file.sha256)

    def _refuse(self, picture: Picture) -> None:
        """Show no picture from a place that a stranger may have written."""
        path = self._session.places.file_of(picture)
        sentence = Sentence(
            "picture.outside", {"file": path.name, "folder": str(path.parent)}
        )
        self._token, self._levels, self.has_picture = 0, (), False
        self._loader.release()
        self.clear_picture(sentence)
        self._session.notice(sentence, "caution")

    def _check(self, token: int, path: Path, sha256: str) -> None:
        """Look in the background whether the file is still the picture it was."""

        def other_content() -> bool:
            return token == self._token and hash_file(path)[0] != sha256

        def checked(other: bool) -> None:  # noqa: FBT001 - the answer to the question
            if other and token == self._token:
                # Landmarks of one picture on another would be false: nothing is shown.
                self._token = 0
                self._loader.release()
                sentence = Sentence("picture.other_content", {"file": path.name})
                self.has_picture = False
                self.clear_picture(sentence)
                self.unread.emit()
                self._session.notice(sentence, "error")

        # What hinders the reading is said by the loader.
        self._checker.ask(other_content, checked, lambda _: None)

    def _why_empty(self) -> Sentence:
        if self._session.specimen is None:
            return Sentence("canvas.choose")
        return Sentence("canvas.no_picture")

    # -- from the loader -------------------------------------------------------------------

    def _previewed(self, token: int, image: QImage) -> None:
        self._take_levels(token, [image])

    def _levelled(self, token: int, images: list[QImage]) -> None:
        if token == self._token:
            self._coming = False
        self._take_levels(token, images)

    def _take_levels(self, token: int, images: list[QImage]) -> None:
        if token == self._token:
            self.set_levels(images)
            self.has_picture = True
            picture = self._session.picture
            if picture is not None and images[0].size() == QSize(*picture.size):
                self._levels = tuple(images)
                self._note.hide()
            self.pictured.emit()

    def _wait(self, token: int, sentence: Sentence) -> None:
        """Say why the picture takes long, while it does."""
        if token == self._token:
            self._note.say(sentence)

    def _look_ahead(self, token: int, _images: list[QImage]) -> None:
        """Make the next specimen of the list ready, now that this one is there whole."""
        if token == self._token:
            self._session.reader.ahead(self._prepare)

    def _prepare(self, picture: Picture) -> None:
        if picture is not self._session.picture and self._session.places.may_open(picture):
            room = self.viewport().size() * self.devicePixelRatio()
            self._loader.prepare(self._session.places.file_of(picture), room)

    def _failed(self, token: int, sentence: Sentence) -> None:
        picture = self._session.picture
        if token != self._token or picture is None:
            return
        self._note.hide()
        self._coming = False
        self.unread.emit()
        if sentence.key == "picture.missing":
            # Here there is a way to look for it.
            sentence = Sentence("picture.missing_here", sentence.values)
        self._session.notice(sentence, "error")
        path = self._session.places.file_of(picture)

        def left(image: QImage | None) -> None:
            if image is not None and not self.has_picture:
                self._levelled(token, [image])

        self._checker.ask(lambda: what_is_left(path), left, lambda _: None)
